"""What brews do in general: the families of curves, their parameters before any reading, and the stories they tell.

The middle values and spreads are choices, made from what is commonly seen in home brewing and tried on some of the
measured fermentations and on simulated ones that are used for nothing else (`docs/forecast.md` says which); none of
them is a published constant.
Each family turns standard normal numbers into parameters, so that a sampler sees only standard normals.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.special import ndtr

from gylebook.forecast.answers import Floats, Story
from gylebook.forecast.curve import ENERGY_RANGE, Shape
from gylebook.forecast.evidence import Evidence, Known

# How likely each story is before anything is seen.
CHANCE: Final = {Story.HEALTHY: 0.78, Story.FADING: 0.06, Story.HALTED: 0.09, Story.HIGH: 0.04, Story.BELOW: 0.03}
WOKEN_CHANCE: Final = 0.7  # of hops that were added, that they free sugar at all

# Logarithmic middle and spread, unless said otherwise.
GROWTH: Final = (2.0, 0.45)
ENERGY: Final = (62.0, 16.0)  # normal [kJ/mol]
TAIL: Final = (0.3, 1.0)  # normal: above 0 the end is sharp, below 0 the last sugars are slow
SHARP: Final = 0.06  # at 1 the end is 1.7 times that sharp, at 2 it is 6.4 times
MOST_SHARP: Final = 0.5
SLOW: Final = 0.10  # for each 1 below 0
_NOT_SLOW: Final = 1e-6
FADE: Final = (0.20, 0.6)
HALT: Final = (0.55, 0.97)  # even between
PAUSE: Final = (7.0, 0.6)  # thermal days
RESTARTS: Final = 0.5  # share of halts that go on again by themselves
_NOT_AGAIN: Final = 2.0
HALTS_AGAIN: Final = 0.25  # share of those that halt once more, for good
HIGH_BY: Final = (0.08, 0.05)  # attenuation lower than promised by, normal
BELOW_BY: Final = (0.12, 0.05)

# Sugar freed by hops: at 10 g/L, and with the dose to this power; the published 1.9 °P of real extract after 40 days
# at 20 °C lies one spread above the middle, since other hops had a quarter of it.
# Source: kirkpatrick_shellhammer_2018, hop_creep_curve
CREEP_SG: Final = (0.0050, 0.7)
CREEP_DOSE: Final = (10.0, 0.8)
CREEP_PACE: Final = (0.14, 0.4)  # [1/thermal day]
STEEPED_DAYS: Final = 1.0  # for two thirds of the enzymes to leave the hops
CREEP_ENERGY: Final = 50.0  # [kJ/mol]: about twofold for ten degrees


@dataclass(frozen=True, slots=True)
class Make:
    """What the wort gives: a story with its chance (logarithm), and the attenuation with its spread."""

    story: Story
    log_chance: float
    attenuation: float
    spread: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """Parameters of many draws: the curve, and the sugar freed by hops with its pace (None without)."""

    shape: Shape
    creep_sg: Floats | None
    creep_pace: Floats | None


@dataclass(frozen=True, slots=True)
class Family:
    """Curves of one kind: `size` standard normals a draw, how they become parameters, and the makes told apart."""

    name: str
    size: int
    draw: Callable[[Floats], Drawn]
    makes: tuple[Make, ...]


def _lognormal(z: Floats, middle: float, spread: float) -> Floats:
    return np.asarray(middle * np.exp(spread * z))


def _shape(z: Floats, known: Known) -> Shape:
    """The five parameters that every curve has, from the first five rows."""
    low, high = ENERGY_RANGE
    tail = TAIL[0] + TAIL[1] * z[4]
    return Shape(
        pace=_lognormal(z[0], known.pace, known.pace_sd),
        pitch=np.minimum(_lognormal(z[1], known.pitch, known.pitch_sd), 0.9),
        growth=_lognormal(z[2], *GROWTH),
        energy=np.clip(ENERGY[0] + ENERGY[1] * z[3], low, high),
        sharp=np.minimum(SHARP * np.expm1(np.clip(tail, 0.0, 4.0)), MOST_SHARP),
        slow=np.maximum(-SLOW * tail, _NOT_SLOW),
    )


_COMMON: Final = 5


def families(evidence: Evidence) -> tuple[Family, ...]:
    """The families that this evidence calls for."""
    known, hops = evidence.known, evidence.hops
    mean, sd = known.attenuation, known.attenuation_sd

    def make(story: Story, chance: float, shift: float = 0.0, spread: float | None = None) -> Make:
        return Make(story, float(np.log(chance)), mean + shift, sd if spread is None else max(spread, sd))

    def drawer(extra: str, creeps: bool) -> Callable[[Floats], Drawn]:
        return lambda z: _drawn(z, evidence, extra, creeps=creeps)

    def family(name: str, extra: str, makes: tuple[Make, ...], creeps: bool) -> Family:
        size = _COMMON + {"": 0, "fade": 1, "halt": 1, "pause": 3}[extra] + (2 if creeps else 0)
        return Family(name, size, drawer(extra, creeps), makes)

    asleep = (1 - WOKEN_CHANCE) if hops is not None else 1.0
    plain = (
        make(Story.HEALTHY, CHANCE[Story.HEALTHY] * asleep),
        make(Story.HIGH, CHANCE[Story.HIGH] * asleep, -HIGH_BY[0], HIGH_BY[1]),
        make(Story.BELOW, CHANCE[Story.BELOW] * asleep, BELOW_BY[0], BELOW_BY[1]),
    )
    creeps = hops is not None
    found = [
        family("running out", "", plain, False),
        family("fading", "fade", (make(Story.FADING, CHANCE[Story.FADING]),), creeps),
        family("halted", "halt", (make(Story.HALTED, CHANCE[Story.HALTED]),), creeps),
    ]
    if went_on_after_a_halt(evidence):
        found.append(family("went on", "pause", (make(Story.HALTED, CHANCE[Story.HALTED] * RESTARTS),), creeps))
    if creeps:
        woken = (
            make(Story.WOKEN, CHANCE[Story.HEALTHY] * WOKEN_CHANCE),
            make(Story.HIGH, CHANCE[Story.HIGH] * WOKEN_CHANCE, -HIGH_BY[0], HIGH_BY[1]),
            make(Story.BELOW, CHANCE[Story.BELOW] * WOKEN_CHANCE, BELOW_BY[0], BELOW_BY[1]),
        )
        found.append(family("woken", "", woken, True))
    return tuple(found)


def _drawn(z: Floats, evidence: Evidence, extra: str, *, creeps: bool) -> Drawn:
    shape, row = _shape(z, evidence.known), _COMMON
    fade = halt = pause = again = None
    if extra == "fade":
        fade, row = _lognormal(z[row], *FADE), row + 1
    elif extra in ("halt", "pause"):
        low, high = HALT
        halt, row = low + (high - low) * ndtr(z[row]), row + 1
        if extra == "pause":
            pause, row = _lognormal(z[row], *PAUSE), row + 1
            u, row = ndtr(z[row]) / HALTS_AGAIN, row + 1
            again = np.where(u < 1, halt + (1 - halt) * u, _NOT_AGAIN)
    shape = replace(shape, fade=fade, halt=halt, pause=pause, again=again)
    if not creeps or evidence.hops is None:
        return Drawn(shape, None, None)
    dose = max(evidence.hops.dose_g_per_l, 0.01)
    middle = CREEP_SG[0] * (dose / CREEP_DOSE[0]) ** CREEP_DOSE[1]
    if evidence.hops.out_day is not None:
        # The enzymes come out of the hops within days and stay in the beer when the hops are taken out.
        middle *= -np.expm1(-max(evidence.hops.out_day - evidence.hops.day, 0.1) / STEEPED_DAYS)
    return Drawn(shape, _lognormal(z[row], middle, CREEP_SG[1]), _lognormal(z[row + 1], *CREEP_PACE))


def still_halted(thermal_days: Floats) -> Floats:
    """Logarithm of the chance that a halt has lasted so long [thermal days] without going on by itself."""
    middle, spread = PAUSE
    long = np.log(np.maximum(thermal_days, 1e-9) / middle) / spread
    return np.asarray(np.log1p(-RESTARTS * ndtr(long)))


def went_on_after_a_halt(evidence: Evidence) -> bool:
    """Whether readings of beer stood level for a day and a half or more and fell clearly later."""
    beer = [r for r in evidence.readings if r.day > 0]
    for i, first in enumerate(beer):
        for j in range(i + 1, len(beer) - 1):
            second = beer[j]
            level = first.gravity_sg - second.gravity_sg < 1.5 * np.hypot(first.sd_sg, second.sd_sg)
            if level and second.day - first.day >= 1.5:
                falls = (
                    second.gravity_sg - later.gravity_sg > 3.0 * np.hypot(second.sd_sg, later.sd_sg)
                    for later in beer[j + 1 :]
                )
                if any(falls):
                    return True
    return False
