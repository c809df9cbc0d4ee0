"""`gylebook reckon`: the sums without a brew. No book is opened and no database is read."""

from __future__ import annotations

import os
import shlex
from datetime import datetime
from functools import partial
from typing import Any

import click

from gylebook.cli.command import GyleCommand, GyleGroup, give, json_option, width, working, working_option
from gylebook.cli.options import confirm_option, confirmed_names, option_name, option_of, read_all, written
from gylebook.steps.decision import Sum

# Threads for linear algebra cost a fifth of NumPy's start and help no sum: each is a handful of numbers.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


class Sums(GyleGroup):
    """One command for each sum; the list is read when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        from gylebook.steps.sums import SUMS

        return list(SUMS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        from gylebook.steps.sums import SUMS

        found = SUMS.get(cmd_name.replace("-", "_")) or SUMS.get(cmd_name)
        return None if found is None else sum_command(found)


def sum_command(of: Sum) -> click.Command:
    """The command of one sum."""
    return GyleCommand(
        of.word,
        params=[*map(option_of, of.fields), confirm_option(), _in(), working_option(), json_option()],
        callback=partial(_reckon, of),
        help=f"{of.title}. {of.question}",
        short_help=of.question,
        examples=(example_of(of),) if of.example else (),
    )


def example_of(of: Sum) -> str:
    """The sum's worked example as a command line."""
    fields = {field.name: field for field in of.fields}
    asked = [
        f"{option_name(fields[name])} {shlex.quote(line)}"
        for name, text in of.example.items()
        for line in text.splitlines()
    ]
    return " ".join(["gylebook reckon", of.word, *asked])


def _in() -> click.Option:
    return click.Option(
        ["--in", "in_units"],
        multiple=True,
        metavar="UNIT",
        help="Show figures in this unit, and read bare numbers in it (US gal, °F, oz, °P ...); may be repeated.",
    )


def _reckon(of: Sum, confirm: tuple[str, ...], in_units: tuple[str, ...], **params: Any) -> None:
    from gylebook.outputs.wording import Preferences, with_unit

    here = datetime.now().astimezone().tzinfo
    assert here is not None
    prefs = Preferences(zone=here)
    for unit in in_units:
        prefs = with_unit(prefs, unit)
    confirmed = confirmed_names(confirm, of.fields)
    texts = written(of.fields, params)
    values = read_all(of.fields, texts, prefs, confirmed=confirmed, zone=here)
    answer = of.reckon(values)

    def text() -> str:
        from gylebook.cli.wording import answer_text

        return answer_text(answer, prefs, width=width(), with_working=working())

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import answer_shape

        told = {"sum": of.word, "asked": texts, **answer_shape(answer)}
        if answer.course is not None:
            from gylebook.outputs.outlook_shape import course_shape

            told["fan"] = course_shape(answer.course)
        return told

    give("sum", plain, text)


@click.group(cls=Sums, examples=("gylebook reckon", "gylebook reckon priming --help"))
def command() -> None:
    """Do one of the sums without a brew.

    A number may carry its unit, as in “68F” or “5 US gal”; a bare one is metric unless --in says otherwise.
    """
