"""Notices: when something is due or dangerous, the book posts it to addresses that its owner has given.

What is to be told is derived from the cards, and from what was told before; there is no queue that could be lost. One
decision is told once: a date that moves, a number that changes and other words tell nothing anew, a decision that has
become more urgent is told once more, and what is done is not told at all. Each try is written down before it is made,
so that neither a second process nor a restart makes it again; whoever receives it finds the same `id` in every try.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

import msgspec
from django.db.models import F
from django.utils.crypto import salted_hmac

from gylebook.errors import InputError, NotFound, Refused
from gylebook.phrases import say, tell, tell_hook
from gylebook.steps.agenda import Dated, agenda
from gylebook.steps.answers import Urgency
from gylebook.store import calendar_feed, posting
from gylebook.store.cards import load_shelf
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import Notice, NoticeAddress
from gylebook.store.turns import writing

#: How long after a try that failed the next one is made; after the last of them it is given up.
AGAIN_AFTER = (
    timedelta(minutes=1),
    timedelta(minutes=5),
    timedelta(minutes=30),
    timedelta(hours=2),
    timedelta(hours=12),
)
#: What is worth a notice, the most pressing first; what can wait is for the page and the calendar.
TOLD = (Urgency.DANGER, Urgency.ACT, Urgency.MEASURE)
MOST = 5
KEPT_FOR = timedelta(days=400)

_RANK = {urgency.name: rank for rank, urgency in enumerate(TOLD)}

Post = Callable[[str, bytes, dict[str, str]], str]


@dataclass(frozen=True, slots=True)
class Standing:
    """An address, and how it goes with it.

    Parameters
    ----------
    id, url, made_at
        Its number, where it leads, and since when.
    sent_at
        When it took something last; None for never.
    fault, fault_at
        Why it did not, and when, the last time that it did not; "" and None for never.
    next_try_at
        When something that it did not take is tried again; None where nothing waits.
    waiting, given_up
        What was not taken yet, and what is not tried any more.
    """

    id: int
    url: str
    made_at: datetime
    sent_at: datetime | None
    fault: str
    fault_at: datetime | None
    next_try_at: datetime | None
    waiting: tuple[str, ...]
    given_up: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pass:
    """What one look came to, in notices."""

    sent: int = 0
    failed: int = 0
    given_up: int = 0


# --- addresses ------------------------------------------------------------------------------------------------------


def add(url: str, person: str, now: datetime, *, base: str = "") -> tuple[int, str]:
    """Take in an address.

    Parameters
    ----------
    url
        Where to post.
    person
        Who gives it.
    now
        The moment.
    base
        The book's address as others reach it, for the links in notices; "" for none.

    Returns
    -------
    tuple
        Its number, and the secret with which what is posted there is signed; it cannot be looked up afterwards.

    Raises
    ------
    InputError
        It is no web address, or is in the book already.
    Refused
        There are as many as the book takes.
    """
    url = posting.address(url)
    salt = secrets.token_hex(32)
    with spoken(DEFAULT), writing(DEFAULT):
        if NoticeAddress.objects.filter(url=url).exists():
            raise InputError(say("Address"), say("it is in the book already"), say("remove it first, for a new secret"))
        if NoticeAddress.objects.count() >= MOST:
            raise Refused(say("The book posts to {most} addresses at most: remove one first.", most=MOST))
        made = NoticeAddress.objects.create(url=url, person=person, salt=salt, base=base, made_at=now, fault="")
    return made.pk, _secret(salt)


def remove(number: int) -> None:
    """Forget an address, and all that waits for it.

    Raises
    ------
    NotFound
        There is none of that number.
    """
    with spoken(DEFAULT), writing(DEFAULT):
        gone, _ = NoticeAddress.objects.filter(pk=number).delete()
    if not gone:
        raise _no_address(number)


def standings() -> tuple[Standing, ...]:
    """Every address, the oldest first, and how it goes with it."""
    with spoken(DEFAULT):
        open_ones = list(Notice.objects.filter(sent_at=None).order_by("made_at", "id"))
        return tuple(_standing(each, open_ones) for each in NoticeAddress.objects.order_by("pk"))


def _standing(address: NoticeAddress, open_ones: list[Notice]) -> Standing:
    own = [notice for notice in open_ones if notice.address_id == address.pk]
    tries = [notice.next_try_at for notice in own if notice.next_try_at is not None]
    return Standing(
        id=address.pk,
        url=address.url,
        made_at=address.made_at,
        sent_at=address.sent_at,
        fault=address.fault,
        fault_at=address.fault_at,
        next_try_at=min(tries, default=None),
        waiting=tuple(notice.title for notice in own if notice.next_try_at is not None),
        given_up=tuple(notice.title for notice in own if notice.next_try_at is None),
    )


def try_out(number: int, now: datetime, *, post: Post = posting.post) -> str:
    """Post a notice that says that it is a test; "" where it was taken, else why not.

    Where it was taken, what had been given up is tried once more at the next look.

    Raises
    ------
    NotFound
        There is none of that number.
    """
    with spoken(DEFAULT):
        address = NoticeAddress.objects.filter(pk=number).first()
    if address is None:
        raise _no_address(number)
    told = {
        "id": str(uuid.uuid4()),
        "made_at": _iso(now),
        "brew": "",
        "name": "",
        "urgency": "Test",
        "headline": say("This is a test of the notices"),
        "why": say("Somebody pressed the button; nothing is due."),
        "due_at": None,
        "due_by": None,
        "url": address.base,
    }
    fault = post(address.url, *_signed(address, msgspec.json.encode(told, enc_hook=tell_hook), now))
    _note(address, fault, now)
    if not fault:
        with spoken(DEFAULT), writing(DEFAULT):
            Notice.objects.filter(address=address, sent_at=None, next_try_at=None).update(tries=0, next_try_at=now)
    return fault


def _no_address(number: int) -> NotFound:
    return NotFound(say("There is no address {number} for notices; “gylebook notices list” shows them.", number=number))


# --- what is told ---------------------------------------------------------------------------------------------------


def send_due(now: datetime, zone: tzinfo, *, post: Post = posting.post) -> Pass:
    """Look what is due, write down what is to be told, and make every try whose time has come.

    Parameters
    ----------
    now
        The moment.
    zone
        The brewer's, for the hours at which nobody is woken.
    post
        Hands it over.
    """
    with spoken(DEFAULT):
        addresses = {address.pk: address for address in NoticeAddress.objects.order_by("pk")}
        if not addresses:
            return Pass()
        found, unknown = calendar_feed.sources()
        whole = len(found) + len(unknown) < calendar_feed.MOST
        dated = agenda(found, zone, now, load_shelf(DEFAULT))
        due = {each.decision: each for each in dated if each.urgency in TOLD and each.start <= now}
        _write_down(addresses.values(), due, now, leave=frozenset(unknown), whole=whole)
        tries = Notice.objects.filter(sent_at=None, next_try_at__lte=now).order_by("made_at", "id")
        ready = sorted(tries, key=lambda notice: _RANK[notice.urgency])
    return _try(ready, addresses, due, now, post)


def _write_down(
    addresses: Iterable[NoticeAddress], due: dict[str, Dated], now: datetime, *, leave: frozenset[str], whole: bool
) -> None:
    """A row for what is to be told, none for what need not be told any more; written only where there is a change."""
    new, over = [], []
    told: dict[tuple[int, str], list[Notice]] = {}
    for notice in Notice.objects.all():
        told.setdefault((notice.address_id, notice.decision), []).append(notice)
        if notice.decision in due or notice.brew in leave or not whole:
            continue
        if notice.sent_at is None or notice.made_at < now - KEPT_FOR:
            over.append(notice.id)
    for address in addresses:
        for each in due.values():
            before = told.get((address.pk, each.decision), [])
            if any(_RANK[notice.urgency] <= _RANK[each.urgency.name] for notice in before):
                continue
            over += [notice.id for notice in before if notice.sent_at is None]
            new.append(_notice(address, each, now))
    if new or over:
        with writing(DEFAULT):
            Notice.objects.filter(id__in=over, sent_at=None).delete()
            Notice.objects.filter(id__in=over, made_at__lt=now - KEPT_FOR).delete()
            Notice.objects.bulk_create(new, ignore_conflicts=True)  # another process may have been quicker


def _notice(address: NoticeAddress, dated: Dated, now: datetime) -> Notice:
    name = f"gylebook/{address.salt}/{dated.decision}/{dated.urgency.name}"
    return Notice(
        id=str(uuid.uuid5(uuid.NAMESPACE_OID, name)),
        address=address,
        decision=dated.decision,
        urgency=dated.urgency.name,
        brew=dated.brew,
        title=tell(dated.title)[:700],
        made_at=now,
        tries=0,
        next_try_at=now,
    )


def _try(
    ready: list[Notice], addresses: dict[int, NoticeAddress], due: dict[str, Dated], now: datetime, post: Post
) -> Pass:
    sent = failed = given_up = 0
    broken: set[int] = set()
    for notice in ready:
        address, each = addresses.get(notice.address_id), due.get(notice.decision)
        # What does not answer is not asked again at once: the others would only wait the longer.
        if address is None or each is None or address.pk in broken or not _claimed(notice, now):
            continue
        fault = post(address.url, *_signed(address, _body(notice, each, address.base), now))
        _note(address, fault, now, notice)
        if not fault:
            sent += 1
            continue
        broken.add(address.pk)
        failed += 1
        given_up += notice.tries >= len(AGAIN_AFTER)
    return Pass(sent, failed, given_up)


def _claimed(notice: Notice, now: datetime) -> bool:
    """Write down that it is tried, before it is; False where another process was quicker."""
    last = notice.tries >= len(AGAIN_AFTER)
    again = None if last else now + AGAIN_AFTER[notice.tries]
    with spoken(DEFAULT), writing(DEFAULT):
        same = Notice.objects.filter(pk=notice.pk, sent_at=None, tries=notice.tries, next_try_at=notice.next_try_at)
        return same.update(tries=F("tries") + 1, next_try_at=again) == 1


def _note(address: NoticeAddress, fault: str, now: datetime, notice: Notice | None = None) -> None:
    """Write down how a try went."""
    with spoken(DEFAULT), writing(DEFAULT):
        row = NoticeAddress.objects.filter(pk=address.pk)
        if fault:
            row.update(fault=tell(fault)[:300], fault_at=now)
            return
        row.update(sent_at=now)
        if notice is not None:
            Notice.objects.filter(pk=notice.pk).update(sent_at=now, next_try_at=None)


def _body(notice: Notice, dated: Dated, base: str) -> bytes:
    """What is posted, in the words of the moment: a later try of the same notice tells how it stands then."""
    return msgspec.json.encode(
        {
            "id": notice.id,
            "made_at": _iso(notice.made_at),
            "brew": dated.brew,
            "name": dated.name,
            "urgency": dated.urgency.key,
            "headline": dated.words,
            "why": dated.why,
            "due_at": _iso(dated.start),
            "due_by": _iso(dated.by) if dated.by is not None else None,
            "url": f"{base}{dated.path}" if base else "",
        },
        enc_hook=tell_hook,
    )


def _iso(at: datetime) -> str:
    return f"{at.astimezone(UTC).replace(microsecond=0, tzinfo=None).isoformat()}Z"


def _signed(address: NoticeAddress, body: bytes, now: datetime) -> tuple[bytes, dict[str, str]]:
    stamp = str(int(now.timestamp()))
    return body, {"Gylebook-Timestamp": stamp, "Gylebook-Signature": signature(_secret(address.salt), stamp, body)}


def signature(secret: str, timestamp: str, body: bytes) -> str:
    """HMAC-SHA256 (RFC 2104) of timestamp, a full stop and the body: "sha256=" and its digits in hexadecimal."""
    return f"sha256={hmac.new(secret.encode(), timestamp.encode() + b'.' + body, hashlib.sha256).hexdigest()}"


def _secret(salt: str) -> str:
    return salted_hmac("gylebook.notices", salt, algorithm="sha256").hexdigest()
