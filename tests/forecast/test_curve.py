"""The curve against its own differential equation, numerical slopes and quadrature of the warmth."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from gylebook.forecast.curve import (
    ENERGY_RANGE,
    GAS_CONSTANT_KJ,
    Clock,
    Shape,
    day_of,
    halted_for,
    progress,
    thermal_at,
)
from gylebook.forecast.evidence import Warmth

COUNT = 40
ROUNDED = 0.02  # corners are rounded by this share of the fall
OPTIONS = ("plain", "slow", "sharp", "fade", "halt", "pause", "again", "all")


def shapes(option: str, seed: int = 1, count: int = COUNT) -> Shape:
    """Curves with random parameters and one bend."""
    rng = np.random.default_rng(seed)

    def between(low, high):
        return rng.uniform(low, high, count)

    plain = Shape(
        pace=between(0.3, 2.5),
        pitch=np.exp(between(-6, -0.2)),
        growth=between(0.7, 5.0),
        energy=between(10, 120),
        sharp=np.zeros(count),
        slow=np.full(count, 1e-6),
    )
    slow, sharp = between(0.02, 0.5), between(0.02, 0.5)
    fade, halt = between(0.05, 0.6), between(0.5, 0.95)
    pause = between(1, 20)
    again = halt + (1 - halt) * between(0, 1)
    bends = {
        "plain": {},
        "slow": {"slow": slow},
        "sharp": {"sharp": sharp},
        "fade": {"fade": fade},
        "halt": {"halt": halt},
        "pause": {"halt": halt, "pause": pause},
        "again": {"halt": halt, "pause": pause, "again": again},
        "all": {"slow": slow, "sharp": sharp, "fade": fade, "halt": halt},
    }
    return replace(plain, **bends[option])


def one(shape: Shape, number: int) -> Shape:
    return shape.take(np.array([number]))


def moments(last: float = 40.0, count: int = 400) -> np.ndarray:
    """Thermal time for all curves alike (moments, draws)."""
    return np.broadcast_to(np.linspace(0, last, count)[:, None], (count, COUNT))


def rounded(x):
    """Above nought as it is, below nought nothing, with a rounded corner."""
    return 0.5 * (x + np.sqrt(x * x + ROUNDED**2))


def by_solver(shape: Shape, times: np.ndarray) -> np.ndarray:
    """Share of sugar left, by a solver: dq/dx = -q (1 - (1 - p) q^a) while living yeast tires as exp(-fade x)."""
    pace, pitch, growth = shape.pace[0], shape.pitch[0], shape.growth[0]
    fade = 0.0 if shape.fade is None else shape.fade[0]

    def rate(x, q):
        activity = 1 - (1 - pitch) * np.maximum(q, 0) ** growth
        return -q * activity * pace * np.exp(-fade * pace * x)

    found = solve_ivp(rate, (0, times[-1]), [1.0], "DOP853", times, rtol=1e-9, atol=1e-11)
    assert found.success
    return found.y[0]


def done_of(left: np.ndarray, sharp: float) -> np.ndarray:
    """Share of the fall that is done, by what is left and where it runs out."""
    none_left = rounded(-sharp)
    return 1 - (rounded(left - sharp) - none_left) / (rounded(1 - sharp) - none_left)


@pytest.mark.parametrize("option", ["plain", "fade", "sharp"])
def test_the_closed_form_solves_its_differential_equation(option):
    shape = shapes(option)
    times = np.linspace(0, 25, 60)
    for number in range(8):
        found, _ = progress(one(shape, number), times[:, None])
        left = by_solver(one(shape, number), times)
        assert found[:, 0] == pytest.approx(done_of(left, shape.sharp[number]), abs=1e-6)


def test_the_rounded_corner_moves_an_unbent_curve_by_no_more_than_its_size():
    shape = shapes("plain")
    times = np.linspace(0, 25, 60)
    for number in range(4):
        found, _ = progress(one(shape, number), times[:, None])
        assert np.abs(found[:, 0] - (1 - by_solver(one(shape, number), times))).max() < ROUNDED


def test_slow_last_sugar_runs_out_as_a_power_of_time():
    # dq/dW = -q^(1 + slow) along the work W of yeast that grows: dW/dx = 1 - (1 - p) exp(-a W).
    shape = shapes("slow")
    times = np.linspace(0, 30, 60)
    for number in range(8):
        pace, pitch, growth, slow = (getattr(shape, n)[number] for n in ("pace", "pitch", "growth", "slow"))

        def rate(x, y, p=(pace, pitch, growth, slow)):
            pace, pitch, growth, slow = p
            worked = pace * (1 - (1 - pitch) * np.exp(-growth * y[0]))
            return [worked, -(np.maximum(y[1], 0) ** (1 + slow)) * worked]

        left = solve_ivp(rate, (0, 30), [0.0, 1.0], "DOP853", times, rtol=1e-9, atol=1e-11).y[1]
        found, _ = progress(one(shape, number), times[:, None])
        assert found[:, 0] == pytest.approx(done_of(left, 0.0), abs=1e-6)


def test_slowness_near_nought_is_no_slowness():
    plain, hardly = shapes("plain"), replace(shapes("plain"), slow=np.full(COUNT, 1e-4))
    assert progress(hardly, moments())[0] == pytest.approx(progress(plain, moments())[0], abs=1e-3)


@pytest.mark.parametrize("option", OPTIONS)
def test_the_curve_begins_at_nought_never_turns_back_and_stays_within_one(option):
    done, slope = progress(shapes(option), moments())
    assert done[0] == pytest.approx(0.0, abs=1e-12)
    assert (np.diff(done, axis=0) >= -1e-12).all()
    assert (slope >= 0).all()
    assert (done <= 1 + 1e-12).all()


@pytest.mark.parametrize("option", ["plain", "sharp"])
def test_the_curve_ends_at_one(option):
    done, _ = progress(shapes(option), np.full((1, COUNT), 300.0))
    assert done[0] == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("option", OPTIONS)
def test_the_slope_is_the_derivative(option):
    shape, h = shapes(option), 1e-3
    at = moments(25, 150)[1:] + 0.0137
    if shape.pause is not None:  # at both corners of a pause the curve has a left and a right slope
        begins = at - halted_begin(shape)
        away = (np.abs(begins) > 3 * h) & (np.abs(begins - shape.pause) > 3 * h)
    else:
        away = np.full(at.shape, True)
    near, far = (progress(shape, at + step * h)[0] - progress(shape, at - step * h)[0] for step in (1, 2))
    numerical = (8 * near - far) / (12 * h)
    slope = progress(shape, at)[1]
    assert slope[away] == pytest.approx(numerical[away], abs=2e-6, rel=1e-4)


def halted_begin(shape: Shape) -> np.ndarray:
    """When each curve comes to its halt."""
    assert shape.halt is not None
    return thermal_at(replace(shape, halt=None, pause=None, again=None), shape.halt)


@pytest.mark.parametrize("option", ["plain", "slow", "sharp"])
@pytest.mark.parametrize("share", [0.01, 0.3, 0.7, 0.95, 0.99])
def test_thermal_at_inverts_the_curve(option, share):
    shape = shapes(option)
    at = thermal_at(shape, np.full(COUNT, share))
    assert np.isfinite(at).all()
    assert progress(shape, at[None])[0][0] == pytest.approx(np.full(COUNT, share), abs=1e-7)


def test_thermal_at_inverts_tiring_yeast_and_is_infinite_where_it_never_comes_there():
    shape = shapes("fade")
    most = progress(shape, np.full((1, COUNT), 1e4))[0][0]
    under = most * np.linspace(0.1, 0.95, COUNT)
    assert progress(shape, thermal_at(shape, under)[None])[0][0] == pytest.approx(under, abs=1e-7)
    assert np.isinf(thermal_at(shape, most + 0.02 * (1 - most) + 1e-9)).all()


def test_a_halt_never_exceeds_its_share_and_comes_near_it():
    shape = shapes("halt")
    assert shape.halt is not None
    done, slope = progress(shape, np.full((1, COUNT), 300.0))
    assert (done[0] <= shape.halt).all()
    assert done[0] == pytest.approx(shape.halt, abs=ROUNDED / 2)
    assert slope[0] == pytest.approx(0.0, abs=1e-6)


def test_well_before_its_halt_the_curve_is_as_without_one():
    shape = shapes("halt")
    assert shape.halt is not None
    bare, _ = progress(replace(shape, halt=None), moments())
    done, _ = progress(shape, moments())
    before = bare < shape.halt - 0.15
    assert before.any()
    assert done[before] == pytest.approx(bare[before], abs=1e-3)


def test_a_pause_shifts_the_curve_by_its_length():
    shape = shapes("pause")
    assert shape.halt is not None
    assert shape.pause is not None
    bare = replace(shape, halt=None, pause=None)
    begins = halted_begin(shape)
    for after in (0.01, 1.0, 5.0):
        shifted = progress(shape, (begins + shape.pause + after)[None])
        original = progress(bare, (begins + after)[None])
        assert shifted[0] == pytest.approx(original[0], abs=1e-12)
        assert shifted[1] == pytest.approx(original[1], abs=1e-12)
    done, slope = progress(shape, (begins + shape.pause / 2)[None])
    assert done[0] == pytest.approx(shape.halt, abs=1e-7)
    assert (slope == 0).all()


def test_a_second_halt_holds_the_curve_at_its_share_for_good():
    shape = shapes("again")
    assert shape.again is not None
    done, _ = progress(shape, np.full((1, COUNT), 500.0))
    assert (done[0] <= shape.again + 1e-12).all()
    assert done[0] == pytest.approx(shape.again, abs=ROUNDED / 2 + 1e-6)


def test_a_second_halt_above_one_is_none():
    shape = replace(shapes("again"), again=np.full(COUNT, 2.0))
    once = replace(shape, again=None)
    assert progress(shape, moments())[0] == pytest.approx(progress(once, moments())[0], abs=1e-4)


def test_halted_for_counts_from_the_halt_and_is_nought_before_and_without_one():
    shape = shapes("halt")
    begins = halted_begin(shape)
    assert halted_for(shape, begins + 3.5) == pytest.approx(np.full(COUNT, 3.5))
    assert (halted_for(shape, begins * 0.9) == 0).all()
    assert (halted_for(shapes("plain"), np.full(COUNT, 50.0)) == 0).all()


def test_taking_some_draws_takes_all_their_parameters():
    shape, chosen = shapes("again"), np.array([3, 1, 3])
    some = shape.take(chosen)
    assert progress(some, moments()[:, :3])[0] == pytest.approx(progress(shape, moments())[0][:, chosen])


def test_a_quicker_curve_is_the_same_curve_sooner():
    shape = shapes("plain")
    twice = replace(shape, pace=2 * shape.pace)
    assert progress(twice, moments() / 2)[0] == pytest.approx(progress(shape, moments())[0], abs=1e-12)


# Warmth


def record(seed: int, lowest_c: float = 2, highest_c: float = 30) -> Warmth:
    rng = np.random.default_rng(seed)
    steps = int(rng.integers(1, 9))
    days = np.sort(rng.uniform(-3, 14, steps))
    temps = rng.uniform(lowest_c, highest_c, steps)
    return Warmth(tuple(float(d) for d in days), tuple(float(t) for t in temps), (lowest_c + highest_c) / 2)


def by_quadrature(warmth: Warmth, day: float, energy: float) -> float:
    """The Arrhenius integral from pitching on."""

    def temperature(at):
        held = [t for d, t in zip(warmth.day, warmth.temp_c, strict=True) if d <= at]
        return held[-1] if held else warmth.temp_c[0]

    def rate(at):
        kelvin = min(temperature(at), warmth.works_c + 8) + 273.15
        return np.exp(-energy / GAS_CONSTANT_KJ * (1 / kelvin - 1 / (warmth.works_c + 273.15)))

    edges = [0.0, *(d for d in warmth.day if 0 < d < day), day]
    return sum(quad(rate, low, high)[0] for low, high in pairwise(edges))


@pytest.mark.parametrize(("lowest_c", "highest_c", "bound"), [(14, 25, 1e-4), (2, 30, 3e-3)])
@pytest.mark.parametrize("seed", range(6))
def test_thermal_time_is_the_arrhenius_integral(seed, lowest_c, highest_c, bound):
    """Within 1 in 10 000 in a brewer's room, and within 3 in 1000 in a record that leaps from 2 to 30 °C."""
    warmth, rng = record(seed, lowest_c, highest_c), np.random.default_rng(seed + 100)
    days, energies = rng.uniform(0.1, 20, 5), rng.uniform(*ENERGY_RANGE, 6)
    energies[:2] = ENERGY_RANGE
    expected = [[by_quadrature(warmth, day, energy) for energy in energies] for day in days]
    assert Clock(warmth, days).thermal(energies) == pytest.approx(np.array(expected), rel=bound)


