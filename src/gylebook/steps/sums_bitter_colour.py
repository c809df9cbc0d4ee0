"""Sums on bitterness and colour."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gylebook.errors import InputError
from gylebook.phrases import joined, say
from gylebook.science import bitterness, colour, hops
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Figure, Urgency, Working
from gylebook.steps.asked import Asked, Shown, figure, within
from gylebook.steps.decision import Sum
from gylebook.steps.fields import QUANTITY, Field
from gylebook.units import show

_IBU, _EBC, _SRM = Shown("IBU", "bitterness", 0), Shown("EBC", "colour", 0), Shown("SRM", "colour", 1)

_BITTERNESS = (
    Field("leaflet", say("Bitterness by the leaflet"), QUANTITY, ("bitterness",), possible=(0.0, 300.0), hint="30 IBU"),
    sums_fields.volume("leaflet_volume", say("At the leaflet's volume"), default="23 L", reason=say("the commonest")),
    sums_fields.volume("volume", say("Made up to"), required=True),
    sums_fields.mass("hops", say("Hops boiled besides"), possible=(0.0, 2000.0)),
    Field(
        "alpha",
        say("Their alpha acid"),
        QUANTITY,
        ("share",),
        possible=(0.0, 30.0),
        default="5 %",
        reason=say("a middling aroma hop; the packet says"),
    ),
    Field(
        "boil",
        say("Boiled for"),
        QUANTITY,
        ("time",),
        possible=(0.0, 10.0),
        default="15 min",
        reason=say("a short boil"),
    ),
)


def _bitterness(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_BITTERNESS, values)
    leaflet, boiled = asked.number("leaflet"), asked.number("hops")
    if leaflet is None and not boiled:
        raise InputError(
            say("Bitterness"), say("neither a leaflet's figure nor hops were written"), say("write one of them")
        )
    if asked.need("volume") <= 0:
        raise asked.lacking("volume")
    parts = [] if leaflet is None else [_of_kit(asked, leaflet)]
    parts += [_of_hops(asked, boiled)] if boiled else []
    total = sum(found.value for found, _ in parts)
    return Answer(
        say("About {total} IBU. ", total=show(total, 0)) + joined(" ", [words for _, words in parts]),
        say("A kit's bitterness is in the can already: the fewer litres, the more bitter each of them."),
        Urgency.NOTHING,
        tuple(found for found, _ in parts),
        missing="" if leaflet is not None else say("Is the kit hopped, and what does its leaflet say?"),
        rule_of_thumb=say("How much of the bitterness reaches the glass is a habit of reckoning, not a law."),
        assumed=asked.assumed,
    )


def _of_kit(asked: Asked, leaflet: float) -> tuple[Figure, str]:
    """What the kit brings, and that in words."""
    kit = within(
        bitterness.scaled_bitterness_ibu(leaflet, asked.need("leaflet_volume"), asked.need("volume")),
        say("Bitterness"),
        say("no bitterness comes out"),
        say("check the volumes"),
    )
    inputs = asked.given("leaflet", "leaflet_volume", "volume")
    working = Working(say("leaflet's × leaflet's litres ÷ litres"), inputs, ("mass_balance",))
    words = say("The kit's {leaflet} becomes {kit}.", leaflet=show(leaflet, 0), kit=show(kit, 0))
    return figure("kit", say("From the kit"), kit, _IBU, working, spread=0.15 * kit), words


def _of_hops(asked: Asked, grams: float) -> tuple[Figure, str]:
    """What hops boiled besides bring, and that in words."""
    share = float(hops.isomerised_fraction(asked.need("boil") * 60, 100.0))
    most = grams * 1000 * asked.need("alpha") / 100 * share / asked.need("volume")
    working = Working(
        say("alpha acid × share isomerised at 100 °C ÷ litres; hops, foam and yeast keep part of it"),
        asked.given("hops", "alpha", "boil", "volume"),
        ("malowicki_shellhammer_2005", "mass_balance", "common_practice"),
        (
            say("{share} % isomerised", share=show(100 * share, 0)),
            say("at most {most} mg/L; taken as six tenths of that", most=show(most, 0)),
        ),
        (say("Less where a strong wort is boiled, or more alpha acid goes in than dissolves (90 mg/L)."),),
    )
    words = say("The hops add about {likely}, {most} at the very most.", likely=show(0.6 * most, 0), most=show(most, 0))
    found = figure("boiled", say("From the hops"), 0.6 * most, _IBU, working, low=0.35 * most, high=0.85 * most)
    return found, words


_COLOUR_WORDS = {
    "straw": say("straw"),
    "gold": say("gold"),
    "amber": say("amber"),
    "copper": say("copper"),
    "brown": say("brown"),
    "black": say("black"),
}
_COLOUR = (
    Field(
        "leaflet",
        say("Colour"),
        QUANTITY,
        ("colour",),
        required=True,
        possible=(0.0, 400.0),
        hint=say("20 EBC, or 10 SRM"),
    ),
    sums_fields.volume("leaflet_volume", say("At the leaflet's volume"), default="23 L", reason=say("the commonest")),
    sums_fields.volume("volume", say("Made up to"), default="23 L", reason=say("as the leaflet says")),
)


def _colour(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_COLOUR, values)
    ebc = within(
        colour.scaled_colour_ebc(asked.need("leaflet"), asked.need("leaflet_volume"), asked.need("volume")),
        say("Colour"),
        say("no colour comes out"),
        say("check the volumes"),
    )
    srm = float(colour.srm_from_ebc(min(ebc, 400.0)))
    working = Working(
        say("colour goes with concentration; EBC = 25/12.7 × SRM"), asked.givens, ("ebc_srm_definition", "mass_balance")
    )
    word = _COLOUR_WORDS[str(colour.colour_word(min(ebc, 400.0)))]
    return Answer(
        say("{ebc} EBC, {srm} SRM: {word}.", ebc=show(ebc, 0), srm=show(srm, 1), word=word),
        say("Extract darkens with age: an old can gives a darker beer than its leaflet says."),
        Urgency.NOTHING,
        (
            figure("ebc", say("Colour, EBC"), ebc, _EBC, working, spread=0.15 * ebc),
            figure("srm", say("Colour, SRM"), srm, _SRM, working, spread=0.15 * srm),
        ),
        assumed=asked.assumed,
    )


SUMS = (
    Sum(
        "bitterness",
        say("Bitterness"),
        say("How bitter is it in another volume?"),
        _BITTERNESS,
        _bitterness,
        {"leaflet": "30 IBU", "leaflet_volume": "23 L", "volume": "18 L"},
    ),
    Sum(
        "colour",
        say("Colour"),
        say("What colour is it, and in another volume?"),
        _COLOUR,
        _colour,
        {"leaflet": "20 EBC", "volume": "18 L"},
    ),
)
