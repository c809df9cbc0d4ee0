"""The rules that brewers go by."""

from __future__ import annotations

import pytest
from forecast.customary import RULES, attenuation, two_equal, two_equal_and_attenuated, two_equal_from_day_14

from gylebook.forecast.evidence import Evidence, Known, Reading


def told(*readings, og=1.045):
    """Evidence of a wort and of readings (day, gravity)."""
    beer = tuple(Reading(day, gravity, 0.001) for day, gravity in readings)
    wort = () if og is None else (Reading(0.0, og, 0.001),)
    return Evidence((*wort, *beer), now_day=max((each.day for each in beer), default=0.0), known=Known(og_sg=1.050))


def test_two_readings_within_a_point_and_a_day_apart_agree():
    assert two_equal(told((6.0, 1.011), (8.0, 1.010)))
    assert two_equal(told((6.0, 1.010), (7.0, 1.010)))


def test_more_than_a_point_is_not_agreement():
    assert not two_equal(told((6.0, 1.0115), (8.0, 1.010)))


def test_an_older_pair_that_agreed_does_not_count():
    assert not two_equal(told((4.0, 1.020), (6.0, 1.020), (8.0, 1.015)))


def test_a_reading_of_the_same_day_is_passed_over_for_one_a_day_before():
    assert not two_equal(told((6.0, 1.014), (6.5, 1.010), (7.2, 1.010)))
    assert not two_equal(told((7.0, 1.010), (7.5, 1.010)))


def test_the_order_of_the_readings_does_not_matter():
    assert two_equal(told((8.0, 1.010), (4.0, 1.030), (6.0, 1.010)))


def test_one_reading_of_beer_agrees_with_nothing_not_even_with_the_wort():
    assert not two_equal(told((2.0, 1.045)))
    assert not two_equal(told())


def test_the_fortnight_holds_back_until_day_14():
    assert not two_equal_from_day_14(told((11.0, 1.010), (13.0, 1.010)))
    assert two_equal_from_day_14(told((12.0, 1.010), (14.0, 1.010)))


def test_the_attenuation_check_holds_back_what_has_not_lost_72_percent():
    # 1.045: 72 % gone is 1.0126.
    assert two_equal_and_attenuated(told((6.0, 1.0126), (8.0, 1.0126)))
    assert not two_equal_and_attenuated(told((6.0, 1.0130), (8.0, 1.0130)))


def test_attenuation_is_counted_from_the_wort_and_without_its_reading_from_the_recipe():
    assert attenuation(told((8.0, 1.009))) == pytest.approx(0.8)
    assert attenuation(told((8.0, 1.010), og=None)) == pytest.approx(0.8)


def test_the_three_rules_stand_in_the_table():
    assert list(RULES.values()) == [two_equal, two_equal_from_day_14, two_equal_and_attenuated]
