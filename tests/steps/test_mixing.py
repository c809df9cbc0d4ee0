"""Mixing: volume, temperature and gravity at once. Kits are invented; weights and volumes are of the usual size, and what
follows from them is derived by mass and heat balance."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import ONE_CAN_SUGAR, PREMIUM, TWO_CANS, at, brewed, q, setting
from gylebook.errors import InputError, Refused
from gylebook.journal import events as ev
from gylebook.steps import mixing
from gylebook.steps.answers import Urgency
from gylebook.steps.decision import Act
from gylebook.steps.mixing_acts import MIX, TOP_UP


def kit(ingredients: tuple[ev.Ingredient, ...] = TWO_CANS, volume: str = "23", unit: str = "L", **more) -> ev.Kit:
    return ev.Kit(name="invented kit", ingredients=ingredients, volume=q(volume, unit), **more)


def planned(*written, **of_kit):
    return brewed(*written, plan=ev.Planned(name="x", kit=kit(**of_kit)))


def keys(answer) -> list[str]:
    return [finding.key for finding in answer.findings]


# 3 kg of syrup at 40 °C, 3.5 L of boiling water and the rest from the tap: 23.8, 26.9, 31.4 and 34.5 °C by heat balance
# (the usual way of leaflets); a brewer who asks for 20 °C is told how much boiling water instead.
def test_the_boiling_water_is_chosen_so_that_it_lands_at_pitching_temperature() -> None:
    answer = mixing.answer(planned(), setting(), {})
    assert answer.headline == "Use 1.9 L of boiling water, then tap water up to the 23.0 L mark: it lands at 20 °C."
    assert answer.figure("temp").value == pytest.approx(20.0, abs=0.01)
    assert answer.figure("boiling").value + answer.figure("tap").value == pytest.approx(answer.figure("water").value)
    assert answer.missing == "How cold is the tap water?"
    assert "make_up_to" in keys(answer)


def test_with_a_summer_tap_it_says_what_would_cool_it() -> None:
    answer = mixing.answer(planned(), setting(), {"tap_temp": q("22", "°C")})
    assert answer.urgency is Urgency.ACT
    assert answer.headline.startswith("Even with only 1.5 L of boiling water")
    finding = answer.findings[0]
    assert finding.key == "too_warm"
    assert "kg of ice made of drinking water" in finding.text
    assert "wait with the yeast" in finding.text


def test_chilled_water_and_ice_at_hand_are_used_before_anything_is_called_too_warm() -> None:
    asked = {"tap_temp": q("22", "°C"), "chilled": q("9", "L"), "ice": q("1", "kg")}
    answer = mixing.answer(planned(), setting(), asked)
    assert answer.figure("chilled").value > 5
    assert answer.figure("temp").value == pytest.approx(20.0, abs=0.05)
    assert "too_warm" not in keys(answer)


def test_a_kettle_too_small_for_a_cold_tap_is_told() -> None:
    asked = {"tap_temp": q("3", "°C"), "most_boiling": q("1", "L"), "extract_temp": q("10", "°C")}
    answer = mixing.answer(planned(), setting(), asked)
    assert keys(answer)[0] == "too_cold"


def test_within_a_degree_of_the_target_counts_as_reached() -> None:
    answer = mixing.answer(planned(), setting(), {"volume": q("18", "L")})
    assert "too_warm" not in keys(answer)


def test_it_tells_what_the_hydrometer_will_show_at_the_worts_own_temperature() -> None:
    # hydrometer_equilibrium: a 20 °C glass in 1.040 wort reads 2.7 points low at 30 °C.
    answer = mixing.answer(planned(), setting(), {"tap_temp": q("25", "°C"), "least_boiling": q("1.5", "L")})
    landed = answer.figure("temp").value
    assert 28.5 < landed < 31
    assert answer.figure("og").value - answer.figure("reading").value == pytest.approx(0.0027, abs=0.0003)


def test_25_litres_instead_of_23_wants_about_220_grams_of_dried_extract_or_nothing() -> None:
    answer = mixing.answer(
        planned((1, ev.Mixed(volume=q("25", "L"), temp=q("20", "°C"), stirred="well"))), setting(hours=2), {}
    )
    finding = next(f for f in answer.findings if f.key == "too_much_water")
    assert "1.0370 instead of 1.0402" in finding.text
    assert "8 % less" in finding.text
    restore = next(o for o in answer.options if o.name.startswith("Restore"))
    grams = restore.figures[0]
    # 22.8 g/L of extract short by 2.9 points over 25 L at 96.5 % solids: 225 g give or take the mark.
    assert grams.low < 225 < grams.high
    assert [o.chosen for o in answer.options] == [False, True]


def test_once_fermentation_took_its_share_too_much_water_is_left_alone() -> None:
    mixed = ev.Mixed(volume=q("25", "L"), temp=q("20", "°C"), stirred="well")
    read = ev.Measured(gravity=q("1.020", "SG"), temp=q("20", "°C"), fizz="flat")
    answer = mixing.answer(planned((1, mixed), (2, ev.Pitched()), (60, read)), setting(hours=61), {})
    assert "leave it" in next(f for f in answer.findings if f.key == "too_much_water").text
    assert [(o.name, o.chosen) for o in answer.options] == [("Leave it", True)]
    assert answer.headline == "A little too much water went in, and it is too far on to mend: leave it."


def test_once_the_yeast_is_in_nobody_is_told_to_pitch_or_to_stir_air_in() -> None:
    mixed = ev.Mixed(volume=q("23", "L"), temp=q("20", "°C"), stirred="well")
    before = mixing.answer(planned((1, mixed)), setting(), {})
    assert before.headline.endswith("Cool it to the yeast's temperature and pitch.")
    assert "splashing" in " ".join(before.cautions)
    after = mixing.answer(planned((1, mixed), (2, ev.Pitched())), setting(hours=3), {})
    assert after.headline.endswith("The yeast is in: nothing to do here.")
    assert after.cautions == ()


def test_a_short_brew_is_stronger_and_keeps_the_yeast_of_the_full_volume() -> None:
    answer = mixing.answer(planned(), setting(), {"volume": q("18", "L")})
    text = next(f for f in answer.findings if f.key == "short").text
    assert "1.0513 instead of 1.0402" in text
    assert "28 % more" in text
    assert "yeast of the full volume" in text


def test_what_was_bought_for_five_us_gallons_is_scaled_to_the_four_in_the_bucket() -> None:
    made = ev.Mixed(volume=q("4", "US gal"), temp=q("20", "°C"), stirred="well")
    answer = mixing.answer(planned((1, made), volume="5", unit="US gal"), setting(), {})
    assert "0.80 of what 18.9 L would get" in next(f for f in answer.findings if f.key == "scale").text


def test_hot_wort_waits_for_its_yeast() -> None:
    answer = mixing.answer(
        planned((1, ev.Mixed(volume=q("23", "L"), temp=q("30", "°C"), stirred="well"))), setting(), {}
    )
    assert answer.urgency is Urgency.ACT
    assert answer.headline == "Cool it before the yeast goes in."


def test_an_unstirred_wort_is_not_worth_reading() -> None:
    answer = mixing.answer(planned((1, ev.Mixed(volume=q("23", "L"), temp=q("20", "°C"), stirred="no"))), setting(), {})
    assert keys(answer)[0] == "stir"


def test_a_bucket_too_full_for_its_foam_is_told() -> None:
    vessel = ev.VesselKept(name="tall bin", capacity=q("25", "L"))
    brew = brewed(plan=ev.Planned(name="x", kit=kit(), vessel="tall bin"))
    assert "headspace" in keys(mixing.answer(brew, setting(vessel), {}))
    small = ev.VesselKept(name="tall bin", capacity=q("20", "L"))
    assert keys(mixing.answer(brew, setting(small), {}))[0] == "overfull"


def test_without_ingredients_the_one_question_is_what_goes_in() -> None:
    answer = mixing.answer(brewed(), setting(), {})
    assert answer.missing == "What goes in, and how much of it?"
    assert answer.urgency is Urgency.MEASURE


def test_more_extract_than_fits_is_an_error_that_names_the_volume() -> None:
    with pytest.raises(InputError, match="Make up to"):
        mixing.answer(planned(ingredients=PREMIUM), setting(), {"volume": q("3", "L")})


def test_boiling_water_lifting_and_glass_are_cautioned_about() -> None:
    said = " ".join(mixing.answer(planned(), setting(), {}).cautions)
    assert "Boiling water" in said
    assert "lift it with two" in said
    assert "never into glass" in said


# --- writing it down ------------------------------------------------------------------------------------------


def write(act: Act, brew, values, hours=1.0):
    return act.decide(brew, values, at(hours), setting())


def test_mixing_is_written_with_what_went_in() -> None:
    decision = write(
        MIX,
        planned(),
        {"ingredients": "1.7 kg liquid malt extract\n1 kg sugar", "volume": q("23", "L"), "stirred": "well"},
    )
    event = decision.events[0][1]
    assert isinstance(event, ev.Mixed)
    assert [i.material for i in event.ingredients] == [i.material for i in ONE_CAN_SUGAR]
    assert decision.findings == ()


def test_mixing_needs_nothing_but_the_moment() -> None:
    assert write(MIX, planned(), {}).events[0][1] == ev.Mixed()


def test_a_second_mixing_is_refused_and_names_the_first() -> None:
    with pytest.raises(Refused, match="Entry 2 already says how it was mixed"):
        write(MIX, planned((1, ev.Mixed())), {}, 2)


def test_writing_too_much_water_tells_at_once_what_would_mend_it() -> None:
    decision = write(MIX, planned(), {"volume": q("25", "L"), "temp": q("20", "°C"), "stirred": "well"})
    assert [f.key for f in decision.findings] == ["too_much_water", "scale"]


def test_topping_up_tells_the_new_gravity() -> None:
    brew = planned((1, ev.Mixed(volume=q("20", "L"), stirred="well")))
    decision = write(TOP_UP, brew, {"water": q("3", "L")}, 2)
    assert decision.findings[0].text == "That makes 23.0 L at 1.0402."
    marked = write(TOP_UP, brew, {"new_volume": q("22", "L")}, 2)
    assert marked.findings[0].text.startswith("That makes 22.0 L")


def test_topping_up_after_the_yeast_warns_of_air() -> None:
    brew = planned((1, ev.Mixed(volume=q("20", "L"))), (2, ev.Pitched()))
    assert write(TOP_UP, brew, {"water": q("1", "L")}, 30).findings[0].key == "air"


def test_topping_up_without_a_number_or_after_bottling_is_refused() -> None:
    with pytest.raises(InputError, match="Water added"):
        write(TOP_UP, planned(), {})
    lots = (ev.BottleLot(bottle="brown", count=40, size=q("500", "mL")),)
    with pytest.raises(Refused, match="in bottles already"):
        write(TOP_UP, planned((1, ev.Bottled(lots=lots))), {"water": q("1", "L")}, 2)


@given(volume=st.floats(1.0, 200.0), tap=st.floats(0.0, 40.0), target=st.floats(5.0, 40.0), chilled=st.floats(0, 30),
       ice=st.floats(0, 10))  # fmt: skip
def test_whatever_is_asked_water_and_volume_balance(
    volume: float, tap: float, target: float, chilled: float, ice: float
) -> None:
    asked = {"volume": q(f"{volume:.2f}", "L"), "tap_temp": q(f"{tap:.1f}", "°C"), "target": q(f"{target:.1f}", "°C"),
             "chilled": q(f"{chilled:.1f}", "L"), "ice": q(f"{ice:.1f}", "kg")}  # fmt: skip
    try:
        answer = mixing.answer(planned(), setting(), asked)
    except InputError as error:
        assert volume < 12, error  # noqa: PT017 - only a volume too small for three kilograms may be refused
        return
    shown = {f.key: f.value for f in answer.figures}
    parts = sum(shown.get(key, 0.0) for key in ("boiling", "tap", "chilled", "ice"))
    assert parts == pytest.approx(shown["water"], abs=0.15)
    assert 0 <= shown["temp"] <= 100


@pytest.mark.parametrize("act", [MIX, TOP_UP])
@given(data=st.data())
def test_any_text_in_a_form_is_read_or_refused_in_words(act: Act, data: st.DataObject) -> None:
    texts = st.one_of(
        st.just(""), st.text(max_size=14), st.sampled_from(["23 L", "1 kg sugar", "20 °C", "well", "5 gal"])
    )
    try:
        values = {field.name: field.read(data.draw(texts)) for field in act.fields}
        write(act, planned(), values)
    except InputError as error:
        assert error.field  # noqa: PT017 - many texts are refused, each naming its field
