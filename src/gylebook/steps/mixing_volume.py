"""Made to another volume than the leaflet's: what it does, and what would mend it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from gylebook.journal import events as ev
from gylebook.phrases import say, say_amount
from gylebook.science.alcohol import alcohol_by_volume
from gylebook.science.bitterness import scaled_bitterness_ibu
from gylebook.science.dilution import extract_to_reach_g
from gylebook.science.materials import MATERIALS
from gylebook.steps.answers import Figure, Finding, Option, Urgency, Working
from gylebook.steps.asked import GRAMS, STRENGTH, figure
from gylebook.steps.makeup import final_gravity_expected, original_gravity_reckoned
from gylebook.steps.volumes import Z90
from gylebook.units import show

_NOTABLE_L = 0.4  # less than this and the bucket's own marks are no better
_NOTABLE_SHARE = 0.04
_HEADSPACE = (0.10, 0.20)
_LATE_POINTS = 2.0  # after so much of the fall, extract added makes a second fermentation


def is_other_volume(made_l: float, meant_l: float) -> bool:
    """Whether a volume differs from the one meant by more than a mark's own error."""
    return abs(made_l - meant_l) > max(_NOTABLE_L, _NOTABLE_SHARE * meant_l)


@dataclass(frozen=True, slots=True)
class Leaflet:
    """What a leaflet says of the end, and for which volume [L]; nothing where there is none."""

    gates: ev.Gates | None = None
    volume_l: float | None = None


def strength_of(
    ingredients: tuple[ev.Ingredient, ...], volume_l: float, volume_sd_l: float, leaflet: Leaflet
) -> tuple[Figure, float]:
    """Original gravity, and strength [% vol] where it ends as expected: by the make-up and by the leaflet."""
    og = original_gravity_reckoned(ingredients, volume_l, volume_sd_l)
    if not isfinite(og.value):
        return og, float("nan")
    og_sd = (og.high - og.low) / 2 / Z90
    fg = final_gravity_expected(ingredients, og.value, og_sd, leaflet.gates, leaflet_volume_l=leaflet.volume_l)
    return og, float(alcohol_by_volume(og.value, fg.value))


def volume_findings(
    ingredients: tuple[ev.Ingredient, ...],
    made_l: float,
    meant_l: float,
    *,
    leaflet: Leaflet,
    volume_sd_l: float,
    dropped_points: float = 0.0,
) -> tuple[tuple[Finding, ...], tuple[Option, ...]]:
    """What another volume than meant does, and the choices it leaves."""
    if not ingredients or not is_other_volume(made_l, meant_l):
        return (), ()
    now, now_abv = strength_of(ingredients, made_l, volume_sd_l, leaflet)
    meant, meant_abv = strength_of(ingredients, meant_l, volume_sd_l, leaflet)
    if not all(map(isfinite, (now.value, meant.value, now_abv, meant_abv))):
        return (), ()
    bitter = float(scaled_bitterness_ibu(100.0, meant_l, made_l))
    effect = say(
        "{made_l} instead of {meant_l}: {now} instead of {meant}, {now_abv} instead of {meant_abv} % "
        "vol, {bitter_words}.",
        made_l=say_amount(made_l, 1, "L"),
        meant_l=say_amount(meant_l, 1, "L"),
        now=show(now.value, 4),
        meant=show(meant.value, 4),
        now_abv=show(now_abv, 1),
        meant_abv=show(meant_abv, 1),
        bitter_words=_bitter_words(bitter),
    )
    scale = Finding(
        Urgency.NOTHING,
        say(
            "Whatever is dosed by the litre (priming sugar, dry hops) goes by the {made_l} that are there: "
            "{share} of what {meant_l} would get.",
            made_l=say_amount(made_l, 1, "L"),
            share=show(made_l / meant_l, 2),
            meant_l=say_amount(meant_l, 1, "L"),
        ),
        key="scale",
    )
    if made_l < meant_l:
        extra = say(" Give it the yeast of the full volume, and one to two weeks longer in the bottle.")
        return (Finding(Urgency.NOTHING, effect + extra, key="short"), scale), ()
    late = dropped_points > _LATE_POINTS
    restore, choices = _choices((now, now_abv), (meant, meant_abv), made_l, late=late, much=made_l > meant_l * 1.06)
    mend = (
        say(" Fermentation is too far on to mend it: leave it.")
        if late
        else say(
            " {restore} of dried malt extract, boiled in half a litre of water, restore it; or leave it. Do "
            "not mend body with sugar.",
            restore=say_amount(restore.value, 0, "g"),
        )
    )
    return (Finding(Urgency.NOTHING, effect + mend, key="too_much_water"), scale), choices


