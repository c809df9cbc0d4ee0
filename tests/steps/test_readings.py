"""Readings: what they mean and what is odd about them. Every brew here is invented; the odd cases are of the kind that
brewers report, derived from weights and the sugar tables."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import ONE_CAN_MALT, ONE_CAN_SUGAR, TWO_CANS, at, brewed, q, setting, shelf_with
from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.steps import gravity, readings
from gylebook.steps.answers import Urgency
from gylebook.steps.decision import Act

GLASS_15 = ev.InstrumentKept(name="old glass", ref_temp=q("15.56", "°C"))


def mixed(ingredients: tuple[ev.Ingredient, ...], litres: str = "23", stirred: str = "well") -> ev.Mixed:
    return ev.Mixed(ingredients=ingredients, volume=q(litres, "L"), temp=q("20", "°C"), stirred=stirred)


def read(text: str, temp: str | None = "20", **more: str) -> ev.Measured:
    return ev.Measured(gravity=q(text, "SG"), temp=q(temp, "°C") if temp else None, **more)


def write(act: Act, brew, values, hours=0.0, **settings):
    return act.decide(brew, values, at(hours), setting(**settings))


def test_an_unstirred_wort_of_one_can_and_a_kilogram_of_dried_extract_that_reads_1_010_is_unmixed() -> None:
    brew = brewed((1, mixed(ONE_CAN_MALT, stirred="a little")), (2, read("1.010", temp="24", sample_from="top")))
    (found,) = gravity.readings(brew, shelf_with())
    assert found.lightly
    assert found.findings[0].key == "unmixed"
    assert "83 L in the vessel" in found.findings[0].text
    assert "Add nothing" in found.findings[0].text
    answer = readings.answer(brew, setting(), {})
    assert answer.headline == "It is not mixed through, or a mass is not as written. Add nothing."
    assert answer.figure("og").value == pytest.approx(1.0390, abs=0.0005)
    assert "trusted" in answer.figure("og").working.steps[-1]


def test_syrup_drawn_from_the_bottom_tap_is_unmixed_too() -> None:
    brew = brewed((1, mixed(TWO_CANS, stirred="no")), (2, read("1.104", sample_from="tap")))
    assert gravity.readings(brew, shelf_with())[0].findings[0].key == "unmixed"
    assert gravity.original_gravity(brew, shelf_with()).value == pytest.approx(1.0402, abs=0.0005)


def test_one_can_and_a_kilogram_of_sugar_in_23_litres_is_1_040_and_1_050_was_meant_for_us_gallons() -> None:
    brew = brewed((1, mixed(ONE_CAN_SUGAR)), (2, read("1.040")))
    answer = readings.answer(brew, setting(), {"expected": q("1.050", "SG")})
    assert answer.figure("og").value == pytest.approx(1.0398, abs=0.0006)
    finding = next(f for f in answer.findings if f.key == "gallons")
    assert finding.urgency is Urgency.NOTHING
    assert "1.048" in finding.text


def test_an_expectation_that_fits_is_said_to_fit() -> None:
    brew = brewed((1, mixed(ONE_CAN_SUGAR)), (2, read("1.040")))
    answer = readings.answer(brew, setting(), {"expected": q("1.041", "SG")})
    assert [f.key for f in answer.findings] == ["fits"]
    assert answer.urgency is Urgency.NOTHING


@pytest.mark.parametrize(
    ("written", "words"),
    [("-3", "spirit hydrometer"), ("0", "potential-alcohol scale"), ("4.5", "Brix scale"), ("12", "1.048")],
)
def test_a_number_from_another_scale_is_kept_told_and_not_reckoned_with(written: str, words: str) -> None:
    brew = brewed((1, mixed(ONE_CAN_SUGAR)), (3, ev.Pitched()))
    decision = write(readings.READING, brew, {"gravity": q(written, "SG")}, 200)
    (finding,) = decision.findings
    assert finding.key == "wrong_scale"
    assert words in finding.text
    after = brewed((1, mixed(ONE_CAN_SUGAR)), (3, ev.Pitched()), (200, decision.events[0][1]))
    assert gravity.readings(after, shelf_with()) == ()
    assert readings.answer(after, setting(), {}).headline == finding.check


def test_zero_on_the_potential_alcohol_scale_is_called_done_and_not_unfermented() -> None:
    (finding,) = readings.findings_on(brewed(), shelf_with(), at(1), read("0"))
    assert "It does not mean that nothing fermented" in finding.text
    assert finding.urgency is Urgency.WAIT


@pytest.mark.parametrize(
    ("written", "suggestion"), [("1062", "1.062"), ("1012", "1.012"), ("20", "1.020"), ("62", "1.062")]
)
def test_a_gravity_without_its_point_is_asked_about(written: str, suggestion: str) -> None:
    with pytest.raises(InputError) as caught:
        write(readings.READING, brewed(), {"gravity": q(written, "SG")})
    assert caught.value.suggestion == suggestion
    insisted = write(readings.READING, brewed(), {"gravity": q(written, "SG")}, confirmed=frozenset({"gravity"}))
    assert insisted.findings[0].key == "wrong_scale"


def test_a_reading_needs_nothing_but_the_gravity() -> None:
    decision = write(readings.READING, brewed((1, mixed(ONE_CAN_SUGAR))), {"gravity": q("1.040", "SG")})
    assert decision.events[0][1] == ev.Measured(gravity=q("1.040", "SG"))
    with pytest.raises(InputError, match="nothing was written"):
        write(readings.READING, brewed(), {})


def fermented(*more: tuple[float, ev.Event], ingredients: tuple[ev.Ingredient, ...] = TWO_CANS) -> object:
    return brewed((1, mixed(ingredients)), (2, read("1.040")), (3, ev.Pitched(temp=q("20", "°C"))), *more)


def test_a_fizzy_sample_that_went_up_blames_the_bubbles_first() -> None:
    brew = fermented((120, read("1.012", fizz="flat")), (168, read("1.015")))
    last = gravity.readings(brew, shelf_with())[-1]
    assert last.findings[0].key == "bubbles"
    assert last.lightly
    assert last.findings[0].text.index("gas in the sample") < last.findings[0].text.index("another vessel")


def test_a_reading_with_some_gas_in_it_is_not_said_to_need_no_other_look() -> None:
    answer = readings.answer(fermented((96, read("1.020", fizz="some"))), setting(), {})
    assert [finding.key for finding in answer.findings] == ["bubbles"]
    assert answer.headline.endswith("One thing about it is worth knowing.")
    flat = readings.answer(fermented((96, read("1.020", fizz="flat"))), setting(), {})
    assert flat.headline.endswith("Nothing about it needs another look.")


def test_a_jump_of_ten_points_asks_whether_it_was_another_vessel() -> None:
    brew = fermented((120, read("1.012", fizz="flat")), (168, read("1.023", fizz="flat")))
    assert gravity.readings(brew, shelf_with())[-1].findings[0].key == "swapped_vessel"


def test_1_020_after_1_002_asks_about_digits_that_changed_places() -> None:
    brew = fermented((120, read("1.002", fizz="flat")), (168, read("1.020", fizz="flat")), ingredients=ONE_CAN_SUGAR)
    assert gravity.readings(brew, shelf_with())[-1].findings[0].key == "digits"


def test_sugar_added_between_two_readings_explains_a_rise() -> None:
    fed = ev.Added(what="sugar", mass=q("500", "g"), purpose="fermentable", material="sucrose")
    brew = fermented((120, read("1.012", fizz="flat")), (130, fed), (131, read("1.018", fizz="flat")))
    assert gravity.readings(brew, shelf_with())[-1].findings == ()


def test_an_all_malt_beer_at_1_002_is_below_what_is_possible_and_bottles_would_grow() -> None:
    brew = fermented((240, read("1.002", fizz="flat")))
    last = gravity.readings(brew, shelf_with())[-1]
    assert last.findings[0].key == "below_possible"
    assert last.findings[0].urgency is Urgency.ACT
    assert not last.lightly
    assert readings.answer(brew, setting(), {}).headline.startswith("Do not bottle yet")


def test_two_points_below_the_make_up_after_dry_hops_is_their_doing_and_not_told_as_wild_yeast() -> None:
    hopped = ev.Hopped(hop="Sedgeway", mass=q("100", "g"))
    below = read("1.006", fizz="flat")
    assert gravity.readings(fermented((240, below)), shelf_with())[-1].findings != ()
    assert gravity.readings(fermented((150, hopped), (240, below)), shelf_with())[-1].findings == ()


def test_a_reading_above_the_original_gravity_is_doubted() -> None:
    brew = fermented((120, read("1.052", fizz="flat")))
    assert gravity.readings(brew, shelf_with())[-1].findings[0].key == "above_original"


def test_a_sample_without_temperature_takes_the_beers_and_asks_for_it() -> None:
    brew = fermented((60, read("1.020", temp=None, fizz="flat")))
    answer = readings.answer(brew, setting(), {})
    assert answer.missing == "How warm was the sample?"
    assert any("temperature of the sample" in line for line in answer.assumed)


def test_hot_wort_is_not_worth_correcting() -> None:
    brew = brewed((1, mixed(TWO_CANS)), (2, read("1.030", temp="55")))
    (found,) = gravity.readings(brew, shelf_with())
    assert found.lightly
    assert found.findings[0].key == "hot_sample"


# hydrometer_correction, computed from the equilibrium of a floating glass: 1.040 at 25 °C reads 1.25 points low on a
# 20 °C glass; on a 15.56 °C glass 2.0.
@pytest.mark.parametrize(("instrument", "true"), [("", 1.04525), ("old glass", 1.0460)])
def test_1_044_at_25_degrees_means_1_045_on_a_20_degree_glass_and_1_046_on_a_15_degree_one(
    instrument: str, true: float
) -> None:
    brew = brewed((1, ev.Mixed(stirred="well")), (2, read("1.044", temp="25", instrument=instrument)))
    shelf = shelf_with(GLASS_15, ev.InstrumentKept(name="new glass", ref_temp=q("20", "°C")))
    assert gravity.readings(brew, shelf)[0].gravity_sg == pytest.approx(true, abs=0.00015)


def test_a_hydrometer_that_shows_1_002_in_water_is_taken_off() -> None:
    off = ev.InstrumentKept(name="slipped", ref_temp=q("20", "°C"), offset=q("0.002", "SG"))
    brew = brewed((1, ev.Mixed()), (2, read("1.042")))
    assert gravity.readings(brew, shelf_with(off))[0].gravity_sg == pytest.approx(1.040, abs=1e-6)


def test_forced_samples_are_no_readings_of_the_brew() -> None:
    brew = fermented((100, read("1.011", sample_from="forced sample")))
    assert [r.seq for r in gravity.readings(brew, shelf_with())] == [3]


def test_a_plato_reading_counts_as_its_gravity() -> None:
    brew = brewed((1, mixed(TWO_CANS)), (2, ev.Measured(gravity=q("10", "°P"), temp=q("20", "°C"))))
    # NBS C440 Table 114: 10 degrees are 1.04003.
    assert gravity.readings(brew, shelf_with())[0].gravity_sg == pytest.approx(1.04003, abs=2e-5)


def test_a_raw_reading_is_shown_beside_the_true_one() -> None:
    brew = fermented((120, read("1.012", temp="12", fizz="flat")))
    answer = readings.answer(brew, setting(), {})
    assert "Read 1.012 SG at 12 °C on a 20.0 °C glass is 1.0107" in answer.why
    assert answer.figure("sg").low < 1.0107 < answer.figure("sg").high
    assert answer.figure("abv").label == "Strength so far"
    assert 3.5 < answer.figure("abv").value < 4.2


def test_a_strength_above_the_possible_is_not_given() -> None:
    brew = fermented((120, read("1.060", fizz="flat")))
    assert all(f.key != "abv" for f in readings.answer(brew, setting(), {}).figures)


def test_nothing_read_and_nothing_known_asks_for_a_reading() -> None:
    answer = readings.answer(brewed(), setting(), {})
    assert answer.urgency is Urgency.MEASURE
    assert answer.missing == "What went in, and to which mark was it made up?"


def test_a_beer_at_30_degrees_while_fermenting_is_for_today() -> None:
    decision = write(readings.TEMPERATURE, fermented(), {"of": "beer", "temp": q("30", "°C")}, 10)
    assert decision.findings[0].urgency is Urgency.ACT
    quiet = write(readings.TEMPERATURE, fermented(), {"of": "room", "low": q("12", "°C"), "high": q("18", "°C")}, 10)
    assert quiet.findings == ()


def test_a_temperature_entry_without_a_number_or_upside_down_is_refused() -> None:
    with pytest.raises(InputError, match="nothing was written"):
        write(readings.TEMPERATURE, brewed(), {"of": "beer"})
    with pytest.raises(InputError, match="above the highest"):
        write(readings.TEMPERATURE, brewed(), {"low": q("20", "°C"), "high": q("10", "°C")})


def test_a_cold_beer_below_the_leaflet_is_told() -> None:
    kit = ev.Kit(name="invented bitter", ingredients=TWO_CANS, volume=q("23", "L"), temp_from=q("18", "°C"))
    brew = brewed((1, mixed(TWO_CANS)), (3, ev.Pitched()), plan=ev.Planned(name="x", kit=kit))
    decision = write(readings.TEMPERATURE, brew, {"temp": q("13", "°C")}, 10)
    assert decision.findings[0].key == "cold"


@given(st.floats(0.98, 1.16), st.one_of(st.none(), st.floats(-5, 105)), st.sampled_from(["", "flat", "some", "fizzy"]))
def test_no_true_reading_is_ever_refused(value: float, temp: float | None, fizz: str) -> None:
    brew = fermented((90, read("1.020")))
    values = {
        "gravity": q(f"{value:.4f}", "SG"),
        "temp": q(f"{temp:.1f}", "°C") if temp is not None else None,
        "fizz": fizz,
    }
    decision = write(readings.READING, brew, values, 100)
    after = fermented((90, read("1.020")), (100, decision.events[0][1]))
    found = gravity.readings(after, shelf_with())[-1]
    assert found.raw.text == f"{value:.4f}"
    assert 0.9 < found.gravity_sg < 1.3
    readings.answer(after, setting(), {})


@pytest.mark.parametrize("act", [readings.READING, readings.TEMPERATURE])
@given(data=st.data())
def test_any_text_in_a_form_is_read_or_refused_in_words(act: Act, data: st.DataObject) -> None:
    values = {}
    try:
        for field in act.fields:
            text = data.draw(
                st.one_of(st.just(""), st.text(max_size=12), st.sampled_from(["1.012", "-3", "20 °C", "beer"]))
            )
            values[field.name] = field.read(text)
        write(act, fermented(), values, 100)
    except InputError as error:
        assert error.field  # noqa: PT017 - many texts are refused, each naming its field


def test_a_later_reading_that_agrees_with_a_rise_points_at_the_hydrometer() -> None:
    brew = fermented(
        (120, read("1.012", fizz="flat")), (168, read("1.017", fizz="flat")), (190, read("1.017", fizz="flat"))
    )
    assert gravity.readings(brew, shelf_with())[2].findings[0].key == "glass"


def test_a_correction_of_the_sample_temperature_changes_the_pencil() -> None:
    brew = fermented((120, read("1.012", temp="20")))
    warmer = replace(
        brew, kept=tuple(replace(k, event=read("1.012", temp="30")) if k.seq == 5 else k for k in brew.kept)
    )
    assert (
        gravity.readings(warmer, shelf_with())[-1].gravity_sg
        > gravity.readings(brew, shelf_with())[-1].gravity_sg + 0.002
    )
