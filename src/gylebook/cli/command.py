"""What every command has: worked examples in its help, and one way to speak to people and to machines."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import click

from gylebook.cli.spoken import echo

FOR_MACHINES = "--json"
_JSON, _WORKING = "gylebook.json", "gylebook.working"
_NARROWEST, _WIDEST = 40, 100

F = TypeVar("F", bound=Callable[..., Any])


def width() -> int:
    """Columns to write in: the terminal's, within reason."""
    return min(max(shutil.get_terminal_size((80, 24)).columns, _NARROWEST), _WIDEST)


class _WithExamples:
    """Help that ends in examples which a test carries out."""

    examples: tuple[str, ...]

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        if not self.examples:
            return
        with formatter.section("Examples" if len(self.examples) > 1 else "Example"):
            for example in self.examples:
                formatter.write(f"{'':>{formatter.current_indent}}{example}\n")


class GyleCommand(_WithExamples, click.Command):
    """A command that is carried out."""

    def __init__(self, *args: Any, examples: Sequence[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.examples = tuple(examples)


class GyleGroup(_WithExamples, click.Group):
    """A command with commands below it."""

    def __init__(self, *args: Any, examples: Sequence[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.examples = tuple(examples)


def _note(key: str) -> Callable[[click.Context, click.Parameter, bool], None]:
    def noted(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
        if value:
            ctx.meta[key] = True

    return noted


def json_option() -> click.Option:
    """`--json`, on every command."""
    return click.Option(
        [FOR_MACHINES],
        is_flag=True,
        is_eager=True,
        expose_value=False,
        callback=_note(_JSON),
        help="Answer as JSON, for a program.",
    )


def working_option() -> click.Option:
    """`--working`, on every command that shows a reckoned figure."""
    return click.Option(
        ["--working"],
        is_flag=True,
        expose_value=False,
        callback=_note(_WORKING),
        help="Show how each figure was reached: inputs, relation and sources.",
    )


def for_machines(function: F) -> F:
    """Decorator: give a command its `--json`."""
    return _with(function, json_option())


def with_working(function: F) -> F:
    """Decorator: give a command its `--json` and its `--working`."""
    return _with(_with(function, json_option()), working_option())


def _with(function: F, option: click.Option) -> F:
    # Where click keeps what its own decorators collect, the last one first.
    function.__dict__.setdefault("__click_params__", []).append(option)
    return function


def machine() -> bool:
    """Whether the answer goes to a program."""
    return bool(click.get_current_context().meta.get(_JSON))


def working() -> bool:
    """Whether the working of each figure was asked for."""
    return bool(click.get_current_context().meta.get(_WORKING))


def give(shape_name: str, plain: Callable[[], Mapping[str, Any]], text: Callable[[], str]) -> None:
    """Answer as JSON or as text; only the one that is asked for is made."""
    if machine():
        from gylebook.outputs.shapes import as_json, shape

        echo(as_json(shape(shape_name, plain())))
    else:
        echo(text())
