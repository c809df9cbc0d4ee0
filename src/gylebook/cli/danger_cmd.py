"""`gylebook danger`: what to do with bottles that may burst."""

from __future__ import annotations

from typing import Any

import click

from gylebook.cli.command import GyleCommand, give, width, with_working, working
from gylebook.cli.door import open_book


@click.command(cls=GyleCommand, examples=("gylebook danger",))
@with_working
def command() -> None:
    """Say what to do with bottles that may burst; no brew is needed.

    As a paper to hang beside them: “gylebook print danger”. With the numbers of one brew: “gylebook ask BREW
    conditioning”.
    """
    opened = open_book()
    from gylebook.steps.conditioning import dangerous_bottles

    answer = dangerous_bottles()

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import answer_shape

        return answer_shape(answer)

    def text() -> str:
        from gylebook.cli.wording import answer_text

        return answer_text(answer, opened.prefs, width=width(), with_working=working())

    give("danger", plain, text)
