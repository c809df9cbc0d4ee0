"""The budget of gas of a bottled brew: its worst bottle, its chances, the year ahead. All brews are invented."""

from __future__ import annotations

import numpy as np
import pytest

from brewing import q, setting
from finished import DAY, LEVEL, bottled, by_days, lot, primed
from gylebook.journal import events as ev
from gylebook.science.interval import Span
from gylebook.steps.answers import Basis
from gylebook.steps.bottle_store import store_c
from gylebook.steps.fizz import fizz_of
from gylebook.steps.gas_budget import LIKELY, ahead, budget, past_by
from gylebook.steps.gas_parts import worst_of

GARAGE = ev.PlaceKept(
    name="garage",
    low=q("4", "°C"),
    high=q("16", "°C"),
    months=(
        ev.MonthRange(month=7, low=q("18", "°C"), high=q("34", "°C")),
        ev.MonthRange(month=8, low=q("18", "°C"), high=q("33", "°C")),
    ),
)
COOL = ev.PlaceKept(name="garage", low=q("8", "°C"), high=q("14", "°C"))


def found_of(*things, grams="126", days=20, lots=()):
    brew = by_days(*LEVEL, primed(grams), bottled("garage", *lots))
    where = setting(*things, hours=days * DAY)
    return brew, where, budget(brew, where)


def test_before_it_is_bottled_there_is_no_budget() -> None:
    assert budget(by_days(*LEVEL, primed()), setting(hours=20 * DAY)) is None


def test_every_figure_has_its_working_and_its_sources() -> None:
    _, _, found = found_of(GARAGE)
    assert [f.key for f in found.figures] == ["budget_average", "budget_worst", "worst_now", "worst_warm", "past"]
    for figure in found.figures:
        assert "co2_mass_balance" in figure.working.sources
        assert figure.low <= figure.value <= figure.high


def test_the_worst_bottle_is_above_the_average_and_the_warmest_month_above_now() -> None:
    _, _, found = found_of(GARAGE)
    figure = {f.key: f for f in found.figures}
    assert figure["budget_worst"].value > figure["budget_average"].value
    assert figure["worst_warm"].value > figure["worst_now"].value
    assert any("led on beyond its end" in words for words in figure["worst_warm"].working.cautions)


def test_the_pages_worst_bottle_is_the_budgets_own() -> None:
    """What priming, bottling and the cellar tell is the 95 % point of the same draws, as gas of a usual filling."""
    brew, where, found = found_of(GARAGE)
    assert fizz_of(brew, where).worst == pytest.approx(
        float(np.quantile(found.draws.worst_as_usual_vol(found.count), 0.95)), abs=1e-9
    )


def test_a_hot_summer_is_a_date_and_a_cool_place_is_none() -> None:
    brew, where, found = found_of(GARAGE)
    days = ahead(found, brew, where)
    when = past_by(found, days)
    assert when is not None
    assert when.value.month in {7, 8}
    assert next(day for day in days if day.at == when.value).chance >= LIKELY
    cool_brew, cool_where, cool = found_of(COOL)
    assert past_by(cool, ahead(cool, cool_brew, cool_where)) is None
    assert cool.chance_past(14.0) < 0.01


def test_twice_the_sugar_passes_the_ceiling_almost_surely_where_it_is_warm() -> None:
    _, _, once = found_of(COOL)
    _, _, twice = found_of(COOL, grams="300")
    assert once.chance_past(20.0) < 0.01
    assert twice.chance_past(30.0) > 0.95
    assert twice.chance_past(30.0) > twice.chance_past(14.0)


def test_a_bottle_that_must_never_be_filled_is_past_its_ceiling_from_the_start() -> None:
    _, _, found = found_of(COOL, lots=(lot("wine", 2, "750"), lot("returnable_500", 30, "500")))
    assert found.chance_past(5.0) == 1.0


def test_fewer_bottles_have_a_lesser_worst() -> None:
    parts = (Span(0.8, 0.88, 0.91), Span(1.3, 1.4, 1.5), Span(0.0, 0.0, 0.5), 0.06)
    worst = [worst_of(*parts, bottles=count) for count in (1, 10, 40, 200)]
    assert worst == sorted(worst)
    assert worst[0] > 0.88 + 1.4


