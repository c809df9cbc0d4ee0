"""`gylebook people`: who writes in the book."""

from __future__ import annotations

import click

from gylebook.cli.command import GyleCommand, for_machines, give
from gylebook.cli.door import only_own_book, ready
from gylebook.phrases import joined, say


@click.command(cls=GyleCommand, examples=("gylebook people",))
@click.option("--invite", is_flag=True, help="Show a link that lets one person join.")
@click.option("--remove", metavar="NAME", default="", help="Take this person out; their entries stay.")
@click.option("--no-qr", "no_qr", is_flag=True, help="With --invite: show the link alone, without the square code.")
@for_machines
def command(invite: bool, remove: str, no_qr: bool) -> None:
    """List who may write in the book, invite somebody, or take somebody out.

    Whoever is invited chooses a name, which all their entries carry. A removed person is signed out everywhere at
    once; what they wrote stays, under their name.
    """
    only_own_book()
    ready()
    from gylebook.store import people

    if invite:
        _invite(with_code=not no_qr)
    elif remove:
        people.remove(remove)
        give(
            "people",
            lambda: {"removed": remove},
            lambda: say("{name} may not sign in any more; the entries stay.", name=remove),
        )
    else:
        names, owner = people.everybody() or [people.OWNER], people.owner()
        give(
            "people",
            lambda: {"owner": owner, "people": names},
            lambda: joined(
                "\n",
                (
                    say("{name} keeps the book.", name=name) if name == owner else say("{name} brews along.", name=name)
                    for name in names
                ),
            ),
        )


def _invite(*, with_code: bool) -> None:
    from django.conf import settings

    from gylebook.cli.pair_cmd import code_text, made, plain
    from gylebook.store import one_time, people
    from gylebook.store.serving import address

    shown = made(one_time.INVITATION, "invited", people.owner(), address(settings.HOME, settings.URL))
    give("people", lambda: {"invitation": plain(shown)}, lambda: code_text(shown, with_code=with_code))
