"""What the forecaster is told of a brew. Every brew here is invented; expected numbers are derived beside them."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest

from brewing import ONE_CAN_MALT, ONE_CAN_SUGAR, TWO_CANS, at, brewed, material, q, shelf_with
from gylebook.forecast.evidence import LIGHT_GROSS, USUAL_GROSS, Known
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps.learned import Taught, Told, learned
from gylebook.steps.outlook_evidence import Told as Evident
from gylebook.steps.outlook_evidence import evidence_of
from gylebook.steps.outlook_facts import gather

DAY = 24.0
FLAT = {"fizz": "flat"}


def read(gravity: str, **more: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), **more)


def begun(
    *later: tuple[float, ev.Event],
    made: tuple[ev.Ingredient, ...] = TWO_CANS,
    litres: str = "23",
    wort: tuple[ev.Measured, ...] = (),
    pitched: ev.Pitched | None = None,
) -> Brew:
    """Mixed at half an hour, pitched at one; later entries by days."""
    mixed = ev.Mixed(ingredients=made, volume=q(litres, "L"), volume_from="jug", temp=q("20", "°C"), stirred="well")
    return brewed(
        (0.5, mixed),
        *((0.7, reading) for reading in wort),
        (1.0, pitched or ev.Pitched(kind="ale")),
        *((1.0 + days * DAY, event) for days, event in later),
    )


def told(brew: Brew, shelf: Shelf | None = None, days: float = 40.0, **more: object) -> Evident:
    shelf = shelf or shelf_with()
    found = evidence_of(brew, shelf, gather(brew, shelf, at(1 + days * DAY)), **more)
    assert found is not None
    return found


# --- readings -----------------------------------------------------------------------------------------------------


def test_before_the_yeast_there_is_nothing_to_forecast() -> None:
    brew = brewed((0.5, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"))))
    assert evidence_of(brew, shelf_with(), gather(brew, shelf_with(), at(100))) is None


def test_a_reading_of_beer_is_told_by_its_day_its_true_gravity_and_its_error() -> None:
    found = told(begun((8, read("1.013", **FLAT))))
    (reading,) = found.evidence.readings
    assert reading.day == pytest.approx(8.0)
    assert reading.gravity_sg == pytest.approx(1.013, abs=0.0004)
    assert 0.0005 <= reading.sd_sg <= 0.0015
    assert (reading.lift_sg, reading.gross, reading.instrument) == (0.0, USUAL_GROSS, 0)
    assert found.seqs == ((4,),)


@pytest.mark.parametrize(("fizz", "lift"), [("flat", 0.0), ("", 0.0004), ("some", 0.001), ("fizzy", 0.002)])
def test_gas_in_a_sample_is_a_lift_of_its_own_and_no_part_of_the_error(fizz: str, lift: float) -> None:
    flat, other = (told(begun((8, read("1.013", fizz=each)))).evidence.readings[0] for each in ("flat", fizz))
    assert other.lift_sg == lift
    assert other.sd_sg == pytest.approx(flat.sd_sg, abs=1e-9)
    assert other.gross == USUAL_GROSS, "fizz is told by its lift; it is no gross error besides"


def test_a_reading_that_contradicts_may_as_well_be_wrong() -> None:
    found = told(begun((6, read("1.014", **FLAT)), (9, read("1.030", **FLAT)))).evidence.readings
    assert [r.gross for r in found] == [USUAL_GROSS, LIGHT_GROSS]


def test_a_reading_of_stirred_wort_is_told_and_one_of_layers_is_left_out_and_said_so() -> None:
    stirred = told(begun(wort=(read("1.040", stirred="well"),)))
    layered = told(begun(wort=(read("1.010", stirred="no"),)))
    assert stirred.evidence.readings[0].day <= 0
    assert stirred.evidence.readings[0].gravity_sg == pytest.approx(1.040, abs=0.0005)
    assert layered.evidence.readings == ()
    assert "does not fit what went in" in layered.notes[0]


def test_what_is_read_after_priming_is_not_told() -> None:
    primed = ev.Primed(sugar="sucrose", mass=q("120", "g"))
    found = told(begun((8, read("1.013")), (10, primed), (20, read("1.009"))))
    assert len(found.evidence.readings) == 1
    assert found.evidence.now_day == pytest.approx(8.0)


def test_each_hydrometer_has_its_number_and_only_a_checked_one_a_known_offset() -> None:
    shelf = shelf_with(
        ev.InstrumentKept(name="long", ref_temp=q("20", "°C"), offset=q("0.002", "SG")),
        ev.InstrumentKept(name="short", ref_temp=q("20", "°C")),
    )
    brew = begun((6, read("1.016", instrument="short", **FLAT)), (9, read("1.014", instrument="long", **FLAT)))
    found = told(brew, shelf).evidence
    assert [r.instrument for r in found.readings] == [0, 1]
    assert found.readings[1].gravity_sg == pytest.approx(1.012, abs=0.0004), "its own error is taken off already"
    assert found.known.offsets == ((1, 0.0, 0.0003),)


def test_hundreds_of_readings_become_about_a_dozen_with_the_last_as_it_is() -> None:
    rows = [(0.5 + number * 0.025, read(f"{1.040 - 0.028 * number / 400:.4f}", **FLAT)) for number in range(400)]
    found = told(begun(*rows))
    numbers = found.evidence.readings
    assert len(numbers) <= 12
    assert found.seqs[-1] == (403,)
    assert numbers[-1].gravity_sg == pytest.approx(1.0121, abs=0.0005)
    assert all(r.sd_sg >= 0.0005 for r in numbers), "many readings of one scale err alike"
    assert numbers[5].sd_sg < numbers[-1].sd_sg
    assert all(one.day < other.day for one, other in pairwise(numbers))
    # the middle of a straight fall lies on it
    assert numbers[5].gravity_sg == pytest.approx(1.040 - 0.028 * (numbers[5].day - 0.5) / 10, abs=0.0005)
    assert any("400 readings were put together to 12" in note for note in found.notes)


def test_among_many_one_that_contradicts_does_not_enter_the_middle() -> None:
    rows = [(6 + number * 0.05, read("1.012" if number != 57 else "1.060", **FLAT)) for number in range(120)]
    found = told(begun(*rows)).evidence.readings
    assert max(r.gravity_sg for r in found) < 1.0135


# --- what is known beforehand -------------------------------------------------------------------------------------


def test_the_original_gravity_is_told_by_weights_alone() -> None:
    plain, with_reading = told(begun()), told(begun(wort=(read("1.041", stirred="well"),)))
    # 3.0 kg of syrup with about 0.80 of extract in 23 L: about 40 points
    assert plain.evidence.known.og_sg == pytest.approx(1.0402, abs=0.0008)
    assert plain.evidence.known == with_reading.evidence.known
    assert 0.001 <= plain.evidence.known.og_sd_sg <= 0.002


def test_where_nothing_is_known_of_the_make_up_everything_is_wide() -> None:
    known = told(brewed((1.0, ev.Pitched()))).evidence.known
    assert (known.og_sg, known.og_sd_sg) == (1.042, 0.006)
    assert known.attenuation_sd >= 0.07


def test_where_a_reading_is_trusted_before_a_leaflets_masses_the_weights_are_told_wide() -> None:
    kit = ev.Kit(name="Invented kit", ingredients=TWO_CANS, volume=q("23", "L"))
    wort = (0.7, read("1.050", stirred="well"))
    mixed = (0.5, ev.Mixed(volume=q("23", "L"), volume_from="guess", stirred="well"))
    brew = brewed(mixed, wort, (1.0, ev.Pitched()), plan=ev.Planned(name="Invented ale", kit=kit))
    found = told(brew).evidence
    assert found.known.og_sd_sg == pytest.approx(0.0098, abs=0.001)
    assert found.readings[0].gravity_sg == pytest.approx(1.050, abs=0.0005)


def test_sugar_raises_the_attenuation_and_lessens_what_is_open() -> None:
    malt, sugar = (told(begun(made=made)).evidence.known for made in (ONE_CAN_MALT, ONE_CAN_SUGAR))
    # by points: malt about 0.71, sugar 1.2; 43 % of the second wort's extract is sugar
    assert malt.attenuation == pytest.approx(0.71, abs=0.025)
    assert sugar.attenuation == pytest.approx(0.57 * 0.71 + 0.43 * 1.2, abs=0.03)
    assert sugar.attenuation_sd < malt.attenuation_sd


def test_the_pitch_follows_the_live_dose() -> None:
    def pitch(**more: object) -> float:
        return told(begun(pitched=ev.Pitched(kind="ale", **more))).evidence.known.pitch

    little, much = pitch(mass=q("5", "g")), pitch(mass=q("15", "g"))
    assert much == pytest.approx(3 * little)
    assert pitch() == Known().pitch
    assert pitch(mass=q("5", "g"), how="rehydrated") == pytest.approx(1.5 * little)
    assert pitch(mass=q("11", "g"), how="liquid") == Known().pitch


def test_other_brews_move_what_is_known_and_are_named() -> None:
    lessons = learned(
        Taught(brew=str(n), ended=at(-1000 + n), yeast="Invented yeast", attenuation=Told(0.04, 0.01)) for n in range(3)
    )
    brew = begun(pitched=ev.Pitched(yeast="Invented yeast"))
    plain, moved = told(brew), told(brew, lessons=lessons)
    assert moved.evidence.known.attenuation > plain.evidence.known.attenuation
    assert moved.evidence.known.attenuation_sd < plain.evidence.known.attenuation_sd
    assert plain.learned == ()
    assert "learned from 3 of your brews" in moved.learned[0]


# --- what was done later ------------------------------------------------------------------------------------------


def test_readings_from_before_water_are_scaled_to_the_volume_after_it() -> None:
    water = (9, ev.ToppedUp(water=q("2", "L")))
    found = told(begun((8, read("1.022", **FLAT)), water, (12, read("1.013", **FLAT)), litres="20"))
    before, after = found.evidence.readings
    assert 1000 * (before.gravity_sg - 1) == pytest.approx(22 * 20 / 22, abs=0.4)
    assert after.gravity_sg == pytest.approx(1.013, abs=0.0004)
    # 3.0 kg in 22 L
    assert found.evidence.known.og_sg == pytest.approx(1 + 0.0402 * 23 / 22, abs=0.001)
    assert any("scaled to the volume after it" in note for note in found.notes)


def test_sugar_after_the_yeast_lifts_the_gravity_and_falls_farther_than_it_lifted() -> None:
    added = ev.Added(what="sugar", mass=q("500", "g"), purpose="fermentable", material="sucrose")
    found = told(begun((8, read("1.012", **FLAT)), (9, added), (14, read("1.011", **FLAT)))).evidence
    (addition,) = found.additions
    assert addition.day == pytest.approx(9.0)
    # 500 g in 23 L are 21.7 g/L, at about 2.59 g/L for a point
    assert addition.lifts_sg == pytest.approx(0.0084, abs=0.0002)
    assert addition.falls_sg == pytest.approx(1.2 * addition.lifts_sg, rel=0.02)
    assert found.known.og_sg == pytest.approx(1.0402, abs=0.0008), "without what was not in yet"


def test_all_dry_hops_are_one_dose_on_the_last_ones_day() -> None:
    hops = [(day, ev.Hopped(hop="Invented hop", mass=q("80", "g"))) for day in (8, 10)]
    found = told(begun((7, read("1.013")), *hops, (13, ev.HopsRemoved())), days=13).evidence
    assert found.hops is not None
    assert found.hops.day == pytest.approx(10.0)
    assert found.hops.out_day == pytest.approx(13.0)
    # 160 g in 23 L less a sample and what they hold
    assert found.hops.dose_g_per_l == pytest.approx(160 / 21.6, abs=0.2)
    assert found.now_day == pytest.approx(10.0), "the last thing that the question was opened by"


def test_a_forced_sample_is_told_until_new_food_goes_in() -> None:
    forced = read("1.016", sample_from="forced sample", **FLAT)
    rows = ((9, read("1.0165", **FLAT)), (13, forced))
    found = told(begun(*rows)).evidence.forced
    assert found is not None
    assert found.gravity_sg == pytest.approx(1.016, abs=0.0005)
    assert found.sd_sg >= 0.001
    hop = (14, ev.Hopped(hop="Invented hop", mass=q("80", "g")))
    assert told(begun(*rows, hop)).evidence.forced is None


def test_the_temperature_is_told_as_steps_from_pitching_on() -> None:
    cold = (4, ev.TempSeen(of="beer", temp=q("14", "°C")))
    warmth = told(begun(cold, (6, read("1.020")))).evidence.warmth
    assert warmth.day[0] == 0.0
    assert warmth.works_c == 20.0
    steps = dict(zip((round(day, 3) for day in warmth.day), warmth.temp_c, strict=True))
    assert steps[4.0] == 14.0
    assert told(begun(pitched=ev.Pitched(kind="lager"))).evidence.warmth.works_c == 13.0


def test_a_sensors_temperatures_become_half_day_means() -> None:
    rows = [
        (0.2 + number * 0.02, ev.TempSeen(of="beer", temp=q("18" if number % 2 else "20", "°C")))
        for number in range(500)
    ]
    warmth = told(begun(*rows, (11, read("1.013")))).evidence.warmth
    assert len(warmth.day) <= 62
    assert warmth.temp_c[5] == pytest.approx(19.0, abs=0.2)
    assert all(one < other for one, other in pairwise(warmth.day))


# --- the moment ---------------------------------------------------------------------------------------------------


def test_with_readings_the_evidence_does_not_depend_on_the_hour() -> None:
    brew = begun((8, read("1.013")))
    assert told(brew, days=9).evidence == told(brew, days=30).evidence


def test_without_readings_it_speaks_of_the_hour() -> None:
    brew = begun()
    assert told(brew, days=3).evidence == told(brew, days=3.01).evidence
    assert told(brew, days=3).evidence.now_day == pytest.approx(3.0, abs=1 / 24)
    assert told(brew, days=5).seen_at - told(brew, days=3).seen_at == timedelta(days=2)


def test_evidence_can_be_a_key() -> None:
    assert len({told(begun((8, read("1.013")))).evidence, told(begun((8, read("1.013")))).evidence}) == 1


def test_a_stout_of_strong_wort_is_told_by_its_weights() -> None:
    known = told(begun(made=(material("liquid_malt_extract", "4.75"),))).evidence.known
    assert known.og_sg == pytest.approx(1.0635, abs=0.0015)


def test_two_temperatures_of_one_moment_count_as_the_later_one() -> None:
    both = [(4, ev.TempSeen(of="beer", temp=q(temp, "°C"))) for temp in ("14", "18")]
    warmth = told(begun(*both, (6, read("1.020")))).evidence.warmth
    assert all(one < other for one, other in pairwise(warmth.day))
    assert dict(zip(warmth.day, warmth.temp_c, strict=True))[4.0] == 18.0


def test_a_date_decades_out_is_cut_short() -> None:
    found = told(begun((20000, read("1.010"))), days=20001).evidence
    assert found.readings[0].day == found.now_day == 900.0
