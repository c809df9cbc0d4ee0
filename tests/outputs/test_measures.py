from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.journal.events import SettingsKept
from gylebook.outputs.measures import FAMILIES, Measures, digits_in
from gylebook.outputs.wording import Preferences
from gylebook.steps.answers import Figure, MomentFigure, Working
from gylebook.units import units_of

WORKING = Working("as written")
LONDON = ZoneInfo("Europe/London")


def figure(value, low, high, unit, dimension, digits, *, words=""):  # noqa: PLR0917 - as a figure has them
    return Figure("key", "Label", value, low, high, unit, dimension, digits, WORKING, words=words)


@pytest.mark.parametrize(
    ("given_figure", "value", "interval"),
    [
        (figure(1.0137, 1.0129, 1.0145, "SG", "gravity", 4), "1.0137", "± 0.0008"),
        (figure(1.0121, 1.0102, 1.0139, "SG", "gravity", 4), "1.0121", "1.0102 to 1.0139"),
        (figure(118, 104, 131, "g", "mass", 0), "118 g", "104 to 131"),
        (figure(118, 118, 118, "g", "mass", 0), "118 g", ""),
        (figure(-0.04, -0.5, 0.02, "°C", "temperature", 1), "0.0 °C", "−0.5 to 0.0"),
        (figure(0.004, 0.001, 0.01, "", "number", 2, words="under 1 %"), "under 1 %", ""),
        (figure(float("nan"), float("nan"), float("nan"), "g", "mass", 0), "not known", ""),
        (figure(0.382, 0.349, 0.414, "", "count", 1), "0.38", "± 0.03"),
        (figure(2.44, 2.42, 2.47, "vol", "co2", 1), "2.44 vol", "2.42 to 2.47"),
        (figure(12.4, 12.2, 12.6, "g", "mass", 0), "12.4 g", "± 0.2"),
        (figure(12, 12.4, 12.6, "", "count", 0), "12", "12 to 13"),
        (figure(1.04523, 1.04522, 1.04526, "SG", "gravity", 4), "1.0452", "1.0452 to 1.0453"),
    ],
)
def test_a_figure_says_its_value_and_its_interval(given_figure, value, interval):
    words = Measures().figure(given_figure)
    assert (words.value, words.interval) == (value, interval)


@pytest.mark.parametrize(
    ("wanted", "amount", "unit", "shown"),
    [
        ("g", 3.0, "kg", "kg"),
        ("oz", 118, "g", "oz"),
        ("oz", 3.0, "kg", "lb"),
        ("kg", 4, "oz", "g"),
    ],
)
def test_a_mass_comes_in_the_brewers_own_family_of_units(wanted, amount, unit, shown):
    assert Measures(mass=wanted).unit_for(amount, unit, "mass") == shown


@pytest.mark.parametrize(("litres", "shown"), [(23.0, "imp gal"), (1.0, "imp pt"), (0.05, "imp fl oz")])
def test_a_volume_takes_the_handy_unit_of_its_family(litres, shown):
    assert Measures(volume="imp gal").unit_for(litres, "L", "volume") == shown


@given(
    value=st.floats(-50, 2000),
    below=st.floats(0, 3),
    above=st.floats(0, 3),
    digits=st.integers(0, 4),
    dimension=st.sampled_from(["mass", "count", "co2"]),
)
def test_no_interval_is_told_as_plus_or_minus_nothing(value, below, above, digits, dimension):
    unit = {"mass": "g", "count": "", "co2": "vol"}[dimension]
    words = Measures().figure(figure(value, value - below, value + above, unit, dimension, digits))
    if words.interval.startswith("± "):
        assert float(words.interval.removeprefix("± ")) > 0
        assert len(words.interval.partition(".")[2]) == len(words.value.split()[0].partition(".")[2])


def test_a_converted_figure_keeps_its_fineness():
    words = Measures(mass="oz").figure(figure(118, 104, 131, "g", "mass", 0))
    assert (words.value, words.interval) == ("4.16 oz", "3.67 to 4.62")
    warm = Measures(temperature="°F").figure(figure(20.0, 19.5, 20.5, "°C", "temperature", 1))
    assert (warm.value, warm.interval) == ("68.0 °F", "± 0.9")


