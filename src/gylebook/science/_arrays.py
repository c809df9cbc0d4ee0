"""How every sum keeps its range: replace what lies outside before computing, put NaN in its place afterwards."""

from __future__ import annotations

from typing import Final, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers: TypeAlias = NDArray[np.float64]  # an np.float64 when every argument is a scalar
Truths: TypeAlias = NDArray[np.bool_]

# Two figures closer than this are the same: a sum's last bits must not put a beer outside its range.
LAST_BITS: Final = 1e-9


def fence(value: ArrayLike, low: float, high: float) -> tuple[Numbers, Truths]:
    """The value with anything outside low..high (NaN too) replaced by low, and where it lay inside.

    The replacement keeps polynomials and roots out of regions where they overflow or have no value.
    """
    given = np.asarray(value, dtype=np.float64)
    inside: Truths = np.asarray((given >= low) & (given <= high))
    return np.where(inside, given, low), inside


def only_where(inside: Truths, result: ArrayLike) -> Numbers:
    """The result where inside is true, NaN elsewhere; a NumPy float when nothing is an array."""
    answer: Numbers = np.where(inside, result, np.nan)[()]
    return answer


def polynomial(coefficients: tuple[float, ...], x: Numbers) -> Numbers:
    """c0 + c1 x + c2 x² + ... by Horner's rule."""
    total = np.full_like(x, coefficients[-1])
    for coefficient in reversed(coefficients[:-1]):
        total = total * x + coefficient
    return total
