"""One entry: what was written, by whom and when, what became of it, and the forms that correct it or take it back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gylebook.errors import Conflict, NotFound
from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain
from gylebook.journal.state import Brew, Entry, Kept
from gylebook.outputs.entries import kit_words
from gylebook.outputs.wording import date_text
from gylebook.phrases import say, tell
from gylebook.steps.catalogue import act as act_named
from gylebook.steps.correcting import ACT_OF, correct, standing, texts_of, withdraw
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import FLAG, MOMENT, TEXT, Field
from gylebook.steps.margin import Note, margin
from gylebook.store.brew_log import Change
from gylebook.web.asked import YES_OR_NO
from gylebook.web.brews.addresses import entry_url
from gylebook.web.brews.log_lines import chains, said
from gylebook.web.brews.opened import Opened, open_brew
from gylebook.web.brews.writing import Deciding, Sheet, carry_out, empty_sheet, read_sheet, write_in
from gylebook.web.said import remember

WHEN = Field(
    "when", say("When it really happened"), MOMENT, default=say("the moment in the entry"), reason=say("it was right")
)
BECAUSE = Field("because_wrong", say("Why the entry was wrong"), TEXT, hint=say("in a few words, for later"))
WHY_BACK = Field("why_back", say("Why it should not be there"), TEXT, hint=say("in a few words, for later"))
TAKE_BACK = Act("withdraw", say("Take the entry back"), "", (), lambda *_: Decision(()))


@dataclass(frozen=True, slots=True)
class Told:
    """One entry of a chain of corrections, with every word as it was written."""

    entry: Entry
    words: str
    rows: tuple[tuple[str, str], ...]
    struck: bool


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, brew: int, seq: int) -> HttpResponse:
    """Show an entry; correct it or take it back."""
    opened = open_brew(request, brew)
    chain = _chain(opened.brew, seq)
    if chain[0].seq != seq:
        return redirect(entry_url(opened.brew.id, chain[0].seq))
    if request.method != "POST":
        return _shown(request, opened, chain, None)
    sheet, decide = _posted(request, opened, seq)
    sheet, change = carry_out(sheet, partial(_write, opened, decide))
    if change is None:
        return _shown(request, open_brew(request, brew), chain, sheet)
    remember(request, opened.desk.book, change, sheet.command_id)
    return redirect(entry_url(opened.brew.id, seq))


def _chain(brew: Brew, seq: int) -> list[Entry]:
    found = next((chain for chain in chains(brew) if any(entry.seq == seq for entry in chain)), None)
    if found is None:
        raise NotFound(
            say("No. {id} has no entry {seq}; its last one is {head_seq}.", id=brew.id, seq=seq, head_seq=brew.head_seq)
        )
    return found


def _write(opened: Opened, decide: Deciding, sheet: Sheet) -> Change:
    return write_in(opened.brew.id, opened.desk, sheet, decide)


def _posted(request: HttpRequest, opened: Opened, seq: int) -> tuple[Sheet, Deciding]:
    """The form that was sent, and what it decides: both go by the entry as the brewer saw it."""
    sent_seen = request.POST.get("seen", "")
    seen = int(sent_seen) if sent_seen.isascii() and sent_seen.isdigit() and len(sent_seen) < 10 else 0
    if request.POST.get("do") == "withdraw":
        sheet = read_sheet(TAKE_BACK, request.POST, opened.desk, (WHY_BACK,))
        because = sheet.form.values.get(WHY_BACK.name) or ""
        return sheet, lambda state, setting: withdraw(state, _as_seen(state, seq, seen), setting, because=because)
    act = _act_of(_standing(opened.brew, seq), request.POST.get("act", ""))
    sheet = read_sheet(act, request.POST, opened.desk, (WHEN, BECAUSE))

    def decide(state: Brew, setting: Setting) -> Decision:
        values, at = sheet.form.values, sheet.form.values.get(WHEN.name)
        because = values.get(BECAUSE.name) or ""
        return correct(state, _as_seen(state, seq, seen), act, values, setting, at=at, because=because)

    return sheet, decide


def _as_seen(brew: Brew, seq: int, seen: int) -> int:
    """The number of the entry or correction that stands, provided that it is the one on the brewer's page."""
    kept = standing(brew, seq)
    now = kept.corrected_by or kept.seq
    if now != seen:
        raise Conflict(
            say("Entry {seq} was corrected meanwhile; look at what stands there now, then send it once more.", seq=seq)
        )
    return now


