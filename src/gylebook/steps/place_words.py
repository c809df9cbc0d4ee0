"""Vessels and places in sentences, by the names that a brewer gave them."""

from __future__ import annotations

from gylebook.phrases import say

_ARTICLES = {"the", "a", "an", "my", "our", "your", "his", "her", "their"}
_PREPOSITIONS = {
    *("in", "at", "on", "under", "by", "behind", "above", "below", "beside", "beneath", "next", "near", "inside"),
    *("outside", "upstairs", "downstairs", "indoors", "outdoors"),
    *("im", "am", "auf", "unter", "unterm", "neben", "hinter", "vor", "bei", "beim", "über", "zwischen", "oben"),
    *("unten", "draußen", "drinnen"),
}


def the(name: str) -> str:
    """A vessel or an instrument in a sentence: "the white bucket", but "Bucket A", "my old bin"."""
    common = name[:1].islower() and name.split(maxsplit=1)[0] not in _ARTICLES
    return say("the {name}", name=name) if common else name


def place_key(name: str) -> str:
    """A place's name as it is compared, without regard to capitals and spaces."""
    return " ".join(name.split()).casefold()


def out_of_place(place: str) -> str:
    """Where something is taken from: "out of the garage", "from under the stairs"."""
    words = place.split(maxsplit=1)[:1]
    return (
        say("from {place}", place=place)
        if words and words[0].lower() in _PREPOSITIONS
        else say("out of {place}", place=the(place))
    )


def at_place(place: str) -> str:
    """Where something stands: "in the garage", "under the stairs", "at Aunt May's"."""
    if not place or place.split(maxsplit=1)[0].lower() in _PREPOSITIONS:
        return place
    return say("in {place}", place=the(place)) if place[:1].islower() else say("at {place}", place=the(place))


def to_place(place: str) -> str:
    """Where something was moved: "to the garage", "under the stairs"."""
    return (
        place
        if place.split()[:1] and place.split(maxsplit=1)[0].lower() in _PREPOSITIONS
        else say("to {place}", place=the(place))
    )
