"""The bibliography itself."""

from __future__ import annotations

import dataclasses
import re

import pytest

from gylebook import sources
from gylebook.errors import NotFound


def test_a_source_is_found_by_its_key() -> None:
    source = sources.get("tanaka_2001")
    assert source.key == "tanaka_2001"
    assert source.standing is sources.Standing.PUBLISHED_SECOND_HAND
    assert source.citation.endswith("doi:10.1088/0026-1394/38/4/3")


def test_an_unknown_key_is_refused_with_a_sentence() -> None:
    with pytest.raises(NotFound, match=r"^No source has the key no_such_key; look at .*\.$"):
        sources.get("no_such_key")


def test_a_source_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        sources.get("tanaka_2001").title = "another"  # type: ignore[misc]
    with pytest.raises(TypeError):
        sources.all()["tanaka_2001"] = sources.get("nbs_c440")  # type: ignore[index]


def test_every_standing_says_what_it_means() -> None:
    assert all(standing.meaning for standing in sources.Standing)


@pytest.mark.parametrize("source", sources.all().values(), ids=lambda source: source.key)
def test_an_entry_is_whole(source: sources.Source) -> None:
    assert re.fullmatch(r"[a-z][a-z0-9_]*", source.key)
    assert source.title
    assert not source.title.endswith(".")
    assert source.note.endswith(".")
    if source.standing.value.startswith("PUBLISHED"):
        assert source.place or "quot" in source.note.lower(), (
            f"{source.key}: say where it was published or that it is only quoted"
        )
