"""Small chances, which the gate of "finished" hangs on, hardly depend on the seed. The readings are invented."""

from __future__ import annotations

import numpy as np
import pytest

from gylebook.forecast.evidence import Evidence, Known, Reading
from gylebook.forecast.forecast import forecast
from gylebook.forecast.mixture import thinned

KNOWN = Known(og_sg=1.0402, og_sd_sg=0.0012, attenuation=0.704, attenuation_sd=0.05)


@pytest.mark.parametrize("days", [(8.0, 12.0), (12.0, 16.0)])
def test_level_readings_leave_the_same_small_chance_whatever_the_seed(days: tuple[float, float]) -> None:
    level = tuple(Reading(day, 1.012, 0.0007) for day in days)
    evidence = Evidence(level, days[-1], KNOWN)
    chances = np.array([forecast(evidence, seed=seed).unsafe for seed in range(6)])
    assert 0.002 < chances.mean() < 0.02
    assert chances.std() < 0.1 * chances.mean()


def test_in_order_the_thinned_rest_keeps_the_share_of_its_tail() -> None:
    generator = np.random.default_rng(3)
    weight = generator.random(20_000)
    weight /= weight.sum()
    along = generator.random(20_000)
    tail = float(weight[along > 0.993].sum())
    picked, share = thinned(weight, 1500, along)
    assert float(share.sum()) == pytest.approx(1.0)
    assert float(share[along[picked] > 0.993].sum()) == pytest.approx(tail, abs=1 / 1500)
