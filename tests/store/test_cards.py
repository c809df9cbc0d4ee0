from __future__ import annotations

import logging

import msgspec
import pytest

from entries import NOON, at, measured, row, write_rows
from gylebook.journal import events as ev
from gylebook.steps.decision import Decision
from gylebook.store import brew_log, cards
from gylebook.store.models import BrewCard

WHO = {"actor": "owner", "source": "page", "now": NOON}


def write(event: ev.Event, hours: float = 1):
    return lambda _state: Decision(((at(hours), event),))


def start(name: str, hours: float = 0) -> str:
    return brew_log.start_brew(
        write(ev.Planned(name=name), hours), command_id=f"start-{name[:50].replace(' ', '.')}", **WHO
    ).brew


def listed(**filters):
    return [(b.name, b.card) for b in brew_log.brews(**filters).brews]


def test_a_card_is_made_with_the_entry_that_changes_it(book):
    brew = start("Ale")
    assert listed() == [("Ale", '{"entries":1,"shelf":0}')]
    brew_log.change(brew, write(measured("1.040")), command_id="r", **WHO)
    assert listed() == [("Ale", '{"entries":2,"shelf":0}')]
    assert BrewCard.objects.get(brew=brew).state_hash == cards.state_hash(brew_log.read(brew))


def test_a_change_of_the_shelf_makes_cards_anew_when_they_are_next_shown(book):
    start("Ale")
    brew_log.change_shelf(write(ev.StockKept(item="caps")), command_id="s", **WHO)
    assert BrewCard.objects.get().shelf_seq == 0
    assert listed() == [("Ale", '{"entries":1,"shelf":1}')]
    assert BrewCard.objects.get().shelf_seq == 1


def test_a_better_reckoning_makes_all_cards_anew(book, monkeypatch):
    start("Ale")
    start("Stout")
    monkeypatch.setattr(cards, "cards_version", lambda: "test-2")
    monkeypatch.setattr(cards, "make_card", lambda brew, shelf, learned: cards.Made(None, '"better"'))
    assert listed() == [("Stout", '"better"'), ("Ale", '"better"')]


def test_another_fold_makes_names_and_stages_anew_before_the_list_is_shown(book):
    start("Ale")
    brew_log.change(start("Stout"), write(ev.Closed()), command_id="close", **WHO)
    BrewCard.objects.update(fold="older", open=True, stage="odd", name="Odd", state_hash="odd")
    assert [name for name, _ in listed(open_only=True)] == ["Ale"]
    assert cards.outdated(book) == ["2"]  # the closed one is folded, and reckoned only when it is shown
    assert BrewCard.objects.get(brew="2").state_hash == cards.state_hash(brew_log.read("2"))
    assert listed(open_only=False) == [("Stout", '{"entries":2,"shelf":0}')]
    assert cards.outdated(book) == []


def test_what_is_due_is_reckoned_before_it_is_put_in_order(book, monkeypatch):
    start("Ale")
    start("Stout")
    BrewCard.objects.update(cards_version="", next_due=None, card="")
    assert [b.next_due for b in brew_log.due()] == [at(72), at(72)]


def test_the_steps_card_is_kept_as_it_is(real_cards, book):
    brew = start("Ale")
    brew_log.change(brew, write(ev.Pitched(kind="ale"), 2), command_id="p", **WHO)
    brew_log.change(brew, write(measured("1.040"), 3), command_id="r", **WHO)
    from gylebook.steps.cards import card, card_read

    (shown,) = brew_log.due()
    made = card_read(shown.card)
    assert made == card(brew_log.read(brew), brew_log.read_shelf())
    assert (made.name, made.stage, shown.next_due) == ("Ale", "fermenting", made.next_due)


def test_a_card_that_would_not_read_back_counts_as_not_reckoned(real_cards, book, monkeypatch, caplog):
    from gylebook.steps import cards as steps_cards

    make = steps_cards.card
    monkeypatch.setattr(
        steps_cards,
        "card",
        lambda brew, shelf, **more: msgspec.structs.replace(make(brew, shelf, **more), number=float("nan")),
    )
    start("Ale")
    assert "could not be reckoned" in caplog.text
    assert listed() == [("Ale", "")]


