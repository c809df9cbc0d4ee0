"""What finished brews taught, and how far it moves what is expected of the next one.

Every lesson is shrunk towards the general expectation: a few brews move it a little, many that agree move it nearly all
the way. The model is normal throughout, with the spreads stated below, so that it has one exact answer, which does not
depend on the order of the brews:

    attenuation of a brew − what its make-up promised = kit + yeast + what its hydrometer's error makes of it + brew
    wort as read − weights and volume                 = hydrometer's error + error of the vessel's marks
    logarithm of pace − the general one               = brewer + yeast + brew
    beer left behind − the general loss               = vessel + brew
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from math import exp, sqrt
from typing import Final

from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG, Known
from gylebook.journal.state import Shelf
from gylebook.phrases import say
from gylebook.steps.latent import Effect, Posterior, Seen, Sum, told_by
from gylebook.steps.learned_words import attenuation_words, loss_words, offset_words, pace_words
from gylebook.steps.place_lesson import PlaceMonth, PlaceTold, place_lines, place_months, ranges_c
from gylebook.steps.volumes import SEDIMENT_L, SEDIMENT_SD_L

GENERAL: Final = Known()
# How far an all-malt wort ends from what its make-up says (standard deviation of the share of OG - 1), and whose doing
# that is, as shares of its variance. Sugar ferments alike for everybody: what a make-up leaves open less, moves less.
ATTENUATION_SD: Final = 0.043
KIT_SHARE, YEAST_SHARE, BREW_SHARE = 0.35, 0.35, 0.30
# The same for the logarithm of the pace, of the general spread that the forecast begins with.
OWN_PACE_SHARE, YEAST_PACE_SHARE, BREW_PACE_SHARE = 0.25, 0.40, 0.35
CHECKED_OFFSET_SD_SG: Final = 0.0003  # a hydrometer that was checked in water
MARK_SD_SG: Final = 0.0008  # a bucket's marks half a litre out, as that looks in the original gravity
VESSEL_SHARE, LEAVING_SHARE = 0.6, 0.4  # of the variance of what stays behind: the vessel's, and the day's

EVERYTHING, KIT, YEAST, HYDROMETER, VESSEL, PLACE = "everything", "kit", "yeast", "hydrometer", "vessel", "place"
_OWN, _MARKS = "own", "marks"


@dataclass(frozen=True, slots=True)
class Told:
    """A number that one brew told, and the standard deviation of its own error."""

    value: float
    sd: float


@dataclass(frozen=True, slots=True)
class Taught:
    """What one finished brew teaches; None where it says nothing of a matter.

    Parameters
    ----------
    brew, ended
        Which one, and when it was closed.
    kit, yeast, vessel, hydrometer
        Names as they were written; the vessel it was made in, the hydrometer that read its end. "" where not known.
    attenuation, promised_sd
        Share of (OG - 1) that went, less the share that the make-up promised, and the spread of that promise.
    offset_bears
        By how much that share changes for each SG that the hydrometer shows too much.
    log_pace
        Logarithm of the brew's pace over the general one.
    offset, offset_of
        Wort as read less the wort by weights and volume [SG], and the hydrometer that read it.
    checked
        Hydrometers among these that were checked in plain water; that correction is in the numbers already.
    lost_l, places
        Beer that there was to bottle, less what came into the bottles [L]; what thermometers showed of its places.
    """

    brew: str
    ended: datetime
    kit: str = ""
    yeast: str = ""
    vessel: str = ""
    hydrometer: str = ""
    attenuation: Told | None = None
    promised_sd: float = ATTENUATION_SD
    offset_bears: float = 0.0
    log_pace: Told | None = None
    offset: Told | None = None
    offset_of: str = ""
    checked: tuple[str, ...] = ()
    lost_l: Told | None = None
    places: tuple[PlaceTold, ...] = ()


@dataclass(frozen=True)
class Learned:
    """What all lessons together come to. Names are compared without regard to capitals and spaces.

    Parameters
    ----------
    lessons
        Those that count, by when they ended.
    forgotten
        What the brewer had forgotten: sort, name, and the moment; lessons that ended by then say nothing of it.
    """

    lessons: tuple[Taught, ...] = ()
    forgotten: tuple[tuple[str, str, datetime], ...] = ()
    _hash: int = field(default=0, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash((self.lessons, self.forgotten)))

    def __hash__(self) -> int:
        return self._hash

    def attenuation_shift(self, kit: str, yeast: str) -> tuple[float, float, int]:
        """How far the next all-malt wort of this kit and yeast should end from what its make-up says.

        Returns the shift, as a share of (OG - 1), and its standard deviation; and how many brews of the same kit or
        the same yeast it rests on.
        """
        shift, variance = self._gravities.of(_attenuation_sum(kit, yeast))
        return shift, sqrt(variance + _open_variance(kit, yeast)), self._brews_with(kit, yeast)

    def pace(self, yeast: str) -> tuple[float, float, int]:
        """Median of the next brew's pace [1/d], the standard deviation of its logarithm, and how many brews told it."""
        told = [x for x in self.lessons if x.log_pace is not None and self._counts(x, YEAST, x.yeast)]
        if not told:
            return GENERAL.pace, GENERAL.pace_sd, 0
        shift, variance = self._paces.of(_pace_sum(yeast))
        return GENERAL.pace * exp(shift), sqrt(variance + _pace_noise(yeast)), len(told)

    def offset(self, hydrometer: str, before_sd: float = USUAL_OFFSET_SD_SG) -> tuple[float, float, int]:
        """What a hydrometer shows too much beyond its check [SG], the sd of that, and how many worts told it."""
        key = same(hydrometer)
        count = sum(1 for x in self.lessons if self._tells_offset(x) and same(x.offset_of) == key)
        if not key or not count:
            return 0.0, before_sd, 0
        shift, variance = self._gravities.of((((HYDROMETER, key), 1.0),))
        return shift, sqrt(variance), count

    def loss(self, vessel: str) -> tuple[float, float, int]:
        """What should stay behind in a vessel [L], its standard deviation, and how many brews told it."""
        key = same(vessel)
        count = sum(1 for x in self.lessons if x.lost_l is not None and same(x.vessel) == key and self._keeps(x))
        if not key or not count:
            return SEDIMENT_L, SEDIMENT_SD_L, 0
        shift, variance = self._losses.of((((VESSEL, key), 1.0),))
        return SEDIMENT_L + shift, sqrt(variance + LEAVING_SHARE * SEDIMENT_SD_L**2), count

    @cached_property
    def place_months(self) -> tuple[PlaceMonth, ...]:
        """What thermometers showed of places."""
        return place_months(p for x in self.lessons for p in x.places if self._counts(x, PLACE, p.place))

    @cached_property
    def places_c(self) -> Mapping[str, Mapping[int, tuple[float, float]]]:
        """The same as ranges [°C], by name in small letters and by month."""
        return ranges_c(self.place_months)

    def lines(self, shelf: Shelf | None = None) -> tuple[str, ...]:
        """Everything that was learned, a sentence each; with the shelf, of places only what it does not hold."""
        pairs = {(same(x.kit), same(x.yeast)): (x.kit, x.yeast) for x in self.lessons if x.attenuation is not None}
        yeasts = {same(x.yeast): x.yeast for x in self.lessons if x.log_pace is not None}
        glasses = {same(x.offset_of): x.offset_of for x in self.lessons if x.offset is not None}
        vessels = {same(x.vessel): x.vessel for x in self.lessons if x.lost_l is not None}
        found = [
            *(self.attenuation_line(kit, yeast, _named(kit, yeast)) for _, (kit, yeast) in sorted(pairs.items())),
            *(
                self.pace_line(yeast, say("pace with {yeast}", yeast=yeast) if yeast else "")
                for _, yeast in sorted(yeasts.items())
            ),
            *(self.offset_line(glass) for _, glass in sorted(glasses.items())),
            *(self.loss_line(vessel) for _, vessel in sorted(vessels.items())),
            *place_lines(self.place_months, shelf),
        ]
        return tuple(dict.fromkeys(line for line in found if line))

    def attenuation_line(self, kit: str, yeast: str, named: str = "") -> str:
        """What was learned of a kit's or a yeast's attenuation, "" where nothing was."""
        shift, _, count = self.attenuation_shift(kit, yeast)
        if not count:
            return ""
        whose = named or (say("this kit") if self._brews_with(kit, "") else say("this yeast"))
        return attenuation_words(whose, count, shift)

    def pace_line(self, yeast: str, named: str = "") -> str:
        """What was learned of the pace of this brewer's beers, "" where nothing was; `named` says whose pace."""
        median, _, count = self.pace(yeast)
        if not count:
            return ""
        return pace_words(named, count, 100 * (median / GENERAL.pace - 1))

    def offset_line(self, hydrometer: str) -> str:
        """What was learned of a hydrometer's error, "" where nothing was."""
        shift, _, count = self.offset(hydrometer)
        if not count:
            return ""
        return offset_words(hydrometer, count, 1000 * shift)

    def loss_line(self, vessel: str) -> str:
        """What was learned of what stays behind in a vessel, "" where nothing was."""
        litres, _, count = self.loss(vessel)
        return loss_words(vessel, count, litres) if count else ""

    @cached_property
    def _moments(self) -> dict[tuple[str, str], datetime]:
        return {(sort, same(name)): at for sort, name, at in self.forgotten}

    def _counts(self, lesson: Taught, sort: str, name: str) -> bool:
        """Whether a lesson still says something of this thing."""
        until = self._moments.get((sort, same(name)))
        return until is None or lesson.ended > until

    def _keeps(self, lesson: Taught) -> bool:
        return self._counts(lesson, VESSEL, lesson.vessel)

    def _tells_attenuation(self, x: Taught) -> bool:
        return x.attenuation is not None and self._counts(x, KIT, x.kit) and self._counts(x, YEAST, x.yeast)

    def _tells_offset(self, x: Taught) -> bool:
        return x.offset is not None and bool(x.offset_of) and self._counts(x, HYDROMETER, x.offset_of)

    def _brews_with(self, kit: str, yeast: str) -> int:
        wanted = {(KIT, same(kit)), (YEAST, same(yeast))} - {(KIT, ""), (YEAST, "")}
        return sum(
            1
            for x in self.lessons
            if self._tells_attenuation(x) and wanted & {(KIT, same(x.kit)), (YEAST, same(x.yeast))}
        )

    @cached_property
    def _gravities(self) -> Posterior:
        checked = {same(name) for x in self.lessons for name in x.checked}
        variances = {
            KIT: KIT_SHARE * ATTENUATION_SD**2,
            YEAST: YEAST_SHARE * ATTENUATION_SD**2,
            _MARKS: MARK_SD_SG**2,
        }

        def before(effect: Effect) -> float:
            sort, name = effect
            if sort == HYDROMETER:
                return (CHECKED_OFFSET_SD_SG if name in checked else USUAL_OFFSET_SD_SG) ** 2
            return variances[sort]

        seen = [_attenuation_seen(x) for x in self.lessons if self._tells_attenuation(x)]
        seen += [_offset_seen(x) for x in self.lessons if self._tells_offset(x)]
        return told_by(seen, before)

    @cached_property
    def _paces(self) -> Posterior:
        seen = [
            Seen(x.log_pace.value, x.log_pace.sd**2 + _pace_noise(x.yeast), _pace_sum(x.yeast))
            for x in self.lessons
            if x.log_pace is not None and self._counts(x, YEAST, x.yeast)
        ]
        shares = {_OWN: OWN_PACE_SHARE, YEAST: YEAST_PACE_SHARE}
        return told_by(seen, lambda effect: shares[effect[0]] * GENERAL.pace_sd**2)

    @cached_property
    def _losses(self) -> Posterior:
        seen = [
            Seen(
                x.lost_l.value - SEDIMENT_L,
                x.lost_l.sd**2 + LEAVING_SHARE * SEDIMENT_SD_L**2,
                (((VESSEL, same(x.vessel)), 1.0),),
            )
            for x in self.lessons
            if x.lost_l is not None and x.vessel and self._keeps(x)
        ]
        return told_by(seen, lambda _effect: VESSEL_SHARE * SEDIMENT_SD_L**2)


