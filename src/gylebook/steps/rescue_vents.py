"""Venting as a rescue: how many cold rounds bring the worst bottle of each kind below its ceiling, and how."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from gylebook.forecast.gas import Vent
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount, say_number
from gylebook.steps.answers import Basis, Deed, Figure, Given, MomentFigure, Urgency, Working
from gylebook.steps.asked import COUNT, VOLUMES, figure
from gylebook.steps.bottle_age import VENT_C
from gylebook.steps.bottle_kinds import Bottle, limit_words
from gylebook.steps.cellar import counts
from gylebook.steps.chances import LEAST_SHOWN, chance_words
from gylebook.steps.decision import Setting
from gylebook.steps.gas_budget import LIKELY, Budget
from gylebook.units import show

FRIDGE_C = VENT_C
MOST_ROUNDS: Final = 40  # more of them nobody does
# Gas comes back out of cold beer into the headspace within hours, and yeast makes little in the cold.
# Source: common_practice
_WAIT_H = (8.0, 12.0, 24.0)
_OLD_DAYS: Final = 3650.0
_HOW = {
    "swing_top": say(
        "hold the stopper down with the thumb, open the wire, let it hiss slowly, close it again; renew a tired washer"
    ),
    "pet": say("turn the cap only until it hisses, wait until it is quiet, squeeze the air out, close it again"),
    "heavy": say(
        "lift the cap's edge until it hisses and put on a new cap; a wired cork is not vented, but kept cold and "
        "opened cold"
    ),
}
_CROWN = say("lift the cap's edge with the opener until it hisses, then press it down, or put on a new cap")
_NEVER = say(
    "Do not open them, do not carry them: wrapped in a thick towel or blanket where they stand, left for the cold of a "
    "night; then, cold, in a covered box outdoors, away from people, and thrown away unopened with eye protection and "
    "gloves."
)
_HOLDS = say("One at a time over a deep bowl, eye protection and gloves, the cap pointed away.")
_LITTLE_YET = say(
    "Most of the gas is still to be made, and a vent takes only what is there: now is the time to open each cold, "
    "pour all back into the vessel, and let it finish."
)
_LITTLE = 0.5  # of the gas: with less of it made, pouring back still helps
_MANY = 6  # rounds that a patient hand still does
_TOO_MANY = 10  # beyond it nobody goes on to the end
_LEAST = say("Only the headspace's gas leaves; a bottle that foams loses more.")


@dataclass(frozen=True, slots=True)
class Rounds:
    """What venting is reckoned from; `cold_h` is how long it takes until they are cold.

    `keep_c` is the warmest at which the chance stays under one in a hundred, None where not even the cold does that;
    `far` whether that is wanted weeks from now only.
    """

    brew: Brew
    setting: Setting
    found: Budget
    cold_h: float
    keep_c: int | None = None
    far: bool = False


@dataclass(frozen=True, slots=True)
class Venting:
    """A kind's rounds: how many, None where too many; what the first lets out, at the least [vol].

    `before` and `after` are the chance that one of the kind is past its ceiling [1].
    """

    rounds: int | None
    first_vol: float
    before: float
    after: float


def vent_rounds(found: Budget, number: int) -> Venting:
    """How many cold rounds from now bring the chance of one lot under one in a hundred, all gas made, at its warmest.

    `number` is that of the lot. Each draw lets out what it then has in the headspace: of gas that is not made yet a
    vent takes nothing.
    """
    lot, age = found.lots[number], found.age_days if found.age_days is not None else _OLD_DAYS

    def chance(rounds: int) -> float:
        draws = found.draws.vented((Vent(age, VENT_C),) * rounds)
        worst = draws.worst(lot.count, found.warm_c, lot=number, ambient_bar=found.outside_bar)
        return float(np.mean(worst.pressure_bar > lot.limit_bar.high))

    once = found.draws.vented((Vent(age, VENT_C),))
    first = float(np.median(once.let_out() - found.draws.let_out()))
    before, most = chance(0), chance(MOST_ROUNDS)
    if before < LEAST_SHOWN:
        return Venting(0, first, before, before)
    if most >= LEAST_SHOWN:
        return Venting(None, first, before, most)
    low, high = 0, MOST_ROUNDS
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if chance(middle) < LEAST_SHOWN else (middle, high)
    return Venting(high, first, before, chance(high))


@dataclass(frozen=True, slots=True)
class Kind:
    """All lots of one kind of bottle that are left, in words, with the venting that the weakest of them wants.

    `venting` is None for a kind that must never be filled.
    """

    words: str
    lot: Bottle
    venting: Venting | None


def kinds_of(of: Rounds) -> tuple[Kind, ...]:
    """Every kind of which any bottle is left; the first and the last that were filled are one kind."""
    left = [many for _, many in counts(of.brew)]
    by_key: dict[tuple[str, bool], list[int]] = {}
    for number, (lot, many) in enumerate(zip(of.found.lots, left, strict=True)):
        if many:
            by_key.setdefault((lot.kind.key, lot.never), []).append(number)
    return tuple(_kind(of, numbers) for numbers in by_key.values())


def _kind(of: Rounds, numbers: list[int]) -> Kind:
    lots = of.found.lots
    weakest = min(numbers, key=lambda number: lots[number].limit_bar.high)
    words = joined(say(" and "), dict.fromkeys(lots[number].words for number in numbers))
    together = replace(lots[weakest], count=sum(lots[number].count for number in numbers))
    if together.never:
        return Kind(words, together, None)
    as_one = replace(of.found, lots=tuple(together if n == weakest else lot for n, lot in enumerate(lots)))
    return Kind(words, together, vent_rounds(as_one, weakest))


def vent_deeds(of: Rounds, kinds: tuple[Kind, ...]) -> tuple[Deed, ...]:
    """One deed for each kind of bottle that wants venting, and for each that must never be filled."""
    return tuple(
        _never(kind) if kind.venting is None else _vent(of, kind, kind.venting)
        for kind in kinds
        if kind.venting is None or kind.venting.rounds != 0
    )


def without_vents(kinds: tuple[Kind, ...]) -> tuple[str, ...]:
    """The kinds that need no venting, in words."""
    return tuple(kind.words for kind in kinds if kind.venting is not None and kind.venting.rounds == 0)


def _never(kind: Kind) -> Deed:
    return Deed(
        f"never_{kind.lot.kind.key}",
        Urgency.DANGER,
        say("{kind}: never to be filled with such beer", kind=kind.words),
        _NEVER,
    )


def _vent(of: Rounds, kind: Kind, venting: Venting) -> Deed:
    found, lot = of.found, kind.lot
    name = say("Vent cold: {kind}", kind=kind.words)
    how = say("{how}. {holds}", how=_HOW.get(lot.kind.key, _CROWN), holds=_HOLDS)
    figures: list[Figure | MomentFigure] = [_least(of, lot, venting)]
    if venting.rounds is None:
        return Deed(f"vent_{lot.kind.key}", Urgency.ACT, *_not_by_vents(of, kind.words, venting), tuple(figures))
    figures += [_rounds(of, lot, venting), _done_by(of, lot, venting.rounds)]
    again = (
        ""
        if _made(found) > 0.9
        else say(" More gas is still to be made: in the warm it comes back, so ask again then.")
    )
    many = (
        ""
        if not _MANY < venting.rounds <= _TOO_MANY
        else say(" That is many: drinking them cold, or pouring them away, is less work.")
    )
    words = say(
        "At {cold} or less, chilled for a day: {how} Then leave them cold until the next round, from "
        "one evening to the next morning at the least: gas comes back out of the beer within "
        "hours.{again}{many}",
        cold=say_amount(VENT_C, None, "°C"),
        how=how,
        again=again,
        many=many,
    )
    if venting.rounds > _TOO_MANY:  # the short advice first
        name = say("Drink or pour away, or vent cold: {kind}", kind=kind.words)
        words = say(
            "Drink them cold and soon, or pour them away cold: {rounds} rounds are the long way. {words}",
            rounds=venting.rounds,
            words=words,
        )
    return Deed(f"vent_{lot.kind.key}", Urgency.ACT, name, words, tuple(figures))


def _not_by_vents(of: Rounds, kind: str, venting: Venting) -> tuple[str, str]:
    """What to do, in two words and in sentences, where no number of vents brings a kind below its ceiling."""
    none = say("Venting cannot bring these down, not in {MOST_ROUNDS} rounds.", MOST_ROUNDS=MOST_ROUNDS)
    if _made(of.found) >= _LITTLE:
        last = say("Keep them cold and drink them soon, or open them cold and pour them away.")
        return say("Venting is not enough: {kind}", kind=kind), say("{none} {last}", none=none, last=last)
    if (venting.before < LIKELY or of.far) and of.keep_c is not None:
        why = say("Most of the gas is still to be made, and a vent takes only what is there.")
        enough = say(
            "Where it stays below {keep_c} they are fit for it, and nothing else is needed.",
            keep_c=say_amount(of.keep_c, 0, "°C"),
        )
        return say("No venting yet: {kind}", kind=kind), say("{why} {enough}", why=why, enough=enough)
    return say("Or pour it back: {kind}", kind=kind), say("{LITTLE_YET} {none}", LITTLE_YET=_LITTLE_YET, none=none)


def _made(found: Budget) -> float:
    return 1.0 if found.age_days is None else float(np.median(found.draws.made(found.age_days)))


def _working(of: Rounds, lot: Bottle, venting: Venting, relation: str, *steps: str) -> Working:
    givens = (
        Given(say("chance that one is past its ceiling"), chance_words(venting.before), Basis.RECKONED),
        Given(say("held to"), limit_words(lot), Basis.ASSUMED),
        Given(say("warmest where they stand"), say_amount(of.found.warm_c, 0, "°C"), Basis.RECKONED),
    )
    return Working(relation, givens, ("co2_mass_balance", "delange_2011", "common_practice"), steps, (_LEAST,))


def _least(of: Rounds, lot: Bottle, venting: Venting) -> Figure:
    first = venting.first_vol
    working = _working(
        of,
        lot,
        venting,
        say("gas of the headspace at {cold}, above the air's pressure", cold=say_amount(VENT_C, None, "°C")),
    )
    label = say("One round lets out at the least")
    return figure(f"round_{lot.kind.key}", label, first, VOLUMES, working, low=first, high=2 * first)


def _rounds(of: Rounds, lot: Bottle, venting: Venting) -> Figure:
    rounds = float(venting.rounds or 0)
    steps = (say("{chance_words} after the last round", chance_words=chance_words(venting.after)),)
    relation = say("round by round, until the chance that the worst is past its ceiling is under 1 %, at its warmest")
    working = _working(of, lot, venting, relation, *steps)
    label, low = say("Rounds at the most"), max(1.0, rounds / 2)
    return figure(f"rounds_{lot.kind.key}", label, rounds, COUNT, working, low=float(round(low)), high=rounds)


def _done_by(of: Rounds, lot: Bottle, rounds: int) -> MomentFigure:
    def at(wait_h: float, share: float) -> datetime:
        return of.setting.now + timedelta(hours=of.cold_h + wait_h * max(round(rounds * share) - 1, 0))

    likely = at(_WAIT_H[1], 1.0)
    given = Given(say("cold after"), say("{cold_h} h", cold_h=show(of.cold_h, 0)), Basis.RECKONED)
    steps = (
        say(
            "{rounds} rounds, {WAIT_H} h from one to the next ({WAIT_H2} to {WAIT_H3})",
            rounds=rounds,
            WAIT_H=say_number(f"{_WAIT_H[1]:g}"),
            WAIT_H2=say_number(f"{_WAIT_H[0]:g}"),
            WAIT_H3=say_number(f"{_WAIT_H[2]:g}"),
        ),
    )
    working = Working(say("cold first, then round by round"), (given,), ("common_practice",), steps)
    return MomentFigure(
        f"vented_{lot.kind.key}", say("Done by"), likely, at(_WAIT_H[0], 0.5), at(_WAIT_H[2], 1.0), working
    )