@pytest.mark.parametrize("seed", range(6))
def test_day_of_inverts_the_arrhenius_integral(seed):
    warmth, rng = record(seed), np.random.default_rng(seed)
    days, energies = rng.uniform(0, 20, 8), rng.uniform(*ENERGY_RANGE, 8)
    thermal = [by_quadrature(warmth, day, energy) for day, energy in zip(days, energies, strict=True)]
    assert day_of(warmth, np.array(thermal), energies) == pytest.approx(days, abs=1e-6)


def test_what_never_comes_has_an_infinite_day():
    warmth = record(3)
    assert np.isinf(day_of(warmth, np.array([np.inf]), np.array([50.0]))).all()


def test_days_before_pitching_count_as_pitching():
    warmth = record(2)
    energies = np.array([20.0, 60.0])
    assert (Clock(warmth, np.array([-5.0, -0.01, 0.0])).thermal(energies) == 0).all()


def test_at_the_working_temperature_thermal_time_is_time():
    warmth = Warmth((0.0,), (18.0,), 18.0)
    found = Clock(warmth, np.array([1.0, 7.0])).thermal(np.array([15.0, 60.0, 130.0]))
    assert found == pytest.approx(np.array([[1.0] * 3, [7.0] * 3]), rel=1e-6)


def test_the_first_temperature_holds_before_its_day():
    late, early = Warmth((3.0, 6.0), (14.0, 20.0)), Warmth((0.0, 6.0), (14.0, 20.0))
    days, energies = np.array([1.0, 5.0, 9.0]), np.array([40.0, 80.0])
    assert Clock(late, days).thermal(energies) == pytest.approx(Clock(early, days).thermal(energies))


def test_cold_is_slower_and_heat_beyond_the_yeasts_best_is_no_faster():
    days, energies = np.array([5.0]), np.array([30.0, 60.0])

    def thermal(temp_c):
        return Clock(Warmth((0.0,), (temp_c,), 20.0), days).thermal(energies)

    assert (thermal(10.0) < thermal(15.0)).all()
    assert (thermal(15.0) < thermal(20.0)).all()
    assert (thermal(40.0) == thermal(60.0)).all()
