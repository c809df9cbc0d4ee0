"""`gylebook password`: the way in, and the way back in."""

from __future__ import annotations

import sys

import click

from gylebook.cli.command import GyleCommand, for_machines, give
from gylebook.cli.door import ACTOR, ready
from gylebook.errors import InputError
from gylebook.phrases import say, tell


@click.command(cls=GyleCommand, examples=("gylebook password", "gylebook password --from-stdin < password.txt"))
@click.option("--name", default=ACTOR, show_default=True, metavar="NAME", help="Whose password.")
@click.option("--from-stdin", is_flag=True, help="Read it from the standard input, up to the end of its first line.")
@for_machines
def command(name: str, from_stdin: bool) -> None:
    """Set or replace a password, from this computer.

    Whoever can use this computer's account can set it anew, so this is the way back in when it is forgotten. It is
    asked for twice and never shown; open sign-ins of that name end.
    """
    if not 1 <= len(name.strip()) <= 150:
        raise InputError(say("Name"), say("it must have 1 to 150 characters"), say("choose another"))
    if from_stdin:
        password = sys.stdin.readline().rstrip("\r\n")
    else:
        password = click.prompt(tell(say("New password")), hide_input=True, confirmation_prompt=tell(say("Once more")))
    ready()
    from gylebook.store.people import set_password

    new = set_password(password, name.strip())
    done = (
        say("{name} has a password now.", name=name.strip())
        if new
        else say("{name} has a new password; older sign-ins have ended.", name=name.strip())
    )
    give("password", lambda: {"name": name.strip(), "new": new}, lambda: done)
