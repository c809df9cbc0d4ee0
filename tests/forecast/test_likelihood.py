"""The linear part of the likelihood against SciPy's multivariate normal, written out densely."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import logsumexp
from scipy.stats import chi2, halfnorm, multivariate_normal

from gylebook.forecast.answers import Story
from gylebook.forecast.curve import Clock, Shape, halted_for, progress, rates
from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG, Addition, Evidence, Forced, Hops, Known, Reading, Warmth
from gylebook.forecast.likelihood import (
    FORCED_GROSS,
    GROSS_SD_SG,
    LIFT_MEAN,
    LIFT_SD,
    TIME_SD_DAYS,
    Curves,
    Sheet,
    later_left,
    later_shift,
)
from gylebook.forecast.mixture import _moments
from gylebook.forecast.priors import CREEP_ENERGY, ENERGY, Drawn, Make, still_halted

DRAWS = 5
MAKES = (
    Make(Story.HEALTHY, float(np.log(0.7)), 0.77, 0.06),
    Make(Story.HIGH, float(np.log(0.2)), 0.69, 0.05),
    Make(Story.BELOW, float(np.log(0.1)), 0.90, 0.04),
)


def readings(count: int, rng: np.random.Generator, glasses: int = 1, gas: bool = False) -> tuple[Reading, ...]:
    return tuple(
        Reading(
            float(number),
            float(rng.uniform(1.005, 1.045)),
            float(rng.uniform(0.0005, 0.002)),
            float(rng.uniform(0.0002, 0.002)) if gas else 0.0,
            float(rng.uniform(0.01, 0.5)),
            int(number % glasses) + 1,
        )
        for number in range(count)
    )


def case(name: str) -> Evidence:
    rng = np.random.default_rng(len(name))
    known = Known(1.045, 0.005, 0.76, 0.05)
    offsets = ((1, 0.0005, 0.0003), (7, 0.1, 0.1))
    found = {
        "one reading": Evidence(readings(1, rng), 9.0, known),
        "two readings": Evidence(readings(2, rng), 9.0, known),
        "four readings": Evidence(readings(4, rng), 9.0, known),
        "two hydrometers": Evidence(readings(4, rng, 2), 9.0, known),
        "three hydrometers, one of them checked": Evidence(readings(4, rng, 3), 9.0, replace(known, offsets=offsets)),
        "gas in the samples": Evidence(readings(3, rng, gas=True), 9.0, known),
        "forced sample": Evidence(readings(3, rng, 2), 9.0, known, forced=Forced(1.011, 0.0015)),
        "only a forced sample": Evidence((), 9.0, known, forced=Forced(1.011, 0.0015)),
        "many readings": Evidence(readings(7, rng, 2), 9.0, known),
    }
    return found[name]


CASES = (
    "one reading",
    "two readings",
    "four readings",
    "two hydrometers",
    "three hydrometers, one of them checked",
    "gas in the samples",
    "forced sample",
    "only a forced sample",
    "many readings",
)


def curves_for(evidence: Evidence, shifted: bool, seed: int = 5) -> Curves:
    """Any progress at the readings: what is solved does not depend on where it comes from."""
    rng = np.random.default_rng(seed)
    count = len(evidence.readings)
    done = np.sort(rng.uniform(0, 1, (count, DRAWS)), axis=0)
    slope = rng.uniform(0, 0.5, (count, DRAWS))
    shift = rng.normal(0, 0.003, (count, DRAWS)) if shifted else None
    if evidence.forced is not None:
        done = np.vstack([done, np.ones(DRAWS)])
        slope = np.vstack([slope, np.zeros(DRAWS)])
        shift = None if shift is None else np.vstack([shift, np.full(DRAWS, 0.004)])
    return Curves(done, slope, shift, rng.normal(size=DRAWS) if shifted else None)


class Dense:
    """Readings y = m + A u + e of one draw and make, u ~ N(0, P): original gravity and attenuation's own error, offsets."""

    def __init__(self, evidence: Evidence, curves: Curves, make: Make, draw: int) -> None:
        known = evidence.known
        fall = known.og_sg - 1
        numbers = sorted({r.instrument for r in evidence.readings})
        told = {number: (value, sd) for number, value, sd in known.offsets}
        own = [told.get(number, (0.0, USUAL_OFFSET_SD_SG)) for number in numbers]
        done = curves.done[:, draw]
        size = len(done)
        shift = np.zeros(size) if curves.shift is None else curves.shift[:, draw]
        # u = (error of OG, error of attenuation times the fall, offsets); fall = a (OG - 1) + error.
        self.rows = np.zeros((size, 2 + len(numbers)))
        self.rows[:, 0] = 1 - done * make.attenuation
        self.rows[:, 1] = -done
        self.mean = known.og_sg - done * make.attenuation * fall + shift
        self.values = np.empty(size)
        self.variance = (TIME_SD_DAYS * fall * known.attenuation * curves.slope[:, draw]) ** 2
        self.gross = np.empty(size)
        for row, reading in enumerate(evidence.readings):
            place = numbers.index(reading.instrument)
            self.rows[row, 2 + place] = 1.0
            self.mean[row] += own[place][0] + LIFT_MEAN * reading.lift_sg
            self.values[row] = reading.gravity_sg
            self.variance[row] += reading.sd_sg**2 + (LIFT_SD * reading.lift_sg) ** 2
            self.gross[row] = reading.gross
        if evidence.forced is not None:
            self.values[-1], self.gross[-1] = evidence.forced.gravity_sg, FORCED_GROSS
            self.variance[-1] += evidence.forced.sd_sg**2
        self.prior = np.diag([known.og_sd_sg**2, (fall * make.spread) ** 2, *(sd**2 for _, sd in own)])
        self.make, self.fall = make, fall
        self.factor = 0.0 if curves.log_factor is None else curves.log_factor[draw]

    def noise(self, wrong: tuple[int, ...]) -> np.ndarray:
        variance = self.variance.copy()
        variance[list(wrong)] += GROSS_SD_SG**2
        return np.diag(variance)

    def log_density(self, wrong: tuple[int, ...] = ()) -> float:
        """Logarithm of the chance of make and set of wrong readings times the readings' density."""
        chance = np.where(np.isin(np.arange(len(self.gross)), wrong), self.gross, 1 - self.gross)
        cov = self.rows @ self.prior @ self.rows.T + self.noise(wrong)
        density = multivariate_normal(self.mean, cov).logpdf(self.values)
        return float(self.make.log_chance + self.factor + np.log(chance).sum() + density)

    def moments(self, wrong: tuple[int, ...] = ()) -> tuple[np.ndarray, np.ndarray]:
        """Mean and covariance of (OG less its middle, fall)."""
        cov = self.rows @ self.prior @ self.rows.T + self.noise(wrong)
        gain = np.linalg.solve(cov, self.rows @ self.prior).T
        mean = gain @ (self.values - self.mean)
        left = self.prior - gain @ self.rows @ self.prior
        to = np.zeros((2, len(self.prior)))
        to[0, 0], to[1, 0], to[1, 1] = 1.0, self.make.attenuation, 1.0
        return to @ mean + [0.0, self.make.attenuation * self.fall], to @ left @ to.T

    def distance(self, wrong: tuple[int, ...] = ()) -> float:
        cov = self.rows @ self.prior @ self.rows.T + self.noise(wrong)
        off = self.values - self.mean
        return float(off @ np.linalg.solve(cov, off))


