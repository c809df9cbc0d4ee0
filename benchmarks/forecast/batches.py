"""Batches as a home brewer would meet them: simulated beer, and what a hydrometer and a thermometer tell of it.

The beer comes from models that the forecaster does not assume (`gee_ramirez`, `andres_toro`, `hop_creep_truth`).
Everything that varies between batches is invented, and so are the stalls: a share of the batches stops abruptly at
0.60 to 0.95 of its own full fall; half of these go on after 4 to 12 days, half only after bottling. Batches of
`andres_toro` also stall on their own, where their yeast dies. Sugar that hops free is eaten even in a stalled batch.

From gravity to carbon dioxide: a point (0.001) is 2.59 g/L of apparent extract near the end (nbs_c440), 0.81 of it real
(between rule_08192 and cutaia_2009), and gives 0.4629 g of gas a gram (balling_nielsen_2007): 0.97 g/L a point.

A batch depends on the seed and its place alone: the first ten of a thousand are the ten of ten.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, cast, get_args

import numpy as np

from forecast import andres_toro, gee_ramirez, hop_creep_truth
from forecast.courses import Floats, Halt
from gylebook.errors import InputError
from gylebook.forecast.answers import NEAR_END_SG, UNSAFE_CO2_G_PER_L
from gylebook.forecast.evidence import Evidence, Forced, Hops, Known, Reading, Warmth

Kind = Literal["toro", "gee", "both"]

CO2_G_PER_L_PER_POINT: Final = 0.97
CO2_PER_EXTRACT: Final = 0.4629
DAYS: Final = 45
HOURS: Final = 24 * DAYS

ATTENUATION: Final = (0.76, 0.03)  # of the worts
TOLD_ATTENUATION: Final = (0.76, 0.035)  # what the brewer knows
TOLD_OG_SD_SG: Final = 0.002
OG_READING_SD_SG: Final = 0.0015  # the wort is never mixed quite evenly
READING_SD_SG: Final = 0.001
SCALE_SG: Final = 0.0005
OFFSET_SD_SG: Final = 0.0007
FORCED_SD_SG: Final = 0.0008
TOLD_FORCED_SD_SG: Final = 0.0012
MISREAD_SG: Final = (0.004, 0.012)


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch: the truth, and what its brewer gets to see.

    Parameters
    ----------
    kind, number, seed
        The model that it comes from, its place and the seed that it was made with.
    og_sg, final_sg
        True gravity at pitching, and when all fermentable sugar is gone, with all that hops will have freed.
    unhopped_final_sg
        The same without hops.
    gravity_sg
        True gravity at each hour from 0 on.
    temp_c
        The beer's true temperature of each hour.
    logged_temp_c
        What the brewer wrote down: one mean a day.
    offset_sg
        The hydrometer's own error.
    stalled
        Whether it was made to stop, and got that far (one of `andres_toro` may also stop by itself; see `sticks`).
    hops
        Hops as they are added and taken out, or None.
    known
        What the brewer knows beforehand.
    misread
        Chance that one reading is read wrongly.
    """

    kind: Kind
    number: int
    seed: int
    og_sg: float
    final_sg: float
    unhopped_final_sg: float
    gravity_sg: Floats
    temp_c: Floats
    logged_temp_c: tuple[float, ...]
    offset_sg: float
    stalled: bool
    hops: Hops | None
    known: Known
    misread: float

    def gravity(self, day: float) -> float:
        """True gravity on a day."""
        if not 0 <= day <= DAYS:
            raise InputError("day", f"{day:g} lies outside the {DAYS} days simulated", f"give a day from 0 to {DAYS}")
        return float(np.interp(24.0 * day, np.arange(HOURS + 1), self.gravity_sg))

    def co2_left_g_per_l(self, day: float) -> float:
        """Carbon dioxide still to come, if all fermentable sugar ferments in the end; hops as they are planned."""
        return 1000.0 * CO2_G_PER_L_PER_POINT * (self.gravity(day) - self.final_sg)

    def ready(self, day: float) -> bool:
        """Whether no more gas is to come than primed bottles can take."""
        return bool(self.co2_left_g_per_l(day) <= UNSAFE_CO2_G_PER_L)

    @property
    def done_day(self) -> float:
        """First day within one point of the end; infinite where it does not get there within the days simulated."""
        there = np.flatnonzero(self.gravity_sg <= self.final_sg + NEAR_END_SG)
        return float(there[0]) / 24.0 if there.size else float("inf")

    @property
    def sticks(self) -> bool:
        """Whether it never gets near its end in the vessel, whatever the reason."""
        return bool(np.isinf(self.done_day))

    def evidence(
        self,
        days: list[float] | tuple[float, ...],
        now_day: float,
        seed: int,
        *,
        forced: bool = False,
        wort: bool = True,
        misread_day: float | None = None,
    ) -> Evidence:
        """What the brewer can tell on `now_day` after reading the beer on the given days.

        A day twice is two samples. The errors depend on the seed, the batch, the day and the sample's place on that day
        alone, so that a later call finds the same readings.

        Parameters
        ----------
        forced
            Whether a sample was forced. It was taken before any hops, so it tells of `unhopped_final_sg`.
        wort
            Whether the original gravity was read.
        misread_day
            Misread the first sample of this day, besides what `misread` does by chance.
        """
        if seed < 0:
            raise InputError("seed", f"is {seed}", "give 0 or more")
        late = [day for day in days if day > now_day]
        if late:
            raise InputError("days", f"{late[0]:g} lies after now_day {now_day:g}", "give days up to now_day")
        if any(day <= 0 for day in days):
            raise InputError("days", "has a day that is not after pitching", "leave it out; `wort` reads the wort")
        if not 0 <= now_day <= DAYS:
            raise InputError("now_day", f"is {now_day:g}", f"give a day from 0 to {DAYS}")
        if misread_day is not None and misread_day not in days:
            raise InputError("misread_day", f"{misread_day:g} is not one of the days", "give a day that is read")
        readings = [self._wort_reading(seed)] if wort else []
        taken: dict[float, int] = {}
        for day in sorted(map(float, days)):
            taken[day] = taken.get(day, 0) + 1
            readings.append(self._reading(day, taken[day], seed, wrong=day == misread_day and taken[day] == 1))
        whole_days = max(1, int(np.ceil(now_day)))
        return Evidence(
            readings=tuple(readings),
            now_day=now_day,
            known=self.known,
            warmth=Warmth(tuple(map(float, range(whole_days))), self.logged_temp_c[:whole_days]),
            hops=self._hops_by(now_day),
            forced=self._forced(seed) if forced else None,
        )

    def _noise(self, *place: int) -> np.random.Generator:
        # The first of `place` is never 0: trailing zeros would give the very draws that the batch was made from.
        return np.random.default_rng((self.seed, self.number, *place))

    def _wort_reading(self, seed: int) -> Reading:
        read = self.og_sg + self.offset_sg + self._noise(1, seed).normal(0.0, OG_READING_SD_SG)
        return Reading(0.0, on_scale(read), OG_READING_SD_SG)

    def _reading(self, day: float, sample: int, seed: int, *, wrong: bool) -> Reading:
        noise = self._noise(2, seed, round(1440.0 * day), sample)
        read = self.gravity(day) + self.offset_sg + noise.normal(0.0, READING_SD_SG)
        by = noise.uniform(*MISREAD_SG) * noise.choice((-1.0, 1.0))
        if noise.random() < self.misread or wrong:
            read += by
        return Reading(day, on_scale(read), READING_SD_SG)

    def _forced(self, seed: int) -> Forced:
        noise = self._noise(3, seed)
        ended = self.unhopped_final_sg + noise.normal(0.0, FORCED_SD_SG)
        return Forced(on_scale(ended + self.offset_sg + noise.normal(0.0, READING_SD_SG)), TOLD_FORCED_SD_SG)

    def _hops_by(self, now_day: float) -> Hops | None:
        if self.hops is None or self.hops.day > now_day:
            return None
        out = self.hops.out_day
        return Hops(self.hops.day, self.hops.dose_g_per_l, out if out is not None and out <= now_day else None)