def _choices(
    made: tuple[Figure, float], wanted: tuple[Figure, float], made_l: float, *, late: bool, much: bool
) -> tuple[Figure, tuple[Option, ...]]:
    """The extract that would restore a thinned wort, and whether to; what must not be done any more is not offered."""
    (now, now_abv), (meant, meant_abv) = made, wanted
    restore = restoring_g(now.value, made_l, meant.value)
    leave = Option(
        say("Leave it"),
        (now, _abv(now_abv, now)),
        say("thinner by {points} points", points=show(1000 * (meant.value - now.value), 1)),
        chosen=late,
    )
    mended = Option(
        say("Restore it with dried malt extract"),
        (restore, _abv(meant_abv, meant)),
        say("boiled in half a litre of water, cooled, stirred in"),
        chosen=much,
    )
    return restore, (leave,) if late else (leave, mended)


def _bitter_words(percent: float) -> str:
    change = abs(percent - 100)
    if percent > 100:
        return say("bitterness {change} % more where the kit is hopped", change=show(change, 0))
    return say("bitterness {change} % less where the kit is hopped", change=show(change, 0))


def _abv(value: float, like: Figure) -> Figure:
    return figure("abv", say("Strength"), value, STRENGTH, like.working, spread=0.3)


def restoring_g(now_sg: float, volume_l: float, wanted_sg: float) -> Figure:
    """Dried malt extract that brings a wort back up, key "restore"."""
    solids = MATERIALS["dried_malt_extract"].solids
    values = [
        float(extract_to_reach_g(now_sg, volume_l, max(now_sg, wanted_sg), s))
        for s in (solids.high, solids.best, solids.low)
    ]
    working = Working(
        say("dried extract that lifts so many litres from one gravity to the other, its own volume allowed for"),
        sources=("mass_balance", "bubnik_1995"),
        steps=(
            say(
                "{volume_l} from {now_sg} to {wanted_sg}: {mass}",
                volume_l=say_amount(volume_l, 1, "L"),
                now_sg=show(now_sg, 4),
                wanted_sg=show(wanted_sg, 4),
                mass=say_amount(values[1], 0, "g"),
            ),
        ),
    )
    # Half a litre more or less in the bucket moves it by a quarter.
    return figure(
        "restore", say("Dried malt extract"), values[1], GRAMS, working, low=values[0] * 0.75, high=values[2] * 1.25
    )


def headspace_finding(vessel: ev.VesselKept | None, volume_l: float) -> Finding | None:
    """Whether the foam will find room."""
    if vessel is None or vessel.capacity is None:
        return None
    capacity = vessel.capacity.to("L", "volume")
    free = 1 - volume_l / capacity
    if free < 0:
        return Finding(
            Urgency.ACT,
            say(
                "{volume_l} do not go into {vessel}, which holds {capacity}.",
                volume_l=say_amount(volume_l, 1, "L"),
                vessel=vessel.name,
                capacity=vessel.capacity,
            ),
            say("Which larger vessel is free?"),
            key="overfull",
        )
    if free >= _HEADSPACE[0]:
        return None
    return Finding(
        Urgency.WAIT,
        say(
            "{vessel} would be filled to {free} %: foam may come out. Ten to twenty per cent free is usual; "
            "else a wide blow-off tube into a jar of water.",
            vessel=vessel.name,
            free=show(100 * (1 - free), 0),
        ),
        say("Is there a larger vessel, or a blow-off tube?"),
        key="headspace",
    )
