"""Which bottles, as it is told: fit kinds, parts, what is missing. All beers and stocks are invented."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import q, setting
from finished import DAY, LEVEL, asked, by_days, keys, primed
from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.bottle_advice import Beer, bears
from gylebook.steps.bottle_kinds import bottle_of
from gylebook.steps.bottling import STEP
from gylebook.steps.sums import SUMS

WANTED = ev.Planned(name="Invented ale", co2_wanted=q("2.8", "vol"))


def reckon(**texts: str) -> Answer:
    of = SUMS["bottle_choice"]
    values = {field.name: field.read(texts[field.name]) for field in of.fields if field.name in texts}
    return of.reckon(values)


def answer(plan: ev.Planned | None = None, *things: ev.Event, **texts: str) -> Answer:
    return STEP.answer(by_days(*LEVEL, plan=plan), setting(*things, hours=15 * DAY), asked(STEP, **texts))


def beer(wanted: float, gas: Mapping[str, float] | None = None) -> Beer:
    worst = (gas or {}).get("worst", 1.1)
    return Beer(20.2, 20.0, 20.5, wanted, 0.9, lambda fizz: (fizz, worst * fizz), 25.0)


# --- what a kind bears --------------------------------------------------------------------------------------------


@given(
    kind=st.sampled_from(["returnable_500", "one_way", "swing_top", "pet", "unknown_glass"]),
    wanted=st.integers(9, 45),
    store=st.floats(0, 40),
)
def test_a_kind_bears_the_highest_fizz_with_which_it_is_called_fit(kind: str, wanted: int, store: float) -> None:
    bottle = bottle_of(kind, q("500", "mL"), 1, Shelf())
    case = Beer(20.0, 20.0, 20.0, wanted / 10, 0.9, lambda fizz: (fizz, 1.1 * fizz), store)
    fit = [n for n in range(9, wanted + 1) if bottle.fit_words(n / 10, 0.11 * n, store) == "fit"]
    assert bears(bottle, case) == max(fit, default=0)


def test_a_bottle_that_must_never_be_filled_bears_nothing() -> None:
    assert bears(bottle_of("wine", q("750", "mL"), 6, Shelf()), beer(2.0)) == 0
    assert bears(bottle_of("heavy", q("1.5", "L"), 6, Shelf()), beer(2.0)) == 0  # glass of such a size


def test_worn_bottles_bear_less_than_new_ones_of_their_kind() -> None:
    worn = ev.BottlesKept(name="old", kind="returnable_500", size=q("500", "mL"), count=9, washes=100)
    shelf = setting(worn).shelf
    old, new = bottle_of("old", q("500", "mL"), 9, shelf), bottle_of("returnable_500", q("500", "mL"), 9, shelf)
    assert 0 < bears(old, beer(4.0)) < bears(new, beer(4.0))


# --- the answer at bottling ---------------------------------------------------------------------------------------


def test_strong_bottles_for_lively_beer_and_weak_ones_for_the_rest_make_two_parts() -> None:
    found = answer(WANTED, volume="20.2 L", bottles="16 x 500 mL heavy\n40 x 500 mL one-way", store="25 °C")
    assert "20.2 L in two parts: 8.0 L at 2.8 volumes into 16 × 500 mL heavy; 12.0 L at 1." in found.headline
    part = next(finding for finding in found.findings if finding.key == "two_parts")
    assert "Draw off 8.0 L" in part.text
    first, second = (found.figure(f"sugar_{number}").value for number in (1, 2))
    assert first / 8.0 > second / 12.0  # grams a litre
    assert {option.name.split(" mL ")[1]: option.words[:4] for option in found.options} == {
        "heavy": "fit.",
        "light one-way": "fit.",
    }


def test_what_would_hold_the_wanted_fizz_in_all_of_it_is_counted() -> None:
    found = answer(WANTED, volume="20.2 L", bottles="16 x 500 mL heavy\n40 x 500 mL one-way", store="25 °C")
    text = next(finding.text for finding in found.findings if finding.key == "for_wanted")
    assert "For 2.8 volumes in all of it 24 × 500 mL heavy are missing" in text  # 20.0 less 8.0 L, in halves


def test_weak_bottles_alone_lower_the_fizz_and_the_answer_says_so() -> None:
    found = answer(WANTED, volume="20.2 L", bottles="60 x 500 mL one-way", store="25 °C")
    assert "20.2 L at 1." in found.headline
    assert "bears 1." in found.why
    assert found.figure("co2").value < 2.0
    assert "not_fit" not in keys(found)


def test_a_fizz_that_is_supposed_changes_the_choice() -> None:
    stock = "16 x 500 mL heavy\n40 x 500 mL one-way"
    assert "two parts" in answer(co2="2.8 vol", volume="20.2 L", bottles=stock).headline
    calm = answer(co2="1.8 vol", volume="20.2 L", bottles=stock)
    assert "two parts" not in calm.headline
    assert calm.figure("bottles").value == 40


def test_one_plastic_bottle_is_filled_where_there_is_one() -> None:
    found = answer(volume="20.2 L", bottles="20 x 1 L heavy\n3 x 500 mL PET")
    assert found.headline == "20.2 L: 19 × 1 L heavy + 2 × 500 mL PET."


def test_beer_that_is_primed_is_not_parted_and_has_the_fizz_that_it_has() -> None:
    brew = by_days(*LEVEL, primed(), plan=WANTED)
    asking = asked(STEP, volume="20.2 L", bottles="16 x 500 mL heavy\n40 x 500 mL PET")
    found = STEP.answer(brew, setting(hours=15 * DAY), asking)
    assert "parts" not in found.headline
    with pytest.raises(KeyError):
        found.figure("fizz_1")


def test_bottles_to_have_ready_besides_come_from_how_unsure_the_litres_are() -> None:
    found = reckon(volume="20 L", bottles="50 x 500 mL brown returnable", unsure="1 L")
    assert found.figure("bottles").value == 40
    assert found.figure("beside").value == 2


# --- the sum ------------------------------------------------------------------------------------------------------


def test_the_sum_says_why_and_what_each_kind_bears() -> None:
    found = reckon(**SUMS["bottle_choice"].example)
    assert found.why.startswith("Chosen in this order: no more than a glass left over")
    assert next(f for f in found.findings if f.key == "never_bottle").urgency is Urgency.DANGER
    told = [line for line in found.figure("bottles").working.steps if "bears" in line]
    assert len(told) >= 3


def test_too_small_a_stock_says_how_many_of_what_are_missing() -> None:
    found = reckon(volume="20 L", bottles="20 x 500 mL brown returnable")
    assert found.headline.endswith("10.0 L are left over: 20 × 500 mL brown returnable more.")


def test_without_any_fit_bottle_nothing_is_filled_and_it_is_said() -> None:
    found = reckon(volume="20 L", bottles="6 x 750 mL wine")
    assert found.headline == "None of these bottles may hold it."
    assert found.urgency is Urgency.DANGER


def test_the_sum_refuses_lines_that_hold_no_bottles() -> None:
    with pytest.raises(InputError, match="Bottles at hand"):
        SUMS["bottle_choice"].reckon({"volume": q("20", "L"), "bottles": "\n"})
