"""The simulated batches: the same for the same seed, true to their own mass, and as varied as they say."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from forecast.batches import CO2_G_PER_L_PER_POINT, CO2_PER_EXTRACT, DAYS, make

from forecast import batches
from gylebook.errors import InputError
from gylebook.forecast.evidence import Forced, Hops
from gylebook.science.carbonation import co2_from_gravity_drop_g_per_l
from gylebook.science.extract import extract_g_per_l

SENTENCE = r"^[\w, ]+: .+; .+\.$"


@pytest.fixture(scope="module")
def many():
    return make(400, 7)


@pytest.fixture(scope="module")
def hopped():
    return make(40, 7, hops=1.0)


def test_the_same_seed_gives_the_same_batches_and_the_same_readings(many) -> None:
    again = make(400, 7)
    for one, other in zip(many, again, strict=True):
        np.testing.assert_array_equal(one.gravity_sg, other.gravity_sg)
        assert one.evidence([3, 6, 9], 9, 5, forced=True) == other.evidence([3, 6, 9], 9, 5, forced=True)


def test_a_batch_does_not_depend_on_how_many_are_made(many) -> None:
    few = make(6, 7)
    for one, other in zip(few, many, strict=False):
        np.testing.assert_array_equal(one.gravity_sg, other.gravity_sg)
        assert one.known == other.known


def test_another_seed_gives_other_batches(many) -> None:
    assert not {each.og_sg for each in make(20, 8)} & {each.og_sg for each in many}


def test_both_kinds_come_in_turn_and_one_kind_alone_can_be_had(many) -> None:
    assert [each.kind for each in many[:4]] == ["toro", "gee", "toro", "gee"]
    assert {each.kind for each in make(3, 1, "gee")} == {"gee"}
    assert {each.kind for each in make(3, 1, "toro")} == {"toro"}


def test_about_one_batch_in_eight_is_made_to_stop_and_half_of_these_go_on() -> None:
    gee = make(1500, 3, "gee")
    stalled = [each for each in gee if each.stalled]
    assert len(stalled) / len(gee) == pytest.approx(0.12, abs=0.025)
    assert sum(each.sticks for each in stalled) / len(stalled) == pytest.approx(0.5, abs=0.12)
    assert not any(each.sticks for each in gee if not each.stalled)
    reached = [(each.og_sg - each.gravity_sg[-1]) / (each.og_sg - each.final_sg) for each in stalled if each.sticks]
    assert 0.60 <= min(reached) < 0.70
    assert 0.88 < max(reached) <= 0.96


def test_no_batch_is_made_to_stop_where_none_should_and_the_rest_stay_as_they_were() -> None:
    with_stalls, without = make(60, 5), make(60, 5, stalls=0.0)
    assert not any(each.stalled for each in without)
    for one, other in zip(with_stalls, without, strict=True):
        assert one.og_sg == other.og_sg
        if not one.stalled:
            np.testing.assert_array_equal(one.gravity_sg, other.gravity_sg)


def test_some_warm_lager_yeast_stops_by_itself(many) -> None:
    toro = [each for each in many if each.kind == "toro" and not each.stalled]
    own = [each for each in toro if each.sticks]
    assert 0.1 < len(own) / len(toro) < 0.4
    assert np.mean([each.temp_c.mean() for each in own]) > np.mean([each.temp_c.mean() for each in toro]) + 1.0


def test_gravity_falls_from_the_original_towards_the_end_and_not_beyond(many, hopped) -> None:
    for each in [*many, *hopped]:
        assert each.gravity(0.0) == pytest.approx(each.og_sg, abs=1e-12)
        assert np.all(np.diff(each.gravity_sg) <= 1e-12)
        assert each.gravity_sg[-1] >= each.final_sg - 1e-9


def test_gas_at_pitching_is_that_of_all_the_sugar_that_ferments(many) -> None:
    for each in many[:50]:
        plan = batches._plan(np.random.default_rng((each.seed, each.number)), 0.12, 0.0)
        assert each.co2_left_g_per_l(0.0) == pytest.approx(CO2_PER_EXTRACT * plan.sugar_g_per_l, rel=1e-9)
        low, _, high = co2_from_gravity_drop_g_per_l(each.og_sg, each.final_sg)
        assert low * 0.97 <= each.co2_left_g_per_l(0.0) <= high * 1.03


def test_a_point_of_gravity_is_ninety_seven_hundredths_of_a_gram_of_gas() -> None:
    per_point = float(extract_g_per_l(1.0105) - extract_g_per_l(1.0095))
    assert 0.81 * CO2_PER_EXTRACT * per_point == pytest.approx(CO2_G_PER_L_PER_POINT, abs=0.005)


def test_gas_to_come_and_gas_made_add_up_to_the_whole_at_any_time(many) -> None:
    for each in many[:50]:
        made = 970.0 * (each.og_sg - each.gravity(6.3))
        assert made + each.co2_left_g_per_l(6.3) == pytest.approx(each.co2_left_g_per_l(0.0))


def test_a_batch_is_ready_once_two_grams_of_gas_are_left_and_done_within_a_point(many) -> None:
    for each in many:
        if each.sticks:
            assert each.gravity_sg[-1] > each.final_sg + 0.001
        else:
            assert each.gravity(each.done_day) <= each.final_sg + 0.001
            assert each.gravity(each.done_day - 1 / 24) > each.final_sg + 0.001
            assert each.ready(each.done_day)
    assert not many[0].ready(0.0)


def test_hops_lower_the_end_only_after_they_went_in(hopped) -> None:
    plain = make(40, 7)
    for one, other in zip(hopped, plain, strict=True):
        before = int(24 * one.hops.day)
        np.testing.assert_array_equal(one.gravity_sg[:before], other.gravity_sg[:before])
        assert one.unhopped_final_sg == other.final_sg
        assert 0.0002 < one.unhopped_final_sg - one.final_sg < 0.012
        assert one.gravity_sg[-1] < other.gravity_sg[-1]


def test_hop_creep_reaches_its_published_end_in_the_batches() -> None:
    batch = make(300, 2, "gee", stalls=0.0, hops=Hops(3.0, 10.0))
    more = [970.0 * (each.unhopped_final_sg - each.final_sg) for each in batch]
    assert np.median(more) == pytest.approx(9.4, abs=0.6)  # 4.75 volumes for hops like the published ones


def test_a_share_of_batches_is_hopped_and_each_tells_only_what_has_happened() -> None:
    some = make(300, 9, hops=0.3)
    share = sum(each.hops is not None for each in some) / 300
    assert share == pytest.approx(0.3, abs=0.08)
    one = next(each for each in some if each.hops is not None)
    added, out = one.hops.day, one.hops.out_day
    assert one.evidence([], added - 0.1, 1).hops is None
    assert one.evidence([], (added + out) / 2, 1).hops == replace(one.hops, out_day=None)
    assert one.evidence([], out, 1).hops == one.hops


def test_readings_repeat_in_a_later_call_and_two_of_one_day_differ(many) -> None:
    batch = many[0]
    early, late = batch.evidence([4, 6], 6, 11), batch.evidence([4, 6, 8, 8], 8, 11)
    assert late.readings[:3] == early.readings
    assert len(late.readings) == 5
    pairs = [each.evidence([8, 8], 8, 11).readings[1:] for each in many]
    assert sum(one.gravity_sg != other.gravity_sg for one, other in pairs) > len(many) / 2
    assert batch.evidence([4, 6], 6, 12).readings != early.readings


def test_readings_scatter_as_stated_and_share_an_offset(many) -> None:
    wrong, shared = [], []
    for each in many:
        errors = [r.gravity_sg - each.gravity(r.day) for r in each.evidence([5, 7, 9, 11], 11, 1).readings[1:]]
        wrong.append(np.std(errors, ddof=1) ** 2)
        shared.append(each.offset_sg)
        assert all(r.gravity_sg == batches.on_scale(r.gravity_sg) for r in each.evidence([5, 7], 7, 1).readings)
    assert np.sqrt(np.mean(wrong)) == pytest.approx(0.00101, abs=0.00007)
    assert np.std(shared) == pytest.approx(0.0007, abs=0.0001)
    assert abs(np.mean(shared)) < 0.00015


def test_the_wort_is_read_first_and_known_by_weights_besides(many) -> None:
    assert many[0].evidence([5], 6, 1, wort=False).readings[0].day == 5.0
    first = [each.evidence([5], 6, 1).readings[0] for each in many]
    assert all(r.day == 0.0 and r.sd_sg == 0.0015 for r in first)
    read = [r.gravity_sg - each.og_sg for r, each in zip(first, many, strict=True)]
    assert np.std(read) == pytest.approx(0.00166, abs=0.0002)
    assert np.std([each.known.og_sg - each.og_sg for each in many]) == pytest.approx(0.002, abs=0.0003)


def test_every_error_has_draws_of_its_own_even_with_seeds_of_nothing(monkeypatch) -> None:
    drawn, noise = [], batches.Batch._noise

    def seen(self, *place):
        generator = noise(self, *place)
        drawn.append(generator.bit_generator.state["state"]["state"])
        return generator

    monkeypatch.setattr(batches.Batch, "_noise", seen)
    for each in make(3, 0):
        each.evidence([1, 4, 4], 5, 0, forced=True)
        drawn.append(np.random.default_rng((each.seed, each.number)).bit_generator.state["state"]["state"])
    assert len(drawn) == 3 * 6
    assert len(set(drawn)) == len(drawn)


def test_misreadings_are_gross_and_as_many_as_asked_for() -> None:
    right, wrong = make(200, 4), make(200, 4, misread=0.2)
    days = [4, 6, 8, 10, 12]
    off = [
        abs(b.gravity_sg - a.gravity_sg)
        for one, other in zip(right, wrong, strict=True)
        for a, b in zip(one.evidence(days, 12, 1).readings, other.evidence(days, 12, 1).readings, strict=True)
    ]
    gross = [each for each in off if each > 1e-9]
    assert len(gross) / (200 * 5) == pytest.approx(0.2, abs=0.04)
    assert min(gross) >= 0.0035
    assert max(gross) <= 0.0125


def test_one_chosen_reading_can_be_misread(many) -> None:
    plain, wrong = (many[2].evidence([4, 6, 8], 8, 1, misread_day=day).readings for day in (None, 6))
    differ = [a.day for a, b in zip(plain, wrong, strict=True) if a != b]
    assert differ == [6.0]


def test_a_forced_sample_tells_of_the_end_within_its_error(many, hopped) -> None:
    assert many[0].evidence([5], 5, 1).forced is None
    forced = [each.evidence([5], 5, 1, forced=True).forced for each in many]
    assert all(isinstance(each, Forced) and each.sd_sg == 0.0012 for each in forced)
    off = [f.gravity_sg - each.final_sg for f, each in zip(forced, many, strict=True)]
    assert np.std(off) == pytest.approx(np.sqrt(0.0008**2 + 0.001**2 + 0.0007**2), abs=0.0002)
    assert abs(np.mean(off)) < 0.0003
    of_hopped = [each.evidence([5], 5, 1, forced=True).forced.gravity_sg - each.unhopped_final_sg for each in hopped]
    assert abs(np.mean(of_hopped)) < 0.0008


def test_the_log_is_a_mean_a_day_in_half_degrees_and_off_by_what_is_stated(many) -> None:
    bias = []
    for each in many:
        warmth = each.evidence([5], 9.5, 1).warmth
        assert warmth.day == tuple(float(day) for day in range(10))
        assert all(2.0 * temp == round(2.0 * temp) for temp in warmth.temp_c)
        bias.append(np.mean(np.array(warmth.temp_c) - each.temp_c.reshape(DAYS, 24).mean(axis=1)[:10]))
    assert np.std(bias) == pytest.approx(np.sqrt(0.7**2 + 0.5**2 / 10), abs=0.08)


def test_what_the_brewer_knows_can_be_wrong(many) -> None:
    wrong = make(4, 7, wrong_attenuation=-0.04, wrong_og=0.005)
    for one, other in zip(wrong, many, strict=False):
        assert one.known.attenuation == pytest.approx(0.72)
        assert one.known.attenuation_sd == 0.035
        assert one.known.og_sg == pytest.approx(other.known.og_sg + 0.005)
        np.testing.assert_array_equal(one.gravity_sg, other.gravity_sg)


def test_batches_vary_as_widely_as_stated(many) -> None:
    gravities = [each.og_sg for each in many]
    assert 1.035 <= min(gravities) < 1.037
    assert 1.078 < max(gravities) <= 1.080
    attenuation = [(each.og_sg - each.final_sg) / (each.og_sg - 1) for each in many]
    assert np.mean(attenuation) == pytest.approx(0.76, abs=0.006)
    assert np.std(attenuation) == pytest.approx(0.03, abs=0.005)


def test_a_thousand_batches_take_a_few_seconds() -> None:
    start = time.process_time()
    make(1000, 1, hops=0.5)
    assert time.process_time() - start < 8.0


@pytest.mark.parametrize(
    ("refused", "said"),
    [
        (lambda b: make(0, 1), "count"),
        (lambda b: make(1, -1), "seed"),
        (lambda b: make(1, 1, "other"), "kind"),
        (lambda b: make(1, 1, stalls=1.5), "stalls"),
        (lambda b: make(1, 1, misread=-0.1), "misread"),
        (lambda b: make(1, 1, hops=2.0), "hops"),
        (lambda b: make(1, 1, hops=Hops(5.0, 0.0)), "dose_g_per_l"),
        (lambda b: make(1, 1, hops=Hops(5.0, 4.0, 3.0)), "out_day"),
        (lambda b: make(1, 1, wrong_attenuation=0.5), "wrong_attenuation, wrong_og"),
        (lambda b: make(1, 1, wrong_og=float("nan")), "wrong_attenuation, wrong_og"),
        (lambda b: b.gravity(-1.0), "day"),
        (lambda b: b.gravity(float("nan")), "day"),
        (lambda b: b.co2_left_g_per_l(DAYS + 1.0), "day"),
        (lambda b: b.ready(DAYS + 1.0), "day"),
        (lambda b: b.evidence([5.0], 4.0, 1), "days"),
        (lambda b: b.evidence([0.0], 4.0, 1), "days"),
        (lambda b: b.evidence([], DAYS + 1.0, 1), "now_day"),
        (lambda b: b.evidence([], -1.0, 1), "now_day"),
        (lambda b: b.evidence([3.0], 4.0, -1), "seed"),
        (lambda b: b.evidence([3.0], 4.0, 1, misread_day=2.0), "misread_day"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(many, refused, said: str) -> None:
    with pytest.raises(InputError, match=SENTENCE) as caught:
        refused(many[0])
    assert caught.value.field == said
