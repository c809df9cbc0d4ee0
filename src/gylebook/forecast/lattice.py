"""A lattice of points that depends on no seed, and the normal law on it.

The first column is spaced evenly, every other by the root of a prime: any few columns of it fill their space evenly.
"""

from __future__ import annotations

from functools import lru_cache
from math import erfc, isqrt, sqrt

import numpy as np

from gylebook.forecast.answers import Floats


@lru_cache(maxsize=1)
def _table() -> tuple[Floats, Floats]:
    """Lower half of the normal law: its levels and their places. SciPy has it too, but wants a tenth of a second."""
    places = np.linspace(-6.5, 0.0, 8193)
    return np.array([erfc(-z / sqrt(2.0)) / 2.0 for z in places]), places


def normal(level: Floats) -> Floats:
    """The normal's place at a level, within 0.00001."""
    levels, places = _table()
    lower = np.interp(np.minimum(level, 1.0 - level), levels, places)
    return np.asarray(np.where(level > 0.5, -lower, lower))


@lru_cache(maxsize=128)
def uniforms(points: int, column: int) -> Floats:
    """One column of the lattice: the first spaced evenly, the others by the roots of primes."""
    place = np.arange(points)
    step = 1.0 / points if column == 0 else (_prime(column) ** 0.5) % 1.0
    found = (place * step + 0.5 / points) % 1.0
    found.setflags(write=False)
    return np.asarray(found)


@lru_cache(maxsize=128)
def normals(points: int, column: int) -> Floats:
    found: Floats = normal(np.clip(uniforms(points, column), 1e-9, 1.0 - 1e-9))
    found.setflags(write=False)
    return found


@lru_cache(maxsize=64)
def largest(points: int, count: int, column: int) -> Floats:
    """The largest of so many normals: its level is the count-th root of an even one."""
    level = np.clip(uniforms(points, column), 1e-9, 1.0 - 1e-9) ** (1.0 / count)
    found: Floats = normal(level)
    found.setflags(write=False)
    return found


@lru_cache(maxsize=64)
def _prime(number: int) -> int:
    """The prime of that number; the first is 2."""
    found = 1
    for _ in range(number):
        found += 1
        while any(found % each == 0 for each in range(2, isqrt(found) + 1)):
            found += 1
    return found


def normal_level(place: Floats) -> Floats:
    """The normal's level at a place: how often it is not passed, within 0.000001."""
    levels, places = _table()
    lower = np.interp(-np.abs(place), places, levels)
    return np.asarray(np.where(place > 0.0, 1.0 - lower, lower))