def on_scale(gravity_sg: float) -> float:
    """As read: to half a point."""
    return round(round(gravity_sg / SCALE_SG) * SCALE_SG, 4)


@dataclass(frozen=True, slots=True)
class _Plan:
    """What chance decided of one batch, before anything ferments."""

    og_sg: float
    attenuation: float
    yeast: float
    rate: float
    halt_at: float
    halt_hours: float
    temp_c: Floats
    logged_temp_c: tuple[float, ...]
    offset_sg: float
    told_og_error_sg: float
    hops: Hops | None
    hop_strength: float

    @property
    def sugar_g_per_l(self) -> float:
        """Extract that ferments, before any hops."""
        return 1000.0 * (self.og_sg - 1.0) * self.attenuation * CO2_G_PER_L_PER_POINT / CO2_PER_EXTRACT


def make(
    count: int,
    seed: int,
    kind: Kind = "both",
    *,
    stalls: float = 0.12,
    misread: float = 0.0,
    hops: float | Hops = 0.0,
    wrong_attenuation: float = 0.0,
    wrong_og: float = 0.0,
) -> list[Batch]:
    """Random batches.

    Parameters
    ----------
    kind
        The model: "toro", "gee", or "both" in turn.
    stalls
        Share of batches that stop abruptly.
    misread
        Chance that a reading is off by 0.004 to 0.012, either way.
    hops
        Share of batches that are dry hopped (2 to 8 g/L on day 4 to 9, for 3 to 8 days), or one addition for all.
    wrong_attenuation, wrong_og
        How far what the brewer knows beforehand is off, added to the attenuation and to the original gravity.
    """
    _refuse_bad(count, seed, kind, stalls, misread, hops, wrong_attenuation, wrong_og)
    plans = [_plan(np.random.default_rng((seed, number)), stalls, hops) for number in range(count)]
    kinds = [cast(Kind, ("toro", "gee")[number % 2] if kind == "both" else kind) for number in range(count)]
    left = np.empty((HOURS + 1, count))
    for model in sorted(set(kinds)):
        which = np.array([number for number in range(count) if kinds[number] == model])
        left[:, which] = _sugar_left(model, [plans[number] for number in which])
    creep, creep_end = _creep(plans)
    attenuation = TOLD_ATTENUATION[0] + wrong_attenuation
    batches = []
    for number, plan in enumerate(plans):
        fall, per_point = (plan.og_sg - 1.0) * plan.attenuation, 1000.0 * CO2_G_PER_L_PER_POINT
        final = plan.og_sg - fall
        told = plan.og_sg + plan.told_og_error_sg + wrong_og
        batches.append(
            Batch(
                kind=kinds[number],
                number=number,
                seed=seed,
                og_sg=plan.og_sg,
                final_sg=final - creep_end[number] / per_point,
                unhopped_final_sg=final,
                gravity_sg=final + fall * left[:, number] - creep[:, number] / per_point,
                temp_c=plan.temp_c,
                logged_temp_c=plan.logged_temp_c,
                offset_sg=plan.offset_sg,
                stalled=bool(1.0 - left[-1, number] >= plan.halt_at),
                hops=plan.hops,
                known=Known(told, TOLD_OG_SD_SG, attenuation, TOLD_ATTENUATION[1]),
                misread=misread,
            )
        )
    return batches