NOTHING_LEARNED: Final = Learned()


def learned(
    lessons: Iterable[Taught],
    since: datetime | None = None,
    forgotten: Mapping[tuple[str, str], datetime] | None = None,
) -> Learned:
    """What these lessons come to, in whatever order they are given.

    Parameters
    ----------
    lessons
        One for each finished brew that teaches something.
    since
        Only brews that ended after it count.
    forgotten
        Moments by sort ("kit", "yeast", "hydrometer", "vessel") and name; the same for what belongs to that thing.
    """
    kept = sorted((x for x in lessons if since is None or x.ended > since), key=lambda x: (x.ended, x.brew))
    what = tuple(sorted((sort, name, at) for (sort, name), at in (forgotten or {}).items()))
    return Learned(tuple(kept), what) if kept else NOTHING_LEARNED


def teach(
    known: Known, told: Learned, kit: str, yeast: str, hydrometers: Mapping[int, str]
) -> tuple[Known, tuple[str, ...]]:
    """What is known of a brew beforehand, moved by what was learned, and what to say of it.

    Parameters
    ----------
    known
        As make-up, yeast and instruments tell it in general.
    told
        What finished brews taught.
    kit, yeast
        The brew's own, as `kit_of` and `yeast_of` name them.
    hydrometers
        Name of each of the forecast's instrument numbers.

    Returns
    -------
    Known and sentences; the very same Known and none where nothing was learned that bears on this brew.
    """
    lines: list[str] = []
    shift, sd, count = told.attenuation_shift(kit, yeast)
    if count:
        # A make-up that leaves less open moves less: the shift and what became known both go with its own spread.
        reach = min(1.0, known.attenuation_sd / ATTENUATION_SD)
        gained = reach**2 * (ATTENUATION_SD**2 - sd**2)
        known = replace(
            known,
            attenuation=known.attenuation + reach * shift,
            attenuation_sd=sqrt(known.attenuation_sd**2 - gained),
        )
        lines.append(told.attenuation_line(kit, yeast))
    median, sd_log, count = told.pace(yeast)
    if count:
        known = replace(
            known, pace=known.pace * median / GENERAL.pace, pace_sd=known.pace_sd * sd_log / GENERAL.pace_sd
        )
        lines.append(told.pace_line(yeast))
    offsets = {number: (mean, spread) for number, mean, spread in known.offsets}
    for number, name in hydrometers.items():
        mean, spread = offsets.get(number, (0.0, USUAL_OFFSET_SD_SG))
        shift, sd, count = told.offset(name, spread)
        if count:
            offsets[number] = (mean + shift, min(spread, sd))
            lines.append(told.offset_line(name))
    if any((number, *both) not in known.offsets for number, both in offsets.items()):
        known = replace(known, offsets=tuple((number, *both) for number, both in sorted(offsets.items())))
    return known, tuple(lines)


