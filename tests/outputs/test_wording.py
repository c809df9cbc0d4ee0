from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from gylebook.errors import InputError
from gylebook.journal.events import SettingsKept
from gylebook.outputs.wording import Preferences, bare_unit, date_text, preferences, with_unit, zone
from gylebook.steps.answers import Figure, MomentFigure, Working
from gylebook.steps.fields import QUANTITY, TEXT, Field

WORKING = Working("as written")


def figure(value: float, unit: str, dimension: str, digits: int, spread: float = 0.0) -> Figure:
    return Figure("key", "Label", value, value - spread, value + 2 * spread, unit, dimension, digits, WORKING)


def test_a_book_without_settings_speaks_metric_and_in_the_zone_of_its_computer() -> None:
    prefs = preferences(SettingsKept(), "Europe/London")
    assert str(prefs.figure(figure(20.6, "L", "volume", 1))) == "20.6 L"
    assert prefs.zone == ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("settings", "value", "words"),
    [
        # Factors are exact by definition: 4.54609 L, 3.785411784 L, 28.349523125 g, 9/5 and 32, 1 vol = 1.97681 g/L.
        (SettingsKept(volume="imp gal"), figure(22.73045, "L", "volume", 1), "5.00 imp gal"),
        (SettingsKept(volume="US gal"), figure(18.92705892, "L", "volume", 1), "5.00 US gal"),
        (SettingsKept(mass="oz"), figure(113.3980925, "g", "mass", 0), "4.00 oz"),
        (SettingsKept(temperature="°F"), figure(20.0, "°C", "temperature", 1), "68.0 °F"),
        (SettingsKept(co2="g CO2/L"), figure(2.0, "vol", "co2", 1), "4.0 g CO2/L"),
        (SettingsKept(currency="EUR"), figure(12.5, "", "money", 2), "12.50 EUR"),
        (SettingsKept(currency="£"), figure(24.5, "", "money", 2), "£24.50"),
    ],
)
def test_a_figure_is_shown_in_the_chosen_unit_and_no_finer_than_it_is(
    settings: SettingsKept, value: Figure, words: str
) -> None:
    assert str(preferences(settings).figure(value)) == words


def test_a_gravity_is_shown_in_degrees_plato_when_the_brewer_reads_those() -> None:
    pytest.importorskip("gylebook.science.extract")
    words = preferences(SettingsKept(gravity="°P")).figure(figure(1.040, "SG", "gravity", 4))
    # NBS Circular C440, Table 114: 1.04003 at 10.0 per cent sucrose.
    assert float(words.value.removesuffix(" °P")) == pytest.approx(9.99, abs=0.011)


def test_an_interval_is_told_in_the_same_unit() -> None:
    words = preferences(SettingsKept(volume="imp gal")).figure(figure(22.73045, "L", "volume", 1, spread=0.454609))
    assert words.interval == "4.90 to 5.20"


def test_a_figure_that_is_not_known_says_so() -> None:
    assert preferences(SettingsKept()).figure(figure(float("nan"), "L", "volume", 1)).value.startswith("not known")


def test_a_moment_figure_is_worded_too() -> None:
    at = datetime(2026, 11, 12, 18, 0, tzinfo=UTC)
    words = Preferences().figure(MomentFigure("by", "By", at, at - timedelta(days=2), at + timedelta(days=1), WORKING))
    assert "12 Nov" in words.value
    assert words.interval == "Tue 10 Nov to Fri 13 Nov"


@pytest.mark.parametrize(
    ("settings", "named"), [(SettingsKept(volume="hogshead"), "volume"), (SettingsKept(time_zone="Mars/Base"), "zone")]
)
def test_a_setting_that_is_not_known_is_refused_by_name(settings: SettingsKept, named: str) -> None:
    with pytest.raises(InputError, match=named):
        preferences(settings)


def test_a_bare_number_is_read_in_the_chosen_unit_where_the_field_takes_it() -> None:
    prefs = replace(Preferences(), temperature="°F", gravity="°P")
    assert bare_unit(Field("t", "Temperature", QUANTITY, ("temperature",)), prefs) == "°F"
    assert bare_unit(Field("g", "Gravity", QUANTITY, ("gravity", "extract")), prefs) == "°P"
    assert bare_unit(Field("g", "Gravity", QUANTITY, ("gravity",)), prefs) == "SG"
    assert bare_unit(Field("n", "Note", TEXT), prefs) is None


def test_a_unit_chosen_for_once_is_taken_by_any_of_its_spellings() -> None:
    assert with_unit(Preferences(), "us gallons").volume == "US gal"
    assert with_unit(Preferences(), "plato").gravity == "°P"
    with pytest.raises(InputError, match="furlong"):
        with_unit(Preferences(), "furlong")


def test_a_day_reads_aloud() -> None:
    assert date_text(date(2026, 11, 12)) == "Thu 12 Nov 2026"
    assert date_text(date(2026, 11, 12), year=False) == "Thu 12 Nov"


def test_an_unknown_zone_is_refused() -> None:
    with pytest.raises(InputError, match="no time zone"):
        zone("../etc/passwd")