@pytest.mark.parametrize("shifted", [False, True])
@pytest.mark.parametrize("name", CASES)
def test_each_set_of_wrong_readings_has_the_density_of_the_dense_normal(name, shifted):
    evidence = case(name)
    sheet, curves = Sheet(evidence), curves_for(evidence, shifted)
    sheet.pair_up(np.arange(len(sheet.values)) / 10)  # the last four, where there are more
    found = sheet.solve(curves, MAKES).log_patterns
    assert found.shape == (len(sheet.patterns), len(MAKES), DRAWS)
    for place, make in enumerate(MAKES):
        for draw in range(DRAWS):
            dense = Dense(evidence, curves, make, draw)
            expected = [dense.log_density(wrong) for wrong in sheet.patterns]
            assert found[:, place, draw] == pytest.approx(expected, abs=1e-6), sheet.patterns


@pytest.mark.parametrize("name", CASES)
def test_the_posterior_of_original_gravity_and_fall_is_that_of_dense_linear_algebra(name):
    evidence = case(name)
    sheet, curves = Sheet(evidence), curves_for(evidence, shifted=True)
    sheet.pair_up(np.arange(len(sheet.values)) / 10)
    solved = sheet.solve(curves, MAKES)
    for place, make in enumerate(MAKES):
        for wrong in sheet.patterns:
            columns, distance = _moments(solved, sheet, place, np.arange(DRAWS), wrong)
            for draw in range(DRAWS):
                dense = Dense(evidence, curves, make, draw)
                mean, cov = dense.moments(wrong)
                og, fall, var_og, var_fall, cross = (column[draw] for column in columns)
                assert (og, fall + sheet.middle_fall) == pytest.approx(mean, abs=1e-9)
                assert (var_og, var_fall, cross) == pytest.approx(
                    (cov[0, 0], cov[1, 1], cov[0, 1]), rel=1e-6, abs=1e-12
                )
                assert distance[draw] == pytest.approx(dense.distance(wrong), rel=1e-6, abs=1e-8)


