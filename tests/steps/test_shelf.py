"""The shelf: entered once, refused in words, written back the same. Kits and things are invented."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from brewing import at, q, setting, shelf_with
from gylebook.errors import InputError, NotFound
from gylebook.journal import codec
from gylebook.journal import events as ev
from gylebook.steps.answers import Urgency
from gylebook.steps.chosen import COUNTRIES
from gylebook.steps.decision import Act, Decision
from gylebook.steps.shelf import SHELF_ACTS, act_for, texts_of_thing

LEAFLET = {
    "name": "Invented Bitter",
    "ingredients": "1.7 kg liquid malt extract, called hopped can",
    "volume": "23 L",
    "alternatives": "sugar: 1 kg sugar; bottle at 1.006; final 1.004 to 1.006; cost 1.20\n"
    "dried extract: 1 kg dried malt extract; bottle at 1.013; final 1.010 to 1.013; cost 9.50",
    "yeast": "ale yeast under the lid",
    "yeast_mass": "6 g",
    "yeast_kind": "ale",
    "hops": "25 g Sedgeway, day 7, for 3 days",
    "temp_from": "18 °C",
    "temp_to": "22 °C",
    "days": "7",
    "priming_sugar": "sucrose",
    "priming_per_litre": "5 g/L",
    "bitterness": "28 IBU",
    "colour": "20 EBC",
    "claimed_strength": "4.5 % vol",
    "best_before": "2027-05-01",
    "cost": "14.00",
    "note": "Invented for this test.",
}


def keep(name: str, texts: dict[str, str], *things: ev.Event, **more) -> Decision:
    act = act_for(name)
    values = {field.name: field.read(texts.get(field.name, ""), confirmed=True) for field in act.fields}
    return act.decide(shelf_with(*things), values, at(0), setting(*things, **more))


def only(decision: Decision) -> ev.Event:
    ((_, event),) = decision.events
    return event


def keys(decision: Decision) -> list[str]:
    return [finding.key for finding in decision.findings]


def test_a_leaflet_is_entered_once_with_its_choices_and_their_gates() -> None:
    decision = keep("keep_kit", LEAFLET)
    kit = only(decision).kit
    assert [a.key for a in kit.alternatives] == ["sugar", "dried_extract"]
    assert kit.alternatives[1].gates.bottle_at_or_below == q("1.013", "SG")
    assert kit.hops == (ev.HopPlan(name="Sedgeway", mass=q("25", "g"), on_day=7, contact_days=3),)
    assert decision.findings == ()


def test_a_kit_written_back_reads_the_same() -> None:
    kit = only(keep("keep_kit", LEAFLET)).kit
    assert only(keep("keep_kit", texts_of_thing(kit))).kit == kit


def test_a_kit_needs_only_name_weights_and_volume() -> None:
    kit = only(keep("keep_kit", {"name": "Bare", "ingredients": "3 kg liquid malt extract", "volume": "23 L"})).kit
    assert kit.alternatives == ()
    assert kit.yeast_mass is None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": " "}, "Name: nothing was written"),
        ({"ingredients": "1.7 kg gravel"}, "In the box, line 1"),
        ({"volume": "1 L"}, "too little for what is in the box"),
        ({"temp_from": "24 °C"}, "is above 22 °C"),
        ({"cost": "dear"}, "Cost"),
        ({"alternatives": "sugar 1 kg"}, "Alternatives, line 1"),
        ({"hops": "Sedgeway"}, "Hops, line 1"),
    ],
)
def test_a_leaflet_that_cannot_be_is_refused(change: dict[str, str], words: str) -> None:
    with pytest.raises(InputError, match=words):
        keep("keep_kit", LEAFLET | change)


def test_the_sugar_gate_under_dried_extract_is_questioned_because_it_never_opens() -> None:
    wrong = LEAFLET | {"alternatives": "dried extract: 1 kg dried malt extract; bottle at 1.006"}
    assert keys(keep("keep_kit", wrong)) == ["gate_too_low"]
    other = LEAFLET | {"alternatives": "sugar: 1 kg sugar; bottle at 1.014"}
    assert keys(keep("keep_kit", other)) == ["gate_too_high"]


def test_tenfold_hops_and_priming_are_questioned() -> None:
    much = keep("keep_kit", LEAFLET | {"hops": "1 kg Sedgeway", "priming_per_litre": "15 g/L"})
    assert set(keys(much)) == {"hops_much", "priming_much"}
    assert keys(keep("keep_kit", LEAFLET | {"priming_per_litre": "2 g/L"})) == ["priming_little"]


def test_a_kit_past_its_date_asks_for_fresh_yeast_and_warns_of_a_bulging_can() -> None:
    decision = keep("keep_kit", LEAFLET | {"best_before": "2026-01-01"})
    assert keys(decision) == ["past_date"]
    assert "thrown away unopened" in decision.findings[0].text


def test_a_hydrometer_that_shows_1_002_in_water_is_two_points_out() -> None:
    event = only(keep("keep_instrument", {"name": "long glass", "ref_temp": "20 °C", "shows_in_water": "1.002"}))
    assert event.offset.number() == pytest.approx(0.002)


def test_water_at_another_temperature_is_allowed_for_in_the_check() -> None:
    # hydrometer_equilibrium: in water of 10 °C a true 20 °C glass shows 1.00125.
    event = only(keep("keep_instrument", {"name": "long glass", "ref_temp": "20 °C", "shows_in_water": "1.0013",
                                          "water_temp": "10 °C"}))  # fmt: skip
    assert event.offset.number() == pytest.approx(0.0, abs=0.0002)


def test_a_scale_that_slipped_is_told_and_a_lost_check_too() -> None:
    assert keys(keep("keep_instrument", {"name": "g", "ref_temp": "20 °C", "shows_in_water": "1.008"})) == ["slipped"]
    before = only(keep("keep_instrument", {"name": "g", "ref_temp": "20 °C", "shows_in_water": "1.002"}))
    assert keys(keep("keep_instrument", {"name": "g", "ref_temp": "20 °C"}, before)) == ["check_gone"]
    assert keys(keep("keep_instrument", {"name": "g"})) == ["ref_unknown"]


def test_a_vessel_keeps_its_calibrated_marks() -> None:
    event = only(keep("keep_vessel", {"name": "white bucket", "capacity": "30 L", "marks": "23 L holds 22.4 L"}))
    assert event.marks == (ev.Mark(mark=q("23", "L"), holds=q("22.4", "L")),)
    assert keys(keep("keep_vessel", {"name": "white bucket"})) == ["no_marks"]
    with pytest.raises(InputError, match="holds more than the vessel"):
        keep("keep_vessel", {"name": "jug", "capacity": "5 L", "marks": "23 L holds 22.4 L"})


def test_a_place_has_a_lowest_and_a_highest_or_neither() -> None:
    event = only(keep("keep_place", {"name": "garage", "low": "4 °C", "high": "12 °C", "months": "7: 15 to 27 °C"}))
    assert event.months[0].month == 7
    with pytest.raises(InputError, match="only one of the two"):
        keep("keep_place", {"name": "garage", "low": "4 °C"})
    with pytest.raises(InputError, match="above the highest"):
        keep("keep_place", {"name": "garage", "low": "14 °C", "high": "4 °C"})
    assert keys(keep("keep_place", {"name": "loft", "low": "10 °C", "high": "38 °C"})) == ["hot_place"]
    assert keys(keep("keep_place", {"name": "shed"})) == ["no_temps"]


def test_bottles_are_kept_and_wine_bottles_are_a_danger() -> None:
    brown = {"name": "brown halves", "kind": "returnable_500", "size": "500 mL", "count": "24", "washes": "10"}
    assert only(keep("keep_bottles", brown)) == ev.BottlesKept(
        name="brown halves", kind="returnable_500", size=q("500", "mL"), count=24, washes=10
    )
    decision = keep("keep_bottles", {"name": "old wine", "kind": "wine", "size": "750 mL", "count": "6"})
    assert decision.findings[0].urgency is Urgency.DANGER
    with pytest.raises(InputError, match="write it; it cannot be left out"):
        keep("keep_bottles", brown | {"count": ""})


def test_stock_past_its_date_is_told() -> None:
    old = {"item": "spare sachet", "what": "yeast", "amount": "11 g", "best_before": "2026-01-01"}
    assert keys(keep("keep_stock", old)) == ["past_date"]
    assert keys(keep("keep_stock", {"item": "table sugar", "what": "sugar", "amount": "2 kg"})) == []
    caps = only(keep("keep_stock", {"item": "caps", "what": "caps", "amount": "200"}))
    assert caps.amount.number() == 200


def test_settings_change_only_what_was_written() -> None:
    event = only(keep("keep_settings", {"volume": "imp gal", "time_zone": "Europe/London"}))
    assert event == ev.SettingsKept(volume="imp gal", time_zone="Europe/London")
    with pytest.raises(InputError, match="is no time zone"):
        keep("keep_settings", {"time_zone": "Atlantis"})
    with pytest.raises(InputError, match="change at least one"):
        keep("keep_settings", {})


def test_all_units_of_a_country_are_chosen_at_once_and_a_single_one_that_changes_stands() -> None:
    us = {"volume": "US gal", "mass": "oz", "temperature": "°F", "pressure": "psi"}
    assert only(keep("keep_settings", {"units": "US"})) == ev.SettingsKept(**us)
    # A form sends along what it showed: that is no choice; ounces kept in grams are one, and gravity is nobody's.
    along = {"volume": "L", "mass": "kg", "temperature": "°C", "pressure": "bar", "gravity": "°P", "units": "US"}
    assert only(keep("keep_settings", along)) == ev.SettingsKept(**us | {"mass": "kg", "gravity": "°P"})
    back = {"volume": "US gal", "mass": "oz", "temperature": "°F", "pressure": "psi", "units": "metric"}
    assert only(keep("keep_settings", back, ev.SettingsKept(**us))) == ev.SettingsKept(
        volume="L", mass="g", temperature="°C", pressure="bar"
    )
    assert only(keep("keep_settings", {"units": "UK"})).volume == "imp pt"


def test_a_language_changes_no_unit() -> None:
    assert only(keep("keep_settings", {"language": "en-US"})) == ev.SettingsKept(language="en-US")


def test_a_country_that_was_written_before_there_were_more_still_reads() -> None:
    for country, _ in COUNTRIES:
        kept = ev.SettingsKept(country=country)  # type: ignore[arg-type]
        assert codec.decode("settings_kept", 1, codec.encode(kept)) == kept
    assert {"UK", "EU", "US", "other"} <= {country for country, _ in COUNTRIES}


def test_a_thing_is_forgotten_by_its_name_and_an_unknown_one_names_the_known() -> None:
    garage = ev.PlaceKept(name="garage")
    assert only(keep("forget", {"thing": "place", "name": "garage"}, garage)) == ev.Forgotten(
        thing="place", name="garage"
    )
    with pytest.raises(NotFound, match="there are: garage"):
        keep("forget", {"thing": "place", "name": "loft"}, garage)


def test_the_shelf_has_each_act_once_and_an_unknown_one_is_refused() -> None:
    names = [act.name for act in SHELF_ACTS]
    assert len(names) == len(set(names)) == 10
    with pytest.raises(NotFound, match="keep_kit"):
        act_for("sell")


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        (
            "keep_instrument",
            {"name": "long glass", "what": "hydrometer", "ref_temp": "15.56 °C", "shows_in_water": "1.0020"},
        ),
        (
            "keep_vessel",
            {"name": "bin", "what": "fermenter", "capacity": "30 L", "marks": "23 L holds 22.4 L", "trub_loss": "1 L"},
        ),
        ("keep_place", {"name": "garage", "low": "4 °C", "high": "12 °C", "months": "7: 15 °C to 27 °C"}),
        ("keep_bottles", {"name": "brown", "kind": "returnable_500", "size": "500 mL", "count": "24", "washes": "3"}),
        (
            "keep_stock",
            {"item": "sugar", "what": "sugar", "amount": "2 kg", "best_before": "2027-01-01", "cost": "1.50"},
        ),
    ],
)
def test_a_thing_written_back_reads_the_same(name: str, texts: dict[str, str]) -> None:
    thing = only(keep(name, texts))
    assert only(keep(name, texts_of_thing(thing))) == thing
    assert texts_of_thing(thing).keys() == texts.keys()


LIKELY = st.sampled_from(
    ["23 L", "1 kg sugar", "20 °C", "ale", "2026-12-01", "garage", "kit", "12", "1.006", "sugar: 1 kg sugar"]
)


@limits(max_examples=60)
@pytest.mark.parametrize("act", SHELF_ACTS, ids=lambda act: act.name)
@given(data=st.data())
def test_any_text_in_a_form_is_read_or_refused_in_words(act: Act, data: st.DataObject) -> None:
    texts = st.one_of(st.just(""), st.text(max_size=14), LIKELY)
    try:
        values = {field.name: field.read(data.draw(texts)) for field in act.fields}
        act.decide(shelf_with(), values, at(0), setting())
    except (InputError, NotFound) as error:
        assert str(error)  # noqa: PT017 - many texts are refused, each in words


def test_dates_are_dates() -> None:
    assert only(keep("keep_stock", {"item": "x", "best_before": "2027-01-01"})).best_before == date(2027, 1, 1)
