"""`gylebook devices`: where somebody is signed in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from gylebook.cli.command import GyleCommand, for_machines, give
from gylebook.cli.door import only_own_book, ready
from gylebook.phrases import joined, say, say_count

if TYPE_CHECKING:
    from gylebook.store.devices import SignedIn


@click.command(cls=GyleCommand, examples=("gylebook devices",))
@click.option("--revoke", type=click.IntRange(1), metavar="ID", help="Sign out the device with this number.")
@click.option("--revoke-all", "every", is_flag=True, help="Sign out everybody everywhere.")
@for_machines
def command(revoke: int | None, every: bool) -> None:
    """List the devices that are signed in, or sign them out.

    A device that is signed out must sign in again at its very next page. “gylebook pair” lets one in.
    """
    only_own_book()
    _book, at = ready()
    from gylebook.store import devices

    if revoke is not None:
        gone = devices.revoke(revoke)
        give(
            "devices",
            lambda: {"revoked": [plain(gone)]},
            lambda: say("{device} of {person} is signed out.", device=gone.name, person=gone.person),
        )
        return
    if every:
        count = devices.revoke_all()
        words = say_count(count, "One device is signed out.", "{n} devices are signed out.")
        give("devices", lambda: {"revoked": count}, lambda: words if count else say("No devices are signed out."))
        return
    found = devices.listed(at)
    give("devices", lambda: {"devices": [plain(each) for each in found]}, lambda: _text(found))


def plain(device: SignedIn) -> dict[str, object]:
    """One device as a program reads it."""
    from gylebook.outputs.shapes import iso

    return {
        "id": device.id,
        "name": device.name,
        "person": device.person,
        "way": device.way,
        "made_at": iso(device.made_at),
        "seen_at": iso(device.seen_at),
        "ends_at": iso(device.ends_at),
    }


def _text(found: list[SignedIn]) -> str:
    from django.conf import settings

    from gylebook.cli.door import now
    from gylebook.outputs.wording import preferences
    from gylebook.store.brew_log import read_shelf

    if not found:
        return say("No device is signed in; “gylebook pair” lets one in.")
    prefs = preferences(read_shelf().settings, settings.TIME_ZONE, now())
    return joined(
        "\n",
        (
            say(
                "{id}  {device} of {person}, since {made_at}, last seen {seen_at}",
                id=each.id,
                device=each.name,
                person=each.person,
                made_at=prefs.moment(each.made_at),
                seen_at=prefs.moment(each.seen_at),
            )
            for each in found
        ),
    )
