"""What goes over the line, as types: requests are read by them, and the description of the API is made from them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

import msgspec
from msgspec import UNSET, Meta, Struct, UnsetType

API = 1
MOST_ENTRIES = 200

Moment = Annotated[str, Meta(description="ISO 8601 in UTC, closed by a Z")]
Urgency = Annotated[str, Meta(description="Danger, Act today, Measure, Wait or Nothing to do")]


class Error(Struct, frozen=True):
    """What was wrong: the field it is about, "" where it is about none, and one sentence."""

    field: str
    message: str


class Fault(Struct, frozen=True):
    """The answer to a request that was not carried out."""

    error: Error
    api: int = API


class Hello(Struct, frozen=True):
    """Who speaks with whom. `csrf` is for a browser alone, to be sent back as X-CSRFToken; "" for a token."""

    version: str
    signed_in: bool
    person: str
    csrf: str
    now: Moment
    zone: str
    book: Annotated[str, Meta(description="The same for as long as this database is: another one is another book")]
    may: tuple[str, ...]
    api: int = API


class Given(Struct, frozen=True):
    """One input of a working."""

    name: str
    value: str
    basis: str
    where: str
    seq: int | None


class Source(Struct, frozen=True):
    """One entry of the bibliography."""

    key: str
    citation: str
    standing: str
    meaning: str
    note: str


class Working(Struct, frozen=True):
    """How a figure was reached."""

    relation: str
    inputs: tuple[Given, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[Source, ...]


class Figure(Struct, frozen=True):
    """A reckoned number, or a moment, with its interval; `text` is in the brewer's own units.

    Numbers are in `unit`, the base unit of their dimension; null where a number is not finite.
    """

    key: str
    label: str
    value: float | str | None
    low: float | str | None
    high: float | str | None
    half_low: float | str | None
    half_high: float | str | None
    unit: str
    dimension: str
    interval: str
    words: str
    text: str
    working: Working


class Finding(Struct, frozen=True):
    """Something noticed; `check` is the one thing that would tell."""

    urgency: Urgency
    key: str
    text: str
    check: str
    seq: int | None


class Option(Struct, frozen=True):
    """One row of a comparison."""

    name: str
    chosen: bool
    words: str
    figures: tuple[Figure, ...]


class Deed(Struct, frozen=True):
    """One thing to do of a plan that goes in order."""

    key: str
    urgency: Urgency
    name: str
    words: str
    figures: tuple[Figure, ...]


class Answer(Struct, frozen=True):
    """What a step or a sum answers, best part first."""

    headline: str
    why: str
    urgency: Urgency
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]
    options: tuple[Option, ...]
    plan: tuple[Deed, ...]
    missing: str
    assumed: tuple[str, ...]
    rule_of_thumb: str
    cautions: tuple[str, ...]


class StepAnswer(Answer, frozen=True, kw_only=True):
    """What a step answers of a brew."""

    brew: str
    step: str
    asked: dict[str, str]
    api: int = API


class SumAnswer(Answer, frozen=True, kw_only=True):
    """What a sum comes to; `fan` is its course by days, where it has one."""

    sum: str
    asked: dict[str, str]
    fan: dict[str, tuple[float, ...]] | UnsetType = UNSET
    api: int = API


class Task(Struct, frozen=True):
    """Something that is due."""

    brew: str
    name: str
    step: str
    act: str
    words: str
    why: str
    urgency: Urgency
    when: str
    due_from: Moment
    due_by: Moment | None
    place: str
    vessel: str
    minutes: int


class ToCome(Struct, frozen=True):
    """The next reading of a brew, where it comes later than in a week."""

    brew: str
    name: str
    at: Moment
    why: str


class Today(Struct, frozen=True):
    """What is due across all brews, in the order of the work."""

    headline: str
    minutes: int
    tasks: tuple[Task, ...]
    collisions: tuple[Finding, ...]
    readings_to_come: tuple[ToCome, ...]
    not_reckoned: tuple[str, ...]
    api: int = API


class Brew(Struct, frozen=True):
    """One brew of a list; what follows from its card is null where that could not be reckoned."""

    brew: str
    name: str
    stage: str
    open: bool
    next_due: Moment | None
    urgency: Urgency | None
    headline: str | None
    why: str | None
    card: Annotated[dict[str, Any] | None, Meta(description="Everything that lists know of the brew")]


class Brews(Struct, frozen=True):
    """Brews by number, newest first; `after` asks for the next page, null on the last."""

    brews: tuple[Brew, ...]
    after: int | None
    api: int = API


class Read(Struct, frozen=True):
    """One reading as the chart draws it, corrected, with its error; in `scale` of the course."""

    at: Moment
    value: float
    low: float
    high: float
    words: str
    struck: bool


class Course(Struct, frozen=True):
    """What the chart of the brew's page draws besides the forecast, which is `fan` of the outlook."""

    scale: str
    readings: tuple[Read, ...]


