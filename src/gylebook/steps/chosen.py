"""What can be chosen in the settings besides single units: a language, a country, all units of a country at once."""

from __future__ import annotations

from collections.abc import Mapping

from gylebook.phrases import say

# Each language by its own name, which is the same in all of them.
LANGUAGES: tuple[tuple[str, str], ...] = (
    ("en-GB", "English (UK)"),
    ("en-US", "English (US)"),
    ("de", "Deutsch"),
)

COUNTRIES: tuple[tuple[str, str], ...] = (
    ("UK", say("United Kingdom")),
    ("Ireland", say("Ireland")),
    ("Germany", say("Germany")),
    ("EU", say("European Union, another country")),
    ("US", say("United States")),
    ("Canada", say("Canada")),
    ("Australia", say("Australia")),
    ("New Zealand", say("New Zealand")),
    ("other", say("elsewhere")),
)
# The same within a sentence: "the rules of the United Kingdom".
IN_SENTENCE: Mapping[str, str] = dict(COUNTRIES) | {
    "UK": say("the United Kingdom"),
    "EU": say("the European Union"),
    "US": say("the United States"),
}
# Whose rules of labels hold where a country has those of its union.
LABELS_AS: Mapping[str, str] = {"Germany": "EU", "Ireland": "EU"}

UNIT_SETS: tuple[tuple[str, str], ...] = (
    ("metric", say("metric")),
    ("UK", say("United Kingdom")),
    ("US", say("United States")),
)
# British kits are sold in pints and weighed in grams. Gravity and fizz are no matter of country.
_UNITS: Mapping[str, Mapping[str, str]] = {
    "metric": {"volume": "L", "mass": "g", "temperature": "°C", "pressure": "bar"},
    "UK": {"volume": "imp pt", "mass": "g", "temperature": "°C", "pressure": "psi"},
    "US": {"volume": "US gal", "mass": "oz", "temperature": "°F", "pressure": "psi"},
}


def units_of_set(name: str, given: Mapping[str, str], before: Mapping[str, str | None]) -> dict[str, str]:
    """The unit settings that a set of units amounts to.

    Parameters
    ----------
    name
        One of UNIT_SETS.
    given
        Single units chosen at the same time.
    before
        As the settings stood; None for what was never chosen, which is metric.

    A single unit that is chosen otherwise than before stands; what merely came along with its form does not.
    """
    usual = _UNITS["metric"]
    return {
        unit: symbol
        for unit, symbol in _UNITS[name].items()
        if given.get(unit) in {None, before.get(unit) or usual[unit]}
    }


def label_rules(country: str | None) -> str | None:
    """Whose rules of labels hold in a country of the settings: its own, or those of its union."""
    return LABELS_AS.get(country or "", country)
