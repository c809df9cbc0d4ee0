"""What a place does to bottles that stand in it: the pressure there, and which of them it is too warm for."""

from __future__ import annotations

from gylebook.journal.state import Brew
from gylebook.phrases import capital, say, say_amount
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.bottle_kinds import COOL_THEM, Bottle, bare_bar, limit_words, pressure_bar
from gylebook.steps.bottle_store import present_c, store_c
from gylebook.steps.cellar import lots_left
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz, fizz_of
from gylebook.steps.place_words import at_place
from gylebook.steps.warmth import place_at

CARRY = say(
    "Carry bottles in their crate or box, upright, caps away from faces; leave any in doubt until they are cold."
)


def pressure_findings(gas: Fizz, bottles: tuple[Bottle, ...], warm_c: float, now_c: float) -> list[Finding]:
    """The bottles that so warm a place is too much for; empty where all are fit for it.

    Parameters
    ----------
    gas, bottles
        What is in them, and their kinds.
    warm_c
        The warmest that they will stand.
    now_c
        As warm as it gets there at present: an average bottle that is past the boldest habit then may burst any day.
    """
    found = []
    for bottle in {each.words: each for each in bottles}.values():  # the first and the last filled are one kind
        words = bottle.fit_words(gas.total.best, gas.worst, warm_c)
        if words == "fit":
            continue
        average, worst = pressure_bar(gas.total.best, warm_c).best, pressure_bar(gas.worst, warm_c).best
        text = say(
            "{bottle}: {words}. At {warm_c} they hold {average}, the worst {worst}; they are held to {limit_words}.",
            bottle=bottle.words,
            words=words,
            warm_c=say_amount(warm_c, 0, "°C"),
            average=say_amount(average, 1, "bar"),
            worst=bare_bar(worst),
            limit_words=limit_words(bottle),
        )
        bursting = bottle.may_burst(gas.total.best, now_c)
        if bursting and not bottle.never:
            here = say_amount(pressure_bar(gas.total.best, now_c).best, 1, "bar")
            text += say(
                " At {now_c} the average is past even the boldest, with {here}: it may burst.",
                now_c=say_amount(now_c, 0, "°C"),
                here=here,
            )
        grave = bursting or words in {"never", "not fit"}
        check = COOL_THEM if grave else say("Is there a cooler place for them?")
        found.append(Finding(Urgency.DANGER if grave else Urgency.ACT, text, check, key="not_fit"))
    return found


def moved_findings(brew: Brew, setting: Setting) -> list[Finding]:
    """What is said of bottles that were moved just now, the last entry of `brew`: fit for the place, and how full."""
    lots = tuple(lot for lot in lots_left(brew, setting.shelf) if lot.count)
    gas = fizz_of(brew, setting)
    store = store_c(brew, setting.shelf, setting.today)
    warm = store.value
    found = pressure_findings(gas, lots, warm, present_c(brew, setting))
    if found or not lots:
        return found
    average, worst = (max(0.0, pressure_bar(volumes, warm).best) for volumes in (gas.total.best, gas.worst))
    known = bool(store.working.inputs) and store.working.inputs[0].where == say(
        "{place}, its warmest month", place=place_at(brew)
    )
    degrees = say_amount(warm, 0, "°C")
    held = {"average": say_amount(average, 1, "bar"), "worst": bare_bar(worst)}
    if known:
        text = say(
            "{place}, up to {degrees} in its warmest month, they hold {average} when all the gas is made, the worst "
            "{worst}: the bottles are fit for that, when they are whole and the sugar was as written.",
            place=capital(at_place(place_at(brew))),
            degrees=degrees,
            **held,
        )
    else:
        text = say(
            "At {degrees}, assumed, they hold {average} when all the gas is made, the worst {worst}: the bottles are "
            "fit for that, when they are whole and the sugar was as written.",
            degrees=degrees,
            **held,
        )
    return [Finding(Urgency.NOTHING, text, key="fit")]
