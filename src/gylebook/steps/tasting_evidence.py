"""What a brew's log says for or against one cause of a fault: each fact moves the cause up or down."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.phrases import say, say_amount, say_number
from gylebook.steps.tasting_facts import Facts

FOR, AGAINST, SILENT = 3.0, 0.25, 1.0  # how far a fact in the log moves a cause up or down
_YOUNG_DAYS = 28


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the log says of one cause: its weight, in words, and the entry it rests on."""

    weight: float
    words: str
    seq: int | None = None


_NOTHING = Evidence(SILENT, say("the log says nothing about it"))


def young(facts: Facts) -> Evidence:
    if facts.bottled_days is None:
        return _NOTHING
    days = say("{days} days in the bottle", days=say_number(f"{facts.bottled_days:.0f}"))
    if facts.bottled_days < _YOUNG_DAYS:
        return Evidence(FOR, say("only {days}", days=days), facts.seq.get("bottled"))
    return Evidence(AGAINST, say("already {days}", days=days), facts.seq.get("bottled"))


def old(facts: Facts) -> Evidence:
    if facts.bottled_days is None:
        return _NOTHING
    days = say("{days} days in the bottle", days=say_number(f"{facts.bottled_days:.0f}"))
    if facts.bottled_days > 120:
        return Evidence(FOR, days, facts.seq.get("bottled"))
    return Evidence(AGAINST, say("only {days}", days=days), facts.seq.get("bottled"))


def hot_start(facts: Facts) -> Evidence:
    top = max((t for t in (facts.pitch_c, facts.warmest_early_c) if t is not None), default=None)
    if top is None:
        return _NOTHING
    if top >= 25:
        return Evidence(
            FOR * (1.5 if top >= 28 else 1.0),
            say("{warmest} in the first days", warmest=say_amount(top, 0, "°C")),
            facts.seq.get("hot"),
        )
    return Evidence(
        AGAINST,
        say("no warmer than {warmest} in the first days", warmest=say_amount(top, 0, "°C")),
        facts.seq.get("hot"),
    )


def cold_end(facts: Facts) -> Evidence:
    if facts.coolest_late_c is None:
        return _NOTHING
    if facts.coolest_late_c < 16:
        return Evidence(
            FOR,
            say(
                "down to {coolest} before it was bottled",
                coolest=say_amount(facts.coolest_late_c, 0, "°C"),
            ),
        )
    return Evidence(
        AGAINST,
        say("never below {coolest} after the third day", coolest=say_amount(facts.coolest_late_c, 0, "°C")),
    )


def left_early(facts: Facts) -> Evidence:
    if facts.vessel_days is None:
        return _NOTHING
    if facts.vessel_days < 9:
        return Evidence(
            FOR,
            say("off the yeast after {days} days", days=say_number(f"{facts.vessel_days:.0f}")),
            facts.seq.get("bottled"),
        )
    return Evidence(
        AGAINST,
        say("{days} days on the yeast", days=say_number(f"{facts.vessel_days:.0f}")),
        facts.seq.get("bottled"),
    )


def left_late(facts: Facts) -> Evidence:
    if facts.vessel_days is None:
        return _NOTHING
    if facts.vessel_days > 42:
        return Evidence(
            FOR,
            say("{days} days on the yeast", days=say_number(f"{facts.vessel_days:.0f}")),
            facts.seq.get("bottled"),
        )
    return Evidence(
        AGAINST,
        say("only {days} days on the yeast", days=say_number(f"{facts.vessel_days:.0f}")),
        facts.seq.get("bottled"),
    )


def little_yeast(facts: Facts) -> Evidence:
    if facts.yeast_past_date:
        return Evidence(FOR, say("the yeast was past its date"), facts.seq.get("pitched"))
    if facts.yeast_g_per_l is None:
        return _NOTHING
    words = say("{dose} of yeast a litre", dose=say_amount(facts.yeast_g_per_l, 2, "g"))
    return Evidence(FOR if facts.yeast_g_per_l < 0.4 else AGAINST, words, facts.seq.get("pitched"))


