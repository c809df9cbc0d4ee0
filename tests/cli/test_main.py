from __future__ import annotations

import importlib
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest

from gylebook import __version__
from gylebook.cli import main as front
from gylebook.cli.main import COMMANDS, STOPPED, UNEXPECTED
from gylebook.errors import Conflict, InputError, InputErrors, NotFound, StoreUnavailable


def console(*args: str, **env: str) -> subprocess.CompletedProcess[str]:
    """The real thing, in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "gylebook", *args],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **env},
    )


def test_the_version_is_told(told) -> None:
    assert told("--version").out == f"gylebook {__version__}\n"
    assert console("--version").stdout == f"gylebook {__version__}\n"


@pytest.mark.parametrize("name", COMMANDS)
def test_the_list_of_commands_says_what_the_command_itself_says(name: str) -> None:
    command = importlib.import_module(f"gylebook.cli.{name.replace('-', '_')}_cmd").command
    assert command.get_short_help_str(limit=200) == COMMANDS[name]


def test_help_lists_every_command_without_importing_one() -> None:
    code = (
        "import sys; from gylebook.cli.main import main; main(['--help']); "
        "heavy = {'numpy', 'django', 'msgspec'} & set(sys.modules); "
        "own = [m for m in sys.modules if m.startswith('gylebook.') and m.endswith('_cmd')]; "
        "sys.exit(f'{heavy} {own}' if heavy or own else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert all(name in done.stdout for name in COMMANDS)


def test_a_command_that_is_not_there_is_one_sentence_and_exit_code_2(told) -> None:
    answer = told("froth")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err == "Command line: No such command 'froth'; “gylebook --help” shows what can be written here.\n"


@pytest.fixture
def failing(monkeypatch):
    """Makes `gylebook sources` fail as told."""

    def make(error: BaseException) -> None:
        def fail(self, ctx: click.Context, name: str) -> click.Command:
            raise error

        monkeypatch.setattr(front.Book, "get_command", fail)

    return make


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (InputError("Gravity", "“abc” is not a number", "write digits"), 2),
        (NotFound("There is no brew 9 in this book; look for it in the list of brews."), 2),
        (Conflict("Somebody else wrote first; repeat."), 4),
        (StoreUnavailable("The book is busy; try again."), 6),
    ],
)
def test_the_books_own_errors_are_their_sentence_and_their_exit_code(told, failing, error, code: int) -> None:
    failing(error)
    answer = told("sources")
    assert (answer.code, answer.out, answer.err) == (code, "", f"{error}\n")


def test_several_faults_are_told_one_to_a_line(told, failing) -> None:
    failing(InputErrors([InputError("Gravity", "a", "b"), InputError("Volume", "c", "d")]))
    assert told("sources").err == "Gravity: a; b.\nVolume: c; d.\n"


def test_a_program_is_told_the_fault_by_its_parts(told, failing) -> None:
    failing(InputError("Gravity", "1062 cannot be", "write a value from 0.98 to 1.2", "1.062"))
    answer = told("sources", "--json")
    plain = importlib.import_module("json").loads(answer.err)
    assert (plain["shape"], plain["kind"], plain["exit_code"]) == ("error", "InputError", 2)
    assert plain["faults"][0]["suggestion"] == "1.062"


def test_an_unexpected_error_is_not_swallowed_and_says_where_to_report_it(told, failing, monkeypatch) -> None:
    failing(RuntimeError("the yeast\nwent on strike"))
    monkeypatch.delenv("GYLEBOOK_DEBUG", raising=False)
    answer = told("sources")
    assert answer.code == UNEXPECTED
    assert "RuntimeError: the yeast went on strike" in answer.err
    assert "please report it" in answer.err
    assert "Traceback" not in answer.err
    monkeypatch.setenv("GYLEBOOK_DEBUG", "1")
    with pytest.raises(RuntimeError):
        told("sources")


def test_stopping_is_told_and_is_no_fault(told, failing) -> None:
    failing(KeyboardInterrupt())
    answer = told("sources")
    assert (answer.code, answer.err.strip()) == (STOPPED, "Stopped; nothing further was written.")


def test_a_reader_that_has_gone_is_not_complained_about() -> None:
    done = subprocess.run(
        f"{sys.executable} -m gylebook sources | head -n 1", shell=True, capture_output=True, text=True, check=False
    )
    assert done.stdout.startswith("tanaka_2001")
    assert done.stderr == ""


def test_both_ways_of_starting_are_the_same_command() -> None:
    script = Path(sys.executable).parent / "gylebook"
    by_script = subprocess.run([script, "--help"], capture_output=True, text=True, check=False)
    assert by_script.stdout == console("--help").stdout
    assert by_script.stdout.startswith("Usage: gylebook ")


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("gylebook ba", {"plain,backup"}),
        ("gylebook reckon pri", {"plain,priming"}),
        ("gylebook log 1 hops", {"plain,hops_out"}),
        ("gylebook log 1 reading --fizz f", {"plain,flat", "plain,fizzy"}),
        ("gylebook log 1 reading --grav", {"plain,--gravity"}),
        ("gylebook completion z", {"plain,zsh"}),
    ],
)
def test_a_shell_completes_commands_acts_options_and_choices(typed: str, offered: set[str]) -> None:
    words = typed.split()
    done = console(
        COMP_WORDS=typed, COMP_CWORD=str(len(words) - 1), _GYLEBOOK_COMPLETE="bash_complete", PYTHONWARNINGS="error"
    )
    assert set(done.stdout.split()) == offered


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_completion_script_is_of_the_shell_that_was_asked_for(told, shell: str) -> None:
    plain = told("completion", shell, "--json").plain
    assert plain["shell"] == shell
    assert f"{shell}_complete" in plain["script"]
    assert told("completion", "csh").code == 2
