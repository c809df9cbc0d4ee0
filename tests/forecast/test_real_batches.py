"""Measured fermentations: reading their folder, replaying them, scoring what was made of them.

The folder that most tests read is invented. What the real one holds is tested only where it is at hand.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from forecast.real_batches import (
    FOLDER,
    FolderError,
    Half,
    Status,
    apparent_plato,
    by_status,
    folder,
    halves_of,
    read_folder,
    read_tables,
    status_of,
)
from forecast.real_scores import (
    errors,
    false_finished,
    false_stalled,
    figures,
    final_coverage,
    judge,
    main,
    report,
    too_early,
)
from forecast.replay import MOST_READINGS, SCHEDULES, Schedule, looks

from gylebook.forecast.answers import Spread, Story
from gylebook.science.alcohol import alcohol_by_mass, real_extract_plato
from gylebook.science.extract import plato_from_sg, sg_from_plato

README = """# Invented

| id | pitch | OG | chill h | status / noise |
|---|---|---|---|---|
| tank1 | ale | 12.0 | 140 | complete; gap 4 h |
| tank2 | lager | 12.0 |  | UNFINISHED at chill |
| tank3 | ale | 12.0 | 140 | STUCK: hardly anything lost |
| tank4 | ale | 12.0 | 140 | chilled at 4.4 still falling 2.0/day |

Words between the tables.

