"""The air of a room in which beer ferments: what is said of so much carbon dioxide, and of a brew's own place."""

from __future__ import annotations

from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import say, say_number
from gylebook.science import room_air
from gylebook.science.carbon_dioxide import gas_volume_l
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.warmth import place_at
from gylebook.units import show

CUPBOARD_M3 = 5.0
# As the sum on its own takes them where nothing else is said: an ale at its liveliest, a closed room.
POINTS_A_DAY = 15.0
AIR_CHANGES_AN_HOUR = 0.2


def level(ppm: float) -> tuple[str, Urgency]:
    """What so much carbon dioxide in the air asks for."""
    if ppm >= room_air.LIMIT_15MIN_PPM:
        return say("stay out until it is aired"), Urgency.DANGER
    if ppm >= room_air.LIMIT_8H_PPM:
        return say("open a window"), Urgency.ACT
    return say("no more than in a full meeting room, when the air is mixed"), Urgency.NOTHING


def room_findings(ppm: float, room_m3: float) -> list[Finding]:
    """What is noticed about a room: a cupboard, and too much gas at the peak."""
    found = []
    if room_m3 < CUPBOARD_M3:
        text = say("{room} m³ is a cupboard: gas gathers there. Leave its door open.", room=say_number(f"{room_m3:g}"))
        found.append(Finding(Urgency.ACT, text, say("Can it stand in a room?"), key="cupboard"))
    if ppm >= room_air.LIMIT_8H_PPM:
        text = say(
            "Past the limit of {limit} ppm for a working day.",
            limit=say_number(f"{room_air.LIMIT_8H_PPM:.0f}"),
        )
        found.append(Finding(Urgency.ACT, text, say("Does anyone sleep or sit there?"), key="room_air"))
    return found


def place_findings(brew: Brew, shelf: Shelf, litres: float) -> list[Finding]:
    """The same of the place where the brew stands; empty where its size is not kept, or large enough."""
    place = shelf.places.get(place_at(brew))
    if place is None or place.room_volume is None:
        return []
    room = place.room_volume.to("m³", "room")
    made = room_air.co2_evolved_g(litres, 1.0 + POINTS_A_DAY / 1000, 1.0)
    ppm = float(room_air.room_ppm(float(gas_volume_l(made.best, 20.0)) / 24, room, AIR_CHANGES_AN_HOUR))
    if room >= CUPBOARD_M3 and ppm < room_air.LIMIT_8H_PPM:
        return []
    if room < CUPBOARD_M3:
        text = say(
            "{place} holds {room} m³: the gas of this brew gathers there, heavier than air and without a "
            "smell. Leave it open to a room that is aired, and put no head into it.",
            place=place.name,
            room=show(room, 1),
        )
        return [Finding(Urgency.ACT, text, say("Can it stand in a room?"), key="cupboard")]
    text = say(
        "At its liveliest this brew brings the air of {place}, shut, to about {ppm} ppm of carbon "
        "dioxide; {limit} is the limit for a working day. Keep a window ajar.",
        place=place.name,
        ppm=show(round(ppm, -2), 0),
        limit=say_number(f"{room_air.LIMIT_8H_PPM:.0f}"),
    )
    return [Finding(Urgency.ACT, text, say("Does anyone sleep or sit there?"), key="room_air")]
