"""`gylebook log BREW ACT`: write something down, with the acts and the fields of the pages."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, GyleGroup, give, json_option, machine, width
from gylebook.cli.door import ACTOR, SOURCE, OpenBook, new_id, open_book
from gylebook.cli.examples import ACT_EXAMPLES, CORRECT_EXAMPLES
from gylebook.cli.options import by_option, confirm_option, confirmed_names, insist, option_of, read_all, written
from gylebook.cli.spoken import echo
from gylebook.errors import InputError, Refused
from gylebook.phrases import say
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import MOMENT, TEXT, Field

if TYPE_CHECKING:
    from gylebook.journal.state import Brew
    from gylebook.store.brew_log import Change

NEW = "new"
# Acts after which the plan has nothing new to say.
_SAY_NOTHING_OF_THEIR_STEP = frozenset({"note", "close", "dump"})
_CLOCKS_DIFFER = timedelta(minutes=5)

WHEN = Field(
    "when",
    say("When it happened"),
    MOMENT,
    default="now",
    reason=say("most things are written down as they happen"),
    hint=say("such as “2026-11-03 18:30”, in your own time zone; a day alone means its noon"),
)
BECAUSE = Field("because", say("Why the entry was wrong"), TEXT)


class Acts(GyleGroup):
    """One command for each act; the acts are listed when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        from gylebook.steps.catalogue import acts

        return [*acts(), "correct"]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        from gylebook.steps.catalogue import acts

        name = cmd_name.replace("-", "_")
        if name == "correct":
            return correct
        found = acts().get(name)
        return None if found is None else act_command(found, _write, ACT_EXAMPLES.get(name, ()))


class Corrections(Acts):
    """The same acts, to put in the place of an entry."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Let options stand before or after SEQ: up to the act they belong to the correction."""
        return super().parse_args(ctx, options_first(args, set(self.list_commands(ctx))))

    def list_commands(self, ctx: click.Context) -> list[str]:
        return super().list_commands(ctx)[:-1]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        from gylebook.steps.catalogue import acts

        found = acts().get(cmd_name.replace("-", "_"))
        return None if found is None else act_command(found, _correct, ())


def options_first(args: list[str], acts: set[str]) -> list[str]:
    """The same words with the correction's own options before SEQ, where click looks for them."""
    options: list[str] = []
    others: list[str] = []
    place = 0
    while place < len(args) and args[place].replace("-", "_") not in acts:
        word = args[place]
        taken = args[place : place + (2 if word == "--because" else 1)]
        (options if word.startswith("-") else others).extend(taken)
        place += len(taken)
    return [*options, *others, *args[place:]]


def act_command(act: Act, carry_out: Callable[..., None], examples: tuple[str, ...]) -> click.Command:
    """The command of one act: its fields, and what every act has besides."""
    help_parts = [
        f"{act.words}.",
        act.about,
        *(f"Take care: {caution}" for caution in act.cautions),
    ]
    return GyleCommand(
        act.name,
        params=[*map(option_of, act.fields), *further_options(), json_option()],
        callback=partial(carry_out, act),
        help="\n\n".join(part for part in help_parts if part),
        short_help=act.words,
        examples=examples,
    )


def further_options() -> list[click.Parameter]:
    """What every act asks for besides its own fields."""
    return [
        option_of(WHEN),
        confirm_option(),
        click.Option(
            ["--once"],
            metavar="ID",
            help="An id of your own: the same id is written only once, however often the command is repeated.",
        ),
    ]


@click.group(
    cls=Acts,
    examples=("gylebook log new plan --name 'Autumn bitter'", *CORRECT_EXAMPLES),
    short_help="Write something down in a brew's log.",
)
@click.argument("brew")
def command(brew: str) -> None:
    """Write something down in the log of BREW, a brew's number, or “new” for a brew that begins with its plan.

    A number may carry its unit, as in “68F” or “5 US gal”; a bare one is in the unit of your settings, which is metric
    until you choose another.
    """
    del brew  # the acts below read it


