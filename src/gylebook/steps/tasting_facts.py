"""What a brew's log says that a taste can be laid at: gathered once, for the ranking of causes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.steps import makeup, volumes, warmth
from gylebook.steps.cleaning_agents import nature_of
from gylebook.steps.decision import Setting

_SUGARS = {"sucrose", "glucose_monohydrate", "glucose_anhydrous", "honey"}


@dataclass(frozen=True, slots=True)
class Facts:
    """What the log holds; None (or False) where it says nothing.

    `seq` gives the entry behind a fact, by the fact's name.
    """

    bottled_days: float | None
    pitch_c: float | None
    warmest_early_c: float | None
    coolest_late_c: float | None
    stored_warmest_c: float | None
    vessel_days: float | None
    yeast_g_per_l: float | None
    yeast_past_date: bool | None
    sugar_share: float | None
    hops_g_per_l: float | None
    hop_days: float | None
    chlorine_not_rinsed: bool
    cleaned: bool
    racked: bool
    light_glass: bool
    kit_past_date: bool
    below_possible: bool
    primed: bool
    lactose: bool
    wheat: bool
    seq: dict[str, int]


def gather(brew: Brew, setting: Setting) -> Facts:
    """Read the log once for everything that can explain a taste."""
    seq: dict[str, int] = {}
    pitched, bottled, racked = brew.first(ev.Pitched), brew.first(ev.Bottled), brew.first(ev.Racked)
    early = _temps(brew, setting, pitched.at if pitched else None, timedelta(days=3))
    chlorine = [
        k for k in brew.all(ev.Cleaned) if "chlorine" in nature_of(k.event.agent) and k.event.rinsed is not True
    ]
    for name, kept in (("pitched", pitched), ("bottled", bottled), ("racked", racked)):
        if kept is not None:
            seq[name] = kept.seq
    hottest = max(early, key=lambda warm: warm.high_c, default=None)
    if hottest is not None and hottest.seq is not None:
        seq["hot"] = hottest.seq
    if chlorine:
        seq["chlorine"] = chlorine[-1].seq
    left = bottled or racked
    hops_g_per_l, hop_days = _hops(brew, setting, left)
    return Facts(
        bottled_days=_days(bottled.at, setting.now) if bottled else None,
        pitch_c=warmth.celsius(pitched.event.temp) if pitched and pitched.event.temp else None,
        warmest_early_c=max((w.high_c for w in early), default=None),
        coolest_late_c=_coolest_late(brew, setting, pitched, left),
        stored_warmest_c=_stored(brew, setting, bottled),
        vessel_days=_days(pitched.at, left.at) if pitched and left else None,
        yeast_g_per_l=_yeast(brew, setting, pitched),
        yeast_past_date=_past_date(pitched),
        sugar_share=_sugar_share(brew),
        hops_g_per_l=hops_g_per_l,
        hop_days=hop_days,
        chlorine_not_rinsed=bool(chlorine),
        cleaned=bool(brew.all(ev.Cleaned)),
        racked=racked is not None,
        light_glass=_light_glass(bottled),
        kit_past_date=_kit_past_date(brew),
        below_possible=any(k.event.verdict == "infected" for k in brew.all(ev.Judged)),
        primed=brew.last(ev.Primed) is not None,
        wheat=_wheat(brew),
        lactose=any(i.material == "lactose" for i in makeup.ingredients_of(brew)),
        seq=seq,
    )


def _days(start: datetime, end: datetime) -> float:
    return (end - start) / timedelta(days=1)


def _temps(brew: Brew, setting: Setting, start: datetime | None, span: timedelta) -> list[warmth.Warm]:
    if start is None:
        return []
    return [w for w in warmth.log(brew, setting.shelf) if w.of != warmth.PLACE and timedelta(0) <= w.at - start <= span]


def _coolest_late(
    brew: Brew, setting: Setting, pitched: Kept[ev.Pitched] | None, left: Kept[ev.Bottled] | Kept[ev.Racked] | None
) -> float | None:
    """The coolest reading from the third day to leaving the vessel: too cold a finish leaves butter and apple."""
    if pitched is None:
        return None
    until = left.at if left else setting.now
    late = [
        w.low_c
        for w in warmth.log(brew, setting.shelf)
        if w.of != warmth.PLACE and pitched.at + timedelta(days=3) < w.at <= until
    ]
    return min(late, default=None)


def _stored(brew: Brew, setting: Setting, bottled: Kept[ev.Bottled] | None) -> float | None:
    if bottled is None:
        return None
    return max((w.high_c for w in warmth.log(brew, setting.shelf) if w.at >= bottled.at), default=None)


def _yeast(brew: Brew, setting: Setting, pitched: Kept[ev.Pitched] | None) -> float | None:
    if pitched is None or pitched.event.mass is None or pitched.event.how == "liquid":
        return None
    mixed = volumes.mixed_l(brew, setting.shelf)
    if mixed is None or mixed.value <= 0:
        return None
    return pitched.event.mass.to("g", "mass") / mixed.value


def _past_date(pitched: Kept[ev.Pitched] | None) -> bool | None:
    if pitched is None or pitched.event.best_before is None:
        return None
    return pitched.at.date() > pitched.event.best_before


def _kit_past_date(brew: Brew) -> bool:
    kit, mixed = brew.plan.kit, brew.first(ev.Mixed)
    return bool(kit and kit.best_before and mixed and mixed.at.date() > kit.best_before)


def _sugar_share(brew: Brew) -> float | None:
    ingredients = makeup.ingredients_of(brew)
    whole = makeup.extract_g(ingredients)
    return makeup.extract_g(tuple(i for i in ingredients if i.material in _SUGARS)) / whole if whole else None


def _wheat(brew: Brew) -> bool:
    """Whether kit, yeast or ingredients say that it is a wheat beer."""
    kit, pitched = brew.plan.kit, brew.first(ev.Pitched)
    words = [brew.name, *((kit.name, kit.yeast_kind or "") if kit else ())]
    words += [pitched.event.kind or "", pitched.event.yeast or ""] if pitched else []
    return any("wheat" in word.lower() for word in words)


def _hops(
    brew: Brew, setting: Setting, left: Kept[ev.Bottled] | Kept[ev.Racked] | None
) -> tuple[float | None, float | None]:
    hopped = brew.all(ev.Hopped)
    if not hopped:
        return None, None
    litres = volumes.in_vessel_l(brew, setting.shelf, hopped[0].at, with_sediment=True).value
    grams = sum(k.event.mass.to("g", "mass") for k in hopped)
    out = brew.first(ev.HopsRemoved)
    end = min((k.at for k in (out, left) if k is not None), default=setting.now)
    return (grams / litres if litres > 0 else None), _days(hopped[0].at, end)


def _light_glass(bottled: Kept[ev.Bottled] | None) -> bool:
    if bottled is None:
        return False
    return any(word in lot.bottle.lower() for lot in bottled.event.lots for word in ("clear", "green"))
