"""When a sample would most probably change the decision, and when none is worth its beer.

For every day looked at, readings that may be seen there are simulated from the mixture itself, the mixture is weighed
by each of them, and the chance is counted that the gate opens then. Waiting costs, and so does each sample.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Floats, NextReading
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG

WAITS_DAYS: Final = (0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 14.0)
GATE: Final = 0.01  # chance of unsafe gas below which bottles may be filled
READING_SD_SG: Final = 0.001
_PATIENCE_DAYS: Final = 21.0  # waiting so long costs all that opening the gate is worth
_WORTH: Final = 0.08  # chance below which no sample is worth its beer, the air it lets in and a dirty jar's risk
SHOTS: Final = 240  # draws of the mixture that stand for it here
_SOFT_SG: Final = 0.0003  # few draws stand for many: the limit is softened, so that chances don't jump
_SEEN: Final = 80  # of which so many give a reading


def best(now_day: float, gravity: Floats, left: Floats) -> NextReading:
    """The day of the next sample.

    Parameters
    ----------
    now_day
        Days since pitching.
    gravity, left
        True gravity, and what is still to fall, by wait and draw (waits, draws) [SG].
    """
    limit = UNSAFE_CO2_G_PER_L / CO2_G_PER_L_PER_SG
    days = tuple(float(now_day + wait) for wait in WAITS_DAYS)
    every = max(1, gravity.shape[1] // _SEEN)
    noise = READING_SD_SG * _scattered(gravity[:, ::every].shape[1])
    chances = []
    for sg, rest in zip(gravity, left, strict=True):
        seen = sg[::every] + noise
        near = np.exp(-0.5 * ((seen[:, None] - sg[None, :]) / READING_SD_SG) ** 2)
        stated = near @ ndtr((rest - limit) / _SOFT_SG) / np.maximum(near.sum(axis=1), 1e-300)
        chances.append(float((stated < GATE).mean()))
    worth = [chance * (1 - wait / _PATIENCE_DAYS) for chance, wait in zip(chances, WAITS_DAYS, strict=True)]
    top = int(np.argmax(worth))
    day = days[top] if chances[top] >= _WORTH else None
    return NextReading(day, chances[top], days, tuple(chances))


def _scattered(count: int) -> Floats:
    """Standard normal numbers in a fixed scattered order."""
    return np.asarray(ndtri(((np.arange(count) * 0.6180339887498949 + 0.5) % 1.0) * 0.998 + 0.001))
