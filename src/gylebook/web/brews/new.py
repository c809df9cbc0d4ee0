"""Starting a brew: which kit, its choices side by side, and five things that shape the plan, its first entry."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.outputs.entries import kit_words
from gylebook.phrases import say
from gylebook.steps.answers import Answer
from gylebook.steps.catalogue import act as act_named
from gylebook.steps.catalogue import step
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, Field
from gylebook.store import brew_log
from gylebook.store.brew_log import Change
from gylebook.web.brews.addresses import brew_url
from gylebook.web.brews.writing import WHEN, Sheet, carry_out, empty_sheet, insisting, read_sheet
from gylebook.web.desk import SOURCE, Desk, desk
from gylebook.web.said import remember

_PLAN = "plan"
_OF_A_KIT = ("choice", "volume", "place", "start_on")
_OF_ONES_OWN = ("ingredients", "volume", "place", "start_on", "name")
_UNWRITTEN = Brew("0", (), ())


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the brew is made from: a kit of the shelf, or what the brewer writes down."""

    kit: ev.Kit | None

    @property
    def at_once(self) -> tuple[str, ...]:
        """The fields that stand open."""
        return _OF_A_KIT if self.kit else _OF_ONES_OWN

    @property
    def act(self) -> Act:
        """Writing the plan, with the fields that fit what was chosen."""
        plan = act_named(_PLAN)
        fields = [self._fitted(field) for field in plan.fields]
        return replace(plan, fields=tuple(field for field in fields if field is not None))

    @property
    def given(self) -> dict[str, str]:
        """What is known without asking."""
        return {"kit": self.kit.name} if self.kit else {}

    def _fitted(self, field: Field) -> Field | None:
        if field.name == "kit" or (self.kit is None and field.name == "choice"):
            return None
        if self.kit is None:
            return field
        if field.name == "choice":
            choices = tuple((each.key, each.name) for each in self.kit.alternatives)
            return replace(field, kind=CHOICE, choices=choices) if choices else None
        if field.name == "volume":
            return replace(field, default=str(self.kit.volume), reason=say("the leaflet's volume"))
        return None if field.name == "ingredients" else field


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Ask what it is made from, then for the plan; write it as a new brew."""
    at = desk(request)
    chosen = _chosen(at, request.POST if request.method == "POST" else request.GET)
    if chosen is None:
        kits = [(kit, kit_words(kit)) for kit in at.shelf.kits.values()]
        return render(request, "brews/from_what.html", {"kits": kits})
    if request.method != "POST":
        return _shown(request, at, chosen, empty_sheet(chosen.act, at))
    sheet = read_sheet(chosen.act, request.POST, at)
    if request.POST.get("do") == "reckon":
        return _shown(request, at, chosen, sheet)
    sheet, change = carry_out(sheet, lambda read: _start(read, at, chosen))
    if change is None:
        return _shown(request, at, chosen, sheet)
    remember(request, at.book, change, sheet.command_id)
    return redirect(brew_url(change.brew))


def _chosen(at: Desk, data: dict[str, str]) -> Chosen | None:
    """The kit that was named, one's own recipe, the only kit there is; None while it must be asked."""
    name = data.get("kit", "")
    if name in at.shelf.kits:
        return Chosen(at.shelf.kits[name])
    if data.get("own") or not at.shelf.kits:
        return Chosen(None)
    return None


def _start(sheet: Sheet, at: Desk, chosen: Chosen) -> Change:
    """Begin a brew under the next free number."""
    moment = sheet.form.values.get(WHEN.name) or at.now

    def decide(state: Brew, setting: Setting) -> Decision:
        return sheet.act.decide(state, {**sheet.form.values, **chosen.given}, moment, setting)

    return brew_log.start_brew(
        insisting(sheet, decide, at.setting(sheet.form.confirmed)),
        actor=at.actor,
        source=SOURCE,
        command_id=sheet.command_id,
        now=at.now,
        book=at.book,
    )


def _shown(request: HttpRequest, at: Desk, chosen: Chosen, sheet: Sheet) -> HttpResponse:
    sheet, answer = _reckoned(at, chosen, sheet)
    options = answer.options if answer else ()
    context = {
        "measures": at.measures,
        "kit": chosen.kit,
        "kits": at.shelf.kits,
        "sheet": replace(sheet, open_names=chosen.at_once),
        "options": options if len(options) > 1 else (),
        "answer": replace(answer, options=()) if answer else None,
    }
    return render(request, "brews/new.html", context, status=sheet.status)


def _reckoned(at: Desk, chosen: Chosen, sheet: Sheet) -> tuple[Sheet, Answer | None]:
    """What the plan would give as it stands; without an answer where nothing can be said yet."""
    plan = step(_PLAN)
    names = {field.name for field in plan.ask}
    values = {name: value for name, value in sheet.form.values.items() if name in names and value not in (None, "")}
    values |= chosen.given
    if not values or not sheet.form.fine:
        return sheet, None
    try:
        return sheet, plan.answer(_UNWRITTEN, at.setting(sheet.form.confirmed), values)
    except InputError as error:
        return replace(sheet, form=sheet.form.refused(error), status=422), None
