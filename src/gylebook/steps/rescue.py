"""The rescue of bottles that may pass their ceiling: what to do in order, by when, and when it is over.

Cold comes first, for it takes off more than anything else and nobody need touch a bottle. Venting follows, cold, round
by round: what one round lets out at the least is the headspace's gas alone. Deadlines are the days on which the chance
that one is past its ceiling reaches one in a hundred and one in twenty where they stand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount, say_count
from gylebook.science import cooling
from gylebook.science.interval import Span
from gylebook.steps.answers import Basis, Deed, Figure, Given, MomentFigure, Urgency, Working
from gylebook.steps.asked import COUNT, HOURS, VOLUMES, Shown, figure
from gylebook.steps.bottle_age import alarms, vent_rounds, wild_since
from gylebook.steps.cellar import bottles_left, counts
from gylebook.steps.chances import LEAST_SHOWN, chance_figure, chance_words
from gylebook.steps.decision import Setting
from gylebook.steps.gas_budget import LIKELY, Ahead, Budget, ahead, budget, reaches
from gylebook.steps.moments import day_words
from gylebook.steps.rescue_vents import FRIDGE_C, Rounds, kinds_of, vent_deeds, without_vents
from gylebook.units import show

CAUTIONS = (
    say(
        "Glass under pressure: eye protection or a face shield, thick gloves; people and animals away from the bottles."
    ),
    say("Never warm them, never carry them warm, never shake them; caps pointed away from faces."),
    say("A bottle that is in doubt stays boxed and covered until it is cold."),
)
_POINTS = 2048
_EVENS = 0.5
_WEEKS = timedelta(days=28)  # a deadline so far off presses nobody yet
_WHOLE_C = Shown("°C", "temperature", 0)
_CRATE = 20  # bottles that stand close together and cool as one
_NEAR_C = 2.0  # so near to the cold that it counts as cold
_COOLING_SOURCES = ("newton_cooling", "vessel_cooling_estimate", "common_practice")


@dataclass(frozen=True, slots=True)
class Rescue:
    """What to do in order; `over` once the chance is under one in a hundred after something was done.

    `keep_c` is the warmest at which the chance stays under one in a hundred, None where not even the cold does that;
    `by` the day on which they have to be there; `hot` whether none is to be carried before it is cold; `far` whether
    that day is weeks away.
    """

    deeds: tuple[Deed, ...]
    over: bool
    chance: float
    keep_c: int | None = None
    by: datetime | None = None
    hot: bool = False
    far: bool = False

    @property
    def urgency(self) -> Urgency:
        """The most pressing of its deeds."""
        return min((deed.urgency for deed in self.deeds), key=list(Urgency).index)


def rescue(brew: Brew, setting: Setting, found: Budget | None = None) -> Rescue | None:
    """The plan for a brew whose bottles may pass their ceiling; None where none may, or none is left.

    It begins where the chance that one is past its ceiling is one in a hundred or more, now or at the warmest of its
    place (no day to come is warmer); or where a bottle gushed or burst and nothing written since says that it is over.
    """
    found = budget(brew, setting) if found is None else found
    if found is None or bottles_left(brew) <= 0:
        return None
    plan = _Plan(brew, setting, found)
    if plan.chance >= LEAST_SHOWN or plan.wild_since is not None:
        by = plan.deadlines[0].value if plan.deadlines else None
        return Rescue(plan.deeds, False, plan.chance, plan.keep_c, by, plan.hot, plan.far)
    if plan.alarmed or vent_rounds(brew):
        return Rescue((plan.done,), over=True, chance=plan.chance)
    return None


class _Plan:
    """All that the deeds rest on, worked out as it is asked for."""

    def __init__(self, brew: Brew, setting: Setting, found: Budget) -> None:
        self.brew, self.setting, self.whole = brew, setting, found
        left = [many for _, many in counts(brew)]
        lots = tuple(lot for lot, many in zip(found.lots, left, strict=True) if many)
        self.never = any(lot.never for lot in lots)
        # Cold, vents and deadlines are of the bottles that can be kept: the others have a line of their own.
        self.found = replace(found, lots=tuple(lot for lot in lots if not lot.never))

    @cached_property
    def days(self) -> tuple[Ahead, ...]:
        return ahead(self.found, self.brew, self.setting)

    @cached_property
    def few(self) -> Budget:
        """The same budget with draws enough for whole degrees."""
        return self.found.with_draws(_POINTS)

    @cached_property
    def now(self) -> float:
        """Chance that one is past its ceiling now."""
        return self.found.chance_past(self.found.now_c, self.found.age_days)

    @cached_property
    def chance(self) -> float:
        """The same at its greatest: now, or with all gas made at the warmest of its place, warm weather included."""
        if self.never:
            return 1.0
        return max(self.now, self.found.chance_past(self.found.warm_c))

    @cached_property
    def alarmed(self) -> bool:
        """Whether any bottle ever burst or gushed."""
        return bool(alarms(self.brew))

    @cached_property
    def wild_since(self) -> datetime | None:
        """When a bottle last burst or gushed, where nothing written since says that it is over."""
        return wild_since(self.brew)

    @cached_property
    def urgency(self) -> Urgency:
        """Danger where one may be past its ceiling as they stand now, or one was wild; else something to do in time."""
        if self.hot:
            return Urgency.DANGER
        return Urgency.WAIT if self.far else Urgency.ACT

    @cached_property
    def far(self) -> bool:
        """Whether nothing of it presses yet: the first of the deadlines is weeks away."""
        return not self.hot and bool(self.deadlines) and self.deadlines[0].value - self.setting.now > _WEEKS

    @property
    def hot(self) -> bool:
        """Whether none of them is to be carried before it is cold."""
        return self.now >= LEAST_SHOWN or self.wild_since is not None

    @property
    def deeds(self) -> tuple[Deed, ...]:
        few = self.whole.with_draws(_POINTS)
        rounds = Rounds(self.brew, self.setting, few, self.crate_h.high, self.keep_c, self.far)
        kinds = kinds_of(rounds)
        found = (self.cold, *vent_deeds(rounds, kinds), self.drink, self._until(without_vents(kinds)))
        if not self.far:
            return found
        return tuple(replace(deed, urgency=Urgency.WAIT) if deed.urgency is Urgency.ACT else deed for deed in found)

    def _working(self, relation: str, *steps: str, sources: tuple[str, ...] = ()) -> Working:
        base = self.found.chance.working
        return Working(relation, base.inputs, (*base.sources, *sources), steps, base.cautions)

    # --- the cold -------------------------------------------------------------------------------------------------

    @cached_property
    def keep_c(self) -> int | None:
        """The warmest whole degree at which the chance stays under one in a hundred, all gas made; None for none."""
        low, high = 0, int(max(self.found.warm_c, 1.0))
        if self.few.chance_past(0.0) >= LEAST_SHOWN:
            return None
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if self.few.chance_past(middle) < LEAST_SHOWN else (low, middle - 1)
        return low

    @cached_property
    def crate_h(self) -> Span:
        """How long a full crate takes to come within two degrees of a fridge [h]."""
        lots = [(lot.size_l, lot.count) for lot in self.found.lots]
        mean_l = sum(size * count for size, count in lots) / max(sum(count for _, count in lots), 1)
        litres = min(max(min(_CRATE, self.found.count) * mean_l, 1.0), 100.0)
        start = max(self.found.now_c, FRIDGE_C + _NEAR_C)
        constants = cooling.time_constant_estimate_h(litres)
        spans = [float(cooling.cooling_time_h(start, FRIDGE_C + _NEAR_C, FRIDGE_C, each)) for each in constants]
        return Span(*(max(each, 0.0) for each in spans))

    @cached_property
    def deadlines(self) -> tuple[MomentFigure, ...]:
        """The days on which the chance reaches one in a hundred and one in twenty where they stand, if it does."""
        found: list[tuple[str, str, datetime]] = []
        for key, label, chance in (
            ("rescue_by", say("The chance reaches one in a hundred"), LEAST_SHOWN),
            ("rescue_last", say("The chance reaches one in twenty"), LIKELY),
        ):
            at = reaches(self.few, self.brew, self.setting, self.days, chance)
            if at is not None:
                found.append((key, label, at))
        if not found:
            return ()
        working = self._working(say("the chance day by day, as gas is made and the months of the place go by"))
        evens = next((day.at for day in self.days if day.chance >= _EVENS), None)
        ends = [*(at for _, _, at in found[1:]), max(evens or self.days[-1].at, found[-1][2])]
        last = say("evens") if evens is not None else say("the end of the year looked at")
        between: tuple[str, ...] = (say("one in a hundred to one in twenty"), say("one in twenty to {last}", last=last))
        if len(found) == 1:
            between = (say("one in a hundred to {last}", last=last),)
        return tuple(
            MomentFigure(key, label, at, at, end, working, words)
            for (key, label, at), end, words in zip(found, ends, between, strict=True)
        )

    @cached_property
    def ahead(self) -> tuple[MomentFigure, ...]:
        """The deadlines that are still to come: what is past already is told in words."""
        return tuple(each for each in self.deadlines if each.value > self.setting.now)

    def _already(self) -> str:
        """How likely it is now already, where a deadline is past; else nothing."""
        if len(self.ahead) == len(self.deadlines):
            return ""
        return say(
            " The chance that one is past its ceiling is {chance_words} already.", chance_words=chance_words(self.now)
        )

    @cached_property
    def cold(self) -> Deed:
        figures: list[Figure | MomentFigure] = [*self.ahead]
        if self.keep_c is not None:
            working = self._working(say("the warmest whole degree at which the chance is under 1 %, all gas made"))
            label = say("The chance is under 1 % up to")
            keep = float(self.keep_c)
            figures.append(figure("keep_below", label, keep, _WHOLE_C, working, low=keep, high=keep + 1.0))
        span = self.crate_h
        start = Given(say("where they stand"), say_amount(self.found.now_c, 0, "°C"), Basis.RECKONED)
        steps = (
            say(
                "{CRATE} bottles close together, cooling like a bucket of as much beer",
                CRATE=show(min(_CRATE, self.found.count), 0),
            ),
        )
        cools = Working(
            say("time constant × ln(difference before ÷ {step}), in a fridge of 4 °C", step=say_amount(2, 0, "Δ°C")),
            (start,),
            _COOLING_SOURCES,
            steps,
        )
        label = say("A crate is cold in a fridge after")
        if span.best <= 0:  # they stand as cold as that already
            return Deed("cold", self.urgency, say("Cold first"), self._cold_words(), tuple(figures))
        figures.append(figure("crate_cold", label, span.best, HOURS, cools, low=span.low, high=span.high))
        return Deed("cold", self.urgency, say("Cold first"), self._cold_words(), tuple(figures))

    def _cold_words(self) -> str:
        place = (
            say("in a fridge")
            if self.keep_c is None or self.keep_c < 8
            else say("where it stays below {keep_c}", keep_c=say_amount(self.keep_c, 0, "°C"))
        )
        if self.hot:
            words = say(
                "Do not carry them warm: cool them where they stand, boxed and covered, a window open at night, cold "
                "wet towels; once cold, keep them {place}.",
                place=place,
            )
        else:
            words = say(
                "Take them to the cold{by}: {place}. Carry them in their crate, upright, in the cool of the day.",
                by=self._by(),
                place=place,
            )
        words += self._already()
        if self.keep_c is None:
            return say("{words} Even the cold leaves more than 1 %: go on to the next.", words=words)
        return say("{words} The cold alone ends nothing: it holds as long as they stay there.", words=words)

    def _by(self) -> str:
        if not self.deadlines:
            return ""
        at = self.deadlines[0].value
        soon = at - self.setting.now < timedelta(days=1)
        return (
            say(" today")
            if soon
            else say(" by {day_words}", day_words=day_words(at, self.setting.now, self.setting.zone))
        )

    # --- drinking, and the end ------------------------------------------------------------------------------------

    @cached_property
    def drink(self) -> Deed:
        left = bottles_left(self.brew)
        working = Working(say("filled − gone"),
                          (Given(say("the log"), say("bottles filled, opened and taken out"), Basis.MEASURED),),
                          ("by_definition",))  # fmt: skip
        words = say(
            "What cannot be kept cold: open it cold and drink it, or pour it away cold{by}. Drink the weakest kind of "
            "bottle first.",
            by=self._by() or say(", before it gets warm there"),
        )
        sour = say("Sour, thin or oddly smelling: pour it away.")
        last = self.ahead[:1]
        return Deed("drink", Urgency.ACT, say("Drink or finish"), say("{words} {sour}", words=words, sour=sour),
                    (figure("rescue_left", say("Bottles left"), float(left), COUNT, working), *last))  # fmt: skip

    def _until(self, unvented: tuple[str, ...]) -> Deed:
        warm = say_amount(self.found.warm_c, 0, "°C")
        words = say(
            "It is over when the chance is under 1 % at {warm}, the warmest where they stand. Write each "
            "round of venting, and each bottle opened: the book reckons with both. {so_far}",
            warm=warm,
            so_far=self._so_far(),
        )
        if unvented:
            words = say(
                "{words} No venting is needed for {kinds}: under 1 % there.",
                words=words.strip(),
                kinds=joined(", ", unvented),
            )
        figures = (self._past_figure(), self._now_figure())
        return Deed("until", Urgency.NOTHING, say("When it is over"), words.strip(), figures)

    @cached_property
    def done(self) -> Deed:
        words = say(
            "The chance that one is past its ceiling is {chance_words} at its warmest, {warm_c}. {so_far} "
            "Open the next one cold all the same.",
            chance_words=chance_words(self.chance),
            warm_c=say_amount(self.found.warm_c, 0, "°C"),
            so_far=self._so_far(),
        )
        return Deed("over", Urgency.NOTHING, say("It is over"), words, (self._past_figure(), *self._let_out()))

    def _past_figure(self) -> Figure:
        working = self._working(say("all gas made, at {warm_c}", warm_c=say_amount(self.found.warm_c, 0, "°C")))
        return chance_figure(
            "past_worst", say("Chance that one is past its ceiling at its warmest"), self.chance, working
        )

    def _now_figure(self) -> Figure:
        working = self._working(
            say(
                "as they stand now, at {now_c}, with the gas that is there by now",
                now_c=say_amount(self.found.now_c, 0, "°C"),
            )
        )
        return chance_figure("past_now", say("Chance that one is past its ceiling now"), self.now, working)

    def _so_far(self) -> str:
        rounds = len(vent_rounds(self.brew))
        if not rounds:
            return say("No round of venting is written yet.") if not self.alarmed or self.wild_since is not None else ""
        return say_count(rounds, "Done so far: {n} round of venting.", "Done so far: {n} rounds of venting.")

    def _let_out(self) -> tuple[Figure, ...]:
        gone = self.found.gas.let_out
        if not gone:
            return ()
        working = Working(say("each round lets out what is in the headspace, at the least"),
                          (Given(say("rounds"), str(len(vent_rounds(self.brew))), Basis.MEASURED, say("the log")),),
                          ("co2_mass_balance",))  # fmt: skip
        return (
            figure(
                "rescue_out", say("Let out by vents, at the least"), gone, VOLUMES, working, low=gone, high=2 * gone
            ),
        )