@pytest.mark.parametrize(("count", "beyond"), [(1, 1e-9), (2, 1e-9), (3, 5e-3), (4, 5e-3)])
def test_none_one_and_two_wrong_readings_are_nearly_the_sum_over_all_sets(count, beyond):
    """Exactly with two readings; beyond that only sets of three and more are missing: half a per cent at most."""
    rng = np.random.default_rng(count)
    along = tuple(Reading(float(n), 1.040 - 0.008 * n + float(rng.normal(0, 0.001)), 0.001) for n in range(count))
    evidence = Evidence(along, 9.0, Known(1.042, 0.005, 0.76, 0.05))
    done = np.linspace(0, 0.75, count)[:, None] * np.ones(DRAWS) * np.linspace(0.9, 1.1, DRAWS)
    curves = Curves(done, np.full_like(done, 0.1), None, None)
    found = Sheet(evidence).solve(curves, MAKES).log_patterns
    for place, make in enumerate(MAKES[:2]):
        for draw in range(DRAWS):
            dense = Dense(evidence, curves, make, draw)
            every = [dense.log_density(w) for size in range(count + 1) for w in combinations(range(count), size)]
            short = logsumexp(every) - logsumexp(found[:, place, draw])
            assert -1e-9 < short < beyond


def test_no_reading_has_the_density_one_and_leaves_the_prior():
    known = Known(1.045, 0.005, 0.76, 0.05)
    sheet = Sheet(Evidence((), 0.0, known))
    solved = sheet.solve(Curves(np.empty((0, DRAWS)), np.empty((0, DRAWS)), None, None), MAKES)
    assert sheet.patterns == ((),)
    for place, make in enumerate(MAKES):
        assert solved.log_patterns[0, place] == pytest.approx(make.log_chance, abs=1e-9)
        assert solved.mean[0][place] == pytest.approx(0.0, abs=1e-12)
        assert solved.mean[1][place] + sheet.middle_fall == pytest.approx(make.attenuation * 0.045, abs=1e-12)
        expected = (0.005**2, make.attenuation * 0.005**2, (make.attenuation * 0.005) ** 2 + (0.045 * make.spread) ** 2)
        for found, value in zip(solved.covariance, expected, strict=True):
            assert found[place] == pytest.approx(value, rel=1e-9)


def test_pairs_are_looked_at_only_where_asked_and_of_the_likeliest_four():
    evidence = case("many readings")
    sheet = Sheet(evidence)
    assert sheet.patterns == ((), *((i,) for i in range(7)))
    sheet.pair_up(np.array([0.9, 0.0, 0.1, 0.8, 0.0, 0.7, 0.0]))
    assert set(sheet.pairs) == set(combinations((0, 2, 3, 5), 2))


def test_a_gas_lifted_reading_is_centred_and_widened_as_its_half_normal():
    assert pytest.approx(halfnorm.mean(), abs=1e-4) == LIFT_MEAN
    assert pytest.approx(halfnorm.std(), abs=1e-4) == LIFT_SD


