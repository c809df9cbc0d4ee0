"""Why two brews differ: side by side, and only what differs beyond its own error and enough to matter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot, isfinite

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say
from gylebook.science.materials import MATERIALS
from gylebook.steps import volumes
from gylebook.steps.answers import Answer, Basis, Figure, Given, Option, Urgency, Working
from gylebook.steps.asked import CELSIUS, DAYS, G_PER_L, PER_CENT, Shown, figure
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz, fizz_of
from gylebook.steps.strength import strength_of
from gylebook.steps.tasting_facts import Facts, gather
from gylebook.units import show


@dataclass(frozen=True, slots=True)
class _Side:
    """One of the two brews with everything that is compared."""

    brew: Brew
    facts: Facts
    gas: Fizz
    litres: Figure | None
    strength: Figure

    def fact(self, key: str, value: float | None, shown: Shown, relation: str, entry: str = "") -> Figure | None:
        """A fact of the log as a figure; `entry` names it in the list of the entries that facts rest on."""
        if value is None:
            return None
        seq = self.facts.seq.get(entry)
        where = say("entry {seq}", seq=seq) if seq is not None else say("the log")
        given = Given(say("brew"), self.brew.name, Basis.MEASURED, where, seq)
        return figure(key, "", value, shown, Working(relation, (given,), ("by_definition",)))


@dataclass(frozen=True, slots=True)
class _Trait:
    """One thing compared: its figure, how far apart it must lie to matter, and what a difference does."""

    name: str
    of: Callable[[_Side], Figure | None]
    matters: float
    effect: str


_GRAMS_PER_L = Shown("g/L", "concentration", 2)


def _final(side: _Side) -> Figure | None:
    """The last gravity, where nothing more is to ferment; what is still falling is no end."""
    ended = side.facts.bottled_days is not None or side.gas.outlook.finished
    return side.gas.outlook.now_sg if ended else None


def _sugar_share(side: _Side) -> Figure | None:
    share = side.facts.sugar_share
    relation = say("extract of plain sugars ÷ all extract")
    return side.fact("sugar_share", None if share is None else 100 * share, PER_CENT, relation)


def _pitched(side: _Side) -> Figure | None:
    return side.fact("pitch_c", side.facts.pitch_c, CELSIUS, say("as written with the yeast"), "pitched")


def _warmest_early(side: _Side) -> Figure | None:
    relation = say("the highest temperature written in three days after pitching")
    return side.fact("warmest_early", side.facts.warmest_early_c, CELSIUS, relation, "hot")


def _coolest_late(side: _Side) -> Figure | None:
    relation = say("the lowest temperature written from the third day to leaving the vessel")
    return side.fact("coolest_late", side.facts.coolest_late_c, CELSIUS, relation)


def _yeast_dose(side: _Side) -> Figure | None:
    relation = say("dry yeast ÷ litres mixed")
    return side.fact("yeast_dose", side.facts.yeast_g_per_l, _GRAMS_PER_L, relation, "pitched")


def _vessel_days(side: _Side) -> Figure | None:
    return side.fact("vessel_days", side.facts.vessel_days, DAYS, say("days from the yeast to leaving the vessel"))


def _hops(side: _Side) -> Figure | None:
    return side.fact("hops", side.facts.hops_g_per_l or 0.0, G_PER_L, say("dry hops ÷ litres in the vessel"))


def _hop_days(side: _Side) -> Figure | None:
    return side.fact("hop_days", side.facts.hop_days, DAYS, say("days from adding them to taking them out"))


def _fizz(side: _Side) -> Figure | None:
    return side.gas.figure() if side.facts.bottled_days is not None else None


def _stored(side: _Side) -> Figure | None:
    relation = say("the highest temperature of log and place since bottling")
    return side.fact("stored", side.facts.stored_warmest_c, CELSIUS, relation)


def _bottled_days(side: _Side) -> Figure | None:
    return side.fact("bottled_days", side.facts.bottled_days, DAYS, say("days since bottling"), "bottled")


_TRAITS = (
    _Trait(say("Volume mixed"), lambda s: s.litres, 0.8, say("more water is a weaker, less bitter beer")),
    _Trait(say("Original gravity"), lambda s: s.gas.outlook.original, 0.002, say("strength, body")),
    _Trait(say("Final gravity"), _final, 0.002, say("sweeter and fuller, or drier and thinner")),
    _Trait(say("Strength"), lambda s: s.strength, 0.3, say("more alcohol warms, and fills the mouth")),
    _Trait(say("Sugar of the extract"), _sugar_share, 8.0, say("thinner and drier")),
    _Trait(say("Pitched at"), _pitched, 2.0, say("a warm start is fruitier, a hot one like solvent")),
    _Trait(say("Warmest in the first days"), _warmest_early, 2.0, say("fruity or solvent tastes")),
    _Trait(say("Coolest later"), _coolest_late, 2.5, say("a cold end leaves butter and apple")),
    _Trait(say("Dose of yeast"), _yeast_dose, 0.12, say("little yeast starts late and tastes fruitier")),
    _Trait(say("Days in the vessel"), _vessel_days, 5.0, say("short leaves green tastes")),
    _Trait(say("Dry hops"), _hops, 0.8, say("aroma, and more gas")),
    _Trait(say("Days on the hops"), _hop_days, 2.0, say("long is grassier")),
    _Trait(say("Fizz reckoned"), _fizz, 0.3, say("livelier")),
    _Trait(say("Warmest in store"), _stored, 3.0, say("warm beer ages faster")),
    _Trait(say("Days in the bottle"), _bottled_days, 14.0, say("age itself")),
)


def compare(brew_a: Brew, brew_b: Brew, setting: Setting) -> Answer:
    """What differs between two brews beyond its own error, the largest difference first; no more is said than that.

    Raises
    ------
    InputError
        When both are the same brew.
    """
    if brew_a.id == brew_b.id:
        raise InputError(say("Beside"), say("a brew does not differ from itself"), say("choose another brew"))
    one, two = _side(brew_a, setting), _side(brew_b, setting)
    rows: list[tuple[float, Option]] = []
    unknown = []
    for trait in _TRAITS:
        a, b = _figure(trait, one), _figure(trait, two)
        if a is None or b is None:
            if a is not b:
                unknown.append(trait.name.lower())
            continue
        size = _apart(a, b, trait.matters)
        if size >= 1:
            rows.append((size, Option(trait.name, (_own(a, one), _own(b, two)), say("{effect}.", effect=trait.effect))))
    rows += [(1.0, option) for option in _in_words(brew_a, brew_b)]
    options = tuple(option for _, option in sorted(rows, key=lambda row: -row[0]))
    return Answer(
        _headline(options, brew_a, brew_b),
        say(
            "Only what differs by more than its own error, and enough to be tasted, is told. Two brews are one "
            "comparison: "
            "a cause is likely, not proven, until it happens again."
        ),
        Urgency.NOTHING,
        options=options,
        missing=say("Of one of them is not written: {traits}.", traits=joined(", ", unknown[:4])) if unknown else "",
        rule_of_thumb=say("How far apart a thing must lie to be tasted is the trade's sense, not a measurement."),
    )


def _side(brew: Brew, setting: Setting) -> _Side:
    gas = fizz_of(brew, setting)
    mixed = volumes.mixed_l(brew, setting.shelf)
    return _Side(brew, gather(brew, setting), gas, mixed, strength_of(brew, setting, gas.outlook))


def _figure(trait: _Trait, side: _Side) -> Figure | None:
    found = trait.of(side)
    return found if found is not None and isfinite(found.value) else None


def _apart(a: Figure, b: Figure, matters: float) -> float:
    """How far apart two figures lie, in what matters or in their common error, whichever is more."""
    half = hypot(*((end.high - end.low) / 2 for end in (a, b) if isfinite(end.high - end.low)))
    return abs(a.value - b.value) / max(matters, half)


def _own(found: Figure, side: _Side) -> Figure:
    """A figure under its brew's number."""
    return replace(found, key=f"{found.key}_{side.brew.id}", label=say("Brew {brew}", brew=side.brew.id))


