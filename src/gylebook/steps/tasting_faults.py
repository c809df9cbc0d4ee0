"""Faults by mouth: what each may come from, how this brew's log speaks for or against it, and what fades.

The order of causes is common practice weighed by what the log says; it is a ranking, not a probability.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gylebook.steps import tasting_evidence as log
from gylebook.steps.tasting_evidence import Evidence
from gylebook.steps.tasting_facts import Facts


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
                Cause("it is young", 3, log.young, "Wait longer before judging."),
                Cause("taken off the yeast too soon", 2, log.left_early, _REST),
                Cause("too little or tired yeast", 1, log.little_yeast, "More or fresher yeast."),
            ),
        ),
        Fault(
            "butter",
            ("diacetyl", "butterscotch", "buttery"),
            "often fades in two or three warm weeks in the bottle; from an infection it grows",
            21,
            (
                Cause("finished too cold, so the yeast did not clear it", 2, log.cold_end, _REST),
                Cause("taken off the yeast too soon", 2, log.left_early, _REST),
                Cause("hops woke the yeast again", 1.5, log.creep, "After dry hops wait for steady readings, warm."),
                Cause("an infection", 0.8, log.dirty, "Strip tap and siphon, sanitise after cleaning."),
            ),
        ),
        Fault(
            "banana or pear",
            ("banana", "pear", "fruity", "ester", "esters", "pear drops"),
            "softens a little with months",
            28,
            (
                Cause("a warm start", 3, log.hot_start, _COOL_PITCH),
                Cause("too little yeast", 1.5, log.little_yeast, "More yeast: half a gram or more a litre."),
                Cause("the yeast's own kind", 1, log.yeast_kind, "Choose another yeast."),
            ),
        ),
        Fault(
            "hot or solvent",
            ("solvent", "fusel", "hot", "nail varnish", "harsh alcohol"),
            "does not fade to speak of",
            None,
            (
                Cause("a hot start", 4, log.hot_start, _COOL_PITCH),
                Cause("too little yeast for it", 1.5, log.little_yeast, "More yeast."),
                Cause("much plain sugar", 1, log.sugar, "Swap part of the sugar for malt extract."),
            ),
        ),
        Fault(
            "sticking plaster",
            ("plaster", "antiseptic", "chlorophenol", "medicinal"),
            "does not fade",
            None,
            (
                Cause("chlorine left on the gear", 3, log.chlorine, "Rinse chlorine off with water fit to drink."),
                Cause("chlorine in the tap water", 2, log.by_hand, "Boil or stand the water, or a pinch of sulphite."),
                Cause("a wild yeast", 1, log.dirty, "Strip tap and siphon, sanitise after cleaning."),
            ),
        ),
        Fault(
            "clove",
            ("phenol", "phenolic", "spicy", "smoky"),
            "does not fade; in a wheat beer it belongs",
            None,
            (
                Cause("the yeast's own kind", 2, log.yeast_kind, "Choose another yeast."),
                Cause("a wild yeast", 1.5, log.dirty, "Strip tap and siphon, sanitise after cleaning."),
            ),
        ),
        Fault(
            "rotten egg",
            ("sulphur", "sulfur", "egg", "eggy", "struck match"),
            "fades within weeks",
            14,
            (
                Cause("it is young", 3, log.young, "Wait; a few more days in the vessel carry it off."),
                Cause("too little or tired yeast", 1, log.little_yeast, "More or fresher yeast."),
            ),
        ),
        Fault(
            "cardboard",
            ("paper", "sherry", "oxidised", "oxidized", "stale", "wet paper"),
            "does not fade; drink it soon and keep the rest cold",
            None,
            (
                Cause("air at racking or bottling", 2.5, log.air, _NO_AIR),
                Cause("age", 1.5, log.old, "Drink it earlier."),
                Cause("a warm store", 1.5, log.warm_store, "Keep it cool."),
                Cause("an old kit", 1, log.old_kit, "Look at the date on the can."),
            ),
        ),
        Fault(
            "skunky",
            ("light-struck", "lightstruck", "skunk", "catty"),
            "does not fade",
            None,
            (Cause("light on the bottles", 4, log.light, "Brown bottles, or a dark place."),),
        ),
        Fault(
            "sour",
            ("vinegar", "tart", "lactic", "acetic", "sour milk"),
            "does not fade, and bottles may go on gaining pressure: keep them cold and open one",
            None,
            (
                Cause("an infection", 4, log.dirty, "Strip tap and siphon; renew scratched plastic."),
                Cause("it is young and still full of yeast", 0.8, log.young, "Let it settle, pour off the sediment."),
            ),
        ),
        Fault(
            "puckering",
            ("astringent", "tannic", "dry mouth", "tea"),
            "softens over weeks",
            28,
            (
                Cause("hops left in long or in mass", 2, log.hops, "Two to four days are enough."),
                Cause("yeast still in suspension", 1.5, log.young, "Let it settle in the cool."),
                Cause("an infection", 0.8, log.dirty, "Strip tap and siphon."),
            ),
        ),
        Fault(
            "grassy",
            ("grass", "hay", "vegetal"),
            "fades over a few weeks",
            21,
            (Cause("hops left in long or in mass", 3, log.hops, "Fewer hops, or two to four days."),),
        ),
        Fault(
            "metallic",
            ("metal", "iron", "blood", "coin"),
            "does not fade",
            None,
            (
                Cause("iron from water or a worn pot", 2, log.by_hand, "Look for rust; try other water."),
                Cause("an old kit", 1, log.old_kit, "Look at the date on the can."),
            ),
        ),
        Fault(
            "thin",
            ("watery", "cidery", "cider"),
            "does not change much",
            28,
            (
                Cause("much plain sugar", 3, log.sugar, "Swap part of the sugar for dried malt extract."),
                Cause("it is young", 1, log.young, "Wait."),
                Cause("an infection that ate the body", 0.8, log.dirty, "Compare the gravity with what was possible."),
            ),
        ),
        Fault(
            "sweet",
            ("cloying", "worty", "syrupy"),
            "unfinished beer goes on fermenting in the bottle: keep watch on the pressure",
            14,
            (
                Cause("bottled before it was done", 2, log.left_early, "Wait for steady readings."),
                Cause("lactose", 1.5, log.lactose, "Less lactose."),
                Cause("priming sugar not yet eaten", 2, log.young, "Keep it warm a little longer."),
                Cause("a cold, sleepy end", 1, log.cold_end, "Warm it at the end."),
            ),
        ),
        Fault(
            "meaty",
            ("rubber", "autolysis", "broth", "soy"),
            "does not fade",
            None,
            (
                Cause("long on the yeast", 3, log.left_late, "Bottle within six weeks, sooner when warm."),
                Cause("a warm store", 1, log.warm_store, "Keep it cool."),
            ),
        ),
        Fault(
            "cloudy or bits",
            ("cloudy", "bits", "hazy", "haze", "murky", "floating bits", "flakes", "dull"),
            "is yeast that sinks in weeks in the cool, or a haze of the cold that goes as the glass warms; a haze of "
            "hops or wheat stays and does no harm; with a sour taste or a film think of an infection",
            14,
            (
                Cause("yeast that has not settled", 3, log.young, "Two weeks in the cool; pour off the sediment."),
                Cause("chilled haze, which clears as it warms", 2, log.by_hand, "Drink it a little warmer."),
                Cause("hops", 1.5, log.hops, "Bag the hops, or let them sink in the cold before bottling."),
                Cause("wheat or a yeast that stays afloat", 1, log.cloud, "Leave it: it belongs to the kind."),
                Cause("an infection", 0.5, log.dirty, "Look for a film or ring at the neck; strip tap and siphon."),
            ),
        ),
        Fault(
            "flat",
            ("no fizz", "undercarbonated"),
            "comes with warmth and time when sugar and yeast are there",
            10,
            (
                Cause("too young or too cold to have carbonated", 3, log.young, "Ten days more at 20 °C."),
                Cause("no priming sugar", 2, log.not_primed, "Weigh it, write it down."),
                Cause("caps or washers that leak", 1, log.by_hand, "Renew washers, check the capper."),
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
