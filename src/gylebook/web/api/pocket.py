"""Pocket: everything that a phone keeps for when there is no signal, in one document.

It is read from cards and the newest entries alone. Its print goes along as ETag: a phone that has the same gets 304.
"""

from __future__ import annotations

import hashlib
from functools import cache
from typing import Any

import msgspec
from django.conf import settings
from django.http import HttpResponse
from django.utils.http import parse_etags
from msgspec import UNSET, Struct, UnsetType

from gylebook import sources
from gylebook.journal.codec import decode_plain
from gylebook.journal.events import Corrected, Event
from gylebook.journal.state import Entry
from gylebook.outputs.day_shape import day_shape
from gylebook.outputs.entries import entry_words
from gylebook.outputs.shapes import iso
from gylebook.outputs.wording import Preferences
from gylebook.phrases import tell_hook, untold
from gylebook.steps.answers import Figure, Working
from gylebook.steps.card_bottles import Short
from gylebook.steps.cards import Card, says
from gylebook.steps.catalogue import acts
from gylebook.steps.conditioning import dangerous_bottles
from gylebook.steps.correcting import ACT_OF, texts_of
from gylebook.store import brew_list
from gylebook.store.book_mark import book_mark
from gylebook.units import units_of
from gylebook.web.api.faults import MEDIA_TYPE
from gylebook.web.api.fields import ActTold, act_told
from gylebook.web.api.gate import Asking, endpoint
from gylebook.web.api.shapes import API, Moment, Today, Urgency
from gylebook.web.api.views import day_of, due_cards
from gylebook.web.cards import where
from gylebook.web.desk import Desk
from gylebook.web.offers import offers

_FIGURES, _ENTRIES = 6, 5
_MOST_TYPED = 2_000  # letters of one entry that a phone keeps for correcting it
# What hands do in the garage, most often first; a plan is made where there is time to read.
QUICK = (
    "reading", "temperature", "note", "add", "fill", "open_bottle", "take_out", "pitch", "mix", "top_up", "hop",
    "hops_out", "move", "rouse", "rack", "prime", "filling", "bottle", "vent", "burst", "taste", "clean", "judge",
    "close", "dump",
)  # fmt: skip


class Measures(Struct, frozen=True):
    """The unit of a number that is written without one, by what it measures. Decimal point and comma are both read."""

    volume: str
    mass: str
    temperature: str
    gravity: str
    pressure: str
    co2: str
    currency: str
    decimal_mark: str = "."


class Kept(Struct, frozen=True):
    """A figure with its interval in the brewer's units, and its working in lines; `sources` are keys of the document's.

    `working` is empty where the card was made before workings were kept in it.
    """

    key: str
    label: str
    text: str
    value: float
    low: float
    high: float
    unit: str
    working: tuple[str, ...]
    sources: tuple[str, ...]


class Said(Struct, frozen=True):
    """One of the newest entries; struck where a later one corrected or withdrew it.

    `corrects` is the entry, or the correction, that this one took the place of. `act` would write anew what this entry
    says, where it stands: not where it was struck, nor where it took another one back. `values` are the texts of the
    act's fields, for a form to begin from; left out where a phone does not have the act, or they are too long for it.
    """

    seq: int
    at: Moment
    by: str
    words: str
    struck: bool
    corrects: int | UnsetType = UNSET
    act: str | UnsetType = UNSET
    values: dict[str, str] | UnsetType = UNSET


class OpenBrew(Struct, frozen=True):
    """An open brew, in short."""

    id: str
    number: int
    name: str
    stage: str
    place: str
    vessel: str
    where: str
    headline: str
    why: str
    urgency: Urgency
    due: Moment | None
    step: str
    act: str
    danger: str
    head_seq: int
    bottles_left: int
    figures: tuple[Kept, ...]
    entries: tuple[Said, ...]


class Danger(Struct, frozen=True):
    """What to do with bottles that may burst."""

    headline: str
    why: str
    first: tuple[str, ...]
    cautions: tuple[str, ...]


class Scale(Struct, frozen=True):
    """A unit: a number in the base unit of what it measures = factor x number + offset."""

    factor: float
    offset: float
    dimension: str


class Pocket(Struct, frozen=True):
    """Everything that a phone keeps; `not_reckoned` are brews whose card could not be made.

    `scales` tells every unit of the acts' fields, so that a phone can hold a number against what is possible.
    """

    made_at: Moment
    book: str
    person: str
    zone: str
    measures: Measures
    today: Today
    brews: tuple[OpenBrew, ...]
    not_reckoned: tuple[str, ...]
    acts: tuple[ActTold, ...]
    danger: Danger
    sources: dict[str, str]
    scales: dict[str, Scale]
    api: int = API


@endpoint()
def pocket(asking: Asking) -> HttpResponse:
    """The document; 304 where the phone has it as it is."""
    asking.query()
    at = asking.desk()
    made = made_of(at)
    # The moment of making stands first, and is no part of what is the same.
    rest = msgspec.json.encode(made, enc_hook=tell_hook).removeprefix(b'{"made_at":"",')
    tag = f'"{hashlib.sha256(rest).hexdigest()[:32]}"'
    known = {each.removeprefix("W/") for each in parse_etags(asking.request.headers.get("If-None-Match", ""))}
    answer = (
        HttpResponse(status=304)
        if tag in known or "*" in known
        else HttpResponse(b'{"made_at":"%s",%s' % (iso(at.now).encode(), rest), content_type=MEDIA_TYPE)
    )
    answer["ETag"] = tag
    return answer


