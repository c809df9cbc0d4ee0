"""The bottle sum turned round comes back the right way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import bottle_limits, carbonation


@given(st.floats(0.5, 9.0), st.floats(0.0, 50.0), st.floats(0.0, 0.3), st.floats(0.0, 0.8))
def test_the_most_volumes_give_just_the_limit(limit_bar, temp_c, headspace, air_bar):
    most = bottle_limits.most_volumes(limit_bar, temp_c, headspace, trapped_air_bar=air_bar)
    if np.isfinite(most.best) and 0.1 <= most.best <= 12.0:
        back = carbonation.gauge_pressure_bar(most.best, temp_c, headspace, trapped_air_bar=air_bar)
        assert back == pytest.approx(limit_bar, abs=1e-9)
        assert most.low < most.best < most.high


@given(st.floats(1.5, 6.0), st.floats(0.5, 6.0), st.floats(0.0, 0.3), st.floats(0.0, 0.8))
def test_at_the_warmest_temperature_the_pressure_is_the_limit(total_volumes, limit_bar, headspace, air_bar):
    warmest = bottle_limits.warmest_temp_c(total_volumes, limit_bar, headspace, trapped_air_bar=air_bar)
    assert warmest.low <= warmest.best <= warmest.high
    for temp_c, edge in ((warmest.low, "high"), (warmest.best, "best"), (warmest.high, "low")):
        if 0.0 < temp_c < 50.0:
            pressure = carbonation.gauge_pressure_interval_bar(
                total_volumes, temp_c, headspace, trapped_air_bar=air_bar
            )
            assert getattr(pressure, edge) == pytest.approx(limit_bar, abs=1e-6)


def test_beer_that_is_too_fizzy_even_when_iced_has_no_fit_temperature():
    assert bottle_limits.warmest_temp_c(9.0, 3.0) == (-np.inf, -np.inf, -np.inf)


def test_flat_beer_is_within_the_limit_as_far_as_the_sum_goes():
    assert bottle_limits.warmest_temp_c(1.0, 4.7) == (50.0, 50.0, 50.0)


def test_limits_for_several_bottles_and_batches_come_at_once():
    warmest = bottle_limits.warmest_temp_c(np.array([[2.2], [3.0], [4.0]]), np.array([2.3, 4.7]))
    assert warmest.best.shape == (3, 2)
    assert (np.diff(warmest.best, axis=0) <= 0).all()


def test_one_vent_takes_little_and_a_cold_one_less():
    cold, warm = 4.5 - bottle_limits.volumes_after_vent(4.5, [4.0, 20.0])
    assert 0.05 < cold < warm < 0.2


def test_beer_without_pressure_loses_nothing_by_a_vent():
    assert bottle_limits.volumes_after_vent(0.8, 20.0) == pytest.approx(0.8)
