"""Kinds of bottles by the words that a brewer uses."""

from __future__ import annotations

import pytest

from gylebook.journal.state import Shelf
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import voice
from gylebook.phrases import tell
from gylebook.steps.bottle_kinds import NAMES, words_to_keys


@pytest.mark.parametrize("language", ["en-GB", "en-US", "de"])
@pytest.mark.parametrize("key", NAMES)
def test_a_kind_is_understood_by_the_name_that_a_reader_is_told(key: str, language: str) -> None:
    told = tell(NAMES[key][0], voice(language, Measures))
    assert words_to_keys(Shelf())[told.lower()] == key