def made_of(at: Desk) -> Pocket:
    """The document of this moment; when it was made is written in last."""
    cards, unknown = due_cards(at)
    newest = brew_list.newest_of_open(at.book, _ENTRIES)
    brews = tuple(_open(card, newest.get(card.id, ()), at) for card in cards)
    named = {key for brew in brews for figure in brew.figures for key in figure.sources}
    return Pocket(
        made_at="",
        book=book_mark(at.book),
        person=at.actor,
        zone=at.shelf.settings.time_zone or settings.TIME_ZONE,
        measures=_measures(at.measures),
        today=msgspec.convert(day_shape(cards, day_of(cards, at), unknown), Today),
        brews=brews,
        not_reckoned=tuple(unknown),
        acts=tuple(act_told(acts()[name], at.measures, offers(at.shelf)) for name in QUICK),
        danger=_danger(),
        sources={key: sources.get(key).citation for key in sorted(named)},
        scales=_scales(),
    )


def _open(card: Card, newest: tuple[Entry, ...], at: Desk) -> OpenBrew:
    said = says(card, at.now, at.measures.zone)
    due = said.task.due_from if said.task is not None else card.next_due
    return OpenBrew(
        card.id,
        card.number,
        card.name,
        card.stage,
        card.place,
        card.vessel,
        where(card),
        said.headline,
        said.why,
        said.urgency.key,
        iso(due) if due is not None else None,
        said.task.step if said.task is not None else "",
        said.task.act if said.task is not None else "",
        card.danger,
        newest[-1].seq if newest else 0,
        card.bottles_left,
        tuple(_kept(short, at.measures) for short in _shorts(card)),
        _said(newest),
    )


def _shorts(card: Card) -> tuple[Short, ...]:
    """The figures that matter most: in bottles the gas first, else where the gravity stands and goes."""
    own = (card.bottles.co2,) if card.bottles is not None else ()
    litres = (card.litres,) if card.litres is not None else ()
    return (*own, *card.figures, *litres)[:_FIGURES]


def _kept(short: Short, measures: Preferences) -> Kept:
    figure = Figure(
        short.key, short.label, short.value, short.low, short.high, short.unit, short.dimension, short.digits,
        Working("", (), short.sources),
    )  # fmt: skip
    return Kept(
        short.key,
        short.label,
        str(measures.figure(figure)),
        short.value,
        short.low,
        short.high,
        short.unit,
        short.working,
        short.sources,
    )


def _said(newest: tuple[Entry, ...]) -> tuple[Said, ...]:
    """The newest entries, newest first. Whatever strikes one of them is newer, and so among them."""
    root: dict[int, int] = {}  # of each correction the entry that it counts for
    latest: dict[int, int] = {}  # of each such entry its latest correction
    for entry in newest:
        if isinstance(entry.body, Corrected):
            root[entry.seq] = root.get(entry.body.seq, entry.body.seq)
            latest[root[entry.seq]] = entry.seq
    struck = {entry.body.seq for entry in newest if isinstance(entry.body, Corrected)}
    return tuple(
        Said(
            entry.seq,
            iso(entry.happened_at),
            entry.recorded_by,
            entry_words(entry.body),
            entry.seq in struck,
            entry.body.seq if isinstance(entry.body, Corrected) else UNSET,
            *_typed(entry if latest.get(root.get(entry.seq, entry.seq), entry.seq) == entry.seq else None),
        )
        for entry in reversed(newest)
    )


def _typed(standing: Entry | None) -> tuple[str | UnsetType, dict[str, str] | UnsetType]:
    """The act that would write anew what an entry says, and the texts of its fields."""
    event: Event | None = standing.body if standing is not None else None
    if isinstance(event, Corrected):
        event = decode_plain(event.kind, event.version, event.instead) if event.instead is not None else None
    if event is None:
        return UNSET, UNSET
    name = ACT_OF[type(event)]
    if name not in QUICK:
        return name, UNSET
    values = {field: untold(text) for field, text in texts_of(event, acts()[name]).items()}
    return name, values if sum(map(len, values.values())) <= _MOST_TYPED else UNSET


def _measures(measures: Preferences) -> Measures:
    own: dict[str, Any] = {
        name: getattr(measures, name) for name in Measures.__struct_fields__ if name != "decimal_mark"
    }
    return Measures(**own)


@cache
def _scales() -> dict[str, Scale]:
    dimensions = {dimension for name in QUICK for field in acts()[name].fields for dimension in field.dimensions}
    units = [unit for dimension in sorted(dimensions) for unit in units_of(dimension) if unit.symbol]
    return {unit.symbol: Scale(unit.factor, unit.offset, unit.dimension) for unit in units}


def _danger() -> Danger:
    told = dangerous_bottles()
    return Danger(told.headline, told.why, tuple(finding.text for finding in told.findings), told.cautions)
