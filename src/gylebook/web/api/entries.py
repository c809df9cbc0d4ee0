"""Entries that come over the line: each read as a form is, written through the one door, exactly once.

An entry that cannot be written stops no other. Each is a transaction of its own, so that a batch may break off anywhere
and be sent again as a whole: what was written is then told as “already”.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import msgspec
from django.conf import settings
from django.db import DatabaseError, InterfaceError
from django.http import QueryDict
from django.http.request import RawPostDataException, UnreadablePostError

from gylebook.errors import GylebookError, NotFound, StoreUnavailable
from gylebook.journal.state import SHELF, Brew, Shelf
from gylebook.outputs.entries import entry_words
from gylebook.outputs.shapes import iso
from gylebook.phrases import joined, say
from gylebook.steps.catalogue import act as act_named
from gylebook.steps.correcting import as_seen, correct, withdraw
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.shelf import act_for
from gylebook.store import brew_log, tokens
from gylebook.store.brew_log import Change
from gylebook.web.api.faults import MEDIA_TYPE, ApiFault
from gylebook.web.api.gate import Asking, endpoint
from gylebook.web.api.shapes import MOST_ENTRIES, Batch, Beside, Noticed, Result, Results, Sent
from gylebook.web.brews.writing import WHEN, Sheet, carry_out, insisting, read_sheet
from gylebook.web.desk import Desk

log = logging.getLogger(__name__)

NEW = "new"
WITHDRAW = Act("withdraw", say("Take the entry back"), "", (), lambda *_: Decision(()))
_PLAN = "plan"
_MOST_BESIDE = 50
_HAPPENED = "happened_at"
# After these the shelf, or what finished brews teach, may be another one.
_TEACHES = frozenset({"close", "dump"})
_batch = msgspec.json.Decoder(Batch)
_sent = msgspec.json.Decoder(Sent)
_loose = msgspec.json.Decoder()


@dataclass(frozen=True, slots=True)
class Post:
    """What the entries of one request share: the desk, the setting, the way in, and the ids that came together."""

    at: Desk
    setting: Setting
    source: str
    ids: frozenset[str]
    more_to_come: bool = False  # for the same brew, so that its card can wait


class _Unfit(Exception):
    """An entry that is refused before anything is read or written."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field, self.message = field, message


@endpoint("POST", scope=tokens.WRITE)
def write(asking: Asking) -> Results:
    """Write entries in their order, and tell what became of each."""
    asking.query()
    batch = _read(asking)
    assert asking.caller is not None
    at = asking.desk()
    marks = [(_text_of(raw, "id"), _text_of(raw, "brew")) for raw in batch.entries]
    post = Post(at, at.setting(), asking.caller.source, frozenset(name for name, _ in marks))
    last = {brew: place for place, (_, brew) in enumerate(marks)}
    results = []
    for place, raw in enumerate(batch.entries):
        result, act = _result(raw, replace(post, more_to_come=last[marks[place][1]] > place))
        results.append(result)
        if result.status == "written" and (result.brew == SHELF or act in _TEACHES):
            at = asking.desk()
            post = replace(post, at=at, setting=at.setting())
    return Results(tuple(results))


def _read(asking: Asking) -> Batch:
    """The batch that was sent.

    Raises
    ------
    ApiFault
        415, 413, 400 where it is no JSON, 422 where it is no batch.
    """
    request = asking.request
    if request.content_type != MEDIA_TYPE:
        raise ApiFault(
            415, say("Content-Type: this address reads {media_type} alone.", media_type=MEDIA_TYPE), "Content-Type"
        )
    length = request.META.get("CONTENT_LENGTH") or "0"
    try:
        body = request.body if length.isdigit() and int(length) <= settings.API_BODY_BYTES else None
    except (RawPostDataException, UnreadablePostError):
        raise ApiFault(400, say("The entries did not arrive whole; send them once more.")) from None
    if body is None or len(body) > settings.API_BODY_BYTES:
        raise ApiFault(413, say("This is over 1 MB, so nothing was written; send fewer entries at a time."))
    try:
        return _batch.decode(body.decode())  # every letter is looked at here, so that no entry holds a broken one
    except msgspec.ValidationError as fault:
        raise ApiFault(
            422,
            say(
                "{sentence}; send at most {most} “entries”.",
                sentence=_sentence(fault),
                most=MOST_ENTRIES,
            ),
            _named(fault),
        ) from None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        raise ApiFault(400, say("This is no JSON, so nothing was written; look at the example under /api/.")) from None


def _sentence(fault: msgspec.ValidationError) -> str:
    return str(fault).replace("`", "“", 1).replace("`", "”", 1).replace("`", "")


