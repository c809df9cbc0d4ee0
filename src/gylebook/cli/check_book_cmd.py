"""`gylebook check-book`: is every entry there, and does it still read?"""

from __future__ import annotations

from typing import Any

import click

from gylebook.cli.command import GyleCommand, for_machines, give, width
from gylebook.cli.door import ready
from gylebook.errors import JournalDamaged
from gylebook.phrases import say


@click.command(cls=GyleCommand, examples=("gylebook check-book", "gylebook check-book --json"))
@for_machines
@click.pass_context
def command(ctx: click.Context) -> None:
    """Read every entry and check that nothing is damaged.

    Nothing is changed. The exit code is 5 where something is damaged, and 0 where all is well or mends itself.
    """
    book, _ = ready()
    from gylebook.steps.answers import Urgency
    from gylebook.store.check_book import check_book

    findings = check_book(book=book)
    damaged = any(finding.urgency is Urgency.DANGER for finding in findings)

    def text() -> str:
        from gylebook.cli.wording import Page, write_findings

        page = Page(width())
        page.line(say("Something is damaged.") if damaged else say("Every entry is there and reads back."))
        write_findings(page, findings)
        return page.text()

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import finding_shape

        return {"damaged": damaged, "findings": [finding_shape(finding) for finding in findings]}

    give("check", plain, text)
    if damaged:
        ctx.exit(JournalDamaged.exit_code)