@click.group(
    cls=Corrections,
    invoke_without_command=True,
    examples=CORRECT_EXAMPLES,
    short_help="Correct or withdraw an entry.",
)
@click.argument("seq", type=click.IntRange(min=1))
@click.option("--withdraw", is_flag=True, help="Take the entry back; nothing stands in its place.")
@click.option("--because", default="", help="Why the entry was wrong.")
@click.pass_context
def correct(ctx: click.Context, seq: int, withdraw: bool, because: str) -> None:
    """Correct entry SEQ by writing what should have stood there, or withdraw it.

    What is left out stays as the entry had it. The old entry remains readable.
    """
    if withdraw and ctx.invoked_subcommand:
        raise InputError(
            say("Command line"),
            say("an entry is either corrected or withdrawn"),
            say("leave --withdraw or the act out"),
        )
    if withdraw:
        from gylebook.steps import correcting

        opened = open_book()
        setting = opened.setting()
        _carry_out(
            opened, _brew_of(ctx), lambda brew: correcting.withdraw(brew, seq, setting, because=because), new_id()
        )
    elif ctx.invoked_subcommand is None:
        raise InputError(
            say("Command line"),
            say("it is not said what is right"),
            say("add an act and its options, or --withdraw to take it back"),
        )


correct.params.append(json_option())


def _brew_of(ctx: click.Context | None) -> str:
    """The BREW of the nearest command that has one."""
    while ctx is not None:
        if "brew" in ctx.params:
            return str(ctx.params["brew"]).lstrip("#")
        ctx = ctx.parent
    raise KeyError("brew")


@dataclass(frozen=True, slots=True)
class Entered:
    """What a command line came to: the fields, their values by name, the moment, and the setting to decide in."""

    fields: tuple[Field, ...]
    values: Mapping[str, Any]
    at: datetime | None
    setting: Setting

    def decided(self, ask: Callable[[Setting], Decision]) -> Decision:
        """What the step decides; a refusal that insisting would lift says how to insist."""
        try:
            return ask(self.setting)
        except (InputError, Refused) as fault:
            sure = self.setting.confirmed
            names = [name for name in self.values if name not in sure]
            told = by_option(fault, self.fields)
            raise insist(told, names, lambda more: ask(replace(self.setting, confirmed=sure | more))) from None


def enter(
    opened: OpenBook, act: Act, params: Mapping[str, Any], confirm: tuple[str, ...], before: Mapping[str, str]
) -> Entered:
    """Read what was written; `before` gives the texts of what was left out."""
    confirmed = confirmed_names(confirm, (*act.fields, WHEN))
    zone = opened.prefs.zone
    texts = {**before, **written(act.fields, params)}
    values = read_all(act.fields, texts, opened.prefs, confirmed=confirmed, zone=zone)
    at = when(written((WHEN,), params), opened, insisted="when" in confirmed)
    return Entered(act.fields, values, at, opened.setting(confirmed))


def when(texts: Mapping[str, str], opened: OpenBook, *, insisted: bool) -> datetime | None:
    """The moment that was written, or None; one in the future is asked about."""
    text = texts.get("when", "").strip()
    if not text or text.lower() == "now":
        return None
    at: datetime = WHEN.read(text, zone=opened.prefs.zone)
    if at > opened.now + _CLOCKS_DIFFER and not insisted:
        raise InputError(
            WHEN.label,
            say("“{text}” is still to come", text=text),
            say("write when it happened, or insist by adding --confirm when"),
        )
    return at


def _write(act: Act, confirm: tuple[str, ...], once: str | None, **params: Any) -> None:
    opened = open_book()
    entered = enter(opened, act, params, confirm, {})
    brew = _brew_of(click.get_current_context())
    if brew == NEW and act.name != "plan":
        raise Refused(say("A brew begins with its plan: write “gylebook log new plan --name NAME” first."))
    at = entered.at or opened.now

    def decide(state: Brew) -> Decision:
        return entered.decided(lambda setting: act.decide(state, entered.values, at, setting))

    _carry_out(opened, brew, decide, once or new_id(), act)


