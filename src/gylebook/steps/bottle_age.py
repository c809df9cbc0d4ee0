"""How far bottles have come: their age counted as if at 20 °C, the gas that is there by now, and what vents let out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say, say_amount, say_count
from gylebook.science.bottle_limits import volumes_after_vent
from gylebook.science.interval import Span
from gylebook.steps.bottle_kinds import HEADSPACE
from gylebook.steps.bottle_progress import progress
from gylebook.steps.warmth import celsius
from gylebook.units import show

DAY = timedelta(days=1)
VENT_C = 4.0  # bottles are vented cold; so it is taken where no temperature was written
_ONE_ROUND = timedelta(hours=8)  # the least wait to the next: what is vented later may be the same bottles again
_MOST_DAYS = 3650.0
_HALF_A_DAY = 0.5
_TAME_FIZZ = 3  # felt no livelier than that, a bottle speaks against much gas in all of them


@dataclass(frozen=True, slots=True)
class Age:
    """Days in the bottle, the same as if at 20 °C, the mean temperature, and the share of the gas that is there [1]."""

    days: float
    days_at_20c: float
    mean_c: float
    share: Span

    @property
    def words(self) -> str:
        """The age in words: 15 days at 14 °C are like 6 at 20 °C; 15 days at 20 °C are themselves."""
        if self.days < _HALF_A_DAY:
            return say("filled just now")
        days, at_20 = show(self.days, 0), show(self.days_at_20c, 0)
        words = say("{days} at {mean_c}", days=_days(self.days), mean_c=say_amount(self.mean_c, 0, "°C"))
        if days == at_20 and show(self.mean_c, 0) == "20":
            return words
        return say(
            "{stood} is like {at_20} at 20 °C" if days == "1" else "{stood} are like {at_20} at 20 °C",
            stood=words,
            at_20=at_20,
        )


def _days(days: float) -> str:
    return say_count(round(days), "{n} day", "{n} days")


def age_at(brew: Brew, shelf: Shelf, moment: datetime) -> Age | None:
    """The age of the bottles at a moment; None before they were filled."""
    found = progress(brew, shelf)
    if found is None or moment < found.start:
        return None
    moment = min(moment, found.start + _MOST_DAYS * DAY)
    days = (moment - found.start) / DAY
    return Age(days, found.likely_age_days(moment), found.mean_c(moment), found.share(moment))


def share_at(brew: Brew, shelf: Shelf, moment: datetime) -> float:
    """Share of the gas still to be made at bottling that is there at a moment."""
    age = age_at(brew, shelf, moment)
    return age.share.best if age is not None else 0.0


def vented_c(event: ev.Vented) -> float:
    """How cold bottles were when they were vented [°C]: as written, else as cold as they should be."""
    return min(max(celsius(event.temp), 0.0), 50.0) if event.temp is not None else VENT_C


def vent_rounds(brew: Brew) -> tuple[Kept[ev.Vented], ...]:
    """Every vent that all bottles have had, as the entry that completed the round.

    An entry without a count is of all of them. Where fewer were vented than were left then, the others are as full as
    they were: nothing is counted before the last of them was vented too, in the same round.
    """
    return tuple(kept for kept, so_far in _by_round(brew) if so_far is None)


def vented_of_round(brew: Brew, moment: datetime) -> tuple[int, int] | None:
    """How many of how many bottles were vented in the round that is going on; None where none is begun, or it is done.

    So of the last vent written up to that moment.
    """
    last = [(kept, so_far) for kept, so_far in _by_round(brew) if kept.at <= moment][-1:]
    return next(((so_far, _left_at(brew, kept.at)) for kept, so_far in last if so_far is not None), None)


def _by_round(brew: Brew) -> list[tuple[Kept[ev.Vented], int | None]]:
    """Every vent with how many bottles its round has had by then; None where it completes the round."""
    found: list[tuple[Kept[ev.Vented], int | None]] = []
    begun, so_far = None, 0
    for kept in brew.all(ev.Vented):
        if begun is None or kept.at - begun >= _ONE_ROUND:
            begun, so_far = kept.at, 0
        so_far += kept.event.count or 0
        every = kept.event.count is None or so_far >= _left_at(brew, kept.at)
        found.append((kept, None if every else so_far))
        begun = None if every else begun
    return found


def alarms(brew: Brew) -> tuple[datetime, ...]:
    """When bottles burst or gushed, in order."""
    return tuple(
        k.at for k in brew.kept if isinstance(k.event, ev.Burst) or (isinstance(k.event, ev.Opened) and k.event.gushed)
    )


def wild_since(brew: Brew) -> datetime | None:
    """When a bottle last burst or gushed, where nothing written since ends that alarm; None where none rings.

    A round of venting that every bottle had ends it, and so does a tame bottle: from then on the gas that is reckoned,
    which knows of all of them, tells what is too much.
    """
    seen = alarms(brew)
    after = [k.at for k in vent_rounds(brew)] + [k.at for k in brew.kept if _is_tame(k.event)]
    return seen[-1] if seen and (not after or max(after) < seen[-1]) else None


def _is_tame(event: ev.Event) -> bool:
    return isinstance(event, ev.Opened) and not event.gushed and event.fizz is not None and event.fizz <= _TAME_FIZZ


def _left_at(brew: Brew, moment: datetime) -> int:
    """Bottles left at a moment; none before any was filled."""
    left = 0
    for kept in brew.kept:
        if kept.at <= moment:
            match kept.event:
                case ev.Bottled(lots=lots):
                    left += sum(lot.count for lot in lots)
                case ev.TakenOut(count=count):
                    left -= count
                case ev.Opened() | ev.Burst():
                    left -= 1
    return max(left, 0)


def let_out(brew: Brew, shelf: Shelf, dissolved: float, to_make: float) -> float:
    """Volumes let out of the likeliest bottle, at the least: what is in the headspace at each vent of all bottles.

    `dissolved` was in the beer when it was bottled, `to_make` is what sugar and fermentation make in the bottle [vol].
    """
    lost = 0.0
    for kept in vent_rounds(brew):
        here = dissolved + share_at(brew, shelf, kept.at) * to_make - lost
        after = volumes_after_vent(min(max(here, 0.1), 12.0), vented_c(kept.event), HEADSPACE)
        lost += max(0.0, min(max(here, 0.1), 12.0) - float(after))
    return lost
