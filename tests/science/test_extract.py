"""Specific gravity, degrees Plato and grams in a litre: properties that print alone does not show."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import _mixtures, extract

GRAVITIES = st.floats(0.98, 1.15)
TABLE = Path(__file__).parents[1] / "published" / "nbs_c440" / "checks.toml"


def table_114():
    """Degrees Brix and apparent gravity of the table's 31 rows."""
    checks = tomllib.loads(TABLE.read_text(encoding="utf-8"))["check"]
    rows = [check for check in checks if check["function"] == "science.extract.sg_from_plato"]
    return np.array([row["inputs"]["extract_plato"] for row in rows]), np.array([row["expected"] for row in rows])


@given(GRAVITIES)
def test_gravity_comes_back_from_plato(gravity_sg):
    assert extract.sg_from_plato(extract.plato_from_sg(gravity_sg)) == pytest.approx(gravity_sg, abs=1e-12)


@given(st.floats(-5.25, 34.25))
def test_plato_comes_back_from_gravity(extract_plato):
    assert extract.plato_from_sg(extract.sg_from_plato(extract_plato)) == pytest.approx(extract_plato, abs=1e-9)


@given(st.floats(1.0, 1.15))
def test_gravity_comes_back_from_grams_in_a_litre(gravity_sg):
    assert extract.sg_from_extract_g_per_l(extract.extract_g_per_l(gravity_sg)) == pytest.approx(gravity_sg, abs=1e-12)


@given(GRAVITIES, GRAVITIES)
def test_a_higher_gravity_is_more_extract(one, other):
    low, high = sorted((one, other))
    if high - low > 1e-9:
        assert extract.plato_from_sg(low) < extract.plato_from_sg(high)
        assert extract.extract_g_per_l(low) < extract.extract_g_per_l(high)


def test_water_holds_no_extract():
    assert extract.plato_from_sg(1.0) == pytest.approx(0.0, abs=1e-12)
    assert extract.sg_from_plato(0.0) == 1.0


def test_every_row_of_the_table_is_met_to_a_hundredth_of_a_degree_and_the_inverse_too():
    plato, sg = table_114()
    assert len(plato) == 31
    assert np.abs(extract.plato_from_sg(sg) - plato).max() <= 0.005
    assert np.abs(extract.sg_from_plato(plato) - sg).max() <= 2e-5


def test_the_coefficients_are_the_least_squares_fit_of_the_table():
    plato, sg = table_114()
    powers = np.stack([plato[1:] ** power for power in (1, 2, 3)], axis=1)
    fitted, *_ = np.linalg.lstsq(powers, sg[1:] - 1.0, rcond=None)
    assert _mixtures._PLATO_TERMS[1:] == pytest.approx(fitted, rel=1e-6)


def test_the_continuation_below_water_is_smooth_and_nearly_straight():
    below = extract.plato_from_sg(np.linspace(0.98, 1.0, 201))
    steps = np.diff(below)
    assert (steps > 0).all()
    assert np.ptp(steps) / steps.mean() < 0.04


def test_sugar_solutions_of_the_modern_polynomial_weigh_what_the_old_table_says():
    plato = np.arange(1.0, 31.0)
    in_air = (extract.sucrose_density_kg_m3(plato / 100.0, 20.0) - 1.2) / (998.20312 - 1.2)
    assert np.abs(in_air - extract.sg_from_plato(plato)).max() < 1.1e-4


def test_a_sugar_solution_of_nothing_is_water():
    temps = np.array([0.0, 20.0, 60.0, 100.0])
    assert extract.sucrose_density_kg_m3(0.0, temps) == pytest.approx(_mixtures.water_density(temps), rel=1e-15)


def test_the_hotter_solution_is_the_lighter_one():
    density = extract.sucrose_density_kg_m3(np.array([[0.05], [0.12], [0.3]]), np.arange(10.0, 100.0))
    assert density.shape == (3, 90)
    assert (np.diff(density, axis=1) < 0).all()
