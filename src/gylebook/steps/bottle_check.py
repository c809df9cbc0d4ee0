"""Whether bottles may come to hold too much where they stand: then one is opened sooner, and they are moved sooner."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from gylebook.forecast.gas import Draws
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.steps.bottle_times import BottleTimes
from gylebook.steps.chances import LEAST_SHOWN
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz
from gylebook.steps.gas_budget import LIKELY, Budget, budget

WARMED_C = 22.0  # bottles that are too cold are brought to 18 to 22 °C
_POINTS = 1024
_NEARLY = timedelta(days=1)  # nobody opens one at the hour
_LIVELY, _FLAT = 3, 2  # of five, as a hand feels it
_WEEK = timedelta(days=7)
# Of the gas still to be made; the second where even half of it may be too much as warm as they stand now.
_HALF, _QUARTER = 0.5, 0.25


@dataclass(frozen=True, slots=True)
class Check:
    """What the chance of too much asks of the dates.

    Parameters
    ----------
    chance
        That a bottle comes to be past its ceiling where they stand, when it is warmest there and all gas is made.
    when_warmed
        The same where they are brought to 22 °C.
    share
        Share of the gas at which one is opened early.
    early
        When so much is there: 5, 50 and 95 % points; None where it is not before they are warmed.
    """

    chance: float
    when_warmed: float
    share: float
    early: tuple[datetime | None, datetime | None, datetime | None]

    @property
    def sooner(self) -> bool:
        """Whether one is opened early, and they are moved as soon as they are as likely as not carbonated."""
        return self.chance >= LEAST_SHOWN

    @property
    def warming_is_danger(self) -> bool:
        """Whether bottles that are too cold are better left so."""
        return self.when_warmed >= LIKELY

    @property
    def words(self) -> str:
        """The share at which one is opened, in words: "half of the gas"."""
        return say("half of the gas") if self.share == _HALF else say("a quarter of the gas")


def check_of(brew: Brew, setting: Setting, gas: Fizz, times: BottleTimes) -> Check:
    """How likely too much is, and when one is opened early for it."""
    found = budget(brew, setting, gas)
    assert found is not None
    found = _thinned(found, gas)
    chance, warmed = found.chance_past(found.warm_c), found.chance_past(WARMED_C)
    share = _HALF
    if chance >= LEAST_SHOWN:
        half_made = times.progress.likely_age_days(times.progress.when(0.5, _HALF) or setting.now)
        share = _QUARTER if found.chance_past(found.now_c, half_made) >= LEAST_SHOWN else _HALF
    early = (times.progress.when(0.05, share), times.progress.when(0.5, share), times.progress.when(0.95, share))
    return Check(chance, warmed, share, early)


def _thinned(found: Budget, gas: Fizz) -> Budget:
    """Fewer draws, unless opened bottles have weighed them: a chance of one in a hundred needs no more."""
    if gas.opened is not None:
        return found
    return replace(found, draws=Draws(found.draws.charge, _POINTS))


def cool_at(brew: Brew, times: BottleTimes, check: Check) -> datetime | None:
    """When bottles go to the cool: 95 % sure carbonated, or likely so where a lively one was opened to see.

    As soon as it is as likely as not, where their place is the danger. None is not before they are warmed.
    """
    if check.sooner:
        return times.ready
    likely = times.open_at[1]
    lively = [k.at for k in brew.all(ev.Opened) if (k.event.fizz or 0) >= _LIVELY]
    seen = [at for at in lively if likely is not None and at >= likely - _NEARLY]
    known = [at for at in (times.cool_at, *seen) if at is not None]
    return min(known, default=None)


def opened_since(brew: Brew, since: datetime | None) -> bool:
    """Whether a bottle was opened or tasted since a moment."""
    if since is None:
        return False
    return any(k.at >= since for k in brew.kept if isinstance(k.event, ev.Opened | ev.Tasted))


def another_at(brew: Brew, times: BottleTimes, check: Check) -> datetime | None:
    """When another is opened, where the last one was flat though the gas should be there; None where none is wanted.

    The cool would keep them flat, should it be the yeast. Two flat ones are no matter of a cap; where they may come to
    hold too much, the cool comes first.
    """
    first, opened = times.carbonated[0], brew.all(ev.Opened)
    if check.sooner or first is None or moved_since(brew, times):
        return None
    flat = [k for k in opened if k.at >= first and k.event.fizz is not None and k.event.fizz <= _FLAT]
    if len(flat) != 1 or flat[0] is not opened[-1] or flat[0].event.gushed or brew.all(ev.Tasted):
        return None
    return flat[0].at + _WEEK


def wants_early(brew: Brew, times: BottleTimes, check: Check) -> bool:
    """Whether the early bottle is still to be opened: none was since its time, and it is sooner than the other."""
    first, at, _ = check.early
    if not check.sooner or at is None or first is None or opened_since(brew, first):
        return False
    return times.open_at[1] is None or at < times.open_at[1]


def moved_since(brew: Brew, times: BottleTimes) -> bool:
    """Whether they were moved since they may be carbonated."""
    first = times.carbonated[0]
    return first is not None and any(k.at >= first for k in brew.all(ev.Moved))