def test_cards_that_are_missing_are_made_anew(book):
    start("Ale")
    start("Stout")
    BrewCard.objects.filter(name="Ale").delete()
    assert [name for name, _ in listed()] == ["Stout", "Ale"]


def test_an_entry_is_kept_even_when_its_card_cannot_be_reckoned(book, monkeypatch, caplog):
    brew = start("Ale")

    def fail(_brew, _shelf, _learned):
        raise ZeroDivisionError("no volume")

    monkeypatch.setattr(cards, "make_card", fail)
    with caplog.at_level(logging.ERROR):
        done = brew_log.change(brew, write(measured("1.040")), command_id="r", **WHO)
    assert "card of brew 1 could not be reckoned" in caplog.text
    assert brew_log.read(brew).entries[-1] == done.entries[0]
    assert listed() == [("Ale", "")]
    caplog.clear()
    assert listed() == [("Ale", "")]
    assert not caplog.records  # not tried again until something has changed


def test_outdated_cards_are_told_one_by_one(book):
    ale, stout = start("Ale"), start("Stout")
    assert cards.outdated(book) == []
    write_rows(book, row(stout, 2, measured("1.040")))  # past the door
    assert cards.outdated(book) == [stout]
    assert cards.rebuild(book) == 1
    assert cards.outdated(book) == []
    brew_log.change_shelf(write(ev.StockKept(item="caps")), command_id="s", **WHO)
    assert cards.outdated(book) == [ale, stout]


def test_the_list_comes_in_pages_by_number(book):
    for name in ("A", "B", "C", "D", "E"):
        start(name)
    first = brew_log.brews(limit=2)
    assert [b.number for b in first.brews] == [5, 4]
    second = brew_log.brews(limit=2, before=first.before)
    assert [b.number for b in second.brews] == [3, 2]
    third = brew_log.brews(limit=2, before=second.before)
    assert [b.number for b in third.brews] == [1]
    assert third.before is None


def test_the_list_can_hold_only_the_open_or_the_closed_ones(book):
    start("Ale")
    brew_log.change(start("Stout"), write(ev.Closed()), command_id="close", **WHO)
    assert [name for name, _ in listed(open_only=True)] == ["Ale"]
    assert [name for name, _ in listed(open_only=False)] == ["Stout"]
    assert brew_log.count() == {"open": 1, "closed": 1}


def test_the_list_can_be_searched_by_name(book):
    start("Harvest Ale")
    start("Winter Stout")
    assert [name for name, _ in listed(named="stout")] == ["Winter Stout"]
    assert listed(named="lager") == []


def test_what_is_due_comes_in_its_order_and_nothing_due_comes_last(book, monkeypatch):
    start("Late", hours=30)
    start("Early", hours=2)
    make = cards.make_card
    monkeypatch.setattr(
        cards, "make_card", lambda brew, shelf, learned: cards.Made(None, make(brew, shelf, learned).text)
    )
    start("Nothing", hours=1)
    due = brew_log.due()
    assert [b.name for b in due] == ["Early", "Late", "Nothing"]
    assert due[0].next_due == at(2 + 72)
    assert due[2].next_due is None


def test_a_name_too_long_for_the_list_is_cut_there_only(book):
    brew = start("x" * 500)
    assert brew_log.brews().brews[0].name == "x" * 300
    assert brew_log.read(brew).name == "x" * 500


def test_the_hash_of_a_brew_tells_any_two_states_apart(book):
    brew = start("Ale")
    seen = {cards.state_hash(brew_log.read(brew))}
    for n, event in enumerate([measured("1.040"), measured("1.0400"), ev.Corrected(seq=2), ev.Noted(text="")]):
        brew_log.change(brew, write(event), command_id=f"c{n}", **WHO)
        seen.add(cards.state_hash(brew_log.read(brew)))
    assert len(seen) == 5


@pytest.mark.parametrize("limit", [0, -3])
def test_a_page_holds_at_least_one_brew(book, limit):
    start("Ale")
    start("Stout")
    assert len(brew_log.brews(limit=limit).brews) == 1
