"""Faults by mouth: what each may come from, how this brew's log speaks for or against it, and what fades.

The order of causes is common practice weighed by what the log says; it is a ranking, not a probability.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gylebook.phrases import say
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


_REST = say("Give it two to three warm days on the yeast after it is done, before any cold.")
_COOL_PITCH = say(
    "Pitch at 18 to 22 °C and hold it there for two days: fewer litres of boiling water, colder tap water."
)
_NO_AIR = say("Siphon quietly from below; keep hose ends under the beer; fill to a finger below the cap.")

FAULTS: dict[str, Fault] = {
    fault.key: fault
    for fault in (
        Fault(
            say("green apple"),
            ("apple", "acetaldehyde", "raw", "green"),
            say("fades in weeks while yeast is alive"),
            21,
            (
                Cause(say("it is young"), 3, log.young, say("Wait longer before judging.")),
                Cause(say("taken off the yeast too soon"), 2, log.left_early, _REST),
                Cause(say("too little or tired yeast"), 1, log.little_yeast, say("More or fresher yeast.")),
            ),
        ),
        Fault(
            say("butter"),
            ("diacetyl", "butterscotch", "buttery"),
            say("often fades in two or three warm weeks in the bottle; from an infection it grows"),
            21,
            (
                Cause(say("finished too cold, so the yeast did not clear it"), 2, log.cold_end, _REST),
                Cause(say("taken off the yeast too soon"), 2, log.left_early, _REST),
                Cause(
                    say("hops woke the yeast again"),
                    1.5,
                    log.creep,
                    say("After dry hops wait for steady readings, warm."),
                ),
                Cause(say("an infection"), 0.8, log.dirty, say("Strip tap and siphon, sanitise after cleaning.")),
            ),
        ),
        Fault(
            say("banana or pear"),
            ("banana", "pear", "fruity", "ester", "esters", "pear drops"),
            say("softens a little with months"),
            28,
            (
                Cause(say("a warm start"), 3, log.hot_start, _COOL_PITCH),
                Cause(say("too little yeast"), 1.5, log.little_yeast, say("More yeast: half a gram or more a litre.")),
                Cause(say("the yeast's own kind"), 1, log.yeast_kind, say("Choose another yeast.")),
            ),
        ),
        Fault(
            say("hot or solvent"),
            ("solvent", "fusel", "hot", "nail varnish", "harsh alcohol"),
            say("does not fade to speak of"),
            None,
            (
                Cause(say("a hot start"), 4, log.hot_start, _COOL_PITCH),
                Cause(say("too little yeast for it"), 1.5, log.little_yeast, say("More yeast.")),
                Cause(say("much plain sugar"), 1, log.sugar, say("Swap part of the sugar for malt extract.")),
            ),
        ),
        Fault(
            say("sticking plaster"),
            ("plaster", "antiseptic", "chlorophenol", "medicinal"),
            say("does not fade"),
            None,
            (
                Cause(
                    say("chlorine left on the gear"),
                    3,
                    log.chlorine,
                    say("Rinse chlorine off with water fit to drink."),
                ),
                Cause(
                    say("chlorine in the tap water"),
                    2,
                    log.by_hand,
                    say("Boil or stand the water, or a pinch of sulphite."),
                ),
                Cause(say("a wild yeast"), 1, log.dirty, say("Strip tap and siphon, sanitise after cleaning.")),
            ),
        ),
        Fault(
            say("clove"),
            ("phenol", "phenolic", "spicy", "smoky"),
            say("does not fade; in a wheat beer it belongs"),
            None,
            (
                Cause(say("the yeast's own kind"), 2, log.yeast_kind, say("Choose another yeast.")),
                Cause(say("a wild yeast"), 1.5, log.dirty, say("Strip tap and siphon, sanitise after cleaning.")),
            ),
        ),
        Fault(
            say("rotten egg"),
            ("sulphur", "sulfur", "egg", "eggy", "struck match"),
            say("fades within weeks"),
            14,
            (
                Cause(say("it is young"), 3, log.young, say("Wait; a few more days in the vessel carry it off.")),
                Cause(say("too little or tired yeast"), 1, log.little_yeast, say("More or fresher yeast.")),
            ),
        ),
        Fault(
            say("cardboard"),
            ("paper", "sherry", "oxidised", "oxidized", "stale", "wet paper"),
            say("does not fade; drink it soon and keep the rest cold"),
            None,
            (
                Cause(say("air at racking or bottling"), 2.5, log.air, _NO_AIR),
                Cause(say("age"), 1.5, log.old, say("Drink it earlier.")),
                Cause(say("a warm store"), 1.5, log.warm_store, say("Keep it cool.")),
                Cause(say("an old kit"), 1, log.old_kit, say("Look at the date on the can.")),
            ),
        ),
        Fault(
            say("skunky"),
            ("light-struck", "lightstruck", "skunk", "catty"),
            say("does not fade"),
            None,
            (Cause(say("light on the bottles"), 4, log.light, say("Brown bottles, or a dark place.")),),
        ),
        Fault(
            say("sour"),
            ("vinegar", "tart", "lactic", "acetic", "sour milk"),
            say("does not fade, and bottles may go on gaining pressure: keep them cold and open one"),
            None,
            (
                Cause(say("an infection"), 4, log.dirty, say("Strip tap and siphon; renew scratched plastic.")),
                Cause(
                    say("it is young and still full of yeast"),
                    0.8,
                    log.young,
                    say("Let it settle, pour off the sediment."),
                ),
            ),
        ),
        Fault(
            say("puckering"),
            ("astringent", "tannic", "dry mouth", "tea"),
            say("softens over weeks"),
            28,
            (
                Cause(say("hops left in long or in mass"), 2, log.hops, say("Two to four days are enough.")),
                Cause(say("yeast still in suspension"), 1.5, log.young, say("Let it settle in the cool.")),
                Cause(say("an infection"), 0.8, log.dirty, say("Strip tap and siphon.")),
            ),
        ),
        Fault(
            say("grassy"),
            ("grass", "hay", "vegetal"),
            say("fades over a few weeks"),
            21,
            (Cause(say("hops left in long or in mass"), 3, log.hops, say("Fewer hops, or two to four days.")),),
        ),
        Fault(
            say("metallic"),
            ("metal", "iron", "blood", "coin"),
            say("does not fade"),
            None,
            (
                Cause(say("iron from water or a worn pot"), 2, log.by_hand, say("Look for rust; try other water.")),
                Cause(say("an old kit"), 1, log.old_kit, say("Look at the date on the can.")),
            ),
        ),
        Fault(
            say("thin"),
            ("watery", "cidery", "cider"),
            say("does not change much"),
            28,
            (
                Cause(say("much plain sugar"), 3, log.sugar, say("Swap part of the sugar for dried malt extract.")),
                Cause(say("it is young"), 1, log.young, say("Wait.")),
                Cause(
                    say("an infection that ate the body"),
                    0.8,
                    log.dirty,
                    say("Compare the gravity with what was possible."),
                ),
            ),
        ),
        Fault(
            say("sweet"),
            ("cloying", "worty", "syrupy"),
            say("unfinished beer goes on fermenting in the bottle: keep watch on the pressure"),
            14,
            (
                Cause(say("bottled before it was done"), 2, log.left_early, say("Wait for steady readings.")),
                Cause(say("lactose"), 1.5, log.lactose, say("Less lactose.")),
                Cause(say("priming sugar not yet eaten"), 2, log.young, say("Keep it warm a little longer.")),
                Cause(say("a cold, sleepy end"), 1, log.cold_end, say("Warm it at the end.")),
            ),
        ),
        Fault(
            say("meaty"),
            ("rubber", "autolysis", "broth", "soy"),
            say("does not fade"),
            None,
            (
                Cause(say("long on the yeast"), 3, log.left_late, say("Bottle within six weeks, sooner when warm.")),
                Cause(say("a warm store"), 1, log.warm_store, say("Keep it cool.")),
            ),
        ),
        Fault(
            say("cloudy or bits"),
            ("cloudy", "bits", "hazy", "haze", "murky", "floating bits", "flakes", "dull"),
            say(
                "is yeast that sinks in weeks in the cool, or a haze of the cold that goes as the glass warms; a "
                "haze of "
                "hops or wheat stays and does no harm; with a sour taste or a film think of an infection"
            ),
            14,
            (
                Cause(
                    say("yeast that has not settled"),
                    3,
                    log.young,
                    say("Two weeks in the cool; pour off the sediment."),
                ),
                Cause(say("chilled haze, which clears as it warms"), 2, log.by_hand, say("Drink it a little warmer.")),
                Cause(say("hops"), 1.5, log.hops, say("Bag the hops, or let them sink in the cold before bottling.")),
                Cause(
                    say("wheat or a yeast that stays afloat"), 1, log.cloud, say("Leave it: it belongs to the kind.")
                ),
                Cause(
                    say("an infection"),
                    0.5,
                    log.dirty,
                    say("Look for a film or ring at the neck; strip tap and siphon."),
                ),
            ),
        ),
        Fault(
            say("flat"),
            ("no fizz", "undercarbonated"),
            say("comes with warmth and time when sugar and yeast are there"),
            10,
            (
                Cause(say("too young or too cold to have carbonated"), 3, log.young, say("Ten days more at 20 °C.")),
                Cause(say("no priming sugar"), 2, log.not_primed, say("Weigh it, write it down.")),
                Cause(say("caps or washers that leak"), 1, log.by_hand, say("Renew washers, check the capper.")),
            ),
        ),
    )
}


ALSO = {  # what a German-speaking brewer calls them
    "green apple": (
        "grüner apfel",
        "acetaldehyd",
    ),
    "butter": ("diacetyl",),
    "banana or pear": (
        "banane oder birne",
        "banane",
        "birne",
        "fruchtig",
    ),
    "hot or solvent": (
        "scharf oder lösungsmittel",
        "scharf",
        "lösungsmittel",
        "nagellack",
    ),
    "sticking plaster": (
        "pflaster",
        "medizinisch",
    ),
    "clove": (
        "nelke",
        "rauchig",
    ),
    "rotten egg": (
        "faule eier",
        "faules ei",
        "schwefel",
    ),
    "cardboard": (
        "pappe",
        "papier",
        "oxidiert",
    ),
    "skunky": (
        "lichtgeschmack",
        "stinktier",
    ),
    "sour": (
        "sauer",
        "essig",
    ),
    "puckering": (
        "zusammenziehend",
        "herb",
        "adstringierend",
    ),
    "grassy": (
        "grasig",
        "gras",
        "heu",
    ),
    "metallic": (
        "metallisch",
        "metall",
        "eisen",
    ),
    "thin": (
        "dünn",
        "wässrig",
    ),
    "sweet": ("süß",),
    "meaty": (
        "fleischig",
        "brühe",
        "gummi",
    ),
    "cloudy or bits": (
        "trüb oder flocken",
        "trüb",
        "flocken",
    ),
    "flat": (
        "schal",
        "ohne kohlensäure",
    ),
}


def fault_named(words: str) -> Fault | None:
    """The fault that a word means; None where it means none we know."""
    key = " ".join(words.lower().split())
    if key in FAULTS:
        return FAULTS[key]
    return next((fault for fault in FAULTS.values() if key in fault.names or key in ALSO[fault.key]), None)


def ranked(fault: Fault, facts: Facts) -> tuple[tuple[Cause, Evidence], ...]:
    """Its causes, the likeliest by trade and log first."""
    looked = [(cause, cause.look(facts)) for cause in fault.causes]
    return tuple(sorted(looked, key=lambda pair: -pair[0].usual * pair[1].weight))
