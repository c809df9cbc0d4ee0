"""Fields: what is written is read, questioned or refused with one sentence, and never altered."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import InputError
from gylebook.steps import fields as f
from gylebook.units import Quantity

GRAVITY = f.Field("gravity", "Gravity", f.QUANTITY, ("gravity", "extract"), required=True, possible=(0.95, 1.2),
                  usual=(0.98, 1.15))  # fmt: skip
TEMP = f.Field("temp", "Temperature", f.QUANTITY, ("temperature",), possible=(-20, 110), usual=(0, 45))
VOLUME = f.Field("volume", "Volume", f.QUANTITY, ("volume",), possible=(0, 200), usual=(1, 60))
COUNT = f.Field("count", "Bottles", f.COUNT, possible=(0, 2000))
STIRRED = f.Field("stirred", "Stirred", f.CHOICE, choices=(("well", "well"), ("a little", "a little"), ("no", "no")))
WHEN = f.Field("when", "When", f.MOMENT)
DAY = f.Field("day", "Day", f.DATE)


@pytest.mark.parametrize(
    ("text", "suggestion"), [("1062", "1.062"), ("62", "1.062"), ("1,062.0", "1.062"), ("0.062", "1.062")]
)
def test_a_gravity_without_its_point_is_asked_about_with_the_obvious_reading(text: str, suggestion: str) -> None:
    with pytest.raises(InputError) as caught:
        GRAVITY.read(text)
    assert caught.value.suggestion == suggestion
    assert "Did you mean 1.062?" in str(caught.value)


def test_fahrenheit_in_a_celsius_field_is_asked_about() -> None:
    with pytest.raises(InputError) as caught:
        TEMP.read("68", unit="°C")
    assert caught.value.suggestion == "68 °F"
    assert TEMP.read("68 °F") == Quantity("68", "°F")


def test_an_unusual_value_is_kept_when_the_brewer_insists() -> None:
    assert TEMP.read("68", unit="°C", confirmed=True) == Quantity("68", "°C")


def test_what_cannot_be_is_refused_even_when_insisted_on() -> None:
    with pytest.raises(InputError, match="Volume: -3 L cannot be; write a value from 0 to 200 L"):
        VOLUME.read("-3", confirmed=True)


def test_a_plato_reading_keeps_its_own_scale() -> None:
    assert GRAVITY.read("12,5 °P") == Quantity("12,5", "°P")
    assert GRAVITY.read("12.5", unit="°P") == Quantity("12.5", "°P")


def test_the_wrong_kind_of_unit_names_the_right_ones() -> None:
    with pytest.raises(InputError, match="“kg” is not a unit for this; use SG"):
        GRAVITY.read("1.040 kg")


def test_dates_in_other_orders_are_not_guessed() -> None:
    with pytest.raises(InputError, match="year-month-day"):
        DAY.read("3/4/2026")
    assert DAY.read("2026-04-03") == date(2026, 4, 3)


def test_an_absurd_year_is_questioned() -> None:
    with pytest.raises(InputError, match="year 1026 cannot be"):
        DAY.read("1026-04-03")


def test_a_moment_without_zone_is_in_the_brewers_own() -> None:
    read = WHEN.read("2026-07-03 18:30", zone=ZoneInfo("Europe/Berlin"))
    assert read == datetime(2026, 7, 3, 16, 30, tzinfo=UTC)


def test_half_a_bottle_is_refused() -> None:
    with pytest.raises(InputError, match="whole"):
        COUNT.read("2.5")


def test_a_choice_outside_the_list_names_the_list() -> None:
    with pytest.raises(InputError, match="choose one of: well, a little, no"):
        STIRRED.read("vigorously")


def test_nothing_written_is_none_unless_required() -> None:
    assert VOLUME.read("  ") is None
    with pytest.raises(InputError, match="Gravity: nothing was written"):
        GRAVITY.read("")


@given(st.sampled_from([GRAVITY, TEMP, VOLUME, COUNT, STIRRED, WHEN, DAY]), st.text(max_size=40), st.booleans())
def test_any_text_gives_a_value_or_one_sentence_that_names_the_field(
    field: f.Field, text: str, confirmed: bool
) -> None:
    sentence = ""
    try:
        field.read(text, confirmed=confirmed)
    except InputError as error:
        sentence = str(error)
    assert not sentence or sentence.startswith(field.label)