def _named(fault: msgspec.ValidationError) -> str:
    """The member that a fault is about, "" where it names none."""
    words = str(fault)
    if "field `" in words:
        return words.split("field `", 1)[1].split("`", 1)[0]
    return words.rpartition("`$.")[2].rstrip("`") if "`$." in words else ""


def _text_of(raw: msgspec.Raw, name: str) -> str:
    """A text of an entry that may not read well, so that its sender knows which one is meant; "" where it has none."""
    try:
        plain = _loose.decode(raw)
    except (msgspec.DecodeError, RecursionError):
        return ""
    found = plain.get(name) if isinstance(plain, dict) else None
    return found[:100] if isinstance(found, str) else ""


def _result(raw: msgspec.Raw, post: Post) -> tuple[Result, str]:
    """What becomes of one entry, and the name of its act."""
    try:
        sent = _sent.decode(raw)
    except msgspec.DecodeError as fault:
        words = _sentence(fault) if isinstance(fault, msgspec.ValidationError) else say("this is no JSON")
        field = _named(fault) if isinstance(fault, msgspec.ValidationError) else ""
        return Result(
            _text_of(raw, "id"),
            "refused",
            "",
            message=say("This entry cannot be read: {words}.", words=words),
            field=field,
        ), ""
    refused = Result(sent.id, "refused", sent.brew)
    try:
        return _written(sent, post), sent.act
    except _Unfit as unfit:
        return msgspec.structs.replace(refused, message=unfit.message, field=unfit.field), sent.act
    except StoreUnavailable:
        raise  # nothing more can be written: the sender waits, and sends all of it again
    except NotFound as fault:
        return msgspec.structs.replace(refused, message=str(fault), field="brew"), sent.act
    except GylebookError as fault:
        return msgspec.structs.replace(refused, message=str(fault)), sent.act
    except (DatabaseError, InterfaceError):
        raise
    except Exception:
        log.exception("The entry %s (%s) could not be carried out", sent.id, sent.act)
        words = say("The book stumbled over this entry and kept nothing of it; write it on its page instead.")
        return msgspec.structs.replace(refused, message=words), sent.act


def _written(sent: Sent, post: Post) -> Result:
    act = _act(sent)
    _check(sent, act)
    before = _before(sent, post)
    if before is not None:
        # Not read anew: what was once taken may read otherwise by now, as after another unit was chosen.
        return _taken(sent, before, _beside(sent, post))
    data = QueryDict(mutable=True)
    data.update({**sent.values, WHEN.name: sent.happened_at, "command_id": sent.id})
    data.setlist("confirm", [WHEN.name if name == _HAPPENED else name for name in sent.confirmed])
    sheet = read_sheet(act, data, post.at)
    sheet, change = carry_out(sheet, lambda read: _change(sent, read, post))
    beside = _beside(sent, post)
    if change is None:
        return msgspec.structs.replace(_not_taken(sent, sheet), beside=beside)
    return _taken(sent, change, beside)


def _before(sent: Sent, post: Post) -> Change | None:
    brew = None if sent.brew == NEW else SHELF if sent.brew == SHELF else str(int(sent.brew))
    return brew_log.written_before(post.at.book, brew, sent.id, print_of(sent))


def _taken(sent: Sent, change: Change, beside: tuple[Beside, ...]) -> Result:
    return Result(
        sent.id,
        "already" if change.repeated else "written",
        change.brew,
        tuple(entry.seq for entry in change.entries),
        joined(" ", (entry_words(entry.body) for entry in change.entries)),
        findings=tuple(Noticed(each.urgency.key, each.text, each.check) for each in change.findings),
        beside=beside,
    )


def _act(sent: Sent) -> Act:
    if sent.act == WITHDRAW.name:
        return WITHDRAW
    try:
        found = act_for(sent.act) if sent.brew == SHELF else act_named(sent.act)
    except NotFound as fault:
        raise _Unfit("act", str(fault)) from None
    if sent.brew == NEW and found.name != _PLAN:
        raise _Unfit(
            "act", say("A brew begins with its plan; send the act “plan” first, then this one with its number.")
        )
    if sent.brew not in {NEW, SHELF} and not (sent.brew.isascii() and sent.brew.isdigit()):
        raise _Unfit(
            "brew",
            say("“{brew}” is no brew; send its number, “shelf”, or “new” for the plan of a new one.", brew=sent.brew),
        )
    return found