| id | pitch | last two equal |
|---|---|---|
| jar1 | ale | yes |
| jar2 | lager | no - still falling/unclear |
"""
EVERY_HOUR = np.arange(0.0, 200.0)
DAILY = np.arange(0.0, 240.0, 24.0)


def falling(hours, end=3.0, half_way=48.0):
    return end + (12.0 - end) / (1.0 + np.exp((hours - half_way) / 8.0))


def write(place, name, hours, values, temps, *, unit="degP_apparent"):
    temps = np.broadcast_to(np.asarray(temps, dtype=object), hours.shape)
    rows = [f"{h:.2f},{v:.2f},{unit},{t}" for h, v, t in zip(hours, values, temps, strict=True)]
    (place / f"{name}.csv").write_text("\n".join(["time_h,value,unit,temp_c", *rows]) + "\n", encoding="utf-8")


@pytest.fixture
def place(tmp_path):
    (tmp_path / "README.md").write_text(README, encoding="utf-8")
    chilled = np.where(EVERY_HOUR < 130.0, 21.3, 6.0)
    # What the chilled tank shows is of no account: here it drops by a whole degree.
    write(tmp_path, "tank1", EVERY_HOUR, falling(EVERY_HOUR) - (EVERY_HOUR > 140.0), chilled)
    write(tmp_path, "tank2", EVERY_HOUR, falling(EVERY_HOUR, half_way=120.0), np.where(EVERY_HOUR < 110.0, 12.0, 5.0))
    write(tmp_path, "tank3", EVERY_HOUR, 12.0 - 0.002 * EVERY_HOUR, chilled)
    write(tmp_path, "tank4", EVERY_HOUR, falling(EVERY_HOUR, half_way=120.0), chilled)
    write(tmp_path, "jar1", DAILY, falling(DAILY), 20.0)
    write(tmp_path, "jar2", DAILY, falling(DAILY, half_way=150.0), 20.0)
    real = np.array([12.0, 9.0, 6.0, 5.0, 4.60, 4.58])
    write(tmp_path, "brew1_real", DAILY[:6] * 2, real, "", unit="degP_real")
    og = float(sg_from_plato(12.0))
    ethanol = (12.0 - real) / (2.0665 - 0.010665 * 12.0)
    write(tmp_path, "brew1_etoh", DAILY[:6] * 2, ethanol, "", unit="wt_pct_ethanol")
    assert og > 1.04
    return tmp_path


@pytest.fixture
def batches(place):
    return {each.name: each for each in read_folder(place)}


def test_each_batch_ends_as_its_table_says(batches):
    told = {name: each.status for name, each in batches.items()}
    assert told == {
        "tank1": Status.COMPLETE,
        "tank2": Status.UNFINISHED,
        "tank3": Status.STUCK,
        "tank4": Status.UNFINISHED,
        "jar1": Status.LEVEL,
        "jar2": Status.UNSURE,
        "brew1_real": Status.LEVEL,
        "brew1_etoh": Status.LEVEL,
    }


def test_only_what_ended_has_a_terminal_gravity(batches):
    assert {each.name for each in by_status(list(batches.values()), Status.COMPLETE, Status.LEVEL)} == {
        name for name, each in batches.items() if each.final_sg is not None
    }
    assert batches["tank1"].final_sg == pytest.approx(float(sg_from_plato(3.0)), abs=1e-5)


def test_nothing_after_the_chill_counts_by_the_hour_or_by_the_thermometer(batches):
    assert batches["tank1"].end_day == pytest.approx(129 / 24)
    assert batches["tank2"].end_day == pytest.approx(109 / 24)
    assert batches["tank3"].gravity_sg.min() > 1.040


def test_the_table_s_hour_ends_a_batch_that_no_thermometer_shows_as_chilled(place):
    write(place, "tank1", EVERY_HOUR, falling(EVERY_HOUR), 20.0)
    (found,) = (each for each in read_folder(place) if each.name == "tank1")
    assert found.end_day == pytest.approx(139 / 24)


def test_a_batch_is_finished_from_when_it_stays_within_a_point_of_its_end(batches):
    # 0.001 is 0.26 degP: 9 / (1 + exp((t - 48) / 8)) falls below it at 76 h.
    assert batches["tank1"].finished_day == pytest.approx(76.0 / 24.0, abs=1.5 / 24.0)


def test_a_lager_yeast_works_cool_only_where_it_was_cool(batches):
    assert batches["tank2"].works_c == 13.0
    assert batches["jar2"].works_c == 20.0
    assert batches["tank1"].works_c == 20.0
    assert batches["brew1_real"].works_c == 13.0
    assert set(batches["brew1_real"].temp_c.tolist()) == {12.0}


def test_real_extract_and_ethanol_come_to_the_same_apparent_gravity(batches):
    assert batches["brew1_real"].gravity_sg == pytest.approx(batches["brew1_etoh"].gravity_sg, abs=6e-5)


def test_apparent_extract_is_what_the_closure_makes_of_real_extract():
    apparent = apparent_plato(12.0, np.array([12.0, 6.0, 4.6]))
    og, gravities = float(sg_from_plato(12.0)), np.asarray(sg_from_plato(apparent))
    assert real_extract_plato(og, gravities) == pytest.approx([12.0, 6.0, 4.6], abs=0.002)
    assert float(alcohol_by_mass(og, gravities[2])) == pytest.approx(
        (12.0 - 4.6) / (2.0665 - 0.010665 * 12.0), abs=0.002
    )
    assert plato_from_sg(gravities[0]) == pytest.approx(12.0)


def test_a_batch_without_a_table_that_still_falls_is_unsure(place):
    write(place, "brew1_real", DAILY[:6], np.array([12.0, 9.0, 6.0, 5.0, 4.70, 4.58]), "", unit="degP_real")
    told = {each.name: each.status for each in read_folder(place)}
    assert told["brew1_real"] == told["brew1_etoh"] == Status.UNSURE


def test_halves_are_dealt_in_turn_within_each_group_and_a_batch_with_two_files_goes_one_way():
    found = halves_of(["tank05", "tank01", "tank03", "jar02", "brew1_real", "brew1_etoh", "brew3_real"])
    assert found == {
        "tank01": Half.CHOOSING,
        "tank03": Half.REPORTING,
        "tank05": Half.CHOOSING,
        "jar02": Half.CHOOSING,
        "brew1_real": Half.CHOOSING,
        "brew1_etoh": Half.CHOOSING,
        "brew3_real": Half.REPORTING,
    }


def test_one_half_can_be_read_alone(place):
    choosing = {each.name for each in read_folder(place, Half.CHOOSING)}
    reporting = {each.name for each in read_folder(place, Half.REPORTING)}
    assert choosing == {"tank1", "tank3", "jar1", "brew1_real", "brew1_etoh"}
    assert reporting == {"tank2", "tank4", "jar2"}


def test_tables_are_told_apart_by_their_column_of_ids():
    found = read_tables("| what | why |\n|---|---|\n| a | b |\n\n" + README)
    assert set(found) == {"tank1", "tank2", "tank3", "tank4", "jar1", "jar2"}
    assert found["jar2"] == {"id": "jar2", "pitch": "lager", "last two equal": "no - still falling/unclear"}


def test_a_folder_without_data_is_refused(tmp_path):
    (tmp_path / "README.md").write_text(README, encoding="utf-8")
    with pytest.raises(FolderError, match=r"no \.csv"):
        read_folder(tmp_path)


@pytest.mark.parametrize("row", [{"status / noise": "who knows"}, {"last two equal": "perhaps"}, {}])
def test_a_status_that_is_not_understood_is_refused(row):
    with pytest.raises(FolderError, match="tank9"):
        status_of("tank9", row)


def test_an_unknown_unit_and_a_missing_partner_are_refused(place):
    write(place, "tank1", EVERY_HOUR, falling(EVERY_HOUR), 20.0, unit="oechsle")
    with pytest.raises(FolderError, match="oechsle"):
        read_folder(place)
    (place / "tank1.csv").unlink()
    (place / "brew1_real.csv").unlink()
    with pytest.raises(FolderError, match=r"brew1_real\.csv"):
        read_folder(place)


def test_a_sensor_s_spike_does_not_move_the_level(place):
    values = falling(EVERY_HOUR)
    values[100] += 0.7
    write(place, "tank1", EVERY_HOUR, values, np.where(EVERY_HOUR < 130.0, 21.0, 6.0))
    found = {each.name: each for each in read_folder(place)}["tank1"]
    assert found.level_sg(100 / 24) == pytest.approx(float(sg_from_plato(values[99])), abs=1e-4)
    assert found.finished_day < 90 / 24


def test_a_replay_knows_only_what_was_read_by_then(batches):
    schedule = Schedule("each day", 1.5, 1.0, 0.001)
    found = list(looks([batches["tank1"]], [schedule]))
    assert [each.count for each in found] == [2, 3, 4, 5]
    for look in found:
        assert look.evidence.now_day == look.evidence.readings[-1].day
        assert max(look.evidence.warmth.day) <= look.evidence.now_day
    assert [each.day for each in found[-1].evidence.readings] == [0.0, 1.5, 2.5, 3.5, 4.5]


def test_a_replay_s_readings_and_temperatures_are_rounded_as_a_brewer_reads_them(batches):
    (*_, last) = looks([batches["tank1"]], [Schedule("each day", 1.5, 1.0, 0.001)])
    assert last.evidence.readings[0].gravity_sg == 1.048
    assert all(each.gravity_sg == pytest.approx(round(each.gravity_sg, 3)) for each in last.evidence.readings)
    assert last.evidence.warmth.temp_c == (21.5,) * 5
    assert (last.evidence.known.og_sg, last.evidence.known.og_sd_sg) == (1.05, 0.006)


def test_of_few_samples_the_nearest_is_taken_and_each_once(batches):
    (*_, last) = looks([batches["jar1"]], [Schedule("twice a day", 1.5, 0.5, 0.001)])
    days = [each.day for each in last.evidence.readings]
    assert days == [0.0, *range(1, 9)]
    assert len(days) <= MOST_READINGS + 1


def answering(final=None, unsafe=0.5, halted=0.0):
    """A forecaster that names a final gravity, or the last reading."""

    def answer(evidence):
        end = evidence.readings[-1].gravity_sg if final is None else final
        spread = Spread(end, 0.001, end - 0.00164, end - 0.00067, end, end + 0.00067, end + 0.00164)
        day = Spread(3.5, 0.5, 2.7, 3.2, 3.5, 3.8, 4.3)
        danger = unsafe(evidence) if callable(unsafe) else unsafe
        return SimpleNamespace(stories={Story.HALTED: halted}, final_sg=spread, end_day=day, unsafe=danger)

    return answer


def judged(batches, forecaster):
    """Two schedules are enough."""
    return judge(list(batches.values()), forecaster, SCHEDULES[:2])


def test_coverage_and_errors_are_those_of_the_complete_batches(batches):
    found = judged(batches, answering(final=float(sg_from_plato(3.0)) + 0.001))
    covered = final_coverage(found, Status.COMPLETE)
    assert (covered.inside50, covered.inside90) == (0.0, 1.0)
    rows = errors(found)
    assert [each.count for each in rows] == list(range(2, 2 + len(rows)))
    assert all(each.rmse == pytest.approx(0.001, abs=2e-5) for each in rows)
    assert rows[0].fitted == 0
    assert rows[0].end_median_days == pytest.approx(3.5 - 77 / 24)
    assert rows[2].fitted > 0


def test_finished_is_wrong_of_what_was_stuck_or_falling_and_of_what_had_two_points_to_go(batches):
    wrong = {
        look.batch.name: [too_early(each) for each in looks([look.batch], [SCHEDULES[0]])]
        for look in looks(list(batches.values()), [SCHEDULES[0]])
    }
    assert wrong["tank1"] == [True, True, False, False]
    assert all(wrong["tank2"] + wrong["tank3"] + wrong["tank4"])
    assert wrong["jar2"][0]


def test_a_forecaster_that_always_says_finished_is_wrong_of_every_batch(batches):
    found = judged(batches, answering(unsafe=0.001))
    calls = {each.rule: each for each in false_finished(found)}
    gate = calls["forecast: unsafe < 1 %"]
    assert gate.said == gate.replays == len(batches) * 2
    stuck = [name for name in gate.names if name.startswith("tank3")]
    assert len(stuck) == 2
    assert any(name.startswith("tank3") for name in calls["two equal readings"].names)
    assert calls["... and day >= 14"].said == 0
    assert not any(name.startswith("tank3") for name in calls["... and attenuation >= 72 %"].names)


def test_a_forecaster_that_never_says_finished_is_never_wrong(batches):
    found = judged(batches, answering(unsafe=0.01))
    assert false_finished(found)[0].said == 0


def test_stalled_is_counted_of_complete_batches_alone(batches):
    named = false_stalled(judged(batches, answering(halted=0.6)))
    assert named
    assert all(each.startswith("tank1") for each in named)
    assert not false_stalled(judged(batches, answering(halted=0.5)))


def test_the_report_and_the_figures_say_which_half(batches):
    found = judged(batches, answering())
    assert next(report(found, Half.REPORTING)).startswith("Half for reporting: 8 batches")
    told = list(figures(found, Half.REPORTING))
    assert all("reporting half" in each.baseline for each in told)
    assert "forecast.real_outside_90" in {each.name for each in told}


def test_without_the_folder_the_report_says_so(monkeypatch, capsys):
    monkeypatch.delenv(FOLDER, raising=False)
    assert folder() is None
    assert main(["choosing"]) == 1
    assert FOLDER in capsys.readouterr().out


def test_the_measured_fermentations_can_be_read_and_replayed():
    place = folder()
    if place is None:
        pytest.skip(f"{FOLDER} is not set: no measured fermentations at hand")
    found = read_folder(place)
    assert {each.half for each in found} == set(Half)
    for each in found:
        assert 1.0 < each.last_sg < each.gravity_sg[0] < 1.1
        assert np.all(np.diff(each.day) > 0)
        assert (each.final_sg is None) == (each.status not in {Status.COMPLETE, Status.LEVEL})
        if each.final_sg is not None:
            assert each.finished_day <= each.end_day
            assert 0.55 < (each.gravity_sg[0] - each.final_sg) / (each.gravity_sg[0] - 1.0) < 0.9
        assert sum(1 for _ in looks([each])) >= 2
