"""Answers, entries and tasks as plain values for machines: stable names, ISO 8601 moments, base units.

A shape only ever gains names; a name that changes its meaning raises SHAPE_VERSION.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

import msgspec

from gylebook import sources
from gylebook.errors import GylebookError, InputError, InputErrors
from gylebook.journal.codec import plain_of
from gylebook.journal.state import Brew, Entry
from gylebook.outputs.entries import entry_words
from gylebook.phrases import Told, tell, tell_hook, untold
from gylebook.steps.answers import Answer, Deed, Figure, Finding, MomentFigure, Option, Working
from gylebook.units import convert, units_of

SHAPE_VERSION = 1

Plain = dict[str, Any]


def iso(at: datetime) -> str:
    """A moment as ISO 8601 in UTC, to the second, closed by a Z."""
    return at.astimezone(UTC).replace(microsecond=0, tzinfo=None).isoformat() + "Z"


def shape(name: str, plain: Mapping[str, Any]) -> Plain:
    """The outermost object of every answer to a machine."""
    return {"shape": name, "shape_version": SHAPE_VERSION, **plain}


def as_json(plain: Mapping[str, Any]) -> str:
    """JSON text, indented, in the order of the names given."""
    return msgspec.json.format(msgspec.json.encode(plain, enc_hook=_plain), indent=2).decode()


def _plain(value: Any) -> Any:
    if isinstance(value, frozenset | set):
        return sorted(value)
    if isinstance(value, Told):
        return tell(value)
    raise NotImplementedError(f"{type(value).__name__} has no shape")


def _number(value: float) -> float | None:
    """JSON knows neither NaN nor infinity."""
    return value if math.isfinite(value) else None


# --- answers --------------------------------------------------------------------------------------------------


def working_shape(working: Working) -> Plain:
    """A working with its sources written out."""
    return {
        "relation": working.relation,
        "inputs": [
            {"name": g.name, "value": g.value, "basis": g.basis.key, "where": g.where, "seq": g.seq}
            for g in working.inputs
        ],
        "steps": list(working.steps),
        "cautions": list(working.cautions),
        "sources": [source_shape(sources.get(key)) for key in working.sources],
    }


def source_shape(source: sources.Source) -> Plain:
    """One entry of the bibliography."""
    return {
        "key": source.key,
        "citation": source.citation,
        "standing": source.standing.value,
        "meaning": source.standing.meaning,
        "note": source.note,
    }


def figure_shape(figure: Figure | MomentFigure) -> Plain:
    """A figure with its interval; numbers in the base unit of their dimension, moments in UTC."""
    if isinstance(figure, MomentFigure):
        ends: Plain = {"value": iso(figure.value), "low": iso(figure.low), "high": iso(figure.high)}
        ends |= {"half_low": None, "half_high": None}
        if figure.half is not None:
            ends |= {"half_low": iso(figure.half[0]), "half_high": iso(figure.half[1])}
        return {
            "key": figure.key, "label": figure.label, **ends, "unit": "", "dimension": "moment",
            "interval": figure.interval, "words": "", "working": working_shape(figure.working),
        }  # fmt: skip
    unit = units_of(figure.dimension)[0].symbol if figure.dimension else figure.unit
    value, low, high, half_low, half_high = (
        None if v is None else _number(convert(v, figure.unit, unit, figure.dimension) if figure.dimension else v)
        for v in (figure.value, figure.low, figure.high, *(figure.half or (None, None)))
    )
    return {
        "key": figure.key,
        "label": figure.label,
        "value": value,
        "low": low,
        "high": high,
        "half_low": half_low,
        "half_high": half_high,
        "unit": unit,
        "dimension": figure.dimension,
        "interval": figure.interval,
        "words": figure.words,
        "working": working_shape(figure.working),
    }


def finding_shape(finding: Finding) -> Plain:
    """Something noticed."""
    return {
        "urgency": finding.urgency.key,
        "key": finding.key,
        "text": finding.text,
        "check": finding.check,
        "seq": finding.seq,
    }


def option_shape(option: Option) -> Plain:
    """One row of a comparison."""
    return {
        "name": option.name,
        "chosen": option.chosen,
        "words": option.words,
        "figures": [figure_shape(f) for f in option.figures],
    }


def deed_shape(deed: Deed) -> Plain:
    """One thing to do of a plan."""
    return {
        "key": deed.key,
        "urgency": deed.urgency.key,
        "name": deed.name,
        "words": deed.words,
        "figures": [figure_shape(f) for f in deed.figures],
    }


def answer_shape(answer: Answer) -> Plain:
    """An answer, best part first."""
    return {
        "headline": answer.headline,
        "why": answer.why,
        "urgency": answer.urgency.key,
        "figures": [figure_shape(f) for f in answer.figures],
        "findings": [finding_shape(f) for f in answer.findings],
        "plan": [deed_shape(d) for d in answer.plan],
        "options": [option_shape(o) for o in answer.options],
        "missing": answer.missing,
        "assumed": list(answer.assumed),
        "rule_of_thumb": answer.rule_of_thumb,
        "cautions": list(answer.cautions),
    }


# --- the journal ----------------------------------------------------------------------------------------------


def entry_shape(entry: Entry, brew: Brew | None = None) -> Plain:
    """An entry exactly as written, with its sentence; quantities keep their text and their unit.

    `struck` is true for an entry that a later one corrected or withdrew; it needs the folded brew to be known.
    """
    return {
        "brew": entry.brew,
        "seq": entry.seq,
        "kind": entry.kind,
        "version": entry.version,
        "happened_at": iso(entry.happened_at),
        "recorded_at": iso(entry.recorded_at),
        "recorded_by": entry.recorded_by,
        "source": entry.source,
        "command_id": entry.command_id,
        "struck": brew is not None and entry.seq in brew.struck,
        "words": entry_words(entry.body),
        "body": plain_of(entry.body),
    }


def value_shape(value: Any) -> Any:
    """A plain value; a moment as ISO 8601 in UTC, a day as ISO 8601."""
    if isinstance(value, datetime):
        return iso(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): value_shape(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [value_shape(each) for each in value]
    if isinstance(value, msgspec.Struct):
        return value_shape(msgspec.to_builtins(value, enc_hook=tell_hook))
    return value


def error_shape(error: GylebookError) -> Plain:
    """A refusal: the sentence, its exit code, and for something unreadable the field and the obvious reading."""
    faults = error.errors if isinstance(error, InputErrors) else [error] if isinstance(error, InputError) else []
    return {
        "kind": type(error).__name__,
        "exit_code": error.exit_code,
        "message": str(error),
        "faults": [
            {
                "field": untold(f.field),  # programs know it by this, and may send the suggestion back
                "problem": f.problem,
                "remedy": f.remedy,
                "suggestion": untold(f.suggestion) if f.suggestion else f.suggestion,
            }
            for f in faults
        ],
    }
