"""`gylebook tokens`: let programs in at the API, and take that back, from this computer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, GyleGroup, for_machines, give, width
from gylebook.cli.door import ACTOR, only_own_book, ready
from gylebook.phrases import say

if TYPE_CHECKING:
    from gylebook.store.tokens import Token


def _person(function: Any) -> Any:
    return click.option(
        "--person",
        default=ACTOR,
        show_default=True,
        metavar="NAME",
        help="In whose name the token reads and writes.",
    )(function)


@click.group(cls=GyleGroup, examples=("gylebook tokens list",))
def command() -> None:
    """Let a script or a sensor read or write the book, without a password, and take that back.

    What it can ask and write is told on the page /api/ of the book.
    """


@command.command("list", cls=GyleCommand, examples=("gylebook tokens list", "gylebook tokens list --json"))
@for_machines
def listing() -> None:
    """List the tokens that open the book."""
    only_own_book()
    ready()
    from gylebook.store.tokens import listed

    found = listed()

    def text() -> str:
        from gylebook.cli.wording import Page

        page = Page(width())
        for token in found:
            at = f"{token.used_at:%Y-%m-%d %H:%M} UTC" if token.used_at else ""
            used = say("last used {at}", at=at) if at else say("never used")
            page.line(
                say(
                    "{token}, of {person}: may {may}; {used}.",
                    token=token.name,
                    person=token.person,
                    may=token.may,
                    used=used,
                ),
                0,
                2,
            )
        if not found:
            page.line(say("No token opens the book. Make one with “gylebook tokens make NAME”."))
        return page.text()

    give("tokens", lambda: {"tokens": [token_shape(token) for token in found]}, text)


@command.command("make", cls=GyleCommand, examples=("gylebook tokens make 'kitchen tablet' --may both",))
@click.argument("name")
@click.option(
    "--may",
    type=click.Choice(["read", "write", "both"]),
    default="read",
    show_default=True,
    help="What a program with it may do.",
)
@_person
@for_machines
def making(name: str, may: str, person: str) -> None:
    """Make a token called NAME, and show it this once."""
    only_own_book()
    _, now = ready()
    from gylebook.store.tokens import make

    token, secret = make(name, person, may, now)

    def text() -> str:
        return say(
            "{secret}\n\nThis is token “{token}”; it may {may}. It is shown this once: keep it where the "
            "program finds it and nobody else does.",
            secret=secret,
            token=token.name,
            may=token.may,
        )

    give("token", lambda: {**token_shape(token), "token": secret}, text)


@command.command("revoke", cls=GyleCommand, examples=("gylebook tokens revoke 'kitchen tablet'",))
@click.argument("name")
@_person
@for_machines
def revoking(name: str, person: str) -> None:
    """Take the token called NAME back: it opens nothing from now on."""
    only_own_book()
    ready()
    from gylebook.store.tokens import revoke

    token = revoke(name, person)
    words = say("Token “{token}” of {person} opens nothing any more.", token=token.name, person=token.person)
    give("token_revoked", lambda: token_shape(token), lambda: words)


def token_shape(token: Token) -> dict[str, Any]:
    """A token for a program; never the secret."""
    from gylebook.outputs.shapes import iso

    return {
        "name": token.name,
        "person": token.person,
        "may": list(token.scopes),
        "made_at": iso(token.made_at),
        "used_at": iso(token.used_at) if token.used_at else None,
    }
