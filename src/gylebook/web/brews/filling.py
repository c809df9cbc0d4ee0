"""Filling bottles with wet hands: large counts, one tap each; every tap is an entry and can be taken back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from gylebook.errors import Conflict, NotFound
from gylebook.journal.state import Brew
from gylebook.phrases import say, tell
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.bottle_kinds import Bottle, bottle_of, owned, words_to_keys
from gylebook.steps.bottling import CAUTIONS
from gylebook.steps.catalogue import step
from gylebook.steps.correcting import withdraw
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.filling import FILL, FILLING, STIR, Session, figures_of, standing_of
from gylebook.store.brew_log import Change
from gylebook.units import Quantity
from gylebook.web.brews.opened import Opened, open_brew
from gylebook.web.brews.reckoned import answered
from gylebook.web.brews.writing import Sheet, carry_out, empty_sheet, new_id, read_sheet, write_act, write_in
from gylebook.web.said import remember

_UNDO = Act("undo", say("Take back the last count"), "", (), lambda *_: Decision(()))
_BECAUSE = say("tapped by mistake")
_ACTS = {act.name: act for act in (FILL, FILLING, _UNDO)}
_USUAL = (("returnable_500", "500"), ("returnable_330", "330"), ("pet", "500"))  # where no bottles are kept
_AT_ONCE = ("volume", "cap_code", "place")


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of bottle to count, and how many of it are filled."""

    bottle: Bottle
    filled: int

    @property
    def plastic(self) -> bool:
        """Whether one of them can be squeezed."""
        return not self.bottle.kind.glass


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, brew: int) -> HttpResponse:
    """Show the counts; write a tap, a pause or what is known at the beginning; take the last tap back."""
    opened = open_brew(request, brew)
    if request.method != "POST":
        return _shown(request, opened, None)
    name = request.POST.get("act", "")
    if name not in _ACTS:
        raise NotFound(say("“{name}” is not written down while filling; go back and tap once more.", name=name[:40]))
    sheet = read_sheet(_ACTS[name], _with_id(request.POST), opened.desk)
    seen = request.POST.get("seen", "")
    write = partial(_take_back, opened, seen) if name == _UNDO.name else write_act(opened.brew.id, opened.desk)
    sheet, change = carry_out(sheet, write)
    if change is None:
        return _shown(request, open_brew(request, brew), sheet)
    if change.repeated or any(found.urgency is not Urgency.NOTHING for found in change.findings):
        remember(request, opened.desk.book, change, sheet.command_id)
    spot = request.POST.get("spot", "")
    return redirect(filling_url(opened.brew.id) + (f"#kind-{spot}" if spot.isascii() and spot.isdigit() else ""))


def _with_id(data: QueryDict) -> QueryDict:
    """What was sent, with the tap's own id: one page has many buttons, and each of them is carried out once."""
    base = data.get("base", "")
    if not base:
        return data
    own = data.copy()
    own["command_id"] = f"{base}.{'squeeze' if data.get('indicator') else data.get('count', '')}"
    return own


def filling_url(brew: str) -> str:
    """Where the bottles of a brew are counted."""
    return reverse("brew_filling", args=[int(brew)])


def _take_back(opened: Opened, seen: str, sheet: Sheet) -> Change:
    """Withdraw the last count, provided that it is the one that the brewer saw."""

    def decide(state: Brew, setting: Setting) -> Decision:
        taps = standing_of(state).taps
        if not taps or str(taps[-1].seq) != seen:
            raise Conflict(
                say("Another count was written meanwhile; look which one is the last now, then take it back.")
            )
        return withdraw(state, taps[-1].seq, setting, because=tell(_BECAUSE))

    return write_in(opened.brew.id, opened.desk, sheet, decide)


def _shown(request: HttpRequest, opened: Opened, sheet: Sheet | None) -> HttpResponse:
    brew, now = opened.brew, standing_of(opened.brew)
    begun = now.begun is not None or bool(now.taps)
    setting_out = sheet if sheet is not None and sheet.act is FILLING else _begin(opened, now)
    context = {
        **opened.context(request),
        "now": now,
        "figures": figures_of(now),
        "begun": begun,
        "kinds": _kinds(opened, now),
        "tap_id": new_id(),
        "sheet": setting_out,
        "faults": _faults(sheet) if sheet is not None else (),
        "here": filling_url(brew.id),
        "stir": STIR,
        "cautions": CAUTIONS,
        "answer": None if begun else _answer(opened),
    }
    return render(request, "brews/filling.html", context, status=sheet.status if sheet else 200)


def _answer(opened: Opened) -> Answer:
    """Which bottles, before the first is filled; its cautions stand beside the button."""
    return replace(answered(step("bottling"), opened.brew, opened.desk.setting()), cautions=())


def _begin(opened: Opened, now: Session) -> Sheet:
    """The form of what is known at the beginning."""
    texts = {name: text for name, text in now.texts.items() if name != "lots"}
    return replace(empty_sheet(FILLING, opened.desk, texts), open_names=_AT_ONCE)


def _faults(sheet: Sheet) -> tuple[str, ...]:
    """What was wrong with a tap, in sentences; a form of fields tells its own beside them."""
    if sheet.act is FILLING:
        return ()
    beside = tuple(str(asked.error) for asked in sheet.form.asked if asked.error)
    return (*sheet.form.faults, *beside)


def _kinds(opened: Opened, now: Session) -> tuple[Kind, ...]:
    """The kinds that are kept, in the order of filling, and any others that were filled."""
    shelf = opened.desk.shelf
    keys = words_to_keys(shelf)
    bottles = list(owned(shelf)) or [bottle_of(key, Quantity(size, "mL"), 0, shelf) for key, size in _USUAL]
    known = {(keys[bottle.name.lower()], str(bottle.size)) for bottle in bottles}
    for tap in now.taps:
        if tap.kind not in known:
            known.add(tap.kind)
            bottles.append(bottle_of(tap.bottle, tap.size, 0, shelf))
    return tuple(Kind(each, now.of_kind(keys.get(each.name.lower(), each.name), each.size)) for each in bottles)
