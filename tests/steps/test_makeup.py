"""What went in, and the gravities that follow. Make-ups are invented; expected values are derived by mass balance from
solids, volume and the sugar tables."""

from __future__ import annotations

from math import isnan

import pytest

from brewing import BOOSTED, ONE_CAN, ONE_CAN_MALT, ONE_CAN_SUGAR, TWO_CANS, brewed, material, q, shelf_with
from gylebook.journal import events as ev
from gylebook.steps import makeup
from gylebook.steps.answers import Basis

SUGAR_GATES = ev.Gates(bottle_at_or_below=q("1.006", "SG"), final_from=q("1.004", "SG"), final_to=q("1.006", "SG"))
MALT_GATES = ev.Gates(bottle_at_or_below=q("1.013", "SG"), final_from=q("1.010", "SG"), final_to=q("1.013", "SG"))
KIT = ev.Kit(
    name="Invented Bitter",
    ingredients=ONE_CAN,
    volume=q("23", "L"),
    alternatives=(
        ev.Alternative(key="sugar", name="sugar", additions=(material("sucrose", "1.0"),), gates=SUGAR_GATES),
        ev.Alternative(
            key="malt", name="dried extract", additions=(material("dried_malt_extract", "1.0"),), gates=MALT_GATES
        ),
    ),
)


def planned(choice: str = "", *written):
    return brewed(*written, plan=ev.Planned(name="x", kit=KIT, choice=choice))


def test_before_mixing_the_leaflet_and_the_choice_say_what_goes_in() -> None:
    assert makeup.ingredients_of(planned("malt")) == ONE_CAN_MALT
    assert all(line.basis is Basis.LEAFLET for line in makeup.makeup_of(planned("malt")).givens)


def test_without_a_choice_the_leaflets_first_is_taken_and_said_to_be() -> None:
    made = makeup.makeup_of(planned())
    assert made.ingredients == ONE_CAN_SUGAR
    assert made.assumed == ("the kit is made with sugar, its leaflet's first choice",)


def test_what_was_written_when_mixing_goes_before_the_leaflet() -> None:
    made = makeup.makeup_of(planned("sugar", (1, ev.Mixed(ingredients=TWO_CANS))))
    assert made.ingredients == TWO_CANS
    assert made.measured
    assert made.givens[0].seq == 2


def test_sugar_added_later_counts_and_finings_do_not() -> None:
    fed = ev.Added(what="honey", mass=q("500", "g"), purpose="fermentable", material="honey")
    fined = ev.Added(what="finings", mass=q("5", "g"), purpose="finings")
    found = makeup.ingredients_of(planned("sugar", (1, ev.Mixed()), (60, fed), (70, fined)))
    assert [i.material for i in found] == ["liquid_malt_extract", "sucrose", "honey"]


def test_extract_left_in_the_can_is_missing_from_the_gravity() -> None:
    left = (replace_left(TWO_CANS[0], "0.1"),)
    full = makeup.original_gravity_reckoned(TWO_CANS, 23, 0.3)
    less = makeup.original_gravity_reckoned(left, 23, 0.3)
    # 100 g of syrup are 80 g of extract, 3.5 g/L, 1.3 points.
    assert 1000 * (full.value - less.value) == pytest.approx(1.34, abs=0.03)


def replace_left(ingredient: ev.Ingredient, kilograms: str) -> ev.Ingredient:
    return ev.Ingredient(material=ingredient.material, mass=ingredient.mass, left_behind=q(kilograms, "kg"))


def test_a_labels_own_solids_go_before_the_tables() -> None:
    labelled = (ev.Ingredient(material="liquid_malt_extract", mass=q("3", "kg"), solids=q("75", "%")),)
    assert makeup.extract_g(labelled) == pytest.approx(2250)


# Mass balance: half a litre in 23 is 2.2 % or 0.9 points of 40; solids of 78 to 82 % are one point either way.
def test_the_interval_holds_what_volume_and_solids_can_move() -> None:
    sharp = makeup.original_gravity_reckoned(TWO_CANS, 23, 0.0)
    assert 1000 * (sharp.high - sharp.low) / 2 == pytest.approx(1.08, abs=0.1)
    dull = makeup.original_gravity_reckoned(TWO_CANS, 23, 0.5 / 1.645)
    assert 1000 * (dull.high - dull.low) / 2 == pytest.approx((1.08**2 + 0.9**2) ** 0.5, abs=0.1)


