"""Lists in plain words: read, refused with the line's number, and written back. All items are invented."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import InputError, InputErrors
from gylebook.journal import events as ev
from gylebook.steps import lines, shelf_lines
from gylebook.steps.materials import NAMES
from gylebook.units import Quantity

Reader = Callable[[str], object]
READERS: tuple[Reader, ...] = (
    lines.read_ingredients,
    lines.read_bottle_lots,
    lines.read_hop_plans,
    shelf_lines.read_marks,
    shelf_lines.read_months,
    shelf_lines.read_alternatives,
)


def test_ingredients_are_read_with_all_that_may_follow() -> None:
    found = lines.read_ingredients(
        "1,7 kg Liquid Malt Extract, called amber can, solids 80 %, at 18 °C, left 50 g\n\n2 lb sugar"
    )
    assert found == (
        ev.Ingredient(
            material="liquid_malt_extract",
            mass=Quantity("1,7", "kg"),
            name="amber can",
            solids=Quantity("80", "%"),
            temp=Quantity("18", "°C"),
            left_behind=Quantity("50", "g"),
        ),
        ev.Ingredient(material="sucrose", mass=Quantity("2", "lb")),
    )


def test_every_fault_of_a_list_is_told_at_once_and_names_its_line() -> None:
    with pytest.raises(InputErrors) as caught:
        lines.read_ingredients("1 kg sugar\n1 kg gravel\nsome honey")
    assert [error.field for error in caught.value.errors] == ["Ingredients, line 2", "Ingredients, line 3"]
    assert "“gravel” is no material" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0 kg sugar", "write more than nothing"),
        ("1 kg", "“nothing” is no material"),
        ("1 kg sugar, burnt", "after a comma write called, solids, at or left"),
        ("1 kg sugar, at 18 °C, at 19 °C", "comes a second time"),
        ("1 kg sugar, solids 120 %", "cannot be"),
        ("1 kg sugar, at 400 °C", "cannot be"),
        ("1 stone sugar", "is not a unit for this"),
    ],
)
def test_an_ingredient_that_cannot_be_is_refused(text: str, words: str) -> None:
    with pytest.raises(InputError, match="line 1") as caught:
        lines.read_ingredients(text)
    assert words in str(caught.value)


def test_a_line_may_be_german() -> None:
    german = "1,7 kg Flüssigmalz, genannt helle Dose, Extrakt 80 %, bei 18 °C, Rest 50 g\n500 g Traubenzucker"
    english = "1,7 kg liquid malt extract, called helle Dose, solids 80 %, at 18 °C, left 50 g\n500 g dextrose"
    assert lines.read_ingredients(german) == lines.read_ingredients(english)
    assert lines.read_bottle_lots("6 x 1 L swing-top, zuletzt") == lines.read_bottle_lots("6 x 1 L swing-top, last")
    hops = lines.read_hop_plans("25 g Sedgeway, Tag 7, für 3 Tage")
    assert hops == lines.read_hop_plans("25 g Sedgeway, day 7, for 3 days")


def test_bottles_are_read_with_their_place_in_the_filling() -> None:
    found = lines.read_bottle_lots("24 x 500 mL brown returnable, first\n6x1 US pt swing-top, last")
    assert found == (
        ev.BottleLot(bottle="brown returnable", count=24, size=Quantity("500", "mL"), first=True),
        ev.BottleLot(bottle="swing-top", count=6, size=Quantity("1", "US pt"), last=True),
    )


def test_bottle_kinds_are_turned_into_keys_and_unknown_ones_name_the_known() -> None:
    kinds = {"brown returnable": "returnable", "swing-top": "swing"}
    assert lines.read_bottle_lots("12 × 500 mL Swing-top", kinds=kinds)[0].bottle == "swing"
    with pytest.raises(InputError, match="use one of: brown returnable, swing-top"):
        lines.read_bottle_lots("12 x 500 mL vase", kinds=kinds)


@pytest.mark.parametrize("text", ["500 mL brown", "0 x 500 mL brown", "24 x 500 mL", "24 x 500 L brown", "24 x 500 mL brown, middle",
                                  "9999999999999999 x 500 mL brown"])  # fmt: skip
def test_a_lot_of_bottles_that_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="Bottles, line 1"):
        lines.read_bottle_lots(text)


def test_a_bare_pint_is_refused_because_it_differs_between_countries() -> None:
    with pytest.raises(InputError, match="differ by a fifth"):
        lines.read_bottle_lots("24 x 1 pint brown")


def test_hops_are_read_with_day_and_contact() -> None:
    assert lines.read_hop_plans("25 g Sedgeway, day 7, for 3 days") == (
        ev.HopPlan(name="Sedgeway", mass=Quantity("25", "g"), on_day=7, contact_days=3),
    )
    with pytest.raises(InputError, match="write day 7 or for 3 days"):
        lines.read_hop_plans("25 g Sedgeway, sometime")


def test_marks_are_read_and_a_mark_that_is_a_third_out_is_refused() -> None:
    assert shelf_lines.read_marks("23 L holds 22.4 L\n20 = 19.6") == (
        ev.Mark(mark=Quantity("23", "L"), holds=Quantity("22.4", "L")),
        ev.Mark(mark=Quantity("20", "L"), holds=Quantity("19.6", "L")),
    )
    with pytest.raises(InputError, match="weigh the water again"):
        shelf_lines.read_marks("23 L holds 12 L")


def test_lists_of_the_shelf_may_be_written_in_german_words() -> None:
    assert shelf_lines.read_marks("23 L fasst 22,4 L") == shelf_lines.read_marks("23 L holds 22,4 L")
    german, english = "März: 4 bis 9 °C\nDez 1 bis 5 °C", "March: 4 to 9 °C\nDec 1 to 5 °C"
    assert shelf_lines.read_months(german) == shelf_lines.read_months(english)
    assert shelf_lines.read_alternatives(
        "Zucker: 1 kg Zucker; abfüllen bei 1,006; Hopfen bei 1,010; Ende 1,004 bis 1,006; Kosten 1,20\nohne: nichts"
    ) == shelf_lines.read_alternatives(
        "Zucker: 1 kg sugar; bottle at 1,006; hop at 1,010; final 1,004 to 1,006; cost 1,20\nohne: nothing"
    )
    with pytest.raises(InputError):
        shelf_lines.read_months("Mä: 4 bis 9 °C")


def test_months_are_read_by_number_or_name_and_only_once() -> None:
    found = shelf_lines.read_months("1: 4 to 9 °C\nJul 60 to 75 °F")
    assert [(m.month, str(m.low), str(m.high)) for m in found] == [(1, "4 °C", "9 °C"), (7, "60 °F", "75 °F")]
    with pytest.raises(InputError, match="comes a second time"):
        shelf_lines.read_months("1: 4 to 9\n1: 5 to 9")
    with pytest.raises(InputError, match="write the lower one first"):
        shelf_lines.read_months("1: 9 to 4")
    with pytest.raises(InputError, match="is no month"):
        shelf_lines.read_months("13: 4 to 9")


def test_alternatives_carry_their_own_gates_and_cost() -> None:
    found = shelf_lines.read_alternatives(
        "white sugar: 1 kg sugar; bottle at 1.006; hop at 1.010; final 1.004 to 1.006; cost 1.20\n"
        "blend: 500 g dextrose + 500 g dried extract; final 3 °P"
    )
    assert found[0].key == "white_sugar"
    assert found[0].cost == "1.20"
    assert found[0].gates == ev.Gates(
        hop_at_or_below=Quantity("1.010", "SG"),
        bottle_at_or_below=Quantity("1.006", "SG"),
        final_from=Quantity("1.004", "SG"),
        final_to=Quantity("1.006", "SG"),
    )
    assert [i.material for i in found[1].additions] == ["glucose_monohydrate", "dried_malt_extract"]
    assert found[1].gates.final_to == Quantity("3", "°P")


@pytest.mark.parametrize("text", ["1 kg sugar", "sugar: 1 kg sugar; bottle at 6", "sugar: 1 kg sugar; drink at 1.006",
                                  "sugar: 1 kg sugar; cost much", "a: 1 kg sugar\nA: 2 kg sugar"])  # fmt: skip
def test_an_alternative_that_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="Alternatives"):
        shelf_lines.read_alternatives(text)


def test_too_many_lines_are_refused() -> None:
    with pytest.raises(InputError, match="more than 60 lines"):
        lines.read_ingredients("1 kg sugar\n" * 61)


@pytest.mark.parametrize("reader", READERS)
@given(text=st.one_of(st.text(max_size=120), st.text("0123456789 xkgmLtohldsay.,:;+=°C%\n", max_size=80)))
def test_any_text_is_read_or_refused_in_words(reader: Reader, text: str) -> None:
    try:
        reader(text)
    except InputError as error:
        assert str(error)  # noqa: PT017 - most texts are refused, each in words


words = st.from_regex(r"[a-z][a-z]{0,8}( [a-z]{1,8})?", fullmatch=True)
masses = st.builds(Quantity, st.from_regex(r"[1-9][0-9]{0,3}(\.[0-9]{1,2})?", fullmatch=True),
                   st.sampled_from(["g", "kg", "lb", "oz"]))  # fmt: skip
temps = st.builds(lambda n: Quantity(str(n), "°C"), st.integers(0, 100))
ingredient = st.builds(
    ev.Ingredient,
    material=st.sampled_from(sorted(NAMES)),
    mass=masses,
    name=st.one_of(st.just(""), words),
    solids=st.one_of(st.none(), st.builds(lambda n: Quantity(str(n), "%"), st.integers(1, 100))),
    temp=st.one_of(st.none(), temps),
    left_behind=st.one_of(st.none(), masses),
)
lot = st.builds(ev.BottleLot, bottle=words, count=st.integers(1, 500), first=st.booleans(), last=st.booleans(),
                size=st.sampled_from([Quantity("500", "mL"), Quantity("0.33", "L"), Quantity("1", "imp pt")]))  # fmt: skip
hop = st.builds(ev.HopPlan, name=words, mass=masses, on_day=st.one_of(st.none(), st.integers(0, 99)),
                contact_days=st.one_of(st.none(), st.integers(1, 20)))  # fmt: skip


@given(st.lists(ingredient, max_size=5))
def test_ingredients_written_back_read_the_same(found: list[ev.Ingredient]) -> None:
    assert lines.read_ingredients(lines.ingredients_text(tuple(found))) == tuple(found)


@given(st.lists(lot, max_size=5))
def test_bottles_written_back_read_the_same(found: list[ev.BottleLot]) -> None:
    assert lines.read_bottle_lots(lines.bottle_lots_text(tuple(found))) == tuple(found)


@given(st.lists(hop, max_size=5))
def test_hops_written_back_read_the_same(found: list[ev.HopPlan]) -> None:
    assert lines.read_hop_plans(lines.hop_plans_text(tuple(found))) == tuple(found)


def test_marks_months_and_alternatives_written_back_read_the_same() -> None:
    marks = shelf_lines.read_marks("23 L holds 22.4 L")
    months = shelf_lines.read_months("1: 4 to 9 °C\n7: 14 to 27 °C")
    choices = shelf_lines.read_alternatives(
        "sugar: 1 kg sugar; bottle at 1.006; final 1.004 to 1.006; cost 1.20\nnone: nothing"
    )
    assert shelf_lines.read_marks(shelf_lines.marks_text(marks)) == marks
    assert shelf_lines.read_months(shelf_lines.months_text(months)) == months
    assert shelf_lines.read_alternatives(shelf_lines.alternatives_text(choices)) == choices