def test_a_forecast_that_cannot_be_trusted_leaves_the_cautious_span() -> None:
    _, _, found = found_of(COOL)
    come = found.gas.to_come
    assert float(np.quantile(found.draws.later, 0.95)) >= 0.9 * come.high


def test_sugar_weighed_into_each_bottle_on_a_coarse_scale_makes_a_worse_worst() -> None:
    def worst(text, *things):
        event = ev.Primed(sugar="sucrose", mass=q(text, "g"), how="each bottle", bottles=40)
        return fizz_of(by_days(*LEVEL, (15.0, event), bottled()), setting(*things, hours=20 * DAY))

    fine, coarse = worst("3.0"), worst("3")
    assert fine.primed.uneven == pytest.approx(0.08)
    assert coarse.primed.uneven == pytest.approx(1 / 12**0.5 / 3)
    assert coarse.worst > fine.worst
    good_scale = ev.InstrumentKept(name="scale", what="scale", step=q("0.1", "g"))
    assert worst("3", good_scale).primed.uneven == pytest.approx(0.08)


# --- how warm the place gets ---------------------------------------------------------------------------------------


def test_a_reading_warmer_than_the_place_was_said_to_get_counts_from_then_on() -> None:
    hot = (30.0, ev.TempSeen(of="room", temp=q("29", "°C")))
    before, after = (by_days(*LEVEL, primed(), bottled("garage"), *more) for more in ((), (hot,)))
    shelf = setting(COOL).shelf
    assert store_c(before, shelf).value == 14.0
    found = store_c(after, shelf)
    assert found.value == 29.0
    assert found.working.inputs[0].basis is Basis.MEASURED


def test_what_was_read_at_another_place_or_before_bottling_says_nothing_of_the_store() -> None:
    hot = ev.TempSeen(of="room", temp=q("29", "°C"))
    brew = by_days(*LEVEL, (10.5, hot), primed(), bottled("garage"), (20.0, hot), (25.0, ev.Moved(place="cellar")))
    cellar = ev.PlaceKept(name="cellar", low=q("8", "°C"), high=q("16", "°C"))
    assert store_c(brew, setting(cellar).shelf).value == 16.0


def test_a_place_without_temperatures_is_taken_as_hot_as_its_name_tells_and_never_as_cool() -> None:
    shelf = setting().shelf
    tops = {name: store_c(by_days(bottled(name)), shelf).value for name in ("the loft", "garage", "cellar", "")}
    assert tops == {"the loft": 35.0, "garage": 30.0, "cellar": 25.0, "": 25.0}


MIXED = (lot("one_way", 6, "330"), lot("returnable_500", 30))


def test_a_kind_of_which_none_is_left_bursts_no_more() -> None:
    """The thin ones made the chance; once they are drunk, what is told is of those that stand there."""
    rest = (*LEVEL, primed("126"), bottled("garage", *MIXED))
    gone = (19.0, ev.TakenOut(count=6, bottle="one_way", to="drunk"))
    where = setting(GARAGE, hours=20 * DAY)
    before, after = budget(by_days(*rest), where), budget(by_days(*rest, gone), where)
    halves = before.draws.worst(30, 22.0, lot=1).pressure_bar > before.lots[1].limit_bar.high
    assert (before.count, after.count) == (36, 30)
    assert "of 30" in after.worst_warm.label
    assert not any("330" in step for step in after.chance.working.steps)
    assert after.chance_past(22.0) == np.mean(halves)
    assert before.chance_past(22.0) > after.chance_past(22.0) + 0.05


def test_no_bottle_left_is_no_chance() -> None:
    gone = (19.0, ev.TakenOut(count=40, to="drunk"))
    brew = by_days(*LEVEL, primed("300"), bottled("garage"), gone)
    found = budget(brew, setting(GARAGE, hours=20 * DAY))
    assert (found.count, found.chance_past(34.0)) == (0, 0.0)


def test_evens_are_named_only_where_they_are_reached() -> None:
    _, _, sure = found_of(GARAGE, grams="230")
    brew, where, unlikely = found_of(GARAGE, grams="126")
    days = ahead(unlikely, brew, where)
    assert LIKELY < max(day.chance for day in days) < 0.5
    assert past_by(unlikely, days).interval.endswith("the end of the year looked at")
    assert past_by(sure, ahead(sure, brew, where)).interval == "one in a hundred to evens"