def _correct(act: Act, confirm: tuple[str, ...], once: str | None, **params: Any) -> None:
    ctx = click.get_current_context()
    assert ctx.parent is not None
    seq, because = ctx.parent.params["seq"], ctx.parent.params["because"]
    opened, brew = open_book(), _brew_of(ctx)
    from gylebook.steps import correcting
    from gylebook.store import brew_log

    wrong = correcting.standing(brew_log.read(brew, book=opened.book), seq)
    if not written((*act.fields, WHEN), params):
        raise InputError(
            say("Command line"), say("nothing is said to have been otherwise"), say("add what is right, or --withdraw")
        )
    same = correcting.ACT_OF[type(wrong.event)] == act.name
    entered = enter(opened, act, params, confirm, correcting.texts_of(wrong.event, act) if same else {})

    def decide(state: Brew) -> Decision:
        return entered.decided(
            lambda setting: correcting.correct(state, seq, act, entered.values, setting, at=entered.at, because=because)
        )

    _carry_out(opened, brew, decide, once or new_id(), act)


def _carry_out(
    opened: OpenBook, brew: str, decide: Callable[[Brew], Decision], command_id: str, act: Act | None = None
) -> None:
    """Write through the one door, then say what was written and what it means."""
    from gylebook.store import brew_log

    if brew == NEW:
        change = brew_log.start_brew(
            decide, actor=ACTOR, source=SOURCE, command_id=command_id, now=opened.now, book=opened.book
        )
    else:
        change = brew_log.change(
            brew, decide, actor=ACTOR, source=SOURCE, command_id=command_id, now=opened.now, book=opened.book
        )
    if machine() or act is None:
        give("written", lambda: written_shape(change), lambda: written_text(change, ()))
        return
    state = brew_log.read(change.brew, book=opened.book)
    here = act.of(state)
    give("written", lambda: written_shape(change), lambda: written_text(change, here.cautions))
    _answer_now(opened, state, here)


def written_shape(change: Change) -> dict[str, Any]:
    """What was written, for a program."""
    from gylebook.outputs.shapes import entry_shape, finding_shape

    return {
        "brew": change.brew,
        "repeated": change.repeated,
        "entries": [entry_shape(entry) for entry in change.entries],
        "findings": [finding_shape(finding) for finding in change.findings],
    }


def written_text(change: Change, cautions: tuple[str, ...]) -> str:
    """What was written, for a person."""
    from gylebook.cli.wording import Page, write_findings
    from gylebook.outputs.entries import entry_words

    page = Page(width())
    for entry in change.entries:
        page.line(_entry_text(change, entry.seq, entry_words(entry.body)), 0, 2)
    if not change.entries:
        page.line(say("Nothing was written."))
    write_findings(page, change.findings)
    if cautions:
        page.head(say("Take care"))
        for caution in cautions:
            page.line(caution, 2, 2)
    return page.text()


def _entry_text(change: Change, seq: int, words: str) -> str:
    if change.brew == "shelf":
        if change.repeated:
            return say("Had been written before on the shelf as entry {seq}: {words}", seq=seq, words=words)
        return say("Written on the shelf as entry {seq}: {words}", seq=seq, words=words)
    if change.repeated:
        return say(
            "Had been written before in brew {brew} as entry {seq}: {words}", brew=change.brew, seq=seq, words=words
        )
    return say("Written in brew {brew} as entry {seq}: {words}", brew=change.brew, seq=seq, words=words)


def _answer_now(opened: OpenBook, brew: Brew, act: Act) -> None:
    """What the step answers now that the entry is in the book, and what comes next for the brew."""
    from gylebook.cli.brew_view import answer_of
    from gylebook.cli.wording import Page
    from gylebook.steps.cards import card, says

    page = Page(width())
    if act.name not in _SAY_NOTHING_OF_THEIR_STEP:
        page.line(say("Now: {headline}", headline=answer_of(brew, act.step, opened).headline), 0, 2)
        page.line(say("“gylebook ask {id} {step}” shows why.", id=brew.id, step=act.step), 2)
    own = card(brew, opened.shelf, opened.now)
    said = says(own, opened.now, opened.prefs.zone)
    if said.task is not None:
        # How it stands has been said by the step; here only what is to be done.
        at_leisure = own.headline and said.headline.startswith(own.headline)
        task = say("{task}.", task=said.task.words) if at_leisure else said.headline
        page.line(said.coming or say("Next: {task}", task=task), 0, 2)
    elif not page.lines:
        page.line(said.headline)
    echo("\n" + page.text())
