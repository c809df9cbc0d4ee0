"""A brew's chart with its forecast, and the outlook for machines. The brews are invented; the forecast is the real one."""

from __future__ import annotations

import json
import math
from datetime import timedelta
from typing import Any

import pytest

from brewing import TWO_CANS, brewed, q, setting
from finished import asked, beer_at, by_days, read
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.outputs.brew_chart import brew_chart
from gylebook.outputs.chart import Chart, chart_sentence, fan_rows
from gylebook.outputs.outlook_shape import course_shape, outlook_shape
from gylebook.outputs.shapes import as_json
from gylebook.steps.decision import Setting
from gylebook.steps.finishing import answer
from gylebook.steps.outlook import outlook
from gylebook.steps.outlook_sure import sure
from gylebook.steps.sums import SUMS

RUNNING = ((4.0, read("1.020")), (7.0, read("1.014")))
UNPITCHED = brewed((0.5, ev.Mixed(ingredients=TWO_CANS, volume=q("22.4", "L"), stirred="well")))
KIT = ev.Planned(
    name="Fan ale",
    kit=ev.Kit(
        name="Invented kit",
        ingredients=TWO_CANS,
        volume=q("22.4", "L"),
        gates=ev.Gates(hop_at_or_below=q("1.016", "SG"), bottle_at_or_below=q("1.013", "SG")),
    ),
)


def chart_of(brew: Brew, where: Setting, scale: Any = "SG") -> Chart:
    return brew_chart(brew, where, outlook(brew, where), scale=scale)


def at_day(days: float) -> Setting:
    return setting(hours=days * 24.0)


def test_a_running_brew_has_its_fan_from_the_yeast_to_days_beyond_the_next_reading() -> None:
    brew, where = by_days(*RUNNING), at_day(7.2)
    found, chart = outlook(brew, where), chart_of(brew, where)
    assert [band.level for band in chart.bands] == [0.9, 0.5]
    assert chart.middle is not None
    assert chart.middle.at[0] == found.pitched_at
    assert found.next_reading_at is not None
    assert chart.middle.at[-1] > found.next_reading_at + timedelta(days=2)
    wide, narrow = chart.bands
    for low, half_low, middle, half_high, high in zip(
        wide.low, narrow.low, chart.middle.value, narrow.high, wide.high, strict=True
    ):
        assert low <= half_low <= middle <= half_high <= high
    end = next(gate for gate in chart.gates if gate.words == "should end at")
    assert end.ends == (found.expected_fg.low, found.expected_fg.high)
    assert "The forecast comes to 1.01" in chart_sentence(chart)
    assert len(fan_rows(chart)) > 10


def test_the_fan_is_drawn_in_degrees_plato_for_who_reads_them() -> None:
    chart = chart_of(by_days(*RUNNING), at_day(7.2), "°P")
    assert chart.middle is not None
    assert 9 < chart.middle.value[0] < 13
    assert all(low <= high for band in chart.bands for low, high in zip(band.low, band.high, strict=True))


def test_without_yeast_and_once_it_is_in_bottles_nothing_is_forecast_on_the_chart() -> None:
    bottled = by_days(
        *RUNNING,
        (14.0, read("1.012")),
        (15.0, ev.Primed(sugar="sucrose", mass=q("110", "g"), volume=q("20", "L"))),
        (15.1, ev.Bottled(lots=(ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),), place="room")),
    )
    for brew in (UNPITCHED, bottled):
        chart = chart_of(brew, at_day(20.0))
        assert (chart.bands, chart.middle) == ((), None)
        assert "should end at" not in {gate.words for gate in chart.gates}


def test_the_leaflets_gate_for_hops_goes_once_they_are_in() -> None:
    hops = ev.Hopped(hop="Sedgeway", mass=q("40", "g"))
    before = chart_of(by_days(*RUNNING, plan=KIT), at_day(7.2))
    after = chart_of(by_days(*RUNNING, (7.1, hops), plan=KIT), at_day(7.2))
    assert "leaflet: hops at" in {gate.words for gate in before.gates}
    assert "leaflet: hops at" not in {gate.words for gate in after.gates}


def shape_of(brew: Brew, where: Setting) -> dict[str, Any]:
    found, told = outlook(brew, where), answer(brew, where, {})
    plain: dict[str, Any] = json.loads(as_json(outlook_shape(brew, found, told, sure(found, told))))
    return plain


def numbers_in(plain: Any) -> Any:
    if isinstance(plain, dict):
        for value in plain.values():
            yield from numbers_in(value)
    elif isinstance(plain, list):
        for value in plain:
            yield from numbers_in(value)
    elif isinstance(plain, float):
        yield plain


def test_the_outlook_for_machines_holds_numbers_with_their_units_in_their_names_and_the_fan() -> None:
    plain = shape_of(by_days(*RUNNING), at_day(7.2))
    forecast, fan = plain["forecast"], plain["fan"]
    for name in ("final_gravity_sg", "gravity_now_sg", "points_left", "co2_left_g_per_l", "attenuation"):
        quantiles = [forecast[name][q] for q in ("q05", "q25", "q50", "q75", "q95")]
        assert quantiles == sorted(quantiles), name
    assert sum(forecast["story_chances"].values()) == pytest.approx(1.0)
    chances = [value for name, value in forecast.items() if name.startswith("chance_")]
    assert len(chances) == 4
    assert all(0 <= chance <= 1 for chance in chances)
    assert set(fan) == {"at", *(f"gravity_{name}_sg" for name in ("q05", "q25", "q50", "q75", "q95"))}
    assert len({len(line) for line in fan.values()}) == 1
    assert all(math.isfinite(number) for number in numbers_in(plain))
    assert plain["next_reading"]["looked_at"]
    assert plain["stories"][0]["chosen"] is True


def test_where_nothing_is_forecast_the_shape_says_so_with_null() -> None:
    plain = shape_of(UNPITCHED, at_day(1.0))
    assert (plain["forecast"], plain["fan"], plain["stories"]) == (None, None, [])
    assert plain["headline"] == "It has not begun: no yeast is written down."
    assert plain["figures"]


def test_in_the_cold_no_chance_is_told_to_a_machine_either() -> None:
    cold = by_days(
        (1.1, beer_at("20")), (5.0, beer_at("8")), (6.0, read("1.020")), (9.0, read("1.020")), (9.0, beer_at("8"))
    )
    forecast = shape_of(cold, at_day(9.2))["forecast"]
    assert {value for name, value in forecast.items() if name.startswith("chance_")} == {None}
    assert forecast["final_gravity_sg"]["q50"] > 1.0


def test_a_sums_fan_is_told_by_days() -> None:
    course = SUMS["forecast"].reckon(asked(SUMS["forecast"].fields, original="1.042", readings="4 1.018")).course
    assert course is not None
    plain = course_shape(course)
    assert plain["day"][0] == 0.0
    assert len(plain["gravity_q50_sg"]) == len(plain["day"])
