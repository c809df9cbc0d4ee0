"""`gylebook pair`: a code that lets a phone in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from gylebook.cli.command import GyleCommand, for_machines, give
from gylebook.cli.door import now, only_own_book, ready
from gylebook.phrases import joined, say

if TYPE_CHECKING:
    from datetime import datetime

    from gylebook.store.serving import Serving


@dataclass(frozen=True, slots=True)
class Shown:
    """A code that was made, and where it is used."""

    person: str
    link: str
    ends_at: datetime
    serving: Serving
    invitation: bool = False


@click.command(cls=GyleCommand, examples=("gylebook pair", "gylebook pair --no-qr"))
@click.option("--name", metavar="NAME", default="", help="Whose device it becomes; the owner's unless you say else.")
@click.option("--no-qr", "no_qr", is_flag=True, help="Show the link alone, without the square code.")
@for_machines
def command(name: str, no_qr: bool) -> None:
    """Show a code that makes one phone a device of the book.

    It works once, within ten minutes. The book must be open to the house, with “gylebook serve --lan”. The phone then
    stays signed in until it has not been used for 180 days; “gylebook devices” lists it and signs it out.
    """
    only_own_book()
    ready()
    from django.conf import settings

    from gylebook.store.serving import address

    shown = paired(name.strip(), address(settings.HOME, settings.URL))
    give("pair", lambda: plain(shown), lambda: code_text(shown, with_code=not no_qr))


def paired(name: str, serving: Serving) -> Shown:
    """A new code for a device of this person; the owner's where no name is given."""
    from gylebook.errors import NotFound
    from gylebook.store import one_time, people

    name = name or people.owner()
    if name != people.owner() and people.active(name) is None:
        raise NotFound(say("Nobody called {name} may sign in; “gylebook people” lists those who may.", name=name))
    return made(one_time.PAIRING, "pair", name, serving)


def made(kind: str, word: str, person: str, serving: Serving) -> Shown:
    """A new code, with its link."""
    from gylebook.store import one_time

    at = now()
    code = one_time.make(kind, person, at)
    link = f"{serving.address}{word}/{code}/"
    return Shown(person, link, at + one_time.LASTS[kind], serving, kind == one_time.INVITATION)


def plain(shown: Shown) -> dict[str, object]:
    """The code as a program reads it."""
    from gylebook.outputs.shapes import iso

    return {
        "person": shown.person,
        "link": shown.link,
        "ends_at": iso(shown.ends_at),
        "guide": shown.serving.guide,
        "fingerprint": shown.serving.fingerprint,
    }


def code_text(shown: Shown, *, with_code: bool) -> str:
    """What the terminal shows: first how a new phone comes to trust the book, then the code that lets it in."""
    lines = []
    serving = shown.serving
    if serving.guide:
        lines += ["", say("1. Once for each new phone, so that it trusts the book:"), *_drawn(serving.guide, with_code)]
        lines += [serving.guide, say("The print of the authority, to be compared:"), *_halves(serving.fingerprint), ""]
    step = "2. " if serving.guide else ""
    if shown.invitation:
        lines.append(say("{step}For somebody to brew along with you, once, within three days:", step=step))
    else:
        lines.append(
            say("{step}To let a phone in as {person}, once, within ten minutes:", step=step, person=shown.person)
        )
    return joined("\n", [*lines, *_drawn(shown.link, with_code), shown.link])


def _drawn(link: str, with_code: bool) -> list[str]:
    from gylebook.outputs.qr import code_for_terminal

    return [code_for_terminal(link)] if with_code else []


def _halves(fingerprint: str) -> list[str]:
    """In two lines: a narrow terminal would break it anywhere."""
    pairs = fingerprint.split(":")
    return [":".join(pairs[:16]), ":".join(pairs[16:])]
