"""Where the numbers come from: every source, and under each the values that the book's sums are held against."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby
from math import isfinite, isnan
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook import sources
from gylebook.inputs.check_values import CheckValue, check_values, plain_words
from gylebook.phrases import joined, say
from gylebook.sources import Source, Standing
from gylebook.units import show

_LAST_BITS = 1e-9
_MANY = 8  # decimals at which only the last bits of a number could differ


@dataclass(frozen=True, slots=True)
class Row:
    """One check value in words, beside what the book's own sum gives."""

    value: CheckValue
    inputs: str
    expected: str
    reckoned: str
    allowed: str


@dataclass(frozen=True, slots=True)
class Group:
    """A sum with the check values that one source has for it."""

    function: str
    words: str
    rows: tuple[Row, ...]


@require_safe
def every_source(request: HttpRequest) -> HttpResponse:
    """The bibliography, all of it or the sources of one standing."""
    wanted = request.GET.get("standing", "")
    chosen = Standing(wanted) if wanted in set(Standing) else None
    values = check_values()
    listed = [(source, len(values.get(source.key, ()))) for source in sources.all().values()]
    counted = Counter(source.standing for source, _ in listed)
    context = {
        "listed": [(source, count) for source, count in listed if chosen in (None, source.standing)],
        "standings": [(standing, counted[standing]) for standing in Standing],
        "chosen": chosen,
        "held": sum(count for _, count in listed),
    }
    return render(request, "sources/list.html", context)


@require_safe
def one_source(request: HttpRequest, key: str) -> HttpResponse:
    """One source with its standing, what was read of it, and its check values."""
    source = sources.get(key)
    return render(request, "sources/source.html", {"source": source, "groups": _groups(source)})


def _groups(source: Source) -> list[Group]:
    found = sorted(check_values().get(source.key, ()), key=lambda value: value.function)
    return [
        Group(function, plain_words(function), tuple(map(_row, values)))
        for function, values in groupby(found, key=lambda value: value.function)
    ]


def _row(value: CheckValue) -> Row:
    inputs = joined(", ", (f"{name} = {_written(given)}" for name, given in value.inputs.items()))
    unit = _unit(value.unit)
    expected, reckoned = _written(value.expected), _shown(value.reckoned(), value.decimals)
    return Row(
        value,
        inputs,
        say("{expected} {unit}", expected=expected, unit=unit).rstrip(),
        say("{reckoned} {unit}", reckoned=reckoned, unit=unit).rstrip(),
        _allowed(value, unit),
    )


def _allowed(value: CheckValue, unit: str) -> str:
    if value.tolerance is None:
        return say("nothing")
    if value.tolerance <= _LAST_BITS:
        return say("the last bits of the computer's number")
    return (
        say("{written} %", written=_written(100 * value.tolerance))
        if value.relative
        else say("{written} {unit}", written=_written(value.tolerance), unit=unit).rstrip()
    )


def _unit(unit: str) -> str:
    return "" if unit == "1" else unit.replace("degC", "°C").replace("m3", "m³")


def _written(value: Any) -> str:
    """A value as its file has it."""
    if isinstance(value, list):
        return joined("; ", map(_written, value))
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if value == "nan" or (isinstance(value, float) and isnan(value)):
        return say("no number, being out of range")
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _shown(value: Any, decimals: int) -> str:
    """A reckoned value, rounded so that a difference which counts still shows."""
    if isinstance(value, list):
        return joined("; ", (_shown(each, decimals) for each in value))
    if isinstance(value, bool | str) or not isfinite(value):
        return _written(value)
    return show(value, decimals) if decimals < _MANY else _written(round(value, _MANY))
