"""`gylebook notices`: addresses to which the book posts what is due, and the sending itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, GyleGroup, for_machines, give, width
from gylebook.cli.door import ACTOR, OpenBook, only_own_book, open_book
from gylebook.errors import Refused
from gylebook.phrases import joined, say, say_count

if TYPE_CHECKING:
    from gylebook.store.notices import Standing


@click.group(
    cls=GyleGroup,
    examples=("gylebook notices list", "gylebook notices send"),
)
def command() -> None:
    """Post what is due or dangerous to addresses of your own.

    A book that is open sends by itself, every minute. Each decision is told once, and once more if it becomes more
    urgent; what is done is not told. What is not taken is tried again after 1 min, 5 min, 30 min, 2 h and 12 h, and
    then given up. The book can reach whatever this computer can reach, your home network too.
    """


@command.command("list", cls=GyleCommand, examples=("gylebook notices list",))
@for_machines
def list_() -> None:
    """List the addresses, and how it goes with them."""
    opened = _opened()
    from gylebook.store.notices import standings

    found = standings()

    def text() -> str:
        from gylebook.cli.wording import Page

        page = Page(width())
        for each in found:
            _write(page, each, opened)
        return page.text() or say("No address is given: “gylebook notices add ADDRESS” adds one.")

    give("notices", lambda: {"addresses": [_plain(each) for each in found]}, text)


@command.command("add", cls=GyleCommand, examples=("gylebook notices add http://192.168.1.20:8123/brewing",))
@click.argument("address")
@click.option(
    "--url",
    envvar="GYLEBOOK_URL",
    default="",
    help="Address of the book for links, such as https://book.home:8484 (GYLEBOOK_URL sets it for good).",
)
@for_machines
def add(address: str, url: str) -> None:
    """Add an ADDRESS, and show the secret with which notices are signed, this once."""
    opened = _opened()
    from gylebook.outputs.qr import base_address
    from gylebook.store import notices

    number, secret = notices.add(address, ACTOR, opened.now, base=base_address(url))
    words = say(
        "Address {number} is in the book. Its secret is shown this once:\n{secret}", number=number, secret=secret
    )
    give("notice_address", lambda: {"address": number, "secret": secret}, lambda: words)


@command.command("test", cls=GyleCommand)
@click.argument("number", type=click.IntRange(min=1))
@for_machines
def test(number: int) -> None:
    """Post a test to the address of that NUMBER, and say whether it was taken."""
    opened = _opened()
    from gylebook.store.notices import try_out

    fault = try_out(number, opened.now)
    if fault:
        raise Refused(say("The test was not taken. {fault}", fault=fault))
    give("notice_test", lambda: {"address": number, "taken": True}, lambda: say("The test was taken."))


@command.command("remove", cls=GyleCommand, examples=("gylebook notices remove 1",))
@click.argument("number", type=click.IntRange(min=1))
@for_machines
def remove(number: int) -> None:
    """Remove the address of that NUMBER, and all that waits for it."""
    _opened()
    from gylebook.store import notices

    notices.remove(number)
    left = notices.standings()
    give(
        "notices",
        lambda: {"addresses": [_plain(each) for each in left]},
        lambda: say("Address {number} is removed.", number=number),
    )


@command.command("send", cls=GyleCommand, examples=("gylebook notices send",))
@for_machines
def send() -> None:
    """Look once what is due, and send what is to be told; for a timer, where the book is not open."""
    opened = _opened()
    from gylebook.store.notices import send_due

    found = send_due(opened.now, opened.prefs.zone)

    def text() -> str:
        if not found.sent and not found.failed:
            return say("Nothing was to be sent.")
        lost = say(", of which {given_up} given up", given_up=found.given_up) if found.given_up else ""
        return say(
            "{counted} sent, {failed} not taken{lost}.",
            counted=say_count(found.sent, "{n} notice", "{n} notices"),
            failed=found.failed,
            lost=lost,
        )

    give("notices_sent", lambda: {"sent": found.sent, "not_taken": found.failed, "given_up": found.given_up}, text)


def _opened() -> OpenBook:
    only_own_book()
    return open_book()


def _write(page: Any, each: Standing, opened: OpenBook) -> None:
    moment = opened.prefs.moment
    page.head(say("{id}  {url}", id=each.id, url=each.url))
    page.line(
        say(
            "Since {since}. Last taken: {taken}.",
            since=moment(each.made_at),
            taken=moment(each.sent_at) if each.sent_at else say("nothing yet"),
        ),
        3,
    )
    if each.fault and each.fault_at is not None:
        page.line(say("Last not taken, {moment}: {fault}", moment=moment(each.fault_at), fault=each.fault), 3)
    if each.next_try_at is not None:
        waiting = joined("; ", each.waiting)
        page.line(say("Next try, {moment}: {waiting}", moment=moment(each.next_try_at), waiting=waiting), 3)
    if each.given_up:
        given_up = joined("; ", each.given_up)
        page.line(say("Given up: {given_up}. A test that is taken lets it be tried again.", given_up=given_up), 3)


def _plain(each: Standing) -> dict[str, Any]:
    from gylebook.outputs.shapes import iso

    def at(moment: Any) -> str | None:
        return iso(moment) if moment is not None else None

    return {
        "address": each.id,
        "url": each.url,
        "since": at(each.made_at),
        "taken_at": at(each.sent_at),
        "fault": each.fault,
        "fault_at": at(each.fault_at),
        "next_try_at": at(each.next_try_at),
        "waiting": each.waiting,
        "given_up": each.given_up,
    }