class OneBrew(Struct, frozen=True):
    """A brew: its card, what is due, the answer that its stage asks for, and where it is going.

    `outlook` is what `gylebook outlook BREW --json` tells; null where an entry cannot be reckoned with.
    """

    brew: str
    name: str
    stage: str
    open: bool
    head_seq: int
    headline: str
    why: str
    urgency: Urgency
    tasks: tuple[Task, ...]
    card: dict[str, Any]
    step: str
    answer: Answer
    outlook: dict[str, Any] | None
    course: Course | None
    api: int = API


class Entry(Struct, frozen=True):
    """An entry exactly as written, with its sentence."""

    brew: str
    seq: int
    kind: str
    version: int
    happened_at: Moment
    recorded_at: Moment
    recorded_by: str
    source: str
    command_id: str
    struck: bool
    words: str
    body: dict[str, Any]


class Entries(Struct, frozen=True):
    """Entries of a brew in order; `more` where others follow."""

    entries: tuple[Entry, ...]
    head_seq: int
    more: bool
    api: int = API


class InBottles(Struct, frozen=True):
    """A brew of which bottles are left."""

    brew: str
    name: str
    place: str
    urgency: Urgency
    headline: str
    why: str
    look_first: bool
    bottles: dict[str, Any]
    figures: tuple[Figure, ...]


class Cellar(Struct, frozen=True):
    """What stands in bottles, dangerous ones first, then place by place."""

    headline: str
    brews: tuple[InBottles, ...]
    not_reckoned: tuple[str, ...]
    api: int = API


# --- what is sent -------------------------------------------------------------------------------------------------


class Sent(Struct, frozen=True, forbid_unknown_fields=True):
    """One entry to write: an act, with what was typed in its fields.

    Parameters
    ----------
    id
        Made up by the sender, once for each entry: however often it is sent, it is written once.
    brew
        A brew's number; "shelf" for an act of the shelf; "new" for the plan of a new brew.
    act
        The act's name.
    values
        Texts by the act's field names, as typed; a number may carry its unit ("68 F").
    happened_at
        ISO 8601 with its zone; "" for the moment of writing.
    seen_seq
        The last entry of the brew that the sender knew; what others wrote after it is told beside the result.
    confirmed
        Names of fields whose unusual value is meant.
    corrects
        The number of the entry of this brew that this one puts right, all of it written anew; of its latest correction
        where it has one. With the act "withdraw", which has no fields, that entry is taken back.
    because
        Why the entry was wrong, in a few words; with `corrects` only.
    """

    id: Annotated[str, Meta(pattern=r"^[A-Za-z0-9._:-]{1,100}$")]
    brew: Annotated[str, Meta(max_length=20)]
    act: Annotated[str, Meta(max_length=40)]
    values: dict[str, str] = {}
    happened_at: Annotated[str, Meta(max_length=60)] = ""
    seen_seq: Annotated[int, Meta(ge=0, le=2_147_483_647)] | None = None
    confirmed: tuple[str, ...] = ()
    corrects: Annotated[int, Meta(ge=1, le=2_147_483_647)] | None = None
    because: Annotated[str, Meta(max_length=300)] = ""


class Batch(Struct, frozen=True, forbid_unknown_fields=True):
    """Entries in the order in which they were made; each is read by itself, so that a bad one stops no other."""

    entries: Annotated[tuple[msgspec.Raw, ...], Meta(max_length=MOST_ENTRIES)]
    api: Literal[1] = 1


class BatchShape(Struct, frozen=True):
    """Entries in the order in which they were made."""

    entries: Annotated[tuple[Sent, ...], Meta(max_length=MOST_ENTRIES)]
    api: Literal[1] = 1


class Noticed(Struct, frozen=True):
    """Something that the book noticed in an entry."""

    urgency: Urgency
    text: str
    check: str


class Beside(Struct, frozen=True):
    """An entry that somebody else wrote meanwhile."""

    seq: int
    at: Moment
    by: str
    words: str


class Result(Struct, frozen=True):
    """What became of one entry.

    written: it is in the book now. already: it was before, and nothing was written anew. asks: a value is unlikely;
    nothing was kept, and it may be sent again with the field's name among `confirmed`. refused: nothing was kept, and
    `message` tells why.
    """

    id: str
    status: Literal["written", "already", "asks", "refused"]
    brew: str
    seqs: tuple[int, ...] = ()
    message: str = ""
    field: str = ""
    suggestion: str = ""
    findings: tuple[Noticed, ...] = ()
    beside: tuple[Beside, ...] = ()


class Results(Struct, frozen=True):
    """What became of each entry, in the order in which they were sent."""

    results: tuple[Result, ...]
    api: int = API
