"""Faults by mouth: what each may come from, how this brew's log speaks for or against it, and what fades.

The order of causes is common practice weighed by what the log says; it is a ranking, not a probability.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gylebook.steps.tasting_facts import Facts

FOR, AGAINST, SILENT = 3.0, 0.25, 1.0  # how far a fact in the log moves a cause up or down
_YOUNG_DAYS = 28


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the log says of one cause: its weight, in words, and the entry it rests on."""

    weight: float
    words: str
    seq: int | None = None


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that a fault may come from. `usual` is how common it is in the trade, before the log is read."""

    words: str
    usual: float
    look: Callable[[Facts], Evidence]
    next_time: str


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault word, other words for it, whether it fades, and its causes."""

    key: str
    names: tuple[str, ...]
    fades: str
    retaste_days: int | None
    causes: tuple[Cause, ...]


_NOTHING = Evidence(SILENT, "the log says nothing about it")


def _young(facts: Facts) -> Evidence:
    if facts.bottled_days is None:
        return _NOTHING
    days = f"{facts.bottled_days:.0f} days in the bottle"
    if facts.bottled_days < _YOUNG_DAYS:
        return Evidence(FOR, f"only {days}", facts.seq.get("bottled"))
    return Evidence(AGAINST, f"already {days}", facts.seq.get("bottled"))


def _old(facts: Facts) -> Evidence:
    if facts.bottled_days is None:
        return _NOTHING
    days = f"{facts.bottled_days:.0f} days in the bottle"
    if facts.bottled_days > 120:
        return Evidence(FOR, days, facts.seq.get("bottled"))
    return Evidence(AGAINST, f"only {days}", facts.seq.get("bottled"))


def _hot_start(facts: Facts) -> Evidence:
    top = max((t for t in (facts.pitch_c, facts.warmest_early_c) if t is not None), default=None)
    if top is None:
        return _NOTHING
    if top >= 25:
        return Evidence(FOR * (1.5 if top >= 28 else 1.0), f"{top:.0f} °C in the first days", facts.seq.get("hot"))
    return Evidence(AGAINST, f"no warmer than {top:.0f} °C in the first days", facts.seq.get("hot"))


def _cold_end(facts: Facts) -> Evidence:
    if facts.coolest_late_c is None:
        return _NOTHING
    if facts.coolest_late_c < 16:
        return Evidence(FOR, f"down to {facts.coolest_late_c:.0f} °C before it was bottled")
    return Evidence(AGAINST, f"never below {facts.coolest_late_c:.0f} °C after the third day")


def _left_early(facts: Facts) -> Evidence:
    if facts.vessel_days is None:
        return _NOTHING
    if facts.vessel_days < 9:
        return Evidence(FOR, f"off the yeast after {facts.vessel_days:.0f} days", facts.seq.get("bottled"))
    return Evidence(AGAINST, f"{facts.vessel_days:.0f} days on the yeast", facts.seq.get("bottled"))


def _left_late(facts: Facts) -> Evidence:
    if facts.vessel_days is None:
        return _NOTHING
    if facts.vessel_days > 42:
        return Evidence(FOR, f"{facts.vessel_days:.0f} days on the yeast", facts.seq.get("bottled"))
    return Evidence(AGAINST, f"only {facts.vessel_days:.0f} days on the yeast", facts.seq.get("bottled"))


def _little_yeast(facts: Facts) -> Evidence:
    if facts.yeast_past_date:
        return Evidence(FOR, "the yeast was past its date", facts.seq.get("pitched"))
    if facts.yeast_g_per_l is None:
        return _NOTHING
    words = f"{facts.yeast_g_per_l:.2f} g of yeast a litre"
    return Evidence(FOR if facts.yeast_g_per_l < 0.4 else AGAINST, words, facts.seq.get("pitched"))


def _chlorine(facts: Facts) -> Evidence:
    if facts.chlorine_not_rinsed:
        return Evidence(FOR * 1.5, "a chlorine cleaner is written down, and no rinse", facts.seq.get("chlorine"))
    if facts.cleaned:
        return Evidence(AGAINST, "no chlorine without a rinse is written down")
    return _NOTHING


def _dirty(facts: Facts) -> Evidence:
    if facts.below_possible:
        return Evidence(FOR * 1.5, "it was judged infected")
    if not facts.cleaned:
        return Evidence(1.5, "no cleaning is written down")
    return Evidence(0.7, "cleaning is written down")


def _air(facts: Facts) -> Evidence:
    if facts.racked:
        return Evidence(2.0, "it was racked, so it may have met air", facts.seq.get("racked"))
    return _NOTHING


def _warm_store(facts: Facts) -> Evidence:
    if facts.stored_warmest_c is None:
        return _NOTHING
    if facts.stored_warmest_c > 23:
        return Evidence(FOR, f"kept at up to {facts.stored_warmest_c:.0f} °C", facts.seq.get("bottled"))
    return Evidence(AGAINST, f"kept no warmer than {facts.stored_warmest_c:.0f} °C", facts.seq.get("bottled"))


