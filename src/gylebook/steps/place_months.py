"""How warm a place gets where nobody wrote it: by words in its name, month by month.

Guesses of common practice for a temperate climate, between the coldest month and the warmest. None is taken to be
cooler in summer than a room by its name alone: whether a cellar or a fridge really stays cool, a thermometer shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi
from typing import Final

from gylebook.phrases import say

_COLDEST, _WARMEST = 1, 7  # months of the northern half

# Time zones of the southern half, by the first part of their names or by the whole; the book knows no other sign of it.
_SOUTHERN: Final = (
    "Australia/", "Antarctica/", "Pacific/Auckland", "Pacific/Chatham", "Pacific/Fiji", "Pacific/Noumea",
    "America/Argentina/", "America/Buenos_Aires", "America/Montevideo", "America/Santiago", "America/Punta_Arenas",
    "America/Sao_Paulo", "America/Asuncion", "America/La_Paz", "America/Lima", "America/Bahia", "America/Cuiaba",
    "America/Campo_Grande", "America/Recife", "Atlantic/Stanley", "Africa/Johannesburg", "Africa/Windhoek",
    "Africa/Harare", "Africa/Gaborone", "Africa/Maputo", "Africa/Maseru", "Africa/Mbabane", "Africa/Lusaka",
    "Indian/Mauritius", "Indian/Reunion", "Indian/Antananarivo", "NZ",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Usual:
    """Lowest and highest of a place in its coldest and in its warmest month [°C]; `word` is that of its name."""

    word: str
    cold: tuple[float, float]
    warm: tuple[float, float]

    def in_month(self, month: int, *, southern: bool = False) -> tuple[float, float]:
        """Lowest and highest in a month, 1 to 12: a wave from the coldest month to the warmest."""
        north = (month + 5) % 12 + 1 if southern else month
        share = (1.0 - cos(2.0 * pi * (north - _COLDEST) / 12.0)) / 2.0
        low, high = (cold + share * (warm - cold) for cold, warm in zip(self.cold, self.warm, strict=True))
        return low, high


# Source: common_practice
ROOM: Final = Usual("", (14.0, 21.0), (18.0, 25.0))
KINDS: Final = (
    Usual(say("greenhouse"), (0.0, 18.0), (14.0, 40.0)),
    Usual(say("conservatory"), (3.0, 20.0), (16.0, 38.0)),
    Usual(say("attic"), (3.0, 15.0), (17.0, 35.0)),
    Usual(say("loft"), (3.0, 15.0), (17.0, 35.0)),
    Usual(say("airing cupboard"), (20.0, 32.0), (22.0, 32.0)),
    Usual(say("boiler"), (18.0, 30.0), (20.0, 32.0)),
    Usual(say("shed"), (-3.0, 10.0), (12.0, 32.0)),
    Usual(say("outhouse"), (-1.0, 10.0), (12.0, 30.0)),
    Usual(say("car"), (-5.0, 15.0), (12.0, 50.0)),
    Usual(say("balcony"), (-8.0, 12.0), (12.0, 38.0)),
    Usual(say("garage"), (1.0, 12.0), (14.0, 30.0)),
    Usual(say("porch"), (0.0, 15.0), (13.0, 32.0)),
    Usual(say("kitchen"), (15.0, 24.0), (18.0, 25.0)),
    Usual(say("spare room"), (12.0, 21.0), (18.0, 25.0)),
    Usual(say("bedroom"), (13.0, 22.0), (18.0, 25.0)),
    Usual(say("under the stairs"), (14.0, 21.0), (18.0, 25.0)),
    Usual(say("cupboard"), (14.0, 22.0), (18.0, 25.0)),
    Usual(say("utility"), (13.0, 23.0), (18.0, 25.0)),
    Usual(say("pantry"), (10.0, 21.0), (15.0, 25.0)),
    Usual(say("larder"), (8.0, 21.0), (14.0, 25.0)),
    Usual(say("cellar"), (6.0, 21.0), (12.0, 25.0)),
    Usual(say("basement"), (8.0, 21.0), (14.0, 25.0)),
    Usual(say("fridge"), (2.0, 21.0), (2.0, 25.0)),
)
# The same places as a German names them; a word stands for all that end in it ("Kühlschrank", "Vorratskammer").
GERMAN: Final = {
    "greenhouse": ("gewächshaus", "treibhaus"),
    "conservatory": ("wintergarten",),
    "attic": ("dachboden", "speicher", "dachgeschoss", "mansarde"),
    "airing cupboard": ("wäscheschrank", "trockenraum"),
    "boiler": ("heizungskeller", "heizraum", "heizung"),
    "shed": ("schuppen", "gartenhaus", "gartenhütte", "laube"),
    "outhouse": ("nebengebäude", "waschhaus"),
    "car": ("auto", "kofferraum"),
    "balcony": ("balkon", "loggia", "terrasse"),
    "garage": ("garage",),
    "porch": ("veranda", "windfang"),
    "kitchen": ("küche",),
    "spare room": ("gästezimmer",),
    "bedroom": ("schlafzimmer",),
    "under the stairs": ("unter der treppe",),
    "cupboard": ("schrank",),
    "utility": ("hauswirtschaftsraum", "waschküche"),
    "pantry": ("vorratskammer", "speisekammer"),
    "larder": ("abstellkammer", "abstellraum"),
    "cellar": ("keller",),
    "fridge": ("kühlschrank",),
}


def usual_of(place: str) -> Usual:
    """What a place of that name usually is; an ordinary room, with an empty word, where its name tells nothing.

    Of several words in a name the one with the warmest summer counts, so that a fridge in the garage is taken as the
    garage.
    """
    words = f" {' '.join(place.lower().replace('-', ' ').split())} "
    named = [kind for kind in KINDS if _has(words, kind.word) or _has_german(words, GERMAN.get(kind.word, ()))]
    return max(named, key=lambda kind: kind.warm[1], default=ROOM)


def _has(words: str, word: str) -> bool:
    """Whole words, so that no car stands in the carport's name; a plural counts."""
    return f" {word} " in words or f" {word}s " in words


def _has_german(words: str, names: tuple[str, ...]) -> bool:
    """German puts words together, and the last one says what it is: a "Bierkeller" is a cellar."""
    return any(f"{name}{ending} " in words for name in names for ending in ("", "s", "n", "en"))


def is_southern(zone: str) -> bool:
    """Whether a time zone, such as Australia/Perth, lies in the southern half, where July is in winter."""
    return zone.startswith(_SOUTHERN)


def half_words(zone: str) -> str:
    """Which half of the world the months are taken to be of, and why."""
    if is_southern(zone):
        return say("months of the southern half, as the time zone {zone} has them", zone=zone)
    return say("months of the northern half") + ("" if zone else say(", assumed: no time zone is chosen"))
