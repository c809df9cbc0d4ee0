"""The command line, carried out in this process or as a process of its own, at any moment of an invented autumn."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import time_machine
from click.testing import CliRunner

from gylebook.cli.main import main

BEGIN = datetime(2026, 9, 5, 9, 0, tzinfo=UTC)  # a Saturday


@dataclass(frozen=True)
class Told:
    """What a command line came to."""

    code: int
    out: str
    err: str

    @property
    def plain(self) -> Any:
        """The answer of `--json`."""
        assert self.code == 0, self.err
        return json.loads(self.out)

    @property
    def fault(self) -> Any:
        """The refusal of `--json`."""
        assert self.code != 0, self.out
        return json.loads(self.err)


def told(*args: str, day: float | None = None, written: str = "") -> Told:
    """Carry out one command line in this process, so many days after the begin (now, where none is given)."""
    with ExitStack() as held:
        if day is not None:
            held.enter_context(time_machine.travel(BEGIN + timedelta(days=day), tick=False))
        out, err, _ = held.enter_context(CliRunner().isolation(input=written))
        code = main(args)
        return Told(code, out.getvalue().decode(), err.getvalue().decode())


def options(texts: Mapping[str, str]) -> list[str]:
    """Texts by field name as options; a text of many lines is given line by line."""
    return [
        word
        for name, text in texts.items()
        for line in text.splitlines() or [""]
        for word in (f"--{name.replace('_', '-')}", line)
    ]


def process(home: Path, *args: str) -> subprocess.CompletedProcess[bytes]:
    """The same as a process of its own, in a data folder of its own."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("GYLEBOOK_", "DATABASE_URL"))}
    env = {**kept, "GYLEBOOK_HOME": str(home), "GYLEBOOK_TIME_ZONE": "Europe/London"}
    return subprocess.run(
        [sys.executable, "-m", "gylebook", *args], env=env, capture_output=True, timeout=60, check=False
    )
