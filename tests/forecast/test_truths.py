"""The simulated fermentations against courses integrated elsewhere, against SciPy, and against their own balances."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from forecast.courses import Halt, Resting, left_after

from forecast import andres_toro, gee_ramirez, hop_creep_truth
from gylebook.errors import InputError
from gylebook.science.carbonation import volumes_from_g_per_l

HERE = Path(__file__).parent
SENTENCE = r"^[\w, ]+: .+; .+\.$"


def rows(name: str) -> list[dict[str, str]]:
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def industrial(hour):
    return np.interp(hour, [0, 25, 120, 145, 170, 200], [11, 14, 14, 16, 16, 0])


def temperatures(course: str):
    return industrial(np.arange(200) + 0.5) if course == "industrial" else np.full(200, float(course))


def test_growth_on_three_sugars_meets_courses_integrated_elsewhere_at_all_temperatures_at_once() -> None:
    temps = [10.0, 12.0, 14.0, 16.0, 18.0, 20.0]
    course = gee_ramirez.simulate(np.tile(temps, (200, 1)))
    given = rows("gee_ramirez_courses.csv")
    assert len(given) == 42
    for row in given:
        at = int(row["hour"]), temps.index(float(row["temp_c"]))
        for name in ("glucose", "maltose", "maltotriose", "yeast", "alcohol"):
            got = float(getattr(course, name)[at])
            assert got == pytest.approx(float(row[name]), rel=2e-5, abs=2e-3), (row, name)


@pytest.mark.parametrize(("name", "within"), [("13", 0.002), ("industrial", 0.005), ("20", 0.06)])
def test_lager_yeast_meets_courses_integrated_elsewhere(name: str, within: float) -> None:
    course = andres_toro.simulate(temperatures(name)[:, None])
    given = [row for row in rows("andres_toro_courses.csv") if row["course"] == name]
    assert len(given) == 7
    for row in given:
        for part in ("active", "resting", "dead", "sugar", "alcohol"):
            got = float(getattr(course, part)[int(row["hour"]), 0])
            assert got == pytest.approx(float(row[part]), abs=within), (row, part)


def test_growth_on_three_sugars_meets_scipy_under_changing_warmth() -> None:
    times = [12.0, 36.0, 80.0, 150.0]
    quick = gee_ramirez.simulate((industrial(np.arange(150) + 0.5) + 4)[:, None])
    exact = gee_ramirez.reference(lambda hour: float(industrial(hour)) + 4, times)
    for number, name in enumerate(("glucose", "maltose", "maltotriose", "yeast", "alcohol")):
        np.testing.assert_allclose(getattr(quick, name)[[12, 36, 80, 150], 0], exact[number], rtol=2e-4, atol=2e-3)


def test_lager_yeast_meets_scipy_under_changing_warmth() -> None:
    times = [12.0, 36.0, 80.0, 150.0]
    quick = andres_toro.simulate(industrial(np.arange(150) + 0.5)[:, None])
    exact = andres_toro.reference(lambda hour: float(industrial(hour)), times)
    for number, name in enumerate(("active", "resting", "dead", "sugar", "alcohol")):
        np.testing.assert_allclose(getattr(quick, name)[[12, 36, 80, 150], 0], exact[number], rtol=2e-4, atol=5e-3)


def test_a_finer_step_changes_next_to_nothing() -> None:
    temp = np.tile([12.0, 16.0, 20.0, 25.0], (120, 1))
    for model, shift, within in ((gee_ramirez, 0.0, 1e-4), (andres_toro, andres_toro.SHIFT_K, 5e-4)):
        coarse, fine = (model.simulate(temp - shift, steps_per_hour=n).sugar_left for n in (4, 16))
        np.testing.assert_allclose(coarse, fine, atol=within)


def test_growth_on_three_sugars_balances_mass_to_the_last_digit() -> None:
    course = gee_ramirez.simulate(np.full((960, 1), 20.0))
    ceiling = 1.92 * gee_ramirez.GLUCOSE + 3.84 * gee_ramirez.MALTOSE + 5.76 * gee_ramirez.MALTOTRIOSE
    assert ceiling == pytest.approx(1267.2)
    left = 1.92 * course.glucose + 3.84 * course.maltose + 5.76 * course.maltotriose
    np.testing.assert_allclose(left + course.alcohol, ceiling, rtol=1e-12)
    assert course.sugar_left[-1, 0] < 1e-4


def test_the_stated_defects_of_the_lager_model_are_there() -> None:
    course = andres_toro.simulate(np.tile([8.0, 13.0, 20.0], (960, 1)))
    made_per_used = course.alcohol[-1] / (course.sugar[0] - course.sugar[-1])
    np.testing.assert_allclose(made_per_used, [0.302, 0.437, 1.243], atol=0.002)
    assert course.sugar[-1, 2] == pytest.approx(83.7, abs=0.1)


def test_a_batch_does_not_depend_on_its_neighbours() -> None:
    temp = np.tile([14.0, 19.0, 23.0], (48, 1))
    alone = gee_ramirez.simulate(temp[:, 1:2], yeast=90.0).sugar_left[:, 0]
    beside = gee_ramirez.simulate(temp, yeast=[180.0, 90.0, 40.0]).sugar_left[:, 1]
    np.testing.assert_array_equal(alone, beside)


def test_a_rate_of_two_runs_the_same_course_in_half_the_time() -> None:
    temp = np.full((60, 1), 18.0)
    twice = gee_ramirez.simulate(temp, rate=2.0, steps_per_hour=8).sugar_left[:31, 0]
    once = gee_ramirez.simulate(temp).sugar_left[:61:2, 0]
    np.testing.assert_allclose(twice, once, atol=1e-9)


@pytest.mark.parametrize("model", [gee_ramirez, andres_toro])
def test_a_halt_holds_the_sugar_and_then_the_course_goes_on_as_it_was(model) -> None:
    temp = np.full((400, 3), 13.0)
    halt = Halt(np.array([0.7, 0.7, np.inf]), np.array([48.0, np.inf, np.inf]))
    left = model.simulate(temp, halt=halt).sugar_left
    stop = int(np.argmax(left[:, 1] <= 0.3 + 1e-12))
    assert left[stop, 1] == pytest.approx(0.3, abs=0.01)
    np.testing.assert_array_equal(left[stop:, 1], left[stop, 1])
    np.testing.assert_array_equal(left[stop : stop + 47, 0], left[stop, 0])
    np.testing.assert_allclose(left[stop + 48 :, 0], left[stop:-48, 2], atol=1e-9)


def test_uptake_is_solved_exactly_even_where_it_is_steep() -> None:
    sugar, half = np.array([10.0, 10.0, 1e-30, 0.0]), np.array([1e-3, 5.0, 1e-3, 1.0])
    left = left_after(sugar, np.array([9.0, 9.0, 9.0, 9.0]), half)
    assert left[0] == pytest.approx(1.0, abs=0.003)
    assert left[1] + 5.0 * np.log(left[1]) == pytest.approx(1.0 + 5.0 * np.log(10.0))
    assert left[2] < 1e-30
    assert left[3] == 0.0


def test_hop_creep_reaches_its_published_end_point_and_half_of_it_after_five_days() -> None:
    made, end = hop_creep_truth.co2_made(np.full((40 * 24, 1), 20.0), dose_g_per_l=10.0, in_day=0.0)
    assert volumes_from_g_per_l(made[-1, 0]) == pytest.approx(4.75, abs=0.02)
    assert made[5 * 24, 0] / made[-1, 0] == pytest.approx(0.5, abs=0.005)  # 1 of about 2 degP
    assert made[-1, 0] < end[0] < made[-1, 0] + 0.05


def test_hop_creep_needs_time_to_begin_and_more_hops_give_more_but_not_in_proportion() -> None:
    temp = np.full((40 * 24, 3), 20.0)
    made, end = hop_creep_truth.co2_made(temp, dose_g_per_l=[5.0, 10.0, 20.0], in_day=0.0)
    assert made[12, 1] < made[24, 1] / 3  # a first-order law would have half of it by then
    assert end[1] < 2.0 * end[0] < 1.2 * end[1]
    assert end[1] * 1.2 < end[2] < 1.9 * end[1]


def test_hop_creep_is_slower_in_the_cold_and_stops_when_the_hops_come_out() -> None:
    temp = np.tile([20.0, 10.0, 20.0], (60 * 24, 1))
    made, end = hop_creep_truth.co2_made(temp, dose_g_per_l=10.0, in_day=2.0, out_day=[np.inf, np.inf, 5.0])
    assert np.all(made[: 2 * 24 + 1] == 0.0)
    assert made[7 * 24, 1] < 0.5 * made[7 * 24, 0]
    assert end[2] == pytest.approx(made[-1, 2], abs=1e-3)
    assert made[5 * 24, 2] < end[2] < 0.5 * end[0]
    assert np.all(np.diff(made, axis=0) >= 0.0)


def test_what_hops_lead_to_in_the_end_does_not_depend_on_when_the_run_stops() -> None:
    ends = [hop_creep_truth.co2_made(np.full((24 * d, 1), 19.0), dose_g_per_l=6.0, in_day=1.0)[1] for d in (4, 12, 80)]
    np.testing.assert_allclose(ends, ends[-1][0], rtol=2e-3)


@pytest.mark.parametrize(
    ("refused", "said"),
    [
        (lambda: gee_ramirez.simulate([20.0]), "temp_c"),
        (lambda: gee_ramirez.simulate([[50.0]]), "temp_c"),
        (lambda: gee_ramirez.simulate([[np.nan]]), "temp_c"),
        (lambda: gee_ramirez.simulate([[20.0]], glucose=-1.0), "glucose"),
        (lambda: gee_ramirez.simulate([[20.0]], maltose=[1.0, 2.0]), "maltose"),
        (lambda: gee_ramirez.simulate([[20.0]], yeast=0.0), "yeast"),
        (lambda: gee_ramirez.simulate([[20.0]], rate=np.inf), "rate"),
        (lambda: gee_ramirez.simulate([[20.0]], steps_per_hour=0), "steps_per_hour"),
        (lambda: gee_ramirez.simulate([[20.0]], halt=Halt.never(2)), "halt"),
        (lambda: andres_toro.simulate([[30.0]]), "temp_c"),
        (lambda: andres_toro.simulate([[13.0]], sugar=0.0), "sugar"),
        (lambda: andres_toro.simulate([[13.0]], halt=Halt(np.array([-0.1]), np.array([1.0]))), "halt"),
        (lambda: hop_creep_truth.co2_made([[60.0]], dose_g_per_l=5.0, in_day=0.0), "temp_c"),
        (lambda: hop_creep_truth.co2_made([[20.0]], dose_g_per_l=0.0, in_day=0.0), "dose_g_per_l"),
        (lambda: hop_creep_truth.co2_made([[20.0]], dose_g_per_l=5.0, in_day=-1.0), "in_day"),
        (lambda: hop_creep_truth.co2_made([[20.0]], dose_g_per_l=5.0, in_day=3.0, out_day=2.0), "out_day"),
        (lambda: hop_creep_truth.co2_made([[20.0]], dose_g_per_l=5.0, in_day=[1.0, 2.0]), "in_day"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(refused, said: str) -> None:
    with pytest.raises(InputError, match=SENTENCE) as caught:
        refused()
    assert caught.value.field == said


def test_those_who_rest_wake_when_their_time_is_over() -> None:
    resting = Resting(Halt(np.array([0.5]), np.array([2.0])))
    seen = [float(resting.awake(hour, np.array([gone]))[0]) for hour, gone in [(0, 0.4), (1, 0.5), (2, 0.5), (3, 0.5)]]
    assert seen == [1.0, 0.0, 0.0, 1.0]
