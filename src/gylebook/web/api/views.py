"""What can be read: the brews, what is due, the cellar, the answers of the steps and of the sums."""

from __future__ import annotations

from django.conf import settings
from django.middleware.csrf import get_token
from django.utils import timezone

from gylebook import __version__
from gylebook.errors import InputError, NotFound
from gylebook.outputs.day_shape import brew_shape, day_shape
from gylebook.outputs.shapes import entry_shape, iso, value_shape
from gylebook.phrases import say
from gylebook.steps import cellar_list
from gylebook.steps.cards import Card
from gylebook.steps.catalogue import WORDS, step
from gylebook.steps.day import Day, day
from gylebook.steps.decision import Sum
from gylebook.steps.fields import Field
from gylebook.steps.sums import SUMS
from gylebook.steps.warm_spell import spell_tasks
from gylebook.store import brew_log
from gylebook.store.book_mark import book_mark
from gylebook.web.api import brew as one
from gylebook.web.api.gate import PAGE, Asking, endpoint
from gylebook.web.api.shapes import API, Hello
from gylebook.web.api.told import Plain, answer_told, figure_told, refuse
from gylebook.web.brews.reckoned import answered
from gylebook.web.cards import card_of, cards_open
from gylebook.web.desk import Desk
from gylebook.web.form import Form, sent

_PAGE, _MOST = 50, 200
_MOST_BREWS = 500
CONFIRM = "confirm"


@endpoint(scope=None)
def hello(asking: Asking) -> Hello:
    """Who speaks with whom; the only address that answers a stranger."""
    asking.query()
    caller = asking.caller
    shelf = brew_log.read_shelf(book=asking.book)
    return Hello(
        version=__version__,
        signed_in=caller is not None,
        person=caller.person if caller is not None else "",
        csrf=get_token(asking.request) if caller is not None and caller.source == PAGE else "",
        now=iso(timezone.now()),
        zone=shelf.settings.time_zone or settings.TIME_ZONE,
        book=book_mark(asking.book),
        may=tuple(sorted(caller.scopes)) if caller is not None else (),
    )


@endpoint()
def brews(asking: Asking) -> Plain:
    """Brews by number, newest first, a page at a time."""
    given = asking.query("open", "after", "limit")
    if given.get("open", "1") not in {"0", "1"}:
        raise InputError(
            "open",
            say("“{given}” is neither", given=given["open"][:20]),
            say("write 1 for open brews, 0 for closed ones"),
        )
    opened = given["open"] == "1" if "open" in given else None
    before = asking.number(given, "after", 0) or None
    limit = max(1, asking.number(given, "limit", _PAGE, _MOST))
    at = asking.desk()
    page = brew_log.brews(at.book, open_only=opened, before=before, limit=limit)
    found = [
        brew_shape(b.brew, b.name, b.stage, b.next_due, card_of(b), now=at.now, zone=at.measures.zone, opened=b.open)
        for b in page.brews
    ]
    return {"brews": found, "after": page.before, "api": API}


@endpoint()
def brew(asking: Asking, number: int) -> Plain:
    """One brew with its answer and its outlook."""
    asking.query()
    at = asking.desk()
    return one.told(brew_log.read(str(number), book=at.book), at)


@endpoint()
def entries(asking: Asking, number: int) -> Plain:
    """A brew's log in order, from after an entry."""
    given = asking.query("after", "limit")
    after = asking.number(given, "after", 0)
    limit = max(1, asking.number(given, "limit", _MOST, _MOST))
    state = brew_log.read(str(number), book=asking.book)
    found = [entry for entry in state.entries if entry.seq > after]
    shown = [entry_shape(entry, state) for entry in found[:limit]]
    return {"entries": shown, "head_seq": state.head_seq, "more": len(found) > limit, "api": API}


@endpoint()
def today(asking: Asking) -> Plain:
    """What is due across all brews."""
    asking.query()
    at = asking.desk()
    cards, unknown = due_cards(at)
    return {**day_shape(cards, day_of(cards, at), unknown), "api": API}


