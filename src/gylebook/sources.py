"""The bibliography of the sums: key -> citation, place, standing and what was read of it.

Docstrings in ``gylebook.science`` and the check files under ``tests/published`` cite sources by key; the pages and
the command line show them from here.
"""

from __future__ import annotations

import enum
import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from types import MappingProxyType

from gylebook.errors import NotFound
from gylebook.phrases import say


class Standing(enum.StrEnum):
    """How far a number can be trusted to say what its source says."""

    PUBLISHED = "PUBLISHED"
    PUBLISHED_SECOND_HAND = "PUBLISHED_SECOND_HAND"
    DERIVED = "DERIVED"
    FROM_MEMORY = "FROM_MEMORY"
    COMMON_PRACTICE = "COMMON_PRACTICE"

    @property
    def words(self) -> str:
        """The standing in a word or two, as "Common practice"."""
        return _WORDS[self]

    @property
    def meaning(self) -> str:
        """The standing in plain words, for a page or a printout."""
        return _MEANING[self]


_WORDS = {
    Standing.PUBLISHED: say("Published"),
    Standing.PUBLISHED_SECOND_HAND: say("Published second hand"),
    Standing.DERIVED: say("Derived"),
    Standing.FROM_MEMORY: say("From memory"),
    Standing.COMMON_PRACTICE: say("Common practice"),
}
_MEANING = {
    Standing.PUBLISHED: say("published; the text or abstract itself was read"),
    Standing.PUBLISHED_SECOND_HAND: say("published, but read where others quote it"),
    Standing.DERIVED: say("worked out from published relations"),
    Standing.FROM_MEMORY: say("recalled, not read"),
    Standing.COMMON_PRACTICE: say("common practice of the trade, without a proper source"),
}


@dataclass(frozen=True, slots=True)
class Source:
    """One entry of the bibliography."""

    key: str
    title: str
    place: str
    standing: Standing
    note: str

    @property
    def citation(self) -> str:
        """Title and place in one line."""
        return say("{title}. {place}", title=self.title, place=self.place) if self.place else self.title


@functools.cache
def all() -> Mapping[str, Source]:  # noqa: A001 - read as sources.all()
    """Every source by its key, in the order of the file."""
    text = resources.files("gylebook").joinpath("sources.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    return MappingProxyType(
        {
            key: Source(
                key=key,
                title=table["title"],
                place=table["place"],
                standing=Standing(table["standing"]),
                note=table["note"],
            )
            for key, table in tables.items()
        }
    )


def get(key: str) -> Source:
    """The source with this key.

    Raises
    ------
    NotFound
        No such key; the message says where the keys stand.
    """
    try:
        return all()[key]
    except KeyError:
        raise NotFound(
            say("No source has the key {key}; look at the list of sources for the keys in use.", key=key)
        ) from None