def test_nothing_known_has_no_gravity_and_says_so() -> None:
    figure = makeup.original_gravity_reckoned((), 23, 0.5)
    assert isnan(figure.value)
    assert "not known" in figure.text()


def test_the_leaflets_final_gravity_moves_the_expectation_which_then_holds_its_range() -> None:
    bare = makeup.final_gravity_expected(ONE_CAN_SUGAR, 1.0396, 0.001)
    leaflet = makeup.final_gravity_expected(ONE_CAN_SUGAR, 1.0396, 0.001, SUGAR_GATES, leaflet_volume_l=23)
    assert bare.value < leaflet.value < 1.005
    assert leaflet.low > bare.low
    assert leaflet.high == pytest.approx(1.006, abs=1e-4)  # who stops at the leaflet's upper end has not stopped early


def test_a_leaflet_that_does_not_fit_the_make_up_is_left_out_and_said_to_be() -> None:
    figure = makeup.final_gravity_expected(TWO_CANS, 1.0402, 0.001, ev.Gates(final_to=q("1.000", "SG")))
    assert figure.value == pytest.approx(makeup.final_gravity_expected(TWO_CANS, 1.0402, 0.001).value)
    assert "left out" in figure.working.steps[-1]


def test_lactose_raises_the_final_gravity_by_all_it_brings() -> None:
    # 24 g/L of lactose: some 9 points that stay.
    stout = (*TWO_CANS, material("lactose", "0.55"))
    og = makeup.original_gravity_reckoned(stout, 23, 0.3).value
    plain = makeup.final_gravity_expected(TWO_CANS, 1.0402).value
    assert 1000 * (makeup.final_gravity_expected(stout, og).value - plain) == pytest.approx(8.7, abs=0.6)


def test_unknown_ingredients_leave_a_wide_expectation() -> None:
    figure = makeup.final_gravity_expected((), 1.042)
    assert figure.low < 1.004
    assert figure.high > 1.013


def test_gates_follow_what_was_weighed_rather_than_what_was_planned() -> None:
    assert makeup.leaflet_gates(planned("sugar")) == SUGAR_GATES
    swapped = planned("sugar", (1, ev.Mixed(ingredients=ONE_CAN_MALT)))
    assert makeup.leaflet_gates(swapped) == MALT_GATES
    own_way = planned("sugar", (1, ev.Mixed(ingredients=BOOSTED)))
    assert makeup.leaflet_gates(own_way) == ev.Gates()
    assert makeup.leaflet_gates(brewed()) == ev.Gates()


def test_gates_of_a_kit_without_choices_belong_to_its_own_make_up() -> None:
    kit = ev.Kit(name="All malt", ingredients=TWO_CANS, volume=q("23", "L"), gates=MALT_GATES)
    assert makeup.leaflet_gates(brewed(plan=ev.Planned(name="x", kit=kit))) == MALT_GATES
    sugared = brewed((1, ev.Mixed(ingredients=ONE_CAN_SUGAR)), plan=ev.Planned(name="x", kit=kit))
    assert makeup.leaflet_gates(sugared) == ev.Gates()


def test_body_is_told_in_plain_words() -> None:
    words = [makeup.body_words(makeup.body_g_per_l(i, 23)) for i in (ONE_CAN_SUGAR, ONE_CAN_MALT)]
    assert words == ["light", "medium"]
    assert makeup.body_words(makeup.body_g_per_l(TWO_CANS, 16)) == "full"


def test_by_weight_uses_the_volume_that_was_read() -> None:
    brew = planned("sugar", (1, ev.Mixed(volume=q("25", "L"), volume_from="jug")))
    figure = makeup.og_by_weight(brew, shelf_with())
    assert figure.value == pytest.approx(1.0364, abs=0.0003)
    assert any(line.value == "25 L" for line in figure.working.inputs)


def test_a_plato_gravity_is_read_as_specific_gravity() -> None:
    assert makeup.sg_of(q("10", "°P")) == pytest.approx(1.04003, abs=2e-5)  # NBS C440 Table 114