def _standing(brew: Brew, seq: int) -> Kept[ev.Event] | None:
    try:
        return standing(brew, seq)
    except NotFound:
        return None


def _act_of(kept: Kept[ev.Event] | None, posted: str = "") -> Act:
    """The act that would write what stands, else the one that the form was made for."""
    return act_named(ACT_OF[type(kept.event)] if kept is not None else posted)


def _shown(request: HttpRequest, opened: Opened, chain: list[Entry], sheet: Sheet | None) -> HttpResponse:
    brew, seq = opened.brew, chain[0].seq
    kept = _standing(brew, seq)
    told = [_told(entry, struck=entry.seq in brew.struck) for entry in chain]
    doing = request.GET.get("do", "") if sheet is None else ("withdraw" if sheet.act is TAKE_BACK else "correct")
    context = {
        **opened.context(request),
        "seq": seq,
        "told": told,
        "kept": kept,
        "seen": (kept.corrected_by or kept.seq) if kept else 0,
        "note": margin(brew, opened.desk.setting(), {seq}).get(seq, Note()),
        "sheet": _correcting(opened, kept, sheet),
        "take_back": sheet
        if sheet and sheet.act is TAKE_BACK
        else empty_sheet(TAKE_BACK, opened.desk, {}, (WHY_BACK,)),
        "is_plan": kept is not None and isinstance(kept.event, ev.Planned) and len(brew.all(ev.Planned)) == 1,
        "doing": doing,
        "here": entry_url(brew.id, seq),
    }
    return render(request, "brews/entry.html", context, status=sheet.status if sheet else 200)


def _correcting(opened: Opened, kept: Kept[ev.Event] | None, sheet: Sheet | None) -> Sheet | None:
    """The form that corrects what stands, filled with what was written."""
    if sheet is not None and sheet.act is not TAKE_BACK:
        return sheet
    if kept is None:
        return None
    act = _act_of(kept)
    return empty_sheet(act, opened.desk, texts_of(kept.event, act), (WHEN, BECAUSE))


def _told(entry: Entry, *, struck: bool) -> Told:
    return Told(entry, said(entry), tuple(_rows(entry)), struck)


def _rows(entry: Entry) -> list[tuple[str, str]]:
    """Every word of an entry as it was written, by the names of its fields."""
    body = entry.body
    event: ev.Event | None = body
    if isinstance(body, ev.Corrected):
        event = decode_plain(body.kind, body.version, body.instead) if body.instead is not None else None
    rows = []
    if event is not None:
        act = act_named(ACT_OF[type(event)])
        fields = {field.name: field for field in act.fields}
        texts = texts_of(event, act)
        for name in event.__struct_fields__:
            text = texts.get(name) or _plain(getattr(event, name))
            if text:
                rows.append((fields[name].label, _as_chosen(fields[name], text)))
    if isinstance(body, ev.Corrected) and body.because:
        rows.append((BECAUSE.label, body.because))
    return rows


def _as_chosen(field: Field, text: str) -> str:
    """What was written; a choice as on its button, where that is the word that is kept or its translation."""
    choices = YES_OR_NO if field.kind == FLAG else field.choices
    words = dict(choices).get(text, text)
    return words if words == text or tell(words) != words else text  # the word that is kept is an English one


def _plain(value: Any) -> str:
    if isinstance(value, ev.Kit):
        return kit_words(value)
    if isinstance(value, bool):
        return dict(YES_OR_NO)["yes" if value else "no"]
    if isinstance(value, date):
        return date_text(value)
    return "" if value is None or value == () else str(value)
