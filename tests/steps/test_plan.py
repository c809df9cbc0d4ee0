"""Planning: kits, their choices, and the calendar. All kits are invented; weights and volumes are of the usual size, and
the gravities expected of them are derived from solids, volume and the sugar tables."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import (
    BOOSTED,
    FIRST,
    ONE_CAN,
    ONE_CAN_GLUCOSE,
    ONE_CAN_MALT,
    ONE_CAN_SUGAR,
    PREMIUM,
    TWO_CANS,
    at,
    brewed,
    q,
    setting,
)
from gylebook.errors import InputError, NotFound, Refused
from gylebook.journal import events as ev
from gylebook.steps import plan
from gylebook.steps.answers import MomentFigure, Urgency
from gylebook.steps.correcting import correct, texts_of
from gylebook.steps.decision import Act
from gylebook.steps.lines import ingredients_text, read_hop_plans
from gylebook.steps.plan_acts import CLOSE, DUMP, FIVE, NOTE, PLAN
from gylebook.steps.shelf_lines import read_alternatives

BITTER = ev.Kit(
    name="Invented Bitter",
    ingredients=ONE_CAN,
    volume=q("23", "L"),
    alternatives=read_alternatives(
        "sugar: 1 kg sugar; bottle at 1.006; hop at 1.010; final 1.004 to 1.006; cost 1.20\n"
        "dried extract: 1 kg dried malt extract; bottle at 1.013; final 1.010 to 1.013; cost 9.50\n"
        "blend: 1 kg enhancer blend; cost 6.00"
    ),
    yeast_mass=q("6", "g"),
    temp_from=q("18", "°C"),
    temp_to=q("22", "°C"),
    cost="14.00",
)
HOPPY = ev.Kit(
    name="Invented Pale",
    ingredients=PREMIUM,
    volume=q("20", "L"),
    hops=read_hop_plans("100 g Sedgeway, day 7, for 3 days"),
)
GARAGE = ev.PlaceKept(name="garage", low=q("8", "°C"), high=q("12", "°C"))
ROOM = ev.PlaceKept(name="spare room", low=q("18", "°C"), high=q("21", "°C"))


def kept(*kits: ev.Kit) -> tuple[ev.KitKept, ...]:
    return tuple(ev.KitKept(kit=kit) for kit in kits)


def moment(answer, key: str) -> MomentFigure:
    return next(f for f in answer.figures if isinstance(f, MomentFigure) and f.key == key)


def keys(answer) -> list[str]:
    return [finding.key for finding in answer.findings]


# Original gravity by extract in volume; final gravity by the make-up, malt at 0.70 and sugar at 1.22 apparent attenuation;
# the ranges are what brewers of such kits report.
@pytest.mark.parametrize(
    ("ingredients", "volume", "og", "fg", "abv"),
    [
        (ONE_CAN_SUGAR, "23", 1.0395, (1.004, 1.006), (4.4, 4.7)),
        (ONE_CAN_GLUCOSE, "23", 1.038, (1.004, 1.006), (4.2, 4.5)),
        (ONE_CAN_MALT, "23", 1.039, (1.010, 1.013), (3.5, 3.9)),
        (TWO_CANS, "23", 1.040, (1.010, 1.013), (3.6, 4.0)),
        (TWO_CANS, "20.5", 1.045, (1.013, 1.013), (4.1, 4.1)),
        (PREMIUM, "20", 1.055, (1.012, 1.015), (5.2, 5.6)),
        (PREMIUM, "22", 1.050, (1.011, 1.013), (4.9, 4.9)),
        (BOOSTED, "18", 1.045, (1.009, 1.012), (4.4, 4.7)),
    ],
    ids=["K1", "K1d", "K2", "K3", "K3s", "K4", "K4w", "K5"],
)
def test_usual_kits_come_out_where_brewers_find_them(ingredients, volume, og, fg, abv) -> None:
    asked = {"ingredients": ingredients_text(ingredients), "volume": q(volume, "L")}
    answer = plan.answer(brewed(), setting(), asked)
    assert answer.figure("og").value == pytest.approx(og, abs=0.0006)
    found = answer.figure("fg")
    assert found.low <= fg[1]
    assert found.high >= fg[0]
    strength = answer.figure("abv")
    assert strength.low <= abv[1]
    assert strength.high >= abv[0]


def test_the_kits_choices_stand_side_by_side_each_with_its_gates() -> None:
    answer = plan.answer(brewed(), setting(*kept(BITTER)), {})
    assert [o.name for o in answer.options] == ["sugar", "dried extract", "blend"]
    assert [o.chosen for o in answer.options] == [True, False, False]
    sugar, malt, _ = answer.options
    numbers = {f.key: f for f in sugar.figures}
    assert numbers["cost"].value == pytest.approx(15.20)
    assert {"og", "fg", "abv", "body", "cost"} <= numbers.keys()
    assert sugar.words == "light; hops in at or below 1.010 SG, bottle at or below 1.006 SG"
    assert malt.words == "medium; bottle at or below 1.013 SG"
    assert answer.missing == "Which of the additions will it be?"


def test_malt_instead_of_sugar_ends_higher_fuller_and_weaker() -> None:
    answer = plan.answer(brewed(), setting(*kept(BITTER)), {})
    sugar, malt, _ = ({f.key: f.value for f in option.figures} for option in answer.options)
    assert abs(sugar["og"] - malt["og"]) < 0.001
    assert 1.003 < sugar["fg"] < 1.006
    assert 1.010 < malt["fg"] < 1.013
    assert sugar["abv"] - malt["abv"] > 0.7
    assert malt["body"] > 1.5 * sugar["body"]


@pytest.mark.parametrize("choice", ["sugar", "dried extract", "blend"])
@pytest.mark.parametrize("litres", ["15", "17", "18.5", "20", "21", "25", "26.5", "28"])
def test_the_strength_at_another_volume_is_one_number_wherever_it_is_said(choice: str, litres: str) -> None:
    answer = plan.answer(brewed(), setting(*kept(BITTER)), {"choice": choice, "volume": q(litres, "L")})
    as_meant = plan.answer(brewed(), setting(*kept(BITTER)), {"choice": choice})
    (effect,) = (f.text for f in answer.findings if f.key in {"short", "too_much_water"})
    now, meant = re.search(r"([\d.]+) instead of ([\d.]+) % vol", effect).groups()
    assert answer.headline.startswith(f"About {now} % vol")
    assert as_meant.headline.startswith(f"About {meant} % vol")
    gravities = re.search(r"(1\.\d{4}) instead of (1\.\d{4})", effect).groups()
    assert gravities == tuple(f"{each.figure('og').value:.4f}" for each in (answer, as_meant))


def test_the_only_kit_on_the_shelf_is_taken_and_said_to_be() -> None:
    answer = plan.answer(brewed(), setting(*kept(BITTER)), {})
    assert any("the only one on the shelf" in line for line in answer.assumed)
    two = plan.answer(brewed(), setting(*kept(BITTER, HOPPY)), {})
    assert two.urgency is Urgency.MEASURE
    assert "Invented Bitter, Invented Pale" in two.why


def test_a_first_plan_asks_at_most_five_things_each_with_a_reason() -> None:
    assert len(FIVE) == 5
    assert all(field.reason and not field.required for field in FIVE)


def test_nothing_at_all_asks_what_goes_in() -> None:
    answer = plan.answer(brewed(), setting(), {})
    assert answer.missing == "Which kit, or which ingredients in how many litres?"


# 23 L, three samples, sediment and tap: about 21 L and 42 half-litre bottles; 20 L with 100 g of hops about 17 L.
def test_the_yield_allows_for_samples_sediment_and_hops() -> None:
    answer = plan.answer(brewed(), setting(*kept(BITTER)), {})
    assert answer.figure("yield").value == pytest.approx(21.1, abs=0.4)
    assert answer.figure("bottles").value in {41, 42, 43}
    hopped = plan.answer(brewed(), setting(*kept(HOPPY)), {})
    assert hopped.figure("yield").value == pytest.approx(17.3, abs=0.4)


def test_the_calendar_waits_for_hops_and_counts_days_by_warmth() -> None:
    warm = plan.answer(brewed(), setting(ROOM, *kept(BITTER), hours=0), {"place": "spare room"})
    assert timedelta(days=9) < moment(warm, "bottling").value - FIRST < timedelta(days=14)
    assert timedelta(days=28) <= moment(warm, "drink_from").value - FIRST < timedelta(days=42)
    hopped = plan.answer(brewed(), setting(ROOM, *kept(HOPPY), hours=0), {"place": "spare room"})
    assert moment(hopped, "hops_1").value - FIRST == timedelta(days=7)
    assert moment(hopped, "bottling").value > moment(warm, "bottling").value
    cold = plan.answer(brewed(), setting(GARAGE, *kept(BITTER), hours=0), {"place": "garage"})
    assert moment(cold, "bottling").value > moment(warm, "bottling").value + timedelta(days=7)
    assert "cold_place" in keys(cold)
    assert "Days are not evidence" in moment(warm, "bottling").working.cautions[0]


@pytest.mark.parametrize(
    ("day", "key"), [(date(2026, 11, 10), "too_late"), (date(2026, 12, 8), "tight"), (date(2027, 3, 1), "in_time")]
)
def test_a_day_to_drink_on_is_met_tight_or_missed(day: date, key: str) -> None:
    answer = plan.answer(brewed(), setting(ROOM, *kept(BITTER), hours=0), {"place": "spare room", "drink_on": day})
    assert key in keys(answer)


def test_a_short_brew_of_the_kit_stretches_the_leaflets_final_gravity() -> None:
    asked = {"choice": "dried extract", "volume": q("18", "L")}
    answer = plan.answer(brewed(), setting(*kept(BITTER)), asked)
    assert answer.figure("fg").value == pytest.approx(1 + 0.0115 * 23 / 18, abs=0.0006)
    assert "short" in keys(answer)


def test_an_unknown_kit_and_an_unknown_choice_name_the_known() -> None:
    with pytest.raises(InputError, match="choose one of: Invented Bitter"):
        plan.answer(brewed(), setting(*kept(BITTER)), {"kit": "Stout"})
    with pytest.raises(InputError, match="choose one of: sugar, dried extract, blend"):
        plan.answer(brewed(), setting(*kept(BITTER)), {"kit": "invented bitter", "choice": "honey"})
    with pytest.raises(InputError, match="leave one of the two out"):
        plan.answer(brewed(), setting(*kept(BITTER)), {"kit": "Invented Bitter", "ingredients": "1 kg sugar"})


def test_a_kit_out_of_date_by_then_is_told() -> None:
    old = ev.Kit(name="Old", ingredients=TWO_CANS, volume=q("23", "L"), best_before=date(2026, 1, 1))
    assert "past_date" in keys(plan.answer(brewed(), setting(*kept(old)), {}))


def test_a_gate_of_another_choice_is_questioned() -> None:
    wrong = ev.Kit(
        name="W", ingredients=TWO_CANS, volume=q("23", "L"), gates=ev.Gates(bottle_at_or_below=q("1.005", "SG"))
    )
    assert "gate_too_low" in keys(plan.answer(brewed(), setting(*kept(wrong)), {}))


# --- writing it down ------------------------------------------------------------------------------------------


def write(act: Act, brew, values, *things, hours=0.0):
    return act.decide(brew, values, at(hours), setting(*things))


def written(decision) -> ev.Event:
    return decision.events[0][1]


def empty():
    return brewed().__class__("b1", (), ())


def test_a_plan_needs_one_word() -> None:
    event = written(write(PLAN, empty(), {"kit": "Invented Bitter"}, *kept(BITTER)))
    assert event == ev.Planned(name="Invented Bitter", kit=BITTER)
    chosen = written(write(PLAN, empty(), {"kit": "invented bitter", "choice": "Dried extract"}, *kept(BITTER)))
    assert (chosen.name, chosen.choice) == ("Invented Bitter with dried extract", "dried_extract")


def test_a_plan_without_a_kit_is_made_of_its_ingredients_and_volume() -> None:
    event = written(write(PLAN, empty(), {"ingredients": "3 kg malt extract", "volume": q("23", "L"), "name": "Mine"}))
    assert event.kit is not None
    assert event.kit.ingredients[0].material == "liquid_malt_extract"
    with pytest.raises(InputError, match="there is no leaflet to take them from"):
        write(PLAN, empty(), {"ingredients": "3 kg malt extract"})


def test_an_open_choice_is_asked_for_and_not_made() -> None:
    decision = write(PLAN, empty(), {"kit": "Invented Bitter"}, *kept(BITTER))
    assert written(decision).choice == ""
    assert decision.findings[0].key == "choose"


def test_a_later_plan_changes_only_what_it_says() -> None:
    brew = brewed(plan=ev.Planned(name="Autumn", kit=BITTER, choice="sugar", place="spare room"))
    event = written(write(PLAN, brew, {"choice": "blend"}, hours=5))
    assert (event.name, event.choice, event.place, event.kit) == ("Autumn", "blend", "spare room", BITTER)


def test_another_kit_after_mixing_is_said_to_count_no_longer() -> None:
    brew = brewed((1, ev.Mixed()), plan=ev.Planned(name="x", kit=BITTER, choice="sugar"))
    decision = write(PLAN, brew, {"kit": "Invented Pale"}, *kept(BITTER, HOPPY), hours=5)
    assert [f.key for f in decision.findings] == ["mixed_already"]
    assert written(decision).choice == ""


def test_drinking_before_beginning_is_refused() -> None:
    with pytest.raises(InputError, match="To drink on"):
        write(PLAN, empty(), {"start_on": date(2026, 11, 5), "drink_on": date(2026, 11, 1)})


def test_a_plan_can_be_corrected_from_its_own_texts_even_when_the_kit_is_forgotten() -> None:
    brew = brewed(plan=ev.Planned(name="Autumn", kit=BITTER, choice="sugar"))
    texts = texts_of(brew.plan, PLAN) | {"choice": "blend"}
    values = {field.name: field.read(texts.get(field.name, "")) for field in PLAN.fields}
    decision = correct(brew, 1, PLAN, values, setting())
    event = written(decision)
    assert isinstance(event, ev.Corrected)
    assert event.instead["choice"] == "blend"
    assert event.instead["kit"]["name"] == "Invented Bitter"


def test_a_struck_or_unknown_entry_cannot_be_corrected() -> None:
    with pytest.raises(NotFound, match="has no entry 9"):
        correct(brewed(), 9, NOTE, {"text": "x"}, setting())


def test_notes_are_kept_as_written_and_an_empty_one_is_refused() -> None:
    assert written(write(NOTE, brewed(), {"text": "Ring on the wall."})) == ev.Noted(text="Ring on the wall.")
    with pytest.raises(InputError, match="nothing was written"):
        write(NOTE, brewed(), {"text": "  "})


def test_closing_what_was_never_bottled_asks_and_closing_twice_is_refused() -> None:
    decision = write(CLOSE, brewed((1, ev.Mixed())), {"lesson": "Stir more."})
    assert written(decision) == ev.Closed(lesson="Stir more.")
    assert decision.findings[0].key == "never_bottled"
    with pytest.raises(Refused, match="closed already"):
        write(CLOSE, brewed((1, ev.Closed())), {})
    with pytest.raises(Refused, match="thrown away already"):
        write(DUMP, brewed((1, ev.Dumped())), {})


def test_dumping_full_bottles_warns_of_their_pressure() -> None:
    lots = (ev.BottleLot(bottle="brown", count=40, size=q("500", "mL")),)
    decision = write(DUMP, brewed((1, ev.Bottled(lots=lots))), {"because": "sour"})
    assert decision.findings[0].urgency is Urgency.ACT
    assert write(DUMP, brewed(), {}).findings == ()


@pytest.mark.parametrize("act", [PLAN, NOTE, CLOSE, DUMP])
@given(data=st.data())
def test_any_text_in_a_form_is_read_or_refused_in_words(act: Act, data: st.DataObject) -> None:
    texts = st.one_of(st.just(""), st.text(max_size=14),
                      st.sampled_from(["Invented Bitter", "sugar", "23 L", "2026-12-01", "3 kg malt extract", "2.4 vol"]))  # fmt: skip
    try:
        values = {field.name: field.read(data.draw(texts)) for field in act.fields}
        write(act, empty(), values, *kept(BITTER))
    except InputError as error:
        assert error.field  # noqa: PT017 - many texts are refused, each naming its field


@given(
    volume=st.floats(2.0, 200.0), kit=st.sampled_from([BITTER, HOPPY]), low=st.floats(-20, 40), spread=st.floats(0, 20)
)
def test_every_plan_has_an_answer_with_ordered_intervals(volume: float, kit: ev.Kit, low: float, spread: float) -> None:
    place = ev.PlaceKept(name="p", low=q(f"{low:.1f}", "°C"), high=q(f"{low + spread:.1f}", "°C"))
    asked = {"volume": q(f"{volume:.1f}", "L"), "place": "p", "kit": kit.name}
    answer = plan.answer(brewed(), setting(place, *kept(kit)), asked)
    for figure in answer.figures:
        assert figure.low <= figure.value <= figure.high, figure


def test_other_ingredients_are_supposed_in_the_volume_of_the_plan() -> None:
    brew = brewed(plan=ev.Planned(name="Invented ale", kit=BITTER, volume=q("21", "L")))
    answer = plan.answer(brew, setting(), {"ingredients": "3 kg liquid malt extract"})
    # 3.0 × 308 litre-degrees in 21 L
    assert 1000 * (answer.figure("og").value - 1) == pytest.approx(44, abs=1)


def test_a_kit_without_choices_says_so_when_one_is_asked_for() -> None:
    bare = ev.Kit(name="bare", ingredients=TWO_CANS, volume=q("23", "L"))
    with pytest.raises(InputError, match="the kit has no choices"):
        plan.answer(brewed(plan=ev.Planned(name="Invented ale", kit=bare)), setting(), {"choice": "malt"})