def test_squared_distances_of_data_made_by_the_model_are_chi_squared():
    evidence = case("two hydrometers")
    sheet, curves = Sheet(evidence), curves_for(evidence, shifted=False)
    dense = Dense(evidence, curves, MAKES[0], 0)
    rng = np.random.default_rng(3)
    cov = dense.rows @ dense.prior @ dense.rows.T + dense.noise(())
    found = []
    for values in rng.multivariate_normal(dense.mean, cov, 300):
        made = zip(evidence.readings, values, strict=True)
        again = replace(evidence, readings=tuple(replace(r, gravity_sg=float(v)) for r, v in made))
        found.append(Sheet(again).solve(curves, MAKES[:1]).distance[0, 0])
    quarters = chi2.ppf([0.25, 0.5, 0.75], len(sheet.values))
    counts = np.histogram(found, [0, *quarters, np.inf])[0]
    assert np.abs(counts - 75).max() < 4 * (300 * 0.25 * 0.75) ** 0.5


def test_an_offset_that_is_known_exactly_is_taken_off():
    plain = case("four readings")
    by = 0.003
    known = replace(plain.known, offsets=((1, 0.0, 1e-6),))
    shifted = replace(known, offsets=((1, by, 1e-6),))
    high = tuple(replace(r, gravity_sg=r.gravity_sg + by) for r in plain.readings)
    curves = curves_for(plain, shifted=False)
    one = Sheet(replace(plain, known=known)).solve(curves, MAKES).log_patterns
    two = Sheet(replace(plain, known=shifted, readings=high)).solve(curves, MAKES).log_patterns
    assert one == pytest.approx(two, abs=1e-6)


def test_taking_some_draws_solves_those_alone():
    evidence = case("forced sample")
    sheet, curves = Sheet(evidence), curves_for(evidence, shifted=True)
    chosen = np.array([4, 0, 4])
    some = sheet.solve(curves.take(chosen), MAKES).log_patterns
    assert some == pytest.approx(sheet.solve(curves, MAKES).log_patterns[:, :, chosen], abs=1e-12)


# What enters the curves


def drawn(count: int = DRAWS, *, creeps: bool = False, halt: bool = False, seed: int = 2) -> Drawn:
    rng = np.random.default_rng(seed)
    shape = Shape(
        rng.uniform(0.5, 2, count),
        rng.uniform(0.01, 0.5, count),
        rng.uniform(1, 4, count),
        rng.uniform(30, 90, count),
        rng.uniform(0.01, 0.3, count),
        rng.uniform(0.01, 0.2, count),
        halt=rng.uniform(0.5, 0.9, count) if halt else None,
    )
    if not creeps:
        return Drawn(shape, None, None)
    return Drawn(shape, rng.uniform(0.001, 0.008, count), rng.uniform(0.05, 0.3, count))


WARMTH = Warmth((0.0, 4.0, 8.0), (20.0, 12.0, 22.0), 20.0)
DAYS = (-0.5, 0.0, 3.0, 6.0, 9.0, 15.0)
AT_DAYS = tuple(Reading(day, 1.020, 0.001) for day in DAYS)


def thermal_since(begin: float, day: float, energy: float) -> float:
    """Thermal days between two days, by quadrature."""

    def rate(at):
        return rates(WARMTH, np.array([energy]))[sum(d <= at for d in WARMTH.day) - 1, 0]

    edges = [d for d in (0.0, 4.0, 8.0) if max(begin, 0) < d < day]
    stops = [max(begin, 0.0), *edges, day]
    return sum(quad(rate, a, b)[0] for a, b in pairwise(stops)) if day > begin else 0.0


def test_curves_are_progress_at_the_readings_with_slopes_by_the_day():
    evidence, draws = Evidence(AT_DAYS, 20.0, warmth=WARMTH), drawn()
    curves = Sheet(evidence).curves(draws)
    thermal = Clock(WARMTH, np.array(DAYS)).thermal(draws.shape.energy)
    done, slope = progress(draws.shape, thermal)
    pace = rates(WARMTH, np.array([ENERGY[0]]))[[0, 0, 0, 1, 2, 2]]
    assert curves.done == pytest.approx(done)
    assert curves.slope == pytest.approx(slope * pace)
    assert curves.shift is None
    assert curves.log_factor is None


