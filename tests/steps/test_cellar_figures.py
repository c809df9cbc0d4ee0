from __future__ import annotations

from datetime import UTC, timedelta
from zoneinfo import ZoneInfo

import msgspec
import pytest

from brewing import ONE_CAN_SUGAR, at, brewed, q, shelf_with
from gylebook import sources
from gylebook.journal import events as ev
from gylebook.steps import cellar_figures as figures
from gylebook.steps.answers import Figure
from gylebook.steps.cards import card, card_kept, card_read
from gylebook.steps.empties import empties

PLACE = ev.PlaceKept(
    name="garage",
    low=q("2", "°C"),
    high=q("20", "°C"),
    months=(ev.MonthRange(month=7, low=q("16", "°C"), high=q("31", "°C")),),
)
KIND = ev.BottlesKept(name="brown halves", kind="returnable_500", size=q("500", "mL"), count=50)


def bottled(*further):
    return brewed(
        (1, ev.Mixed(ingredients=ONE_CAN_SUGAR, volume=q("23", "L"))),
        (2, ev.Pitched(temp=q("20", "°C"))),
        (300, ev.Measured(gravity=q("1.004", "SG"), temp=q("20", "°C"))),
        (350, ev.Measured(gravity=q("1.004", "SG"), temp=q("20", "°C"))),
        (351, ev.Primed(sugar="sucrose", mass=q("110", "g"), volume=q("22", "L"))),
        (352, ev.Bottled(lots=(ev.BottleLot(bottle="brown halves", count=40, size=q("500", "mL")),), place="garage")),
        *further,
    )


@pytest.fixture
def made():
    return card(bottled((400, ev.TakenOut(count=3))), shelf_with(PLACE, KIND), at(420))


def every(made):
    bottles = made.bottles
    found = [figures.left_figure(bottles), figures.fizz_figure(bottles), figures.store_figure(bottles)]
    found += [figures.pressure_figure(bottles, lot) for lot in bottles.lots]
    found += [figures.limit_figure(lot) for lot in bottles.lots]
    found += [figures.carbonated_figure(bottles), figures.drink_by_figure(bottles)]
    return [*found, figures.age_figure(made.bottled, at(420), UTC)]


def test_each_figure_has_a_working_whose_sources_are_known(made):
    for figure in every(made):
        assert figure.working.relation
        assert figure.working.inputs
        assert figure.working.sources
        for key in figure.working.sources:
            sources.get(key)


def test_each_interval_holds_its_value(made):
    for figure in every(made):
        assert figure.low <= figure.value <= figure.high, figure.key


def test_bottles_left_are_those_filled_less_those_gone(made):
    assert figures.left_figure(made.bottles).value == 37


def test_the_warmest_month_of_the_place_is_named(made):
    assert figures.where_warmest(made.bottles) == "garage in July"
    assert figures.store_figure(made.bottles).value == 31


def test_an_unknown_place_is_said_to_be_assumed():
    made = card(bottled(), shelf_with(KIND), at(420))

    assert "not known" in figures.where_warmest(made.bottles)
    nowhere = msgspec.structs.replace(made.bottles, place="")
    assert figures.where_warmest(nowhere) == "a room in summer; no place is known"


def test_the_pressure_goes_up_to_that_of_the_worst_bottle(made):
    lot = made.bottles.lots[0]
    found = figures.pressure_figure(made.bottles, lot)

    assert found.value == lot.pressure
    assert found.high >= lot.worst_pressure
    assert found.working.cautions  # beyond the chart's end


def test_days_are_counted_by_the_brewers_calendar():
    late = at(352).replace(hour=23, minute=30)
    here, there = (figures.age_figure(late, late + timedelta(hours=1), zone) for zone in (UTC, ZoneInfo("Asia/Tokyo")))

    assert (here.value, here.words) == (1, "1 day")
    assert (there.value, there.words) == (0, "today")


def test_empty_bottles_are_owned_less_full_ones(made):
    [(kept, found)] = empties(shelf_with(KIND), [made])

    assert kept.name == "brown halves"
    assert isinstance(found, Figure)
    assert found.value == 50 - 37
    assert "37 full" in [given.value for given in found.working.inputs]


def test_bottles_of_another_name_are_not_taken_off(made):
    other = msgspec.structs.replace(KIND, name="green halves")
    [(_, found)] = empties(shelf_with(other), [made])

    assert found.value == 50
    assert found.working.cautions


def test_never_fewer_than_none_are_empty(made):
    few = msgspec.structs.replace(KIND, count=5)
    [(_, found)] = empties(shelf_with(few), [made])

    assert found.value == 0


FRIDGE = ev.PlaceKept(name="garage", low=q("2", "°C"), high=q("4", "°C"))


def test_too_cold_to_carbonate_is_told_in_words_and_drinking_waits_for_it():
    kept = card_kept(card(bottled(), shelf_with(FRIDGE, KIND), at(420)))
    bottles = card_read(kept).bottles
    found = figures.carbonated_figure(bottles)

    assert isinstance(found, Figure)
    assert found.text() == "not before it is warmed"
    assert found.value < 5
    assert not figures.is_carbonated(bottles, at(20 * 365 * 24))
    assert figures.drink_by_figure(bottles).working.inputs[0].value == "not before it is warmed"


def test_carbonated_is_as_good_as_sure_at_the_latest_date_and_not_before():
    room = msgspec.structs.replace(PLACE, low=q("18", "°C"), high=q("22", "°C"), months=())
    bottles = card(bottled(), shelf_with(room, KIND), at(420)).bottles
    found = figures.carbonated_figure(bottles)

    assert not figures.is_carbonated(bottles, found.high - timedelta(hours=1))
    assert figures.is_carbonated(bottles, found.high)
