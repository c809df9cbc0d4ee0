"""Every example of every help text is carried out, against a book of its own."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator

import pytest

from gylebook.cli.examples import ACT_EXAMPLES, CORRECT_EXAMPLES, SHELF_EXAMPLES
from gylebook.cli.main import COMMANDS
from gylebook.cli.manual import contexts
from gylebook.steps.catalogue import acts
from gylebook.steps.shelf import SHELF_ACTS

# Starts a server, or needs one; tests of their own look after them.
SERVES = {"gylebook serve", "gylebook pair"}


def examples() -> list[str]:
    """All examples, in the order of the help, each once."""
    return list(dict.fromkeys(example for ctx in contexts() for example in getattr(ctx.command, "examples", ())))


def moment(example: str) -> str:
    found = re.search(r"--when '([^']+)'", example)
    assert found, f"an act's example says when: {example}"
    return found[1]


def story() -> Iterator[str]:
    """The shelf, the brews from their plan to their end, corrections; then everything that reads, in its order."""
    told = [
        *(e for each in SHELF_EXAMPLES.values() for e in each),
        *sorted((e for each in ACT_EXAMPLES.values() for e in each), key=moment),
        *CORRECT_EXAMPLES,
    ]
    yield from told
    rest = [e for e in examples() if e not in told and not any(e.startswith(s) for s in SERVES)]
    # The frame's own examples show what its commands do; the first one names a brew of the story.
    yield from rest


def test_every_command_has_an_example() -> None:
    lacking = [ctx.command_path for ctx in contexts() if not getattr(ctx.command, "examples", ())]
    allowed = {f"gylebook log BREW correct SEQ {name}" for name in acts()} | {
        f"gylebook demo {name}" for name in ("fill", "reset", "leave")
    }
    allowed.add("gylebook notices test")  # asks another computer, which no test does
    assert set(lacking) <= allowed


def test_every_act_and_every_act_of_the_shelf_has_its_example() -> None:
    assert set(ACT_EXAMPLES) == set(acts())
    assert set(SHELF_EXAMPLES) == {act.name for act in SHELF_ACTS}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Where the examples find the files that they name."""
    (tmp_path / "password.txt").write_text("hop vines and slow yeast\n")
    (tmp_path / "readings.csv").write_text("date,gravity,temperature\n2026-09-10,1.020,20\n2026-09-12,1.014,20\n")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_every_example_of_every_help_text_works(told, own_book, folder) -> None:
    done: list[str] = []
    for example in story():
        line, _, source = example.partition(" < ")
        program, *args = shlex.split(line)
        assert program == "gylebook"
        typed = (folder / source).read_text() if source else "warm cellar, cold bread\nwarm cellar, cold bread\n"
        answer = told(*args, written=typed)
        assert (answer.code, answer.err) == (0, ""), f"{example}\n{answer.err}"
        assert answer.out.strip(), example
        done.append(example)
    assert set(examples()) - set(done) == {e for e in examples() if any(e.startswith(s) for s in SERVES)}
    assert {args.split()[1] for args in done} >= set(COMMANDS) - {"serve", "pair"}
