"""The language in which commands answer: GYLEBOOK_LANGUAGE, else the book's, else the terminal's (LC_ALL, LANG)."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import click

from gylebook.phrases import Told, speak, tell

if TYPE_CHECKING:
    from gylebook.journal.events import SettingsKept
    from gylebook.outputs.measures import Measures


def echo(text: str = "", *, err: bool = False, nl: bool = True) -> None:
    """Write a text in the reader's language."""
    click.echo(tell(text) if isinstance(text, Told) else text, err=err, nl=nl)


def speak_by_environment() -> None:
    """Before any book is open: in metric units, in the language that the environment names."""
    wanted = _named() or _of_terminal()
    if not wanted.lower().startswith(("de", "en-us")):
        return  # as everything is written; nothing has to be read for it
    from gylebook.outputs.measures import Measures
    from gylebook.outputs.voices import best_language, voice

    speak(voice(best_language(wanted), Measures))


def speak_to(settings: SettingsKept, measures: Measures) -> None:
    """In the language and the units of the open book."""
    from gylebook.outputs.voices import best_language, voice

    wanted = _named() or settings.language or _of_terminal()
    speak(voice(best_language(wanted), lambda: measures))


def _named() -> str:
    return os.environ.get("GYLEBOOK_LANGUAGE", "")


def _of_terminal() -> str:
    """The terminal's language as a tag: "de_DE.UTF-8" is "de-DE"."""
    return (os.environ.get("LC_ALL") or os.environ.get("LANG") or "").partition(".")[0].replace("_", "-")
