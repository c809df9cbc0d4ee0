"""Writing an act down from a form: the same door for a new entry and for a correction."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TypeVar

from django.http import QueryDict

from gylebook.errors import Conflict, GylebookError, InputError, Refused
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import joined, say, small
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import MOMENT, Field
from gylebook.steps.shelf import KEEP_SETTINGS
from gylebook.store import brew_log
from gylebook.store.brew_log import Change
from gylebook.web.asked import Asked
from gylebook.web.desk import SOURCE, Desk
from gylebook.web.form import Confirmable, Form, blank, sent
from gylebook.web.offers import offers

WHEN = Field(
    "when",
    say("When it happened"),
    MOMENT,
    default=say("this moment"),
    reason=say("the one in which you press the button"),
)
# The fields of an act that stand open, where the first few are not the ones that matter most.
AT_ONCE: dict[str, tuple[str, ...]] = {
    "reading": ("gravity", "temp", "fizz"),
    "keep_kit": ("name", "ingredients", "volume", "alternatives", "bottle_gate", "yeast", "best_before"),
    "keep_settings": tuple(field.name for field in KEEP_SETTINGS.fields),
}
FEW = 5
_COMMAND_ID = re.compile(r"[A-Za-z0-9._:-]{1,100}")
_CLOCKS_DIFFER = timedelta(minutes=5)


S = TypeVar("S", Brew, Shelf)
Deciding = Callable[[Brew, Setting], Decision]


@dataclass(frozen=True, slots=True)
class Sheet:
    """An act's form on a page.

    Parameters
    ----------
    act
        What is written down with it.
    form
        Its fields; `when` is apart, for it folds away.
    command_id
        Made when the form is drawn, so that pressing twice writes once.
    status
        The answer's status: 200, 422 where the form was refused, 409 where somebody wrote first.
    open_names
        Names of the fields that stand open, where the page chooses them.
    """

    act: Act
    form: Form
    command_id: str
    status: int = 200
    open_names: tuple[str, ...] = ()

    @property
    def asked(self) -> tuple[Asked, ...]:
        """The act's own fields."""
        names = {field.name for field in self.act.fields}
        return tuple(each for each in self.form.asked if each.field.name in names)

    @property
    def at_once(self) -> tuple[Asked, ...]:
        """The fields that stand open: those that matter with wet hands, and every one that is needed."""
        first = tuple(field.name for field in self.act.fields[:FEW])
        wanted = self.open_names or AT_ONCE.get(self.act.name, first)
        return tuple(each for each in self.asked if each.field.name in wanted or each.field.required)

    @property
    def more(self) -> tuple[Asked, ...]:
        """The fields that fold away."""
        return tuple(each for each in self.asked if each not in self.at_once)

    @property
    def more_open(self) -> bool:
        """Whether anything that folds away has been filled in, was wrong, or is where a fault tells to write."""
        return any(each.text or each.error or self._told_of(each) for each in self.more)

    def _told_of(self, asked: Asked) -> bool:
        return any(f"“{asked.field.label}”" in fault for fault in self.form.faults)

    @property
    def more_words(self) -> str:
        """What folds away, by its labels."""
        return joined(", ", (small(each.field.label) for each in self.more))

    @property
    def focus(self) -> str:
        """Where the hand goes first: the first field that was wrong, folded away or not, else the first of all."""
        wrong = [each for each in self.form.asked if each.error]
        return next((each.mark for each in (*wrong, *self.at_once)), "")

    @property
    def when(self) -> Asked:
        """The moment."""
        return next(each for each in self.form.asked if each.field.name == WHEN.name)

    @property
    def refused(self) -> bool:
        """Whether something was wrong with it."""
        return self.status != 200


def new_id() -> str:
    """An id for one form."""
    return f"page-{uuid.uuid4().hex}"


def empty_sheet(
    act: Act, desk: Desk, texts: Mapping[str, str] | None = None, further: Iterable[Field] = (WHEN,)
) -> Sheet:
    """An act's form to begin from."""
    return Sheet(act, blank((*act.fields, *further), desk.measures, texts, offers(desk.shelf)), new_id())


def read_sheet(act: Act, data: QueryDict, desk: Desk, further: Iterable[Field] = (WHEN,)) -> Sheet:
    """An act's form as it was sent."""
    form = sent((*act.fields, *further), data, desk.measures, offers(desk.shelf))
    at = form.values.get(WHEN.name)
    if at is not None and at > desk.now + _CLOCKS_DIFFER and WHEN.name not in form.confirmed:
        still = InputError(
            WHEN.name, say("it is still to come"), say("write when it happened, and confirm it if it is true")
        )
        form = form.refused(Confirmable.of(still))
    sent_id = data.get("command_id", "")
    command_id = sent_id if _COMMAND_ID.fullmatch(sent_id) else new_id()
    return Sheet(act, form, command_id, 200 if form.fine else 422)


def carry_out(sheet: Sheet, write: Callable[[Sheet], Change]) -> tuple[Sheet, Change | None]:
    """Write a sheet that reads well; where the step or the book refuses, the sheet comes back with the reason."""
    if sheet.refused:
        return sheet, None
    try:
        return sheet, write(sheet)
    except InputError as error:
        return replace(sheet, form=sheet.form.refused(error), status=422), None
    except Refused as refusal:
        return replace(sheet, form=replace(sheet.form, faults=(str(refusal),)), status=422), None
    except Conflict as conflict:
        return replace(sheet, form=replace(sheet.form, faults=(str(conflict),)), status=409, command_id=new_id()), None


def write_act(brew: str, desk: Desk) -> Callable[[Sheet], Change]:
    """The writer of a new entry in a brew."""

    def write(sheet: Sheet) -> Change:
        at = sheet.form.values.get(WHEN.name) or desk.now

        def decide(state: Brew, setting: Setting) -> Decision:
            return sheet.act.decide(state, sheet.form.values, at, setting)

        return write_in(brew, desk, sheet, decide)

    return write


def write_in(brew: str, desk: Desk, sheet: Sheet, decide: Deciding) -> Change:
    """Write in a brew what is decided from it, through the one door."""
    return brew_log.change(
        brew,
        insisting(sheet, decide, desk.setting(sheet.form.confirmed)),
        actor=desk.actor,
        source=SOURCE,
        command_id=sheet.command_id,
        now=desk.now,
        book=desk.book,
    )


def insisting(sheet: Sheet, decide: Callable[[S, Setting], Decision], setting: Setting) -> Callable[[S], Decision]:
    """The decision; a fault that would pass if the brewer insisted on that one field is marked as such."""

    def decided(state: S) -> Decision:
        try:
            return decide(state, setting)
        except InputError as error:
            names = frozenset(f.name for f in sheet.act.fields if error.field in (f.label, f.name))
            try:
                decide(state, replace(setting, confirmed=setting.confirmed | names))
            except InputError as again:
                if again.field == error.field:
                    raise error from again
            except GylebookError:
                pass  # another reason to refuse: told when it comes to that
            raise Confirmable.of(error) from error

    return decided