def _check(sent: Sent, act: Act) -> None:
    """Refuse names that the act does not have, and a time that could be meant in any zone."""
    if sent.corrects is None and (act is WITHDRAW or sent.because):
        raise _Unfit("corrects", say("It is not said which entry is wrong; send its number as “corrects”."))
    if sent.corrects is not None and sent.brew in {NEW, SHELF}:
        raise _Unfit("corrects", say("Only an entry of a brew can be corrected; write the thing on the shelf anew."))
    names = {field.name for field in act.fields}
    for name in sent.values:
        if name not in names:
            known = ", ".join(field.name for field in act.fields)
            raise _Unfit(
                name[:60],
                say(
                    "“{name}” is not asked for at “{act}”; it asks for {known}.",
                    name=name[:60],
                    act=act.name,
                    known=known,
                ),
            )
    for name in sent.confirmed:
        if name not in names | {WHEN.name, _HAPPENED}:
            raise _Unfit(
                "confirmed",
                say("“{name}” is no field of “{act}”, so it cannot be confirmed.", name=name[:60], act=act.name),
            )
    if sent.happened_at:
        try:
            zoned = datetime.fromisoformat(sent.happened_at).tzinfo is not None
        except ValueError:
            zoned = False
        if not zoned:
            words = say("When it happened: this is no time with its zone; send it such as 2026-11-03T18:30:00+00:00.")
            raise _Unfit(_HAPPENED, words)


def print_of(sent: Sent) -> str:
    """A print of what an entry says, apart from how it is sent: the same id with another print is another entry."""
    at = datetime.fromisoformat(sent.happened_at).timestamp() if sent.happened_at else None
    said: tuple[object, ...] = (
        sent.brew,
        sent.act,
        sorted((name, text) for name, text in sent.values.items() if text.strip()),
        at,
    )
    if sent.corrects is not None:
        said = (*said, sent.corrects, sent.because)
    return hashlib.sha256(msgspec.json.encode(said)).hexdigest()


def _change(sent: Sent, sheet: Sheet, post: Post) -> Change:
    """Write what a sheet's act decides, through the one door."""
    moment = sheet.form.values.get(WHEN.name) or post.at.now
    setting = replace(post.setting, confirmed=sheet.form.confirmed)

    def decide(state: Any, own: Setting) -> Decision:
        if sent.corrects is None:
            return sheet.act.decide(state, sheet.form.values, moment, own)
        wrong = as_seen(state, sent.corrects)
        if sheet.act is WITHDRAW:
            return withdraw(state, wrong, own, because=sent.because)
        right_time = sheet.form.values.get(WHEN.name)
        return correct(state, wrong, sheet.act, sheet.form.values, own, at=right_time, because=sent.because)

    told: dict[str, Any] = {
        "actor": post.at.actor,
        "source": post.source,
        "command_id": sent.id,
        "now": post.at.now,
        "book": post.at.book,
        "content": print_of(sent),
    }
    if sent.brew == SHELF:
        on_shelf: Callable[[Shelf], Decision] = insisting(sheet, decide, setting)
        return brew_log.change_shelf(on_shelf, **told)
    in_brew: Callable[[Brew], Decision] = insisting(sheet, decide, setting)
    if sent.brew == NEW:
        return brew_log.start_brew(in_brew, **told)
    return brew_log.change(str(int(sent.brew)), in_brew, card_later=post.more_to_come, **told)


def _not_taken(sent: Sent, sheet: Sheet) -> Result:
    """Why nothing was kept: something is asked, where insisting on one field would let it pass, else it is refused."""
    wrong = [each for each in sheet.form.asked if each.error]
    said = joined(
        " ",
        (*(say("{label}: {error}", label=each.field.label, error=each.error) for each in wrong), *sheet.form.faults),
    )
    # What was confirmed already and is still wrong cannot be helped by confirming it once more.
    open_to = [each for each in wrong if each.confirmable and each.field.name not in sheet.form.confirmed]
    asks = bool(wrong) and not sheet.form.faults and len(open_to) == len(wrong)
    first = wrong[0] if wrong else None
    name = "" if first is None else _HAPPENED if first.field.name == WHEN.name else first.field.name
    return Result(
        sent.id,
        "asks" if asks else "refused",
        sent.brew,
        message=said,
        field=name,
        suggestion=first.suggestion if first is not None else "",
    )


def _beside(sent: Sent, post: Post) -> tuple[Beside, ...]:
    """Entries after the last one that the sender knew, apart from those that came in the same request."""
    if sent.seen_seq is None or sent.brew == NEW:
        return ()
    brew = sent.brew if sent.brew == SHELF else str(int(sent.brew))
    found = brew_log.entries(brew, book=post.at.book, after=sent.seen_seq, limit=_MOST_BESIDE + len(post.ids))
    others = [entry for entry in found if entry.command_id.partition("/")[0] not in post.ids]
    return tuple(
        Beside(entry.seq, iso(entry.happened_at), entry.recorded_by, entry_words(entry.body))
        for entry in others[:_MOST_BESIDE]
    )
