"""A figure with its spread: the form in which uncertain sums answer."""

from __future__ import annotations

from typing import NamedTuple

from gylebook.science._arrays import Numbers


class Span(NamedTuple):
    """A tabled figure: lowest and highest that are credible, and the one to reckon with."""

    low: float
    best: float
    high: float


class Interval(NamedTuple):
    """A reckoned figure: lowest and highest that are credible, and the best guess, element by element."""

    low: Numbers
    best: Numbers
    high: Numbers