@endpoint()
def cellar(asking: Asking) -> Plain:
    """What stands in bottles."""
    asking.query()
    at = asking.desk()
    now, zone = at.now, at.measures.zone
    found = cellar_list.standing(cards_open(at.book), now, zone)
    return {
        "headline": cellar_list.headline(found),
        "brews": [
            {
                "brew": each.card.id,
                "name": each.card.name,
                "place": each.card.place,
                "urgency": each.says.urgency.key,
                "headline": each.says.headline,
                "why": each.says.why,
                "look_first": each.first,
                "bottles": value_shape(each.bottles),
                "figures": [
                    figure_told(figure, at.measures)
                    for figure in cellar_list.figures_of(each, at.now, at.measures.zone)
                ],
            }
            for each in found
        ],
        "not_reckoned": due_cards(at)[1],
        "api": API,
    }


@endpoint()
def step_answer(asking: Asking, word: str) -> Plain:
    """The answer of a step; what is supposed stands behind the question mark."""
    if word not in WORDS:
        raise NotFound(
            say("There is no step called “{word}”; the steps are {steps}.", word=word[:40], steps=", ".join(WORDS))
        )
    of = step(word)
    given = asking.query("brew", CONFIRM, *(field.name for field in of.ask))
    number = asking.number(given, "brew", 0)
    if not number:
        raise InputError("brew", say("it is not said which"), say("add the brew's number, as in ?brew=1"))
    at = asking.desk()
    asked = {field.name: given[field.name] for field in of.ask if given.get(field.name)}
    _confirmable(asking, of.ask)
    form = _read(asking, tuple(field for field in of.ask if field.name in asked), at)
    state = brew_log.read(str(number), book=at.book)
    found = answered(of, state, at.setting(form.confirmed), form.values)
    return {"brew": state.id, "step": word, "asked": asked, **answer_told(found, at.measures), "api": API}


@endpoint()
def sum_answer(asking: Asking, word: str) -> Plain:
    """What a sum comes to."""
    of: Sum | None = SUMS.get(word)
    if of is None:
        raise NotFound(
            say("There is no sum called “{word}”; the sums are {sums}.", word=word[:40], sums=", ".join(SUMS))
        )
    given = asking.query(CONFIRM, *(field.name for field in of.fields))
    _confirmable(asking, of.fields)
    at = asking.desk()
    form = _read(asking, of.fields, at)
    found = of.reckon(form.values)
    asked = {name: text for name, text in given.items() if name != CONFIRM and text}
    plain = {"sum": of.word, "asked": asked, **answer_told(found, at.measures), "api": API}
    if found.course is not None:
        from gylebook.outputs.outlook_shape import course_shape  # NumPy, only where there is a course

        plain["fan"] = course_shape(found.course)
    return plain


def _confirmable(asking: Asking, fields: tuple[Field, ...]) -> None:
    """Refuse to confirm what is no field: it would insist on nothing."""
    names = [field.name for field in fields]
    for name in asking.request.GET.getlist(CONFIRM):
        if name not in names:
            known = ", ".join(names)
            raise InputError(
                CONFIRM, say("“{name}” is not asked for here", name=name[:40]), say("name one of: {known}", known=known)
            )


def _read(asking: Asking, fields: tuple[Field, ...], at: Desk) -> Form:
    form = sent(fields, asking.request.GET, at.measures)
    refuse(form)
    return form


def due_cards(at: Desk) -> tuple[list[Card], list[str]]:
    """The cards of the open brews in the order in which something is due, and the brews that have none."""
    found = {listed.brew: card_of(listed) for listed in brew_log.due(at.book, limit=_MOST_BREWS)}
    return [each for each in found.values() if each], [number for number, each in found.items() if each is None]


def day_of(cards: list[Card], at: Desk) -> Day:
    """The day's work over these brews."""
    owned = at.shelf.bottles.values()
    empties = sum(kept.count for kept in owned) - sum(card.bottles_left for card in cards) if owned else None
    told = spell_tasks(cards, at.shelf, at.now, at.measures.zone)
    weather = [(spell.place, task) for spell, task in told]
    return day(cards, at.now, at.measures.zone, None if empties is None else max(0, empties), weather)