def chlorine(facts: Facts) -> Evidence:
    if facts.chlorine_not_rinsed:
        return Evidence(FOR * 1.5, say("a chlorine cleaner is written down, and no rinse"), facts.seq.get("chlorine"))
    if facts.cleaned:
        return Evidence(AGAINST, say("no chlorine without a rinse is written down"))
    return _NOTHING


def dirty(facts: Facts) -> Evidence:
    if facts.below_possible:
        return Evidence(FOR * 1.5, say("it was judged infected"))
    if not facts.cleaned:
        return Evidence(1.5, say("no cleaning is written down"))
    return Evidence(0.7, say("cleaning is written down"))


def air(facts: Facts) -> Evidence:
    if facts.racked:
        return Evidence(2.0, say("it was racked, so it may have met air"), facts.seq.get("racked"))
    return _NOTHING


def warm_store(facts: Facts) -> Evidence:
    if facts.stored_warmest_c is None:
        return _NOTHING
    if facts.stored_warmest_c > 23:
        return Evidence(
            FOR,
            say("kept at up to {warmest}", warmest=say_amount(facts.stored_warmest_c, 0, "°C")),
            facts.seq.get("bottled"),
        )
    return Evidence(
        AGAINST,
        say("kept no warmer than {warmest}", warmest=say_amount(facts.stored_warmest_c, 0, "°C")),
        facts.seq.get("bottled"),
    )


def light(facts: Facts) -> Evidence:
    if facts.light_glass:
        return Evidence(FOR, say("clear or green bottles are written down"), facts.seq.get("bottled"))
    return Evidence(0.7, say("no clear or green bottles are written down"))


def sugar(facts: Facts) -> Evidence:
    if facts.sugar_share is None:
        return _NOTHING
    words = say("{share} % of the extract was plain sugar", share=say_number(f"{100 * facts.sugar_share:.0f}"))
    return Evidence(FOR if facts.sugar_share > 0.3 else AGAINST, words)


def old_kit(facts: Facts) -> Evidence:
    return Evidence(FOR, say("the kit was past its date")) if facts.kit_past_date else _NOTHING


def hops(facts: Facts) -> Evidence:
    if facts.hops_g_per_l is None:
        return Evidence(AGAINST, say("no dry hops are written down"))
    words = say(
        "{dose} g/L of dry hops for {days} days",
        dose=say_number(f"{facts.hops_g_per_l:.1f}"),
        days=say_number(f"{facts.hop_days or 0:.0f}"),
    )
    heavy = facts.hops_g_per_l > 6 or (facts.hop_days or 0) > 6
    return Evidence(FOR if heavy else 1.5, words)


def creep(facts: Facts) -> Evidence:
    if facts.hops_g_per_l is None:
        return Evidence(AGAINST, say("no dry hops are written down"))
    return Evidence(
        FOR,
        say("{dose} g/L of dry hops wake the yeast again", dose=say_number(f"{facts.hops_g_per_l:.1f}")),
    )


def lactose(facts: Facts) -> Evidence:
    return (
        Evidence(FOR, say("lactose went in, which stays sweet"))
        if facts.lactose
        else Evidence(AGAINST, say("no lactose"))
    )


def yeast_kind(_: Facts) -> Evidence:
    return Evidence(SILENT, say("some yeasts are meant to taste of it: look at the leaflet"))


def not_primed(facts: Facts) -> Evidence:
    if facts.primed:
        return Evidence(AGAINST, say("priming sugar is written down"))
    return Evidence(FOR, say("no priming sugar is written down"))


def by_hand(_: Facts) -> Evidence:
    return _NOTHING


def cloud(facts: Facts) -> Evidence:
    if facts.wheat:
        return Evidence(FOR, say("wheat beers stay cloudy, and are meant to"))
    return Evidence(SILENT, say("a make-up with wheat stays cloudy; this log names none"))
