"""The sums without a brew: each runs on its example and on nothing but its defaults, tells its working, and catches
numbers that go round and break what is physically possible. Expected numbers say where they come from."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finished import asked, keys
from gylebook import sources
from gylebook.errors import GylebookError, InputError, OutOfRange
from gylebook.outputs.measures import Measures
from gylebook.steps.answers import Answer, Figure, Urgency
from gylebook.steps.sums import SUMS

WORDS = {
    "gravity",
    "reading",
    "strength",
    "original_gravity",
    "dilution",
    "boiling_water",
    "cooling",
    "yeast_dose",
    "hop_dose",
    "bitterness",
    "colour",
    "residual_co2",
    "priming",
    "pressure",
    "bottles",
    "bottle_choice",
    "co2_in_room",
    "sanitiser",
    "units",
    "forecast",
}


def reckon(word: str, **texts: str) -> Answer:
    one = SUMS[word]
    return one.reckon(asked(one.fields, **texts))


def figures(answer: Answer) -> list[Figure]:
    found = [f for f in answer.figures if isinstance(f, Figure)]
    return found + [f for option in answer.options for f in option.figures]


def value(word: str, key: str, **texts: str) -> float:
    return reckon(word, **texts).figure(key).value


# --- all of them --------------------------------------------------------------------------------------------------


def test_every_sum_that_was_asked_for_is_there() -> None:
    assert set(SUMS) == WORDS


@pytest.mark.parametrize("word", sorted(WORDS))
def test_a_sum_runs_on_its_example_and_tells_its_working(word: str) -> None:
    answer = reckon(word, **SUMS[word].example)
    assert answer.headline.endswith((".", "!"))
    assert answer.figures
    for figure in figures(answer):
        assert math.isfinite(figure.value), figure.key
        assert figure.low <= figure.value <= figure.high, figure.key
        assert figure.working.relation
        assert figure.working.sources, figure.key
        for key in figure.working.sources:
            assert sources.get(key)


@pytest.mark.parametrize("word", sorted(WORDS - {"dilution", "bitterness"}))
def test_a_sum_asks_only_for_what_it_cannot_do_without(word: str) -> None:
    required = {field.name for field in SUMS[word].fields if field.required}
    assert reckon(word, **{name: text for name, text in SUMS[word].example.items() if name in required}).headline


@pytest.mark.parametrize(
    ("word", "texts"), [("dilution", {"gravity": "1.040", "volume": "20 L"}), ("bitterness", {"volume": "20 L"})]
)
def test_a_sum_that_wants_one_of_two_things_says_which(word: str, texts: dict[str, str]) -> None:
    with pytest.raises(InputError, match=r"neither .* (nor|or) "):
        reckon(word, **texts)


@pytest.mark.parametrize("word", sorted(WORDS))
def test_every_default_of_a_sum_has_its_reason_and_is_told_when_it_is_used(word: str) -> None:
    for field in SUMS[word].fields:
        if field.default:
            assert field.reason
            assert field.read(field.default) is not None
    required = {f.name for f in SUMS[word].fields if f.required}
    texts = {n: t for n, t in SUMS[word].example.items() if n in required or word in {"dilution", "bitterness"}}
    answer = reckon(word, **texts)
    defaults = [f for f in SUMS[word].fields if f.default and f.name not in texts]
    assert len(answer.assumed) == len(defaults)


@pytest.mark.parametrize("word", sorted(WORDS))
def test_no_sum_says_safe(word: str) -> None:
    answer = reckon(word, **SUMS[word].example)
    words = [answer.headline, answer.why, *answer.cautions, *(o.words for o in answer.options)]
    assert "safe" not in " ".join(words).lower()


@settings(max_examples=300)
@given(data=st.data())
def test_random_words_are_reckoned_or_refused_and_never_break(data: st.DataObject) -> None:
    one = SUMS[data.draw(st.sampled_from(sorted(WORDS)))]
    plausible = [
        "0",
        "1",
        "5 L",
        "1.050",
        "12 °P",
        "20 °C",
        "200 g",
        "3 vol",
        "7 d",
        "-5",
        "yes",
        "sucrose",
        "1e9",
        "50 %",
    ]
    values: dict[str, Any] = {}
    try:
        for field in one.fields:
            text = data.draw(st.one_of(st.just(""), st.sampled_from(plausible), st.text(max_size=8)))
            if text.strip() or field.required:
                values[field.name] = field.read(text)
        answer = one.reckon(values)
    except GylebookError:
        return
    assert answer.headline


# --- gravity ------------------------------------------------------------------------------------------------------


def test_ten_per_cent_of_sugar_are_104003_and_back() -> None:
    # NBS Circular C440, Table 114: 10 °Bx is 1.04003
    assert value("gravity", "sg", gravity="10 °P") == pytest.approx(1.04003, abs=2e-5)
    assert value("gravity", "plato", gravity="1.0400") == pytest.approx(9.99, abs=0.01)


def test_a_reading_at_twenty_five_degrees_is_corrected_by_its_glass() -> None:
    # hydrometer equilibrium with sucrose and glass expansion: +1.25 points at 1.040, +2.0 with a 15.56 °C glass
    assert value("reading", "correction", reading="1.044", temp="25 °C") == pytest.approx(1.28, abs=0.05)
    assert value("reading", "correction", reading="1.044", temp="25 °C", scale="60 F") == pytest.approx(2.03, abs=0.06)


def test_a_zero_offset_is_taken_off() -> None:
    assert value("reading", "sg", reading="1.012", offset="0.002") == pytest.approx(1.010, abs=1e-4)


def test_fermented_beer_expands_more_than_wort() -> None:
    wort = value("reading", "sg", reading="1.010", temp="30 °C")
    beer = value("reading", "sg", reading="1.010", temp="30 °C", original="1.048")
    assert 0 < beer - wort < 0.0004


def test_a_hot_sample_is_told_to_be_cooled() -> None:
    assert "too_hot" in keys(reckon("reading", reading="1.040", temp="50 °C"))
    with pytest.raises(OutOfRange, match="cool it to 40"):
        reckon("reading", reading="1.010", temp="50 °C", original="1.045")


def test_a_spirit_hydrometer_is_told() -> None:
    assert "wrong_scale" in keys(reckon("reading", reading="0.985"))


def test_a_can_and_a_kilogram_of_sugar_in_23_litres_are_about_10395() -> None:
    # mass balance with 80 % solids and the sucrose table
    answer = reckon("original_gravity", ingredients="1.7 kg liquid malt extract\n1 kg table sugar", volume="23 L")
    assert answer.figure("og").value == pytest.approx(1.0395, abs=0.0003)
    assert answer.figure("og").high - answer.figure("og").low > 0.001


def test_two_litres_too_much_water_and_what_restores_it() -> None:
    answer = reckon("dilution", gravity="1.0400", volume="23 L", water="2 L")
    assert answer.figure("diluted").value == pytest.approx(1.0368, abs=1e-4)
    assert answer.figure("restore").value == pytest.approx(230, abs=5)


def test_a_gravity_is_reached_with_water_or_with_extract() -> None:
    assert value("dilution", "top_up", gravity="1.050", volume="20 L", target="1.040") == pytest.approx(5.0, abs=0.1)
    assert value("dilution", "add", gravity="1.036", volume="23 L", target="1.040") == pytest.approx(255, abs=15)


# --- strength -----------------------------------------------------------------------------------------------------


def test_strength_by_closure_rule_and_duty() -> None:
    # Notice 226's printed example: 1057 to 1018 is 39 × 0.130 = 5.07
    answer = reckon("strength", original="1.057", final="1.018")
    assert answer.figure("duty").value == pytest.approx(5.07)
    assert answer.figure("customary").value == pytest.approx(131.25 * 0.039)
    assert answer.figure("abv").low < 5.07 < answer.figure("abv").high


def test_half_a_litre_at_four_and_a_half_is_two_and_a_quarter_units() -> None:
    answer = reckon("strength", original="1.0443", final="1.0098")
    assert answer.figure("units").value == pytest.approx(answer.figure("abv").value / 2)


def test_priming_adds_its_share() -> None:
    plain = value("strength", "abv", original="1.040", final="1.010")
    assert value("strength", "abv", original="1.040", final="1.010", priming="6 g/L") == pytest.approx(
        plain + 0.37, abs=0.01
    )


def test_a_final_gravity_above_the_original_is_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="Final gravity"):
        reckon("strength", original="1.010", final="1.040")


# --- heat ---------------------------------------------------------------------------------------------------------


def test_the_usual_sheet_lands_hot_in_summer() -> None:
    # heat balance: 3.5 L boiling, 3 kg extract, 23 L, tap at 18 °C is 31 to 32 °C
    answer = reckon("boiling_water", extract="3 kg", dry="0 kg", tap="18 °C", boiling="3.5 L", extract_temp="40 °C")
    assert answer.figure("landed").value == pytest.approx(31.5, abs=0.7)
    assert "off_target" in keys(answer)


def test_the_boiling_water_is_found_for_a_cold_tap() -> None:
    answer = reckon("boiling_water", extract="3 kg", dry="0 kg", tap="8 °C")
    assert answer.figure("temp").value == pytest.approx(20.0, abs=0.01)
    assert 1.5 < answer.figure("boiling").value < 3.5


def test_cooling_with_a_measured_constant_beats_the_estimate() -> None:
    estimate = reckon("cooling", now="30 °C", target="20 °C", room="15 °C").figure("time")
    measured = reckon("cooling", now="30 °C", target="20 °C", room="15 °C", earlier="33 °C", ago="2 h").figure("time")
    assert measured.high - measured.low < estimate.high - estimate.low
    # ln(18/15) in 2 h gives the constant; ln(15/5) of it to the target
    assert measured.value == pytest.approx(2 / math.log(18 / 15) * math.log(3), rel=1e-6)


def test_a_room_that_is_too_warm_never_cools_it() -> None:
    answer = reckon("cooling", now="30 °C", target="18 °C", room="21 °C")
    assert answer.headline.startswith("It never reaches 18 °C")


# --- yeast, hops, bitterness, colour ------------------------------------------------------------------------------


def test_one_sachet_will_do_for_a_usual_batch_and_two_for_a_strong_one() -> None:
    assert value("yeast_dose", "sachets", volume="23 L") == 1
    assert value("yeast_dose", "sachets", volume="23 L", original="1.075") >= 2


def test_eight_grams_of_yeast_a_litre_are_caught() -> None:
    assert "yeast_tenfold" in keys(reckon("yeast_dose", volume="20 L", have="160 g"))


def test_fifty_grams_of_hops_a_litre_are_caught() -> None:
    answer = reckon("hop_dose", hops="1000 g", volume="20 L")
    assert "hops_tenfold" in keys(answer)
    assert "38 % of the beer" in answer.findings[0].text  # 50 g/L × 7.5 mL/g


def test_hop_creep_is_volumes_and_not_five_per_cent() -> None:
    # Kirkpatrick & Shellhammer 2018: 10 g/L, 20 °C, 40 days: 4.75 volumes
    assert value("hop_dose", "creep", hops="200 g", volume="20 L", days="40 d") == pytest.approx(4.75, abs=0.25)


def test_a_hundred_grams_keep_three_quarters_of_a_litre() -> None:
    assert value("hop_dose", "lost", hops="100 g", volume="20 L") == pytest.approx(0.75)


def test_bitterness_and_colour_go_with_the_volume() -> None:
    assert value("bitterness", "kit", leaflet="30", leaflet_volume="23 L", volume="18 L") == pytest.approx(30 * 23 / 18)
    assert value("colour", "ebc", leaflet="20 EBC", leaflet_volume="23 L", volume="18 L") == pytest.approx(20 * 23 / 18)
    assert value("colour", "srm", leaflet="25 EBC") == pytest.approx(12.7)  # by definition


# --- gas, bottles -------------------------------------------------------------------------------------------------


def test_gas_left_in_the_beer_is_the_printed_tables() -> None:
    # Draper & Hibberd 1996
    for degrees, volumes in (("12", 1.12), ("18", 0.93), ("20", 0.88), ("22", 0.83)):
        assert value("residual_co2", "residual", warmest=degrees) == pytest.approx(volumes)


def test_priming_by_the_customary_rule() -> None:
    answer = reckon("priming", volume="20.6 L", co2="2.4 vol", warmest="20 °C")
    assert answer.figure("sugar").value == pytest.approx(126, abs=2)


def test_sugar_bought_for_five_gallons_goes_four_fifths_of_the_way_into_four() -> None:
    answer = reckon("priming", volume="4 US gal", co2="2.4 vol", warmest="20 °C", bought_for="5 US gal")
    assert answer.headline.startswith("Take × 0.80 of the sugar that was weighed for 5 US gal")
    assert answer.figure("co2").value > 2.7


def test_ten_grams_in_each_half_litre_are_caught() -> None:
    answer = reckon("priming", volume="20 L", mass="10 g", each="40")
    assert answer.urgency is Urgency.DANGER
    assert "sugar_tenfold" in keys(answer)
    assert answer.figure("co2").value == pytest.approx(0.88 + 20 * 0.51428 / 1.97681, abs=0.01)


def test_forty_grams_for_a_batch_are_nearly_flat() -> None:
    assert "sugar_little" in keys(reckon("priming", volume="23 L", mass="45 g"))


def test_one_point_still_to_fall_is_half_a_volume() -> None:
    none = value("priming", "sugar", volume="20 L", warmest="20 °C")
    one = value("priming", "sugar", volume="20 L", warmest="20 °C", points="1")
    assert none - one == pytest.approx(0.5 * 4.0 * 20, rel=0.01)


@pytest.mark.parametrize(
    ("volumes", "degrees", "bar"), [("2.4", "20", 1.75), ("2.4", "30", 2.55), ("4.0", "30", 4.93), ("4.5", "4", 2.18)]
)
def test_pressure_is_the_brewing_charts(volumes: str, degrees: str, bar: float) -> None:
    # the chart's fit with 4 % headspace, as worked out from Draper's and deLange's published coefficients
    assert value("pressure", "pressure", co2=volumes, temp=degrees) == pytest.approx(bar, abs=0.02)


def test_pressure_offers_every_kind_with_its_own_words() -> None:
    words = {o.name: o.words for o in reckon("pressure", co2="2.4 vol", temp="30 °C").options}
    assert words["brown returnable"].startswith("fit;")
    assert words["light one-way"].startswith("fit if kept below")
    assert words["wine bottle"].startswith("never;")


def test_bottles_are_counted_whole() -> None:
    assert value("bottles", "of_500", volume="18 L") == 36
    assert value("bottles", "left", volume="10 L", bottles="30 x 330 mL PET") == pytest.approx(0.1)


# --- room and sanitiser -------------------------------------------------------------------------------------------


def test_six_peaking_buckets_in_a_closed_room_pass_the_limit() -> None:
    answer = reckon("co2_in_room", volume="138 L", room="30 m³", air="0.2")
    found = answer.figure("ppm")
    assert found.value == pytest.approx(7800, abs=800)
    assert found.low < 0.6 * found.value < 1.8 * found.value < found.high
    assert found.value % 100 == found.low % 100 == 0
    assert answer.urgency is Urgency.ACT


def test_one_bucket_in_a_room_is_harmless_and_in_a_cupboard_is_not() -> None:
    assert reckon("co2_in_room", volume="23 L", room="40 m³").urgency is Urgency.NOTHING
    assert "cupboard" in keys(reckon("co2_in_room", volume="23 L", room="1 m³"))


def test_strong_bleach_is_told_to_be_rinsed() -> None:
    assert "too_strong" in keys(reckon("sanitiser", agent="bleach", ppm="400 ppm"))


# --- units --------------------------------------------------------------------------------------------------------


def test_units_by_definition() -> None:
    assert value("units", "L", amount="5 US gal", to="L") == pytest.approx(18.92705892)
    assert value("units", "L", amount="5 imp gal", to="litres") == pytest.approx(22.73045)
    assert value("units", "°C", amount="68 F", to="C") == pytest.approx(20)
    assert value("units", "°P", amount="1.0400 SG", to="plato") == pytest.approx(9.99, abs=0.01)


def test_a_gallon_without_a_country_is_asked_about() -> None:
    with pytest.raises(InputError, match="UK and the US"):
        reckon("units", amount="5 gal", to="L")


def test_the_other_countrys_gallon_is_told_beside() -> None:
    answer = reckon("units", amount="5 US gal", to="L")
    assert keys(answer) == ["gallon_country"]
    assert "22.73 L" in answer.findings[0].text


def test_units_that_do_not_go_together_are_refused() -> None:
    with pytest.raises(InputError, match="does not go with"):
        reckon("units", amount="5 L", to="kg")


def test_without_a_target_every_unit_of_its_kind_is_given() -> None:
    assert len(reckon("units", amount="1 kg").figures) == 5


def test_a_converted_amount_stays_in_its_unit_whatever_units_the_brewer_reads() -> None:
    read = Measures()
    found = {f.key: str(read.figure(f)) for f in reckon("units", amount="5 US gal").figures}
    assert found["imp gal"] == "4.163 imp gal"
    assert found["US gal"] == "5.000 US gal"
    assert str(read.figure(reckon("units", amount="68 F").figure("°F"))) == "68.00 °F"
    assert str(read.figure(reckon("bottles", volume="21 L").figure("pints"))) == "37 imp pt"


# --- bottles that no dose is fit for ----------------------------------------------------------------------------


def test_glass_of_unknown_make_has_one_limit_and_the_refusal_lies_beyond_it() -> None:
    found = reckon("priming", volume="20.6 L", mass="250 g")
    (told,) = (f.text for f in found.findings if f.key == "unknown_glass")
    assert "fit for no more than 2.5 at 25 °C, and above 4.0 the book refuses" in told
    assert found.figure("ceiling").value == pytest.approx(2.5, abs=0.01)
    assert "unknown make" in found.figure("ceiling").label


def test_a_fizz_that_only_stronger_bottles_hold_asks_which_they_are() -> None:
    found = reckon("priming", volume="20.6 L", co2="3 vol")
    assert [f.key for f in found.findings] == ["unknown_bottles"]
    assert found.urgency is Urgency.ACT
    assert reckon("priming", volume="20.6 L", co2="2.3 vol").findings == ()


def test_gas_that_no_ordinary_bottle_is_fit_for_is_danger_with_what_to_do() -> None:
    found = reckon("pressure", co2="4.5 vol", temp="25 °C")
    assert found.urgency is Urgency.DANGER
    assert "cool them where they stand" in found.findings[0].check
    assert reckon("pressure", co2="2.4 vol", temp="20 °C").urgency is Urgency.NOTHING


def test_warmths_to_keep_below_are_whole_degrees_and_plastic_softens_at_thirty() -> None:
    found = reckon("pressure", co2="2.4 vol", temp="35 °C")
    below = {option.name: option.figures[0] for option in found.options if option.figures}
    assert all(each.digits == 0 and each.value == int(each.value) for each in below.values())
    assert below["PET"].value == 30
    assert "fit if kept below 30 °C" in next(o.words for o in found.options if o.name == "PET")


# dry_yeast_sheets: 0.5 to 0.8 g/L, so 23 L want 15 g where one sachet holds 11 g
def test_a_sachet_that_falls_short_of_the_sheets_rate_is_said_to() -> None:
    assert (
        "4 g short of the sheets' usual rate: it works, but starts later"
        in reckon("yeast_dose", volume="23 L").headline
    )
    assert "short" not in reckon("yeast_dose", volume="16 L").headline


@pytest.mark.parametrize(
    ("word", "key", "names"),
    [
        ("strength", "abv", {"Original gravity", "Final gravity", "Priming sugar, as dry sugar"}),
        ("strength", "customary", {"Original gravity", "Final gravity"}),
        ("strength", "energy", {"Original gravity", "Final gravity", "Bottle"}),
        ("hop_dose", "lost", {"Hops"}),
        ("hop_dose", "dose", {"Hops", "Beer"}),
        ("yeast_dose", "needed", {"Wort", "Original gravity", "Kind of yeast"}),
        ("yeast_dose", "dose", {"Yeast at hand", "Wort"}),
        ("bitterness", "kit", {"Bitterness by the leaflet", "At the leaflet's volume", "Made up to"}),
    ],
)
def test_a_working_names_only_what_enters_its_figure(word: str, key: str, names: set[str]) -> None:
    of = SUMS[word]
    fields = {field.name: field for field in of.fields}
    answer = of.reckon({name: fields[name].read(text) for name, text in of.example.items()})
    assert {given.name for given in answer.figure(key).working.inputs} == names
