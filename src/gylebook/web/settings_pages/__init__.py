"""The pages below /settings/; the plain word is taken by the settings of the program itself."""
