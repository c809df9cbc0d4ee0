from __future__ import annotations

import pytest

from brewing import at, q, setting, shelf_with
from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.steps.shelf import act_for
from gylebook.steps.shelf_changing import changing, held

ONE = ev.BottlesKept(name="clear", kind="one_way", size=q("330", "mL"), count=24)
TWO = ev.BottlesKept(name="brown", kind="returnable_500", size=q("500", "mL"), count=60)
VALUES = {"name": "clear", "kind": "one_way", "size": q("330", "mL"), "count": 20}


def decided(was, confirmed=frozenset(), **changed):
    act = changing(act_for("keep_bottles"), "bottles", was)
    shelf = shelf_with(ONE, TWO)
    return act.decide(shelf, {**VALUES, **changed}, at(0), setting(ONE, TWO, confirmed=confirmed)).events


def test_the_same_name_takes_the_old_ones_place():
    [(_, event)] = decided("clear")

    assert event == ev.BottlesKept(name="clear", kind="one_way", size=q("330", "mL"), count=20)


def test_another_name_takes_the_old_one_off_the_shelf():
    events = [event for _, event in decided("clear", name="clear thirds")]

    assert [type(event) for event in events] == [ev.BottlesKept, ev.Forgotten]
    assert events[1] == ev.Forgotten(thing="bottles", name="clear")


def test_blanks_around_a_name_are_no_other_name():
    assert len(decided("clear", name="  clear ")) == 1


def test_a_name_that_belongs_to_another_thing_is_asked_about():
    with pytest.raises(InputError, match="on the shelf already") as refused:
        decided("clear", name="brown")

    assert refused.value.field == "Name"


def test_a_name_that_belongs_to_another_thing_is_taken_on_the_brewers_word():
    assert len(decided("clear", frozenset({"name"}), name="brown")) == 2


def test_a_new_thing_under_a_name_that_is_there_is_asked_about_too():
    with pytest.raises(InputError, match="on the shelf already"):
        decided("")


def test_an_old_name_that_is_gone_meanwhile_is_not_forgotten_again():
    assert len(decided("gone", name="green")) == 1


def test_each_sort_of_thing_is_found_on_the_shelf():
    shelf = shelf_with(ONE)

    assert list(held(shelf, "bottles")) == ["clear"]
    assert not any(held(shelf, thing) for thing in ("kit", "instrument", "vessel", "place", "stock"))
