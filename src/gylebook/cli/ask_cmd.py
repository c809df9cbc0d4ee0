"""`gylebook ask BREW STEP`: the question of each step, with its what-ifs."""

from __future__ import annotations

from functools import partial
from typing import Any

import click

from gylebook.cli.command import GyleCommand, GyleGroup, give, json_option, width, working, working_option
from gylebook.cli.door import open_book
from gylebook.cli.examples import ASK_EXAMPLES
from gylebook.cli.options import confirm_option, confirmed_names, option_of, read_all, written
from gylebook.phrases import say
from gylebook.steps.decision import Step


class Steps(GyleGroup):
    """One command for each step."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        from gylebook.steps.catalogue import WORDS

        return list(WORDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        from gylebook.steps.catalogue import WORDS, step

        word = cmd_name.replace("-", "_")
        return step_command(step(word)) if word in WORDS else None


def step_command(of: Step) -> click.Command:
    """The command of one step: its question, with what may be supposed."""
    return GyleCommand(
        of.word,
        params=[*map(option_of, of.ask), confirm_option(), working_option(), json_option()],
        callback=partial(_ask, of),
        help=f"{of.title}. {of.question}\n\nWhat is left out is taken from the brew or assumed, as the answer says.",
        short_help=of.question,
        examples=ASK_EXAMPLES.get(of.word, ()),
    )


def _ask(of: Step, confirm: tuple[str, ...], **params: Any) -> None:
    parent = click.get_current_context().parent
    assert parent is not None
    opened = open_book()
    from gylebook.store import brew_log

    brew = brew_log.read(parent.params["brew"].lstrip("#"), book=opened.book)
    confirmed = confirmed_names(confirm, of.ask)
    texts = written(of.ask, params)
    values = read_all(of.ask, texts, opened.prefs, confirmed=confirmed, zone=opened.prefs.zone, required=False)
    asked = {name: value for name, value in values.items() if name in texts}
    answer = of.answer(brew, opened.setting(confirmed), asked)

    def text() -> str:
        from gylebook.cli.wording import Page, write_answer

        page = Page(width())
        page.line(say("Brew {id}, {brew}. {question}", id=brew.id, brew=brew.name, question=of.question))
        page.gap()
        write_answer(page, answer, opened.prefs, with_working=working())
        return page.text()

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import answer_shape

        return {"brew": brew.id, "step": of.word, "asked": texts, **answer_shape(answer)}

    give("answer", plain, text)


@click.group(
    cls=Steps,
    examples=("gylebook ask 1 finishing", "gylebook ask 1 priming --working"),
    short_help="Ask the book one of its questions about a brew.",
)
@click.argument("brew")
def command(brew: str) -> None:
    """Ask the book one of its questions about BREW, a brew's number.

    Options suppose something for this once (“what if”); nothing is written down.
    """
    del brew  # the steps below read it