def test_hops_let_the_gravity_fall_by_their_sugar_at_first_order_from_their_day_on():
    evidence = Evidence(AT_DAYS, 20.0, warmth=WARMTH, hops=Hops(6.0, 5.0))
    draws = drawn(creeps=True)
    shift, left = later_shift(evidence, draws, np.array(DAYS)), later_left(evidence, draws, np.array(DAYS))
    assert shift is not None
    assert left is not None
    assert draws.creep_sg is not None
    assert draws.creep_pace is not None
    for row, day in enumerate(DAYS):
        rest = draws.creep_sg * np.exp(-draws.creep_pace * thermal_since(6.0, day, CREEP_ENERGY))
        assert left[row] == pytest.approx(rest, rel=1e-4)
        assert shift[row] == pytest.approx(rest - draws.creep_sg, rel=1e-3, abs=1e-9)
    assert Sheet(evidence).curves(draws).shift == pytest.approx(shift)


def test_hops_of_draws_without_creep_shift_nothing():
    evidence = Evidence(AT_DAYS, 20.0, hops=Hops(6.0, 5.0))
    assert later_shift(evidence, drawn(), np.array(DAYS)) is None
    assert later_left(evidence, drawn(), np.array(DAYS)) is None


def test_later_sugar_lifts_at_once_and_ferments_at_first_order():
    added = (Addition(6.0, 0.004, 0.005), Addition(9.0, 0.002, 0.0025))
    evidence, draws = Evidence(AT_DAYS, 20.0, warmth=WARMTH, additions=added), drawn()
    shift, left = later_shift(evidence, draws, np.array(DAYS)), later_left(evidence, draws, np.array(DAYS))
    assert shift is not None
    assert left is not None
    for row, day in enumerate(DAYS):
        for draw in range(DRAWS):
            pace, energy = draws.shape.pace[draw], draws.shape.energy[draw]
            rests = [a.falls_sg * np.exp(-pace * thermal_since(a.day, day, energy)) for a in added]
            there = [a.lifts_sg - a.falls_sg + rest for a, rest in zip(added, rests, strict=True) if day >= a.day]
            assert left[row, draw] == pytest.approx(sum(rests), rel=1e-3)
            assert shift[row, draw] == pytest.approx(sum(there), rel=1e-3, abs=1e-9)


def test_a_forced_sample_sees_the_end_with_all_later_sugar_gone():
    added = (Addition(6.0, 0.004, 0.005),)
    evidence = Evidence(AT_DAYS, 20.0, warmth=WARMTH, additions=added, forced=Forced(1.010))
    curves = Sheet(evidence).curves(drawn())
    assert curves.shift is not None
    assert (curves.done[-1] == 1).all()
    assert (curves.slope[-1] == 0).all()
    assert curves.shift[-1] == pytest.approx(-0.001)


def test_a_halt_that_lasted_long_speaks_against_one_that_would_have_gone_on():
    long = still_halted(np.array([0.0, 1.0, 5.0, 20.0, 1e6]))
    assert long[0] == pytest.approx(0.0, abs=1e-9)
    assert (np.diff(long) <= 0).all()
    assert np.isfinite(long).all()


def test_a_draw_that_halts_for_good_is_weighed_by_how_long_it_has_stood_at_the_last_reading():
    evidence, draws = Evidence(AT_DAYS, 50.0, warmth=WARMTH), drawn(halt=True)
    stood = halted_for(draws.shape, Clock(WARMTH, np.array([max(DAYS)])).thermal(draws.shape.energy)[0])
    assert (stood > 0).any()
    factor = Sheet(evidence).curves(draws).log_factor
    assert factor is not None
    assert factor == pytest.approx(still_halted(stood))
    assert (factor < -0.01).any()
    paused = replace(draws, shape=replace(draws.shape, pause=np.full(DRAWS, 4.0)))
    assert Sheet(evidence).curves(paused).log_factor is None