def _refuse_bad(  # noqa: PLR0917 - the arguments of make, in its order
    count: int,
    seed: int,
    kind: str,
    stalls: float,
    misread: float,
    hops: float | Hops,
    wrong_attenuation: float,
    wrong_og: float,
) -> None:
    if count < 1:
        raise InputError("count", f"is {count}", "give 1 or more")
    if seed < 0:
        raise InputError("seed", f"is {seed}", "give 0 or more")
    if kind not in get_args(Kind):
        raise InputError("kind", f"{kind} is not a model", "give toro, gee or both")
    shares = {"stalls": stalls, "misread": misread} | ({} if isinstance(hops, Hops) else {"hops": hops})
    for name, share in shares.items():
        if not 0 <= share <= 1:
            raise InputError(name, f"{share:g} is not a share", "give a number from 0 to 1")
    if not (abs(wrong_attenuation) <= 0.2 and abs(wrong_og) <= 0.02):
        raise InputError("wrong_attenuation, wrong_og", "lie too far off", "keep within 0.2 and 0.02")


def _plan(chance: np.random.Generator, stalls: float, hops: float | Hops) -> _Plan:
    """All draws are made whatever the shares are, so that batches with and without stalls are else the same."""
    og, attenuation = chance.uniform(1.035, 1.080), float(np.clip(chance.normal(*ATTENUATION), 0.6, 0.9))
    yeast, rate = chance.lognormal(0.0, 0.35), chance.lognormal(0.0, 0.2)
    stalled, at = chance.random() < stalls, chance.uniform(0.60, 0.95)
    returns, rest = chance.random() < 0.5, 24.0 * chance.uniform(4.0, 12.0)
    temp = _temperatures(chance)
    hopped, dose = chance.random(), chance.uniform(2.0, 8.0)
    in_day, stay, strength = chance.uniform(4.0, 9.0), chance.uniform(3.0, 8.0), chance.lognormal(0.0, 0.3)
    added: Hops | None = None
    if isinstance(hops, Hops):
        added = hops
    elif hopped < hops:
        added = Hops(in_day, dose, in_day + stay)
    return _Plan(
        og_sg=og,
        attenuation=attenuation,
        yeast=yeast,
        rate=rate,
        halt_at=at if stalled else np.inf,
        halt_hours=rest if returns else np.inf,
        temp_c=temp,
        logged_temp_c=_logged(chance, temp),
        offset_sg=chance.normal(0.0, OFFSET_SD_SG),
        told_og_error_sg=chance.normal(0.0, TOLD_OG_SD_SG),
        hops=added,
        hop_strength=strength,
    )