def same(name: str) -> str:
    """A name as it is compared."""
    return " ".join(name.split()).casefold()


def _named(kit: str, yeast: str) -> str:
    return say("{kit} with {yeast}", kit=kit, yeast=yeast) if kit and yeast else kit or yeast


def _attenuation_sum(kit: str, yeast: str, weight: float = 1.0) -> Sum:
    return tuple(((sort, key), weight) for sort, key in ((KIT, same(kit)), (YEAST, same(yeast))) if key)


def _open_variance(kit: str, yeast: str) -> float:
    """What no other brew can tell: this brew's own way, and that of a kit or yeast without a name."""
    share = BREW_SHARE + (0.0 if same(kit) else KIT_SHARE) + (0.0 if same(yeast) else YEAST_SHARE)
    return share * ATTENUATION_SD**2


def _attenuation_seen(x: Taught) -> Seen:
    assert x.attenuation is not None
    reach = min(1.0, x.promised_sd / ATTENUATION_SD)
    bears = _attenuation_sum(x.kit, x.yeast, reach)
    noise = x.attenuation.sd**2 + reach**2 * _open_variance(x.kit, x.yeast)
    if x.hydrometer:
        bears = (*bears, ((HYDROMETER, same(x.hydrometer)), x.offset_bears))
    else:
        noise += (x.offset_bears * USUAL_OFFSET_SD_SG) ** 2
    return Seen(x.attenuation.value, noise, bears)


def _offset_seen(x: Taught) -> Seen:
    assert x.offset is not None
    bears: Sum = (((HYDROMETER, same(x.offset_of)), 1.0),)
    if x.vessel:
        return Seen(x.offset.value, x.offset.sd**2, (*bears, ((_MARKS, same(x.vessel)), 1.0)))
    return Seen(x.offset.value, x.offset.sd**2 + MARK_SD_SG**2, bears)


def _pace_sum(yeast: str) -> Sum:
    key = same(yeast)
    return (((_OWN, ""), 1.0), *((((YEAST, key), 1.0),) if key else ()))


def _pace_noise(yeast: str) -> float:
    share = BREW_PACE_SHARE + (0.0 if same(yeast) else YEAST_PACE_SHARE)
    return share * GENERAL.pace_sd**2
