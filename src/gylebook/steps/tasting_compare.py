"""Why two brews differ: side by side, and only what differs beyond its own error."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps import volumes
from gylebook.steps.answers import Answer, Option, Urgency
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
    litres: float | None
    strength: float


@dataclass(frozen=True, slots=True)
class _Trait:
    """One thing compared: its value, how far apart it must lie to matter, and what a difference does."""

    name: str
    value: Callable[[_Side], float | None]
    matters: float
    unit: str
    digits: int
    effect: str


def _per_cent(share: float | None) -> float | None:
    return None if share is None else 100 * share


def _final(side: _Side) -> float | None:
    now = side.gas.outlook.now_sg
    return 1000 * (now.value - 1) if now is not None else None


_TRAITS = (
    _Trait("Volume mixed", lambda s: s.litres, 0.8, "L", 1, "more water is a weaker, less bitter beer"),
    _Trait("Original gravity", lambda s: 1000 * (s.gas.outlook.original.value - 1), 2.0, "points", 0, "strength, body"),
    _Trait("Final gravity", _final, 2.0, "points", 0, "sweeter and fuller, or drier and thinner"),
    _Trait("Strength", lambda s: s.strength, 0.3, "% vol", 1, "strength"),
    _Trait("Sugar of the extract", lambda s: _per_cent(s.facts.sugar_share), 8.0, "%", 0, "thinner and drier"),
    _Trait("Pitched at", lambda s: s.facts.pitch_c, 2.0, "°C", 0, "a warm start is fruitier, a hot one like solvent"),
    _Trait("Warmest in the first days", lambda s: s.facts.warmest_early_c, 2.0, "°C", 0, "fruity or solvent tastes"),
    _Trait("Coolest later", lambda s: s.facts.coolest_late_c, 2.5, "°C", 0, "a cold end leaves butter and apple"),
    _Trait("Yeast", lambda s: s.facts.yeast_g_per_l, 0.12, "g/L", 2, "little yeast starts late and tastes fruitier"),
    _Trait("Days in the vessel", lambda s: s.facts.vessel_days, 5.0, "days", 0, "short leaves green tastes"),
    _Trait("Dry hops", lambda s: s.facts.hops_g_per_l or 0.0, 0.8, "g/L", 1, "aroma, and more gas"),
    _Trait("Days on the hops", lambda s: s.facts.hop_days, 2.0, "days", 0, "long is grassier"),
    _Trait("Fizz reckoned", lambda s: s.gas.total.best if s.facts.bottled_days else None, 0.3, "vol", 1, "livelier"),
    _Trait("Warmest in store", lambda s: s.facts.stored_warmest_c, 3.0, "°C", 0, "warm beer ages faster"),
    _Trait("Days in the bottle", lambda s: s.facts.bottled_days, 14.0, "days", 0, "age itself"),
)


def _side(brew: Brew, setting: Setting) -> _Side:
    gas = fizz_of(brew, setting)
    mixed = volumes.mixed_l(brew, setting.shelf)
    strength = strength_of(brew, setting, gas.outlook).value
    return _Side(brew, gather(brew, setting), gas, mixed.value if mixed else None, strength)


def compare(brew_a: Brew, brew_b: Brew, setting: Setting) -> Answer:
    """What differs between two brews beyond its own error, the largest difference first; no more is said than that."""
    one, two = _side(brew_a, setting), _side(brew_b, setting)
    rows: list[tuple[float, Option]] = []
    unknown = []
    for trait in _TRAITS:
        a, b = trait.value(one), trait.value(two)
        if a is None or b is None:
            if a is not b:
                unknown.append(trait.name.lower())
            continue
        size = abs(a - b) / trait.matters
        if size >= 1:
            words = f"{_shown(a, trait)} and {_shown(b, trait)}: {trait.effect}"
            rows.append((size, Option(trait.name, (), words)))
    rows += [(1.0, option) for option in _in_words(brew_a, brew_b)]
    options = tuple(option for _, option in sorted(rows, key=lambda row: -row[0]))
    return Answer(
        _headline(options, brew_a, brew_b),
        "Only what differs by more than its own error is told. Two brews are one comparison: a cause is likely, "
        "not proven, until it happens again.",
        Urgency.NOTHING,
        options=options,
        missing=f"Of one of them is not written: {', '.join(unknown[:4])}." if unknown else "",
        rule_of_thumb="How far apart a thing must lie to be tasted is the trade's sense, not a measurement.",
    )


def _shown(value: float, trait: _Trait) -> str:
    return f"{show(value, trait.digits)} {trait.unit}"


def _in_words(brew_a: Brew, brew_b: Brew) -> list[Option]:
    found = []
    for name, of in (("Yeast", _yeast), ("Kit", _kit), ("Priming sugar", _sugar)):
        a, b = of(brew_a), of(brew_b)
        if a and b and a != b:
            found.append(Option(name, (), f"{a} and {b}"))
    return found


def _yeast(brew: Brew) -> str:
    pitched = brew.first(ev.Pitched)
    kit = brew.plan.kit
    return (pitched.event.yeast if pitched else "") or (kit.yeast if kit else "")


def _kit(brew: Brew) -> str:
    kit, alternative = brew.plan.kit, brew.alternative
    return "" if kit is None else kit.name + (f", {alternative.name}" if alternative else "")


def _sugar(brew: Brew) -> str:
    primed = brew.last(ev.Primed)
    return primed.event.sugar.replace("_", " ") if primed else ""


def _headline(options: tuple[Option, ...], brew_a: Brew, brew_b: Brew) -> str:
    if not options:
        return f"By the book {brew_a.name} and {brew_b.name} are the same: nothing written differs enough to matter."
    first = ", then ".join(f"{option.name.lower()} ({option.words.split(':')[0]})" for option in options[:2])
    return f"{brew_a.name} and {brew_b.name} differ most in {first}."