def _temperatures(chance: np.random.Generator) -> Floats:
    """A vessel in a house: its level, a drift, day and night, warmth of its own, and for some a move.

    Of every 20 batches 5 are put warmer towards the end and 3 stand in the cold for some days.
    """
    day = (np.arange(HOURS) + 0.5) / 24.0
    level, drift = chance.uniform(16.0, 24.0), chance.normal(0.0, 0.12)
    swing, phase = chance.uniform(0.0, 1.5), chance.uniform(0.0, 2.0 * np.pi)
    own, peak = chance.uniform(0.0, 3.0), chance.uniform(1.0, 3.0)
    move, raised, raise_day = chance.random(), chance.uniform(1.5, 4.0), chance.uniform(3.0, 8.0)
    dropped, drop_day, drop_days = chance.uniform(3.0, 8.0), chance.uniform(2.0, 10.0), chance.uniform(1.0, 4.0)
    temp = level + np.clip(drift * day, -3.0, 3.0) + swing * np.sin(2.0 * np.pi * day + phase)
    temp = temp + own * np.exp(-0.5 * ((day - peak) / 1.0) ** 2)
    if move < 0.25:
        temp = temp + raised * (day >= raise_day)
    elif move < 0.40:
        temp = temp - dropped * ((day >= drop_day) & (day < drop_day + drop_days))
    return np.asarray(np.clip(temp, 8.0, 30.0), dtype=float)


def _logged(chance: np.random.Generator, temp_c: Floats) -> tuple[float, ...]:
    """One mean a day from a thermometer that is off, written to half a degree."""
    daily = temp_c.reshape(DAYS, 24).mean(axis=1) + chance.normal(0.0, 0.7) + chance.normal(0.0, 0.5, DAYS)
    return tuple(float(each) for each in np.round(2.0 * daily) / 2.0)


def _sugar_left(kind: Kind, plans: list[_Plan]) -> Floats:
    """Share of the fermentable sugar left at each hour, shape (hours + 1, batches)."""
    temp = np.stack([plan.temp_c for plan in plans], axis=1)
    sugar, yeast = np.array([plan.sugar_g_per_l for plan in plans]), np.array([plan.yeast for plan in plans])
    rate = np.array([plan.rate for plan in plans])
    halt = Halt(np.array([plan.halt_at for plan in plans]), np.array([plan.halt_hours for plan in plans]))
    if kind == "toro":
        pitched = andres_toro.YEAST_G_PER_L * yeast
        cooler = temp - andres_toro.SHIFT_K
        return andres_toro.simulate(cooler, sugar=sugar, yeast=pitched, rate=rate, halt=halt).sugar_left
    start = (gee_ramirez.GLUCOSE, gee_ramirez.MALTOSE, gee_ramirez.MALTOTRIOSE)
    size = sugar / float(np.dot(gee_ramirez.MOLAR_KG, start))
    return gee_ramirez.simulate(
        temp,
        glucose=size * start[0],
        maltose=size * start[1],
        maltotriose=size * start[2],
        yeast=gee_ramirez.YEAST * yeast,
        rate=rate,
        halt=halt,
    ).sugar_left


def _creep(plans: list[_Plan]) -> tuple[Floats, Floats]:
    """Carbon dioxide through hops at each hour and in the end, for all batches."""
    made, end = np.zeros((HOURS + 1, len(plans))), np.zeros(len(plans))
    hopped = [(number, plan, plan.hops) for number, plan in enumerate(plans) if plan.hops is not None]
    if hopped:
        which = [number for number, _, _ in hopped]
        made[:, which], end[which] = hop_creep_truth.co2_made(
            np.stack([plan.temp_c for _, plan, _ in hopped], axis=1),
            dose_g_per_l=[hops.dose_g_per_l for _, _, hops in hopped],
            in_day=[hops.day for _, _, hops in hopped],
            out_day=[np.inf if hops.out_day is None else hops.out_day for _, _, hops in hopped],
            strength=[plan.hop_strength for _, plan, _ in hopped],
        )
    return made, end