def _light(facts: Facts) -> Evidence:
    if facts.light_glass:
        return Evidence(FOR, "clear or green bottles are written down", facts.seq.get("bottled"))
    return Evidence(0.7, "no clear or green bottles are written down")


def _sugar(facts: Facts) -> Evidence:
    if facts.sugar_share is None:
        return _NOTHING
    words = f"{100 * facts.sugar_share:.0f} % of the extract was plain sugar"
    return Evidence(FOR if facts.sugar_share > 0.3 else AGAINST, words)


def _old_kit(facts: Facts) -> Evidence:
    return Evidence(FOR, "the kit was past its date") if facts.kit_past_date else _NOTHING


def _hops(facts: Facts) -> Evidence:
    if facts.hops_g_per_l is None:
        return Evidence(AGAINST, "no dry hops are written down")
    words = f"{facts.hops_g_per_l:.1f} g/L of dry hops for {facts.hop_days or 0:.0f} days"
    heavy = facts.hops_g_per_l > 6 or (facts.hop_days or 0) > 6
    return Evidence(FOR if heavy else 1.5, words)


def _creep(facts: Facts) -> Evidence:
    if facts.hops_g_per_l is None:
        return Evidence(AGAINST, "no dry hops are written down")
    return Evidence(FOR, f"{facts.hops_g_per_l:.1f} g/L of dry hops wake the yeast again")


def _lactose(facts: Facts) -> Evidence:
    return Evidence(FOR, "lactose went in, which stays sweet") if facts.lactose else Evidence(AGAINST, "no lactose")


def _yeast_kind(_: Facts) -> Evidence:
    return Evidence(SILENT, "some yeasts are meant to taste of it: look at the leaflet")


def _not_primed(facts: Facts) -> Evidence:
    if facts.primed:
        return Evidence(AGAINST, "priming sugar is written down")
    return Evidence(FOR, "no priming sugar is written down")


def _by_hand(_: Facts) -> Evidence:
    return _NOTHING


_REST = "Give it two to three warm days on the yeast after it is done, before any cold."
_COOL_PITCH = "Pitch at 18 to 22 °C and hold it there for two days: fewer litres of boiling water, colder tap water."
_NO_AIR = "Siphon quietly from below; keep hose ends under the beer; fill to a finger below the cap."