@given(
    pair=st.sampled_from([(a.symbol, b.symbol, d) for d in FAMILIES for a in units_of(d) for b in units_of(d)]),
    digits=st.integers(0, 4),
)
def test_a_change_of_unit_never_hides_more_than_it_showed(pair, digits):
    given_unit, unit, dimension = pair
    from gylebook.units import unit_named

    step_given = 10.0**-digits * unit_named(given_unit, dimension).factor
    step_shown = 10.0 ** -digits_in(unit, given_unit, dimension, digits) * unit_named(unit, dimension).factor
    assert step_shown <= 2.01 * step_given or step_shown == unit_named(unit, dimension).factor <= 2.01 * step_given


def moment(hours_low, hours_high):
    at = datetime(2026, 11, 12, 18, 0, tzinfo=UTC)
    return MomentFigure("done", "Done", at, at - timedelta(hours=hours_low), at + timedelta(hours=hours_high), WORKING)


def test_a_time_is_told_to_the_hour_only_where_it_is_known_that_well():
    measures = Measures(zone=LONDON)
    assert str(measures.figure(moment(3, 3))) == "Thu 12 Nov, 18:00 (Thu 12 Nov, 15:00 to 21:00)"
    assert str(measures.figure(moment(12, 20))) == "Thu 12 Nov, 18:00 (Thu 12 Nov, 06:00 to Fri 13 Nov, 14:00)"
    assert str(measures.figure(moment(24, 96))) == "Thu 12 Nov (Wed 11 Nov to Mon 16 Nov)"
    assert str(measures.figure(moment(0, 0))) == "Thu 12 Nov, 18:00"


def test_times_are_told_in_the_brewers_zone():
    summer = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)
    assert Measures(zone=LONDON).moment(summer) == "Thu 2 Jul, 00:30"
    assert Measures(zone=UTC).moment(summer) == "Wed 1 Jul, 23:30"


def test_measures_come_from_the_shelf_and_fall_back_to_metric():
    of = Measures.of(SettingsKept(mass="oz", time_zone="America/New_York"), UTC)
    assert (of.mass, of.volume, of.zone.key) == ("oz", "L", "America/New_York")
    assert Measures.of(SettingsKept(), LONDON).zone is LONDON


def test_a_day_of_another_year_is_told_with_its_year() -> None:
    measures = Measures(zone=LONDON, this_year=2026)
    assert measures.day(datetime(2026, 12, 31, 23, 30, tzinfo=UTC)) == "Thu 31 Dec"
    assert measures.day(datetime(2027, 9, 14, 12, 0, tzinfo=UTC)) == "Tue 14 Sep 2027"
    assert Measures(zone=LONDON).day(datetime(2027, 9, 14, 12, 0, tzinfo=UTC)) == "Tue 14 Sep"


def test_the_middle_half_is_told_beside_the_interval_in_the_brewers_scale() -> None:
    figure = Figure("fg", "End", 1.012, 1.010, 1.014, "SG", "gravity", 4, WORKING, half=(1.0112, 1.0128))
    words = Measures().figure(figure)
    assert (words.value, words.interval, words.half) == ("1.0120", "1.0100 to 1.0140", "1.0112 to 1.0128")
    plato = Preferences(gravity="°P").figure(figure)
    assert (plato.value, plato.half) == ("3.07 °P", "2.87 to 3.27")


def test_a_moments_middle_half_is_told_by_days_as_the_moment_is() -> None:
    at = [datetime(2026, 11, day, 12, tzinfo=UTC) for day in (3, 4, 5, 6, 9)]
    figure = MomentFigure("end", "By", at[2], at[0], at[4], WORKING, half=(at[1], at[3]))
    words = Measures().figure(figure)
    assert (words.value, words.interval, words.half) == (
        "Thu 5 Nov",
        "Tue 3 Nov to Mon 9 Nov",
        "Wed 4 Nov to Fri 6 Nov",
    )
