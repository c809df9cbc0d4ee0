"""`gylebook shelf`: what belongs to no single brew; listed, kept and forgotten by the acts of the pages."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, GyleGroup, give, json_option, width
from gylebook.cli.door import ACTOR, SOURCE, OpenBook, new_id, open_book
from gylebook.cli.examples import SHELF_EXAMPLES
from gylebook.cli.log_cmd import enter, further_options, written_shape, written_text
from gylebook.cli.options import option_of, written
from gylebook.phrases import say, tell_hook
from gylebook.steps.decision import Act, Decision

if TYPE_CHECKING:
    from gylebook.journal.state import Shelf

TABLES = {
    "keep_kit": "kits",
    "keep_instrument": "instruments",
    "keep_vessel": "vessels",
    "keep_place": "places",
    "keep_bottles": "bottles",
    "keep_stock": "stock",
}
NAMED_BY = {"keep_stock": "item"}
_HEADS = {
    "kits": say("Kits"),
    "instruments": say("Instruments"),
    "vessels": say("Vessels"),
    "places": say("Places"),
    "bottles": say("Bottles"),
    "stock": say("Stock"),
    "spells": say("Spells"),
    "settings": say("Settings"),
    "learned": say("Learned"),
}
THINGS = tuple(_HEADS)


class ShelfActs(GyleGroup):
    """One command for each act of the shelf."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        from gylebook.steps.shelf import SHELF_ACTS

        return [act.name for act in SHELF_ACTS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        from gylebook.steps.shelf import SHELF_ACTS

        name = cmd_name.replace("-", "_")
        return next((shelf_command(act) for act in SHELF_ACTS if act.name == name), None)


def shelf_command(act: Act) -> click.Command:
    """The command of one act of the shelf."""
    again = "What the shelf has under that name already stays as it was where you leave it out."
    help_parts = [
        f"{act.words}.",
        act.about,
        again if act.name in TABLES else "",
        *(f"Take care: {caution}" for caution in act.cautions),
    ]
    return GyleCommand(
        act.name,
        params=[*map(option_of, act.fields), *further_options(), json_option()],
        callback=partial(_keep, act),
        help="\n\n".join(part for part in help_parts if part),
        short_help=act.words,
        examples=SHELF_EXAMPLES.get(act.name, ()),
    )


@click.group(
    cls=ShelfActs,
    invoke_without_command=True,
    examples=("gylebook shelf", "gylebook shelf --only bottles"),
    short_help="Keep kits, instruments, vessels, places, bottles, stock and settings.",
)
@click.option("--only", type=click.Choice(THINGS), help="Only one sort of things.")
@click.pass_context
def command(ctx: click.Context, only: str | None) -> None:
    """Keep kits, instruments, vessels, places, bottles, stock and settings.

    Without a command below, all that is on the shelf is listed.
    """
    if ctx.invoked_subcommand is None:
        opened = open_book()
        things = (only,) if only else THINGS
        give("shelf", lambda: shelf_shape(opened, things), lambda: shelf_text(opened, things))


command.params.append(json_option())


def shelf_shape(opened: OpenBook, things: tuple[str, ...]) -> dict[str, Any]:
    """What is on the shelf, for a program: a list of each sort, quantities as written."""
    import msgspec

    shape: dict[str, Any] = {}
    for thing in things:
        if thing == "learned":
            shape[thing] = list(opened.setting().learned.lines(opened.shelf))
            continue
        held = getattr(opened.shelf, thing)
        shape[thing] = msgspec.to_builtins(held if thing == "settings" else list(held.values()), enc_hook=tell_hook)
    return shape


def shelf_text(opened: OpenBook, things: tuple[str, ...]) -> str:
    """What is on the shelf, for a person."""
    from gylebook.cli.wording import Page
    from gylebook.outputs.entries import entry_words, kit_words

    page = Page(width())
    for thing in things:
        if thing == "settings":
            chosen = opened.shelf.settings != type(opened.shelf.settings)()
            lines = [entry_words(opened.shelf.settings)] if chosen else [say("Nothing chosen yet: metric units.")]
        elif thing == "learned":
            lines = list(opened.setting().learned.lines(opened.shelf))
        elif thing == "kits":
            lines = [kit_words(kit) for kit in opened.shelf.kits.values()]
        else:
            lines = [entry_words(held) for held in getattr(opened.shelf, thing).values()]
        page.head(_HEADS[thing])
        for line in lines or [say("Nothing yet.")]:
            page.line(line, 2, 4)
    return page.text()


def as_kept(shelf: Shelf, act: Act, params: Mapping[str, Any]) -> dict[str, str]:
    """The texts of what the shelf has under the name that was given: what is left out stays as it was."""
    from gylebook.steps.shelf import texts_of_thing

    table = TABLES.get(act.name)
    given = written(act.fields, params)
    if table is None:
        return {}
    kept = getattr(shelf, table).get(" ".join(given.get(NAMED_BY.get(act.name, "name"), "").split()))
    names = {field.name for field in act.fields}
    return {name: text for name, text in texts_of_thing(kept).items() if name in names} if kept is not None else {}


def _keep(act: Act, confirm: tuple[str, ...], once: str | None, **params: Any) -> None:
    opened = open_book()
    from gylebook.store import brew_log

    entered = enter(opened, act, params, confirm, as_kept(opened.shelf, act, params))
    at = entered.at or opened.now

    def decide(shelf: Shelf) -> Decision:
        return entered.decided(lambda setting: act.decide(shelf, entered.values, at, setting))

    change = brew_log.change_shelf(
        decide, actor=ACTOR, source=SOURCE, command_id=once or new_id(), now=opened.now, book=opened.book
    )
    give("written", lambda: written_shape(change), lambda: written_text(change, act.cautions))
