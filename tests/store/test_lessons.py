"""Lessons of finished brews beside their cards: made when they are asked for, and anew only where they no longer fit."""

from __future__ import annotations

import logging

import pytest

from entries import NOON, at
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps import learning
from gylebook.steps.decision import Decision
from gylebook.steps.learned import NOTHING_LEARNED, Taught, Told
from gylebook.store import brew_log, cards, lessons
from gylebook.store.models import BrewCard

WHO = {"actor": "owner", "source": "page", "now": NOON}
GLASS = ev.InstrumentKept(name="long hydrometer")


def write(event: ev.Event, hours: float = 1):
    return lambda _state: Decision(((at(hours), event),))


class Counted:
    """Stands for the reckoning: each finished brew teaches the same, and what was asked for is counted."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def __call__(self, brew: Brew, shelf: Shelf) -> Taught | None:
        self.asked.append(brew.id)
        if "wrong" in brew.name:
            raise ZeroDivisionError("no volume")
        ended = brew.last(ev.Closed)
        if "odd" in brew.name or ended is None:
            return None
        return Taught(brew.id, ended.at, kit="Fernside stout", attenuation=Told(-0.04, 0.02))


@pytest.fixture
def counted(monkeypatch):
    """The stand-in, in its place."""
    stand_in = Counted()
    monkeypatch.setattr(learning, "taught", stand_in)
    return stand_in


def change(brew: str, event: ev.Event, name: str, hours: float = 5) -> None:
    brew_log.change(brew, write(event, hours), command_id=name, **WHO)


def shelve(event: ev.Event, name: str, hours: float = 6) -> None:
    brew_log.change_shelf(write(event, hours), command_id=name, **WHO)


def brewed(name: str, *, close: bool = True, book: str = "default") -> str:
    made = brew_log.start_brew(write(ev.Planned(name=name), 0), command_id=f"start-{name}", book=book, **WHO)
    if close:
        change(made.brew, ev.Closed(), f"close-{name}")
    return made.brew


def told():
    return brew_log.read_learned(brew_log.read_shelf())


def test_a_book_without_finished_brews_has_learned_nothing(book, counted):
    brewed("running", close=False)
    assert told() is NOTHING_LEARNED
    assert counted.asked == []


def test_a_finished_brew_is_asked_once_for_what_it_teaches(book, counted):
    brew = brewed("one")
    assert counted.asked == []  # not by the one who wrote it
    assert [x.brew for x in told().lessons] == [brew]
    assert told() == told()
    brew_log.brews()
    brewed("running", close=False)
    assert counted.asked == [brew]


def test_lessons_thrown_away_are_worked_out_the_same_again(book, counted):
    for name in ("one", "two", "three"):
        brewed(name)
    before = told()
    BrewCard.objects.update(lesson="", lesson_of="")
    lessons._learned.cache_clear()
    assert told() == before
    assert len(counted.asked) == 6


def test_a_brew_that_teaches_nothing_is_not_asked_again(book, counted):
    brewed("odd")
    assert told() is NOTHING_LEARNED
    assert told() is NOTHING_LEARNED
    assert counted.asked == ["1"]


def test_a_brew_that_cannot_be_reckoned_hides_no_other(book, counted, caplog):
    brewed("wrong")
    brew = brewed("one")
    with caplog.at_level(logging.ERROR):
        assert [x.brew for x in told().lessons] == [brew]
    assert "What brew 1 teaches could not be reckoned" in caplog.text
    caplog.clear()
    assert len(told().lessons) == 1
    assert not caplog.records


def test_a_later_entry_has_the_lesson_worked_out_anew(book, counted):
    brew = brewed("one")
    told()
    change(brew, ev.Noted(text="drank the last one"), "note")
    told()
    assert counted.asked == [brew, brew]


def test_a_brew_that_is_opened_again_teaches_no_more(book, counted):
    brew = brewed("one")
    assert told().lessons
    change(brew, ev.Corrected(seq=2), "open")
    assert told() is NOTHING_LEARNED


def test_stock_leaves_lessons_alone_and_gear_has_them_worked_out_anew(book, counted):
    brewed("one")
    told()
    shelve(ev.StockKept(item="caps"), "caps")
    told()
    assert len(counted.asked) == 1
    shelve(GLASS, "glass")
    told()
    assert len(counted.asked) == 2


def test_only_the_newest_finished_brews_teach(book, counted, monkeypatch):
    monkeypatch.setattr(lessons, "MOST_LESSONS", 2)
    for name in ("one", "two", "three"):
        brewed(name)
    assert [x.brew for x in told().lessons] == ["2", "3"]
    assert sorted(counted.asked) == ["2", "3"]


def test_forgetting_and_learning_again(book, counted):
    brewed("one")
    before = told()
    shelve(ev.LessonsKept(count=False), "forget", hours=9)
    assert told() is NOTHING_LEARNED
    shelve(ev.LessonsKept(count=True), "again", hours=10)
    assert told() == before
    shelve(ev.LessonsKept(count=False, thing="kit", name="Fernside stout"), "kit", hours=11)
    assert told().attenuation_shift("Fernside stout", "") == NOTHING_LEARNED.attenuation_shift("Fernside stout", "")
    shelve(ev.Corrected(seq=3), "taken.back", hours=12)
    assert told() == before
    assert counted.asked == ["1"]


def test_what_is_learned_makes_the_cards_of_running_brews_anew_when_they_are_next_shown(book, counted, monkeypatch):
    made: list[tuple[str, int]] = []

    def make(brew, shelf, learned):
        made.append((brew.id, len(learned.lessons)))
        return cards.Made(None, "{}")

    monkeypatch.setattr(cards, "make_card", make)
    done, running = brewed("done", close=False), brewed("running", close=False)
    brew_log.due()
    made.clear()
    change(done, ev.Closed(), "close")
    assert made == [(done, 0)]  # the writer waits for no other card
    brew_log.due()
    assert made == [(done, 0), (running, 1)]
    brew_log.due()
    brew_log.brews()
    assert len(made) == 2
    change(running, ev.Noted(text="x"), "note")
    assert made[2:] == [(running, 1)]
    brew_log.due()
    assert len(made) == 3


def test_outdated_cards_are_told_when_lessons_change(book, counted):
    running = brewed("running", close=False)
    assert cards.outdated(book) == []
    brewed("done")
    assert cards.outdated(book) == [running]
    assert cards.rebuild(book) == 1
    assert cards.outdated(book) == []


def test_the_real_reckoning_is_kept_and_read_back(real_cards, book):
    from finished import DAY, LEVEL, ROOM, bottled, by_days, primed

    brew = by_days(*LEVEL, primed(), bottled(), (60.0, ev.Closed()))
    start = brew_log.start_brew(write(brew.entries[0].body, 0), command_id="real", **WHO).brew
    for entry in brew.entries[1:]:
        hours = (entry.happened_at - brew.entries[0].happened_at).total_seconds() / 3600
        change(start, entry.body, f"real-{entry.seq}", hours)
    shelve(ROOM, "room", 0)
    (found,) = told().lessons
    assert found == learning.taught(brew_log.read(start), brew_log.read_shelf())
    assert found.attenuation is not None
    assert found.ended == at(60 * DAY)


def test_a_reader_asks_the_database_little(book, counted, django_assert_max_num_queries):
    for number in range(30):
        brewed(f"b{number}")
    shelf = brew_log.read_shelf()
    brew_log.read_learned(shelf)
    with django_assert_max_num_queries(1):
        brew_log.read_learned(shelf)
