"""Dry hopping: dose, time, loss and what follows. Every brew here is invented; doses derived by division."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import TWO_CANS, at, brewed, q, setting
from gylebook.errors import InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.dry_hopping import HOP, HOPS_OUT, STEP, answer
from gylebook.steps.hop_times import hops_in, in_at, waiting
from gylebook.steps.outlook import outlook

DAY = 24.0


def read(gravity: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), fizz="flat")


def hop(grams: str = "66", days: int | None = 3, name: str = "Invented hop") -> ev.Hopped:
    return ev.Hopped(hop=name, mass=q(grams, "g"), form="pellets", planned_days=days)


def begun(*later: tuple[float, ev.Event], plan: ev.Planned | None = None) -> Brew:
    start = (
        (0.2, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"), temp=q("20", "°C"), stirred="well")),
        (1.0, ev.Pitched(temp=q("20", "°C"))),
    )
    return brewed(*start, *((1.0 + d * DAY, event) for d, event in later), plan=plan)


def ask(brew: Brew, day: float, **asked: object) -> Answer:
    return answer(brew, setting(hours=1 + day * DAY), asked)


def kit_with_hops(**more: object) -> ev.Planned:
    plan = ev.HopPlan(name="Invented hop", mass=q("100", "g"), **more)
    kit = ev.Kit(name="Invented kit", ingredients=TWO_CANS, volume=q("23", "L"), hops=(plan,))
    return ev.Planned(name="Invented ale", kit=kit)


def test_sixty_grams_in_twenty_litres_is_three_grams_a_litre_and_costs_about_a_bottle() -> None:
    said = ask(begun((8, read("1.013"))), 8, mass=q("60", "g"), volume=q("20", "L"))
    assert said.figure("dose").value == pytest.approx(3.0)
    assert said.figure("beer_lost").value == pytest.approx(0.45, abs=0.01)
    assert said.figure("bottles_lost").value == pytest.approx(0.9, abs=0.05)
    assert said.headline == "Hops can go in now, for two to four days."
    assert "two fresh readings" in said.why


def test_a_hundred_grams_in_twenty_litres_cost_three_quarters_of_a_litre() -> None:
    said = ask(begun((8, read("1.013"))), 8, mass=q("100", "g"), volume=q("20", "L"))
    assert said.figure("beer_lost").low == pytest.approx(0.70, abs=0.01)
    assert said.figure("beer_lost").high == pytest.approx(0.83, abs=0.01)


def test_the_gas_that_hops_may_wake_is_told_with_its_wide_interval() -> None:
    brew = begun((8, read("1.013")), (8, ev.TempSeen(of="beer", temp=q("20", "°C"))))
    said = ask(brew, 8, mass=q("200", "g"), volume=q("20", "L"), days=37)
    creep = said.figure("creep_co2")
    # PUBLISHED kirkpatrick_shellhammer_2018: 10 g/L took 2 °P of real extract in 40 days at 20 °C, 4.75 volumes.
    assert creep.value == pytest.approx(4.75, abs=0.35)
    assert creep.low < 0.5 * creep.value
    assert creep.high > creep.value


def test_it_is_not_yet_time_while_much_is_left_to_ferment() -> None:
    said = ask(begun((3, read("1.025"))), 3)
    assert said.headline == "Not yet: add them at 1.015 or below."
    assert said.urgency is Urgency.WAIT


def test_hops_that_are_in_come_out_on_the_planned_day_and_late_ones_today() -> None:
    brew = begun((8, read("1.013")), (8.1, hop()))
    assert ask(brew, 9).headline == "Leave the hops in; take them out on Friday."
    late = ask(brew, 13)
    assert late.headline == "Take the hops out: they were due Fri 13 Nov."
    assert late.urgency is Urgency.ACT


def test_after_the_hops_nothing_is_primed_before_fresh_readings() -> None:
    brew = begun((8, read("1.013")), (10, read("1.013")), (10.1, hop("165")), (13, ev.HopsRemoved()))
    said = ask(brew, 13)
    assert said.headline.startswith("Do not prime yet: hops can wake the yeast.")
    assert any(f.key == "hop_creep" for f in said.findings)


def test_a_dose_ten_times_too_high_is_questioned_in_the_answer() -> None:
    said = ask(begun((8, read("1.013"))), 8, mass=q("600", "g"), volume=q("20", "L"))
    assert said.findings[0].key == "doubtful_dose"


def test_above_eight_grams_a_litre_the_gain_is_small() -> None:
    said = ask(begun((8, read("1.013"))), 8, mass=q("200", "g"), volume=q("20", "L"))
    assert said.findings[0].key == "saturating_dose"


def test_without_any_hops_a_common_dose_is_assumed_and_asked_about() -> None:
    said = ask(begun((8, read("1.013"))), 8)
    assert said.assumed
    assert said.missing == "How many grams of hops, and in how many litres?"
    assert len(said.options) == 4


def test_the_kits_own_hops_are_taken_and_tick_off_once_in() -> None:
    brew = begun((8, read("1.013")), plan=kit_with_hops())
    assert ask(brew, 8).figure("dose").value == pytest.approx(100 / 22.9, abs=0.1)
    assert [plan.name for plan in waiting(brew)] == ["Invented hop"]
    assert waiting(begun((8, hop("100")), plan=kit_with_hops())) == ()


def test_the_leaflets_day_says_when_hops_go_in() -> None:
    brew = begun(plan=kit_with_hops(on_day=5))
    assert in_at(brew, outlook(brew, setting())) == at(1 + 5 * DAY)


def test_hops_taken_out_or_racked_or_bottled_are_no_longer_in() -> None:
    lots = (ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),)
    assert len(hops_in(begun((8, hop())))) == 1
    for end in (ev.HopsRemoved(), ev.Racked(), ev.Bottled(lots=lots), ev.HopsRemoved(hop="invented hop")):
        assert hops_in(begun((8, hop()), (11, end))) == ()
    assert len(hops_in(begun((8, hop()), (8.1, hop(name="Other hop")), (11, ev.HopsRemoved(hop="Other hop"))))) == 1


def test_dogs_and_foam_are_cautioned_about_where_the_hand_is() -> None:
    for cautions in (STEP.cautions, HOP.cautions):
        assert any("dogs" in caution for caution in cautions)
    assert any("dogs" in caution for caution in HOPS_OUT.cautions)
    assert any("foams over" in caution for caution in HOP.cautions)


# --- acts -------------------------------------------------------------------------------------------------------


def write(brew: Brew, days: float, confirmed: frozenset[str] = frozenset(), **values: object):
    moment = 1 + days * DAY
    return HOP.decide(brew, values, at(moment), setting(hours=moment, confirmed=confirmed))


def test_hops_are_written_as_given_and_the_question_opened() -> None:
    brew = begun((8, read("1.013")))
    decided = write(brew, 8.2, hop="Invented hop", mass=q("60", "g"), form="pellets", bagged=True, planned_days=3)
    ((_, event),) = decided.events
    assert event == ev.Hopped(hop="Invented hop", mass=q("60", "g"), form="pellets", bagged=True, planned_days=3)
    assert [finding.key for finding in decided.findings] == ["hop_creep"]
    assert decided.findings[0].text.startswith("Out again Friday")


def test_more_than_fifteen_grams_a_litre_is_asked_about_and_kept_when_confirmed() -> None:
    brew = begun((8, read("1.013")))
    with pytest.raises(InputError, match="most unusual"):
        write(brew, 8.2, hop="x", mass=q("600", "g"))
    decided = write(brew, 8.2, frozenset({"mass"}), hop="x", mass=q("600", "g"))
    assert "doubtful_dose" in [finding.key for finding in decided.findings]


def test_hops_do_not_go_into_bottled_beer() -> None:
    lots = (ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),)
    with pytest.raises(Refused, match="in bottles"):
        write(begun((12, ev.Bottled(lots=lots))), 14, hop="x", mass=q("60", "g"))


def test_early_hops_and_hops_before_the_yeast_are_told() -> None:
    early = write(begun((3, read("1.030"))), 3.1, hop="x", mass=q("60", "g"))
    assert "early_hops" in [finding.key for finding in early.findings]
    before = HOP.decide(brewed(), {"hop": "x", "mass": q("60", "g")}, at(1), setting(hours=1))
    assert "before_yeast" in [finding.key for finding in before.findings]


def test_hops_that_never_went_in_cannot_come_out() -> None:
    with pytest.raises(Refused, match="No hops were written down"):
        HOPS_OUT.decide(begun(), {}, at(200), setting(hours=200))
    decided = HOPS_OUT.decide(begun((8, hop())), {"hop": ""}, at(1 + 11 * DAY), setting(hours=1 + 11 * DAY))
    assert decided.events[0][1] == ev.HopsRemoved()
    assert "dog" in decided.findings[0].text


@settings(deadline=None, max_examples=30)
@given(st.floats(1, 3000), st.floats(1, 200), st.integers(0, 40))
def test_any_dose_in_any_volume_has_an_answer(grams: float, litres: float, days: int) -> None:
    said = ask(begun((8, read("1.013"))), 9, mass=q(f"{grams:.1f}", "g"), volume=q(f"{litres:.1f}", "L"), days=days)
    assert said.figure("dose").value > 0
    assert said.figure("creep_points").low <= said.figure("creep_points").value <= said.figure("creep_points").high
