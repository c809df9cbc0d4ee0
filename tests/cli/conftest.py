from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import pytest
from click.testing import CliRunner

from books import opened
from gylebook.cli.main import main


@dataclass(frozen=True)
class Told:
    """What a command line came to."""

    code: int
    out: str
    err: str

    @property
    def plain(self) -> Any:
        return json.loads(self.out)


def command_line(*args: str, written: str = "") -> Told:
    """Carry out one command line in this process, as the console script would."""
    with CliRunner().isolation(input=written) as (out, err, _):
        code = main(args)
        return Told(code, out.getvalue().decode(), err.getvalue().decode())


@pytest.fixture
def told():
    """Carries out a command line."""
    return command_line


@pytest.fixture
def own_book(library, settings, tmp_path):
    """An empty book, and a data folder of its own."""
    settings.HOME = tmp_path / "home"
    settings.TIME_ZONE = "Europe/London"
    with opened("default", library.settings("sqlite")) as alias, opened("demo", library.settings("sqlite")):
        yield alias


@pytest.fixture(scope="module")
def example(library, tmp_path_factory):
    """The example book, filled once for all tests here; they only read."""
    from django.conf import settings

    from books import opened

    home = settings.HOME
    settings.HOME = tmp_path_factory.mktemp("home")
    with opened("default", library.settings("sqlite")), opened("demo", library.settings("sqlite")) as alias:
        assert main(["demo", "fill"]) == 0
        yield alias
    settings.HOME = home
