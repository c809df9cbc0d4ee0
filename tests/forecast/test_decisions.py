"""Who bottles when: the walk through a batch's looks, the table, and stated against observed danger."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import SimpleNamespace

import pytest
from forecast.customary import RULES
from forecast.decisions import (
    GATE,
    GATE_FORCED,
    LAST_DAY,
    LIMITED_BINS,
    LOOK_DAYS,
    Bin,
    Outcome,
    decide,
    decide_by_forecast,
    figures,
    heading,
    main,
    outcomes,
    report,
    shares,
    stated_against_observed,
    table,
)

from gylebook.forecast.evidence import Evidence, Forced, Reading


@dataclass
class Falling:
    """A batch that falls straight to 1.010 on `end_day`, read without error."""

    end_day: float
    asked: list = field(default_factory=list)

    def gravity(self, day):
        return 1.010 + 0.040 * max(0.0, 1.0 - day / self.end_day)

    def evidence(self, days, now_day, seed, *, forced=False):
        self.asked.append((days, now_day, forced))
        readings = [Reading(0.0, 1.050, 0.001)] + [Reading(day, self.gravity(day), 0.001) for day in days]
        return Evidence(tuple(readings), now_day, forced=Forced(1.010) if forced else None)

    def co2_left_g_per_l(self, day):
        return 970.0 * (self.gravity(day) - 1.010)

    def ready(self, day):
        return self.co2_left_g_per_l(day) <= 2.0


def telling(chance):
    """A forecaster that states a chance of danger by the evidence."""
    return lambda evidence: SimpleNamespace(unsafe=chance(evidence))


def test_a_rule_bottles_at_the_first_look_that_pleases_it():
    found = decide(Falling(7.0), RULES["two equal readings"], "two equal readings")
    assert found == Outcome("two equal readings", 10.0, 4, 0.0, True)


def test_a_rule_that_is_never_pleased_holds_the_batch_to_the_last_day():
    found = decide(Falling(40.0), RULES["two equal readings"], "two equal readings")
    assert found.day is None
    assert found.readings == len(LOOK_DAYS) == 9
    assert found.co2_left_g_per_l == pytest.approx(38.8 * (1 - LAST_DAY / 40.0))
    assert not found.ready_at_last


def test_each_look_knows_only_the_readings_so_far():
    batch = Falling(9.0)
    decide_by_forecast(batch, telling(lambda evidence: 0.5), forced=False)
    assert [each[0] for each in batch.asked] == [LOOK_DAYS[:count] for count in range(1, 10)]
    assert [each[1] for each in batch.asked] == list(LOOK_DAYS)


def test_a_forced_sample_is_known_from_day_five_on():
    batch = Falling(9.0)
    decide_by_forecast(batch, telling(lambda evidence: 0.5), forced=True)
    assert [forced for _, _, forced in batch.asked] == [day >= 5.0 for day in LOOK_DAYS]


def test_the_gate_opens_below_one_percent_and_not_at_it():
    just = decide_by_forecast(Falling(7.0), telling(lambda evidence: 0.01), forced=False)
    below = decide_by_forecast(Falling(7.0), telling(lambda evidence: 0.0099), forced=False)
    assert just.day is None
    assert below.day == 4.0
    assert below.stated == ((0.0099, True),)


def test_what_was_stated_stands_beside_what_was_so_until_the_gate_opened():
    found = decide_by_forecast(Falling(7.0), telling(lambda e: 0.3 if e.now_day < 8 else 0.001), forced=False)
    assert found.stated == ((0.3, True), (0.3, True), (0.001, False))
    assert found.day == 8.0


def test_every_batch_is_judged_by_every_rule():
    found = outcomes([Falling(7.0), Falling(12.0)], telling(lambda evidence: 0.5))
    assert [each.rule for each in found] == [*RULES, GATE, GATE_FORCED] * 2


def invented():
    return [
        Outcome("rule", 8.0, 3, 0.5, True),
        Outcome("rule", 10.0, 4, 2.5, False),
        Outcome("rule", 12.0, 5, 6.0, False),
        Outcome("rule", None, 9, 0.2, True),
        Outcome("rule", None, 9, 8.0, False),
    ]


def test_the_table_counts_the_bottled_the_unsafe_and_the_held():
    (row,) = table(invented())
    assert (row.batches, row.bottled, row.mean_day, row.readings) == (5, 3, 10.0, 6.0)
    assert (row.unsafe, row.worse, row.worst_g_per_l) == (2, 1, 6.0)
    assert row.unsafe_share == pytest.approx(2 / 3)
    assert (row.held_ready, row.ready, row.held_share) == (1, 2, 0.5)


def test_a_rule_that_bottles_nothing_has_a_row_too():
    (row,) = table([Outcome("rule", None, 9, 8.0, False)])
    assert (row.bottled, row.unsafe_share, row.held_share) == (0, 0.0, 0.0)


def test_stated_danger_is_set_against_what_was_observed_in_classes():
    stated = ((0.6, True), (0.3, True), (0.3, False), (0.01, False), (0.009, True), (0.001, False), (1.0, True))
    bins = stated_against_observed([Outcome(GATE, None, 9, 0.0, False, stated)], GATE)
    assert [(each.low, each.looks) for each in bins] == [(0.0, 2), (0.01, 1), (0.05, 0), (0.2, 2), (0.5, 2)]
    assert bins[0].observed == pytest.approx(0.5)
    assert bins[0].factor == pytest.approx(100.0)
    assert bins[3].factor == pytest.approx(0.5 / 0.3)
    assert bins[4].stated == pytest.approx(0.8)


def test_the_report_and_the_figures_tell_both_gates():
    found = outcomes([Falling(7.0), Falling(12.0)], telling(lambda e: 0.3 if e.now_day < 8 else 0.001))
    lines = list(report(found))
    assert sum(line.startswith((GATE, GATE_FORCED)) for line in lines) == 2
    told = {each.name: each for each in figures(found)}
    # The slow one is bottled on day 8 with 13 g/L to come: one in two.
    assert told["forecast.gate_unsafe"].value == pytest.approx(50.0)
    assert not told["forecast.gate_unsafe"].ok
    assert '"name": "forecast.gate_unsafe"' in told["forecast.gate_unsafe"].line()


def test_parts_add_up_and_depend_on_the_seed_alone():
    parts = shares("both", 120, 4, stalls=0.1, misread=0.0, size=50)
    assert [each.count for each in parts] == [50, 50, 20]
    assert [each.seed for each in parts] == [4000, 4001, 4002]


def test_who_asks_late_reads_as_early():
    batch = Falling(9.0)
    decide_by_forecast(batch, telling(lambda evidence: 0.5), forced=False, from_day=7.5)
    assert [now for _, now, _ in batch.asked] == [day for day in LOOK_DAYS if day >= 7.5]
    assert batch.asked[0][0] == (4.0, 6.0, 8.0)


def test_how_far_stated_and_observed_lie_apart_is_told_either_way():
    assert Bin(0.05, 0.20, 100, 0.10, 0.20).apart == pytest.approx(2.0)
    assert Bin(0.05, 0.20, 100, 0.10, 0.05).apart == pytest.approx(2.0)


def test_danger_that_was_never_observed_counts_as_half_a_look():
    assert Bin(0.01, 0.05, 10, 0.02, 0.0).apart == pytest.approx(2.5)
    assert Bin(0.01, 0.05, 1000, 0.02, 0.0).apart == pytest.approx(40.0)


def test_a_mix_that_is_only_shown_has_figures_of_its_own_without_limits():
    found = outcomes([Falling(7.0), Falling(12.0)], telling(lambda e: 0.3 if e.now_day < 8 else 0.001))
    limited, shown = list(figures(found)), list(figures(found, "other_", limited=False))
    assert [each.name.replace("other_", "") for each in shown] == [each.name for each in limited]
    assert all(each.limit is None for each in shown)
    with_limit = {each.name for each in limited if each.limit is not None}
    held_to = {"forecast.gate_unsafe", "forecast.gate_held", "forecast.gate_forced_unsafe"}
    assert held_to <= with_limit
    assert with_limit - held_to <= {
        f"forecast.{gate}_stated_{100 * low:.0f}_{100 * high:.0f}_factor"
        for gate in ("gate", "gate_forced")
        for low, high in LIMITED_BINS
    }


def test_the_heading_tells_which_mix_it_is():
    found = outcomes([Falling(7.0), Falling(400.0)], telling(lambda evidence: 0.5))
    plain, mixed = (heading(found, "both", 3, stalls=0.12, own_stops=each) for each in (False, True))
    assert plain.startswith("2 oracle batches (both), seed 3: 12% made to stall, no others stop; 50.0% are not ready")
    assert "own stops on top" in mixed


def test_the_table_is_printed_by_command(capsys):
    assert main(["--count", "2", "--seed", "3", "--kind", "gee", "--stalls", "0"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("2 oracle batches (gee), seed 3: 0% made to stall, no others stop")
    assert any('"forecast.gate_unsafe"' in line for line in lines)
