"""Options made from fields, so that a command asks for exactly what the page asks for, in the same words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, tzinfo
from typing import Any

import click
from click.shell_completion import CompletionItem

from gylebook.errors import GylebookError, InputError, InputErrors, Refused
from gylebook.outputs.wording import Preferences, bare_unit, unit_words
from gylebook.phrases import say
from gylebook.steps.fields import CHOICE, COUNT, DATE, FLAG, LONG_TEXT, MOMENT, QUANTITY, TEXT, Field

_METAVARS = {COUNT: "COUNT", TEXT: "TEXT", LONG_TEXT: "LINE", FLAG: "[yes|no]", DATE: "YYYY-MM-DD"}
_PREFIX = "field_"  # keeps a field's name apart from the command's own parameters


class Written(click.ParamType[str]):
    """What was written for a field; read later by the field itself, so that page and command refuse alike."""

    def __init__(self, field: Field) -> None:
        self.field = field
        self.name = field.kind

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:
        del param, ctx
        if self.field.kind == CHOICE and sum(len(value) for value, _ in self.field.choices) <= 60:
            return f"[{'|'.join(value for value, _ in self.field.choices)}]"
        return {**_METAVARS, QUANTITY: "AMOUNT", CHOICE: "CHOICE", MOMENT: "MOMENT"}[self.field.kind]

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        del ctx, param
        choices = (("yes", ""), ("no", "")) if self.field.kind == FLAG else self.field.choices
        return [CompletionItem(value, help=words) for value, words in choices if value.startswith(incomplete.lower())]


def option_name(field: Field) -> str:
    """The option of a field: `tap_temp` is `--tap-temp`."""
    return f"--{field.name.replace('_', '-')}"


def option_of(field: Field) -> click.Option:
    """The option that asks for a field; a field of many lines may be given many times, one line each."""
    further: dict[str, Any] = {}
    if field.kind == FLAG:
        further["flag_value"] = "yes"  # the option alone means yes
        further["is_flag"] = False
    return click.Option(
        [option_name(field), f"{_PREFIX}{field.name}"],
        type=Written(field),
        multiple=field.kind == LONG_TEXT,
        help=help_of(field),
        **further,
    )


def confirm_option() -> click.Option:
    """`--confirm`, wherever a value can be unusual."""
    return click.Option(
        ["--confirm"], multiple=True, metavar="NAME", help="Insist on an unusual value; may be repeated."
    )


def help_of(field: Field) -> str:
    """Label, hint, units, range, default and its reason, in one line."""
    parts = [field.label + (" (needed)" if field.required and not field.default else "")]
    if field.hint:
        parts.append(f"such as {field.hint}" if field.hint[:1].isdigit() else field.hint)
    if field.kind == LONG_TEXT:
        parts.append("repeat the option for each line")
    if field.kind == QUANTITY:
        units = ", ".join(words for d in field.dimensions if (words := unit_words(d)))
        if units:
            parts.append(f"in {units}")
    if field.kind == CHOICE and sum(len(value) for value, _ in field.choices) > 60:
        parts.append(f"one of {', '.join(value for value, _ in field.choices)}")
    if field.default:
        because = f", {field.reason}" if field.reason else ""
        parts.append(f"left out, {field.default} is taken{because}")
    elif field.reason:
        parts.append(field.reason)
    return "; ".join(part.rstrip(".;") for part in parts) + "."


def written(fields: Iterable[Field], params: Mapping[str, Any]) -> dict[str, str]:
    """The texts that were given, by field name; many lines are joined, and what was left out is absent."""
    found: dict[str, str] = {}
    for field in fields:
        given = params.get(f"{_PREFIX}{field.name}")
        if given is None or given == ():
            continue
        found[field.name] = "\n".join(given) if isinstance(given, tuple) else str(given)
    return found


def read_all(
    fields: Iterable[Field],
    texts: Mapping[str, str],
    prefs: Preferences,
    *,
    confirmed: frozenset[str] = frozenset(),
    zone: tzinfo = UTC,
    required: bool = True,
) -> dict[str, Any]:
    """Read every field; each fault is gathered, so that one look mends them all.

    Parameters
    ----------
    fields
        What is asked for.
    texts
        What was written, by field name.
    prefs
        A bare number is read in the brewer's own unit.
    confirmed
        Names of fields on which the brewer insists.
    zone
        In which moments are meant.
    required
        Whether a needed field that was left out is a fault.

    Raises
    ------
    InputError
        With the option that would mend it.
    """
    values: dict[str, Any] = {}
    faults: list[InputError] = []
    for field in fields:
        if field.name not in texts and not (field.required and required):
            values[field.name] = "" if field.kind in {TEXT, LONG_TEXT, CHOICE} else None
            continue
        text, unit = texts.get(field.name, ""), bare_unit(field, prefs)
        try:
            values[field.name] = field.read(text, unit=unit, confirmed=field.name in confirmed, zone=zone)
        except InputError as fault:
            faults.append(_with_way_out(field, fault, text, unit, zone))
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise InputErrors(faults)
    return values


def _with_way_out(field: Field, fault: InputError, text: str, unit: str | None, zone: tzinfo) -> InputError:
    """The same fault, naming the option that is missing or that insists."""
    if not text.strip():
        return InputError(fault.field, say("nothing was written"), say("add {option}", option=option_name(field)))
    try:
        field.read(text, unit=unit, confirmed=True, zone=zone)
    except InputError:
        return fault
    name = option_name(field).removeprefix("--")
    remedy = say("{remedy} by adding --confirm {name}", remedy=fault.remedy, name=name)
    return InputError(fault.field, fault.problem, remedy, fault.suggestion)


def confirmed_names(given: Iterable[str], fields: Iterable[Field]) -> frozenset[str]:
    """The fields named by `--confirm`; a name of no field is refused, since it would insist on nothing.

    Raises
    ------
    InputError
        When there is no such field.
    """
    names = {field.name for field in fields}
    chosen = set()
    for each in given:
        name = each.strip().removeprefix("--").replace("-", "_")
        if name not in names:
            known = ", ".join(sorted(n.replace("_", "-") for n in names))
            raise InputError(
                "--confirm",
                say("“{name}” is not asked for here", name=each[:40]),
                say("name one of: {known}", known=known),
            )
        chosen.add(name)
    return frozenset(chosen)


def by_option(fault: InputError | Refused, fields: Iterable[Field]) -> InputError | Refused:
    """The same refusal; where its words name a field as the page labels it, they name the field's option."""
    names = {f"“{field.label}”": option_name(field) for field in fields}

    def said(words: str) -> str:
        for label, option in names.items():
            if label in words:  # what names no field can still be told in another language
                words = words.replace(label, option)
        return words

    def alike(one: InputError) -> InputError:
        return type(one)(one.field, said(one.problem), said(one.remedy), one.suggestion)

    if isinstance(fault, InputErrors):
        return InputErrors([alike(one) for one in fault.errors])
    return alike(fault) if isinstance(fault, InputError) else Refused(said(str(fault)))


def insist(
    fault: InputError | Refused, names: Iterable[str], attempt: Callable[[frozenset[str]], object]
) -> InputError | Refused:
    """The same refusal, telling how to insist where insisting on one field would let it pass.

    Parameters
    ----------
    fault
        What a step refused.
    names
        Fields on which the brewer has not insisted yet.
    attempt
        Asks the step again, with this field confirmed; deciding saves nothing, so it may be asked.
    """
    for name in names:
        try:
            attempt(frozenset({name}))
        except GylebookError:
            continue
        way = f"--confirm {name.replace('_', '-')}"
        if isinstance(fault, InputError):
            remedy = say("{remedy}, or insist by adding {way}", remedy=fault.remedy, way=way)
            return InputError(fault.field, fault.problem, remedy, fault.suggestion)
        return Refused(say("{fault} To insist, add {way}.", fault=fault, way=way))
    return fault
