"""`gylebook`: the command line's front door, and the one place where errors become sentences.

Nothing but click is imported until a command is chosen, so that help is there at once.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from typing import Any

import click

from gylebook import __version__
from gylebook.cli.command import FOR_MACHINES, GyleGroup
from gylebook.cli.spoken import echo, speak_by_environment
from gylebook.errors import GylebookError
from gylebook.phrases import Told, say, speaking, tell

# Each command with the line that the list of commands shows; a test holds it against the command's own help.
COMMANDS: dict[str, str] = {
    "serve": "Open the book in the browser, on this computer or for the house.",
    "next": "Say what is due, across all brews or for one.",
    "cellar": "Say what stands in bottles where, and what warm weather does to it.",
    "outlook": "Say where BREW is going, and how sure that is.",
    "danger": "Say what to do with bottles that may burst; no brew is needed.",
    "brews": "List the brews, or open one with its answer and its log.",
    "log": "Write something down in a brew's log.",
    "ask": "Ask the book one of its questions about a brew.",
    "shelf": "Keep kits, instruments, vessels, places, bottles, stock and settings.",
    "reckon": "Do one of the sums without a brew.",
    "print": "Print labels, cap dots, sheets and slips, as PDF files.",
    "calendar": "Write what is due as a calendar file (iCalendar), for any calendar to read.",
    "notices": "Post what is due or dangerous to addresses of your own.",
    "export": "Write the whole book, or its tables, to a file of your own.",
    "import": "Read a book's file, or a table of readings, into the book.",
    "backup": "Make a verified copy of the book, while it is in use.",
    "restore": "Bring the book back to a backup.",
    "check-book": "Read every entry and check that nothing is damaged.",
    "demo": "Fill, empty or remove the invented example book.",
    "pair": "Show a code that makes one phone a device of the book.",
    "devices": "List the devices that are signed in, or sign them out.",
    "people": "List who may write in the book, invite somebody, or take somebody out.",
    "password": "Set or replace a password, from this computer.",
    "tokens": "Let a script or a sensor read or write the book, without a password, and take that back.",
    "law": "Say what the law lets one brew at home, give away and take along.",
    "sources": "Show where the numbers come from.",
    "completion": "Print the script that completes commands in your shell.",
}

REPORT = say("This is a fault of Gylebook: please report it as README.md says, with what you typed")
UNEXPECTED = 70
STOPPED = 130


class Book(GyleGroup):
    """The top of all commands; each is imported only when it is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in COMMANDS:
            return None
        from importlib import import_module

        command: click.Command = import_module(f"gylebook.cli.{cmd_name.replace('-', '_')}_cmd").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _version(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
    if value:
        echo(f"gylebook {__version__}")
        ctx.exit()


@click.command(
    "gylebook",
    cls=Book,
    invoke_without_command=True,
    examples=("gylebook serve", "gylebook next", "gylebook log 1 reading --gravity 1.014 --temp 21"),
)
@click.option("--demo", is_flag=True, help="Use the invented example book instead of your own.")
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="Say the version.")
@click.pass_context
def book(ctx: click.Context, demo: bool) -> None:
    """A gyle book that reckons: write down what you saw, and read what it means and what to do next.

    Without a command, the book opens in the browser, as with “gylebook serve”.
    """
    ctx.meta["gylebook.book"] = "demo" if demo else "default"
    if ctx.invoked_subcommand is None:
        command = book.get_command(ctx, "serve")
        assert command is not None
        ctx.invoke(command)


def run() -> None:
    """The console script."""
    gc.disable()  # nothing made while a command starts is rubbish yet; the book's door switches it on again
    sys.exit(main(sys.argv[1:]))


def main(args: Sequence[str]) -> int:
    """Carry out one command line, in the language that the environment or the book names, and return its exit code."""
    with speaking(None):
        speak_by_environment()
        return _carried_out(args)


def _carried_out(args: Sequence[str]) -> int:
    machine = FOR_MACHINES in args
    try:
        code = book.main(args=list(args), prog_name="gylebook", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as fault:
        return _helped(fault)
    except click.ClickException as fault:
        return _told(_usage(fault), machine)
    except click.Abort:
        echo(say("Stopped; nothing further was written."), err=True)
        return STOPPED
    except GylebookError as fault:
        return _told(fault, machine)
    except BrokenPipeError:
        # The reader has gone, as after `| head`: say nothing, and keep Python from trying once more at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except Exception as fault:
        if os.environ.get("GYLEBOOK_DEBUG") == "1":
            raise
        what = " ".join(f"{type(fault).__name__}: {fault}".split())
        echo(say("{what}. {report}; GYLEBOOK_DEBUG=1 shows the inner workings.", what=what, report=REPORT), err=True)
        return UNEXPECTED
    return code if isinstance(code, int) else 0


def _helped(fault: click.exceptions.NoArgsIsHelpError) -> int:
    """Help instead of nothing: the answer where nothing more was needed, a fault where something is missing."""
    assert fault.ctx is not None
    lacking = any(param.required for param in fault.ctx.command.params)
    echo(fault.ctx.get_help(), err=lacking)
    return fault.exit_code if lacking else 0


def _usage(fault: click.ClickException) -> GylebookError:
    """A command line that click cannot read, as one of the book's own errors."""
    from gylebook.errors import InputError

    ctx = fault.ctx if isinstance(fault, click.UsageError) else None
    path = ctx.command_path if ctx else "gylebook"
    message = fault.format_message()
    problem = (message if isinstance(message, Told) else " ".join(message.split())).rstrip(".?")
    return InputError(say("Command line"), problem, say("“{path} --help” shows what can be written here", path=path))


def _told(fault: GylebookError, machine: bool) -> int:
    from gylebook.errors import InputErrors

    if machine:
        from gylebook.outputs.shapes import as_json, error_shape, shape

        echo(as_json(shape("error", error_shape(fault))), err=True)
        return fault.exit_code
    faults: list[Any] = list(fault.errors) if isinstance(fault, InputErrors) else [fault]
    for each in faults:
        echo(" ".join(tell(str(each)).split()), err=True)
    return fault.exit_code
