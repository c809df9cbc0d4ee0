"""The constant that turns gravity into gas, against the fuller sums; and the sources that comments name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import gylebook.forecast
from gylebook import sources
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.science.alcohol import real_extract_plato

WATER_G_PER_ML = 0.9982  # at 20 °C
# Source: balling_nielsen_2007
CO2_PER_EXTRACT = 0.9565 / 2.0665


@pytest.mark.parametrize("original", [1.040, 1.048, 1.060])
def test_a_point_of_gravity_is_worth_the_real_extract_that_it_fermented(original: float) -> None:
    before, after = (10 * WATER_G_PER_ML * sg * float(real_extract_plato(original, sg)) for sg in (1.012, 1.010))
    assert pytest.approx((before - after) / 0.002 * CO2_PER_EXTRACT, rel=0.03) == CO2_G_PER_L_PER_SG


def test_every_source_that_the_forecast_names_is_one_of_the_bibliography() -> None:
    folder = Path(gylebook.forecast.__file__).parent
    named = {
        key
        for path in folder.glob("*.py")
        for line in re.findall(r"# Source: (.+)", path.read_text(encoding="utf-8"))
        for key in line.split(", ")
    }
    assert named
    assert named <= set(sources.all())