def _in_words(brew_a: Brew, brew_b: Brew) -> list[Option]:
    found = []
    for name, of in ((say("Yeast"), _yeast), (say("Kit"), _kit), (say("Priming sugar"), _sugar)):
        a, b = of(brew_a), of(brew_b)
        if a and b and a != b:
            found.append(Option(name, (), say("{one} and {other}.", one=a, other=b)))
    return found


def _yeast(brew: Brew) -> str:
    pitched = brew.first(ev.Pitched)
    kit = brew.plan.kit
    return (pitched.event.yeast if pitched else "") or (kit.yeast if kit else "")


def _kit(brew: Brew) -> str:
    kit, alternative = brew.plan.kit, brew.alternative
    return (
        "" if kit is None else kit.name + (say(", {alternative}", alternative=alternative.name) if alternative else "")
    )


def _sugar(brew: Brew) -> str:
    primed = brew.last(ev.Primed)
    if primed is None:
        return ""
    key = primed.event.sugar
    return MATERIALS[key].label if key in MATERIALS else key.replace("_", " ")


def _headline(options: tuple[Option, ...], brew_a: Brew, brew_b: Brew) -> str:
    names = say("{one} and {other}", one=brew_a.name, other=brew_b.name)
    if not options:
        return say("By the book {names} are the same: nothing written differs enough to matter.", names=names)
    first = joined(
        say(", then "),
        (say("{option} ({both})", option=option.name.lower(), both=_both(option)) for option in options[:2]),
    )
    return say("{names} differ most in {first}.", names=names, first=first)


def _both(option: Option) -> str:
    if not option.figures:
        return option.words.rstrip(".")
    return joined(
        say(" and "),
        (
            say("{value} {unit}", value=show(f.value, f.digits), unit="" if f.unit == "SG" else f.unit).strip()
            for f in option.figures
        ),
    )