FAULTS: dict[str, Fault] = {
    fault.key: fault
    for fault in (
        Fault(
            "green apple",
            ("apple", "acetaldehyde", "raw", "green"),
            "fades in weeks while yeast is alive",
            21,
            (
                Cause("it is young", 3, _young, "Wait longer before judging."),
                Cause("taken off the yeast too soon", 2, _left_early, _REST),
                Cause("too little or tired yeast", 1, _little_yeast, "More or fresher yeast."),
            ),
        ),
        Fault(
            "butter",
            ("diacetyl", "butterscotch", "buttery"),
            "often fades in two or three warm weeks in the bottle; from an infection it grows",
            21,
            (
                Cause("finished too cold, so the yeast did not clear it", 2, _cold_end, _REST),
                Cause("taken off the yeast too soon", 2, _left_early, _REST),
                Cause("hops woke the yeast again", 1.5, _creep, "After dry hops wait for steady readings, warm."),
                Cause("an infection", 0.8, _dirty, "Strip tap and siphon, sanitise after cleaning."),
            ),
        ),
        Fault(
            "banana or pear",
            ("banana", "pear", "fruity", "ester", "esters", "pear drops"),
            "softens a little with months",
            28,
            (
                Cause("a warm start", 3, _hot_start, _COOL_PITCH),
                Cause("too little yeast", 1.5, _little_yeast, "More yeast: half a gram or more a litre."),
                Cause("the yeast's own kind", 1, _yeast_kind, "Choose another yeast."),
            ),
        ),
        Fault(
            "hot or solvent",
            ("solvent", "fusel", "hot", "nail varnish", "harsh alcohol"),
            "does not fade to speak of",
            None,
            (
                Cause("a hot start", 4, _hot_start, _COOL_PITCH),
                Cause("too little yeast for it", 1.5, _little_yeast, "More yeast."),
                Cause("much plain sugar", 1, _sugar, "Swap part of the sugar for malt extract."),
            ),
        ),
        Fault(
            "sticking plaster",
            ("plaster", "antiseptic", "chlorophenol", "medicinal"),
            "does not fade",
            None,
            (
                Cause("chlorine left on the gear", 3, _chlorine, "Rinse chlorine off with water fit to drink."),
                Cause("chlorine in the tap water", 2, _by_hand, "Boil or stand the water, or a pinch of sulphite."),
                Cause("a wild yeast", 1, _dirty, "Strip tap and siphon, sanitise after cleaning."),
            ),
        ),
        Fault(
            "clove",
            ("phenol", "phenolic", "spicy", "smoky"),
            "does not fade; in a wheat beer it belongs",
            None,
            (
                Cause("the yeast's own kind", 2, _yeast_kind, "Choose another yeast."),
                Cause("a wild yeast", 1.5, _dirty, "Strip tap and siphon, sanitise after cleaning."),
            ),
        ),
        Fault(
            "rotten egg",
            ("sulphur", "sulfur", "egg", "eggy", "struck match"),
            "fades within weeks",
            14,
            (
                Cause("it is young", 3, _young, "Wait; a few more days in the vessel carry it off."),
                Cause("too little or tired yeast", 1, _little_yeast, "More or fresher yeast."),
            ),
        ),
        Fault(
            "cardboard",
            ("paper", "sherry", "oxidised", "oxidized", "stale", "wet paper"),
            "does not fade; drink it soon and keep the rest cold",
            None,
            (
                Cause("air at racking or bottling", 2.5, _air, _NO_AIR),
                Cause("age", 1.5, _old, "Drink it earlier."),
                Cause("a warm store", 1.5, _warm_store, "Keep it cool."),
                Cause("an old kit", 1, _old_kit, "Look at the date on the can."),
            ),
        ),
        Fault(
            "skunky",
            ("light-struck", "lightstruck", "skunk", "catty"),
            "does not fade",
            None,
            (Cause("light on the bottles", 4, _light, "Brown bottles, or a dark place."),),
        ),
        Fault(
            "sour",
            ("vinegar", "tart", "lactic", "acetic", "sour milk"),
            "does not fade, and bottles may go on gaining pressure: keep them cold and open one",
            None,
            (
                Cause("an infection", 4, _dirty, "Strip tap and siphon; renew scratched plastic."),
                Cause("it is young and still full of yeast", 0.8, _young, "Let it settle, pour off the sediment."),
            ),
        ),
        Fault(
            "puckering",
            ("astringent", "tannic", "dry mouth", "tea"),
            "softens over weeks",
            28,
            (
                Cause("hops left in long or in mass", 2, _hops, "Two to four days are enough."),
                Cause("yeast still in suspension", 1.5, _young, "Let it settle in the cool."),
                Cause("an infection", 0.8, _dirty, "Strip tap and siphon."),
            ),
        ),
        Fault(
            "grassy",
            ("grass", "hay", "vegetal"),
            "fades over a few weeks",
            21,
            (Cause("hops left in long or in mass", 3, _hops, "Fewer hops, or two to four days."),),
        ),
        Fault(
            "metallic",
            ("metal", "iron", "blood", "coin"),
            "does not fade",
            None,
            (
                Cause("iron from water or a worn pot", 2, _by_hand, "Look for rust; try other water."),
                Cause("an old kit", 1, _old_kit, "Look at the date on the can."),
            ),
        ),
        Fault(
            "thin",
            ("watery", "cidery", "cider"),
            "does not change much",
            28,
            (
                Cause("much plain sugar", 3, _sugar, "Swap part of the sugar for dried malt extract."),
                Cause("it is young", 1, _young, "Wait."),
                Cause("an infection that ate the body", 0.8, _dirty, "Compare the gravity with what was possible."),
            ),
        ),
        Fault(
            "sweet",
            ("cloying", "worty", "syrupy"),
            "unfinished beer goes on fermenting in the bottle: keep watch on the pressure",
            14,
            (
                Cause("bottled before it was done", 2, _left_early, "Wait for steady readings."),
                Cause("lactose", 1.5, _lactose, "Less lactose."),
                Cause("priming sugar not yet eaten", 2, _young, "Keep it warm a little longer."),
                Cause("a cold, sleepy end", 1, _cold_end, "Warm it at the end."),
            ),
        ),
        Fault(
            "meaty",
            ("rubber", "autolysis", "broth", "soy"),
            "does not fade",
            None,
            (
                Cause("long on the yeast", 3, _left_late, "Bottle within six weeks, sooner when warm."),
                Cause("a warm store", 1, _warm_store, "Keep it cool."),
            ),
        ),
        Fault(
            "flat",
            ("no fizz", "undercarbonated"),
            "comes with warmth and time when sugar and yeast are there",
            10,
            (
                Cause("too young or too cold to have carbonated", 3, _young, "Ten days more at 20 °C."),
                Cause("no priming sugar", 2, _not_primed, "Weigh it, write it down."),
                Cause("caps or washers that leak", 1, _by_hand, "Renew washers, check the capper."),
            ),
        ),
    )
}


def fault_named(words: str) -> Fault | None:
    """The fault that a word means; None where it means none we know."""
    key = " ".join(words.lower().split())
    if key in FAULTS:
        return FAULTS[key]
    return next((fault for fault in FAULTS.values() if key in fault.names), None)


def ranked(fault: Fault, facts: Facts) -> tuple[tuple[Cause, Evidence], ...]:
    """Its causes, the likeliest by trade and log first."""
    looked = [(cause, cause.look(facts)) for cause in fault.causes]
    return tuple(sorted(looked, key=lambda pair: -pair[0].usual * pair[1].weight))
