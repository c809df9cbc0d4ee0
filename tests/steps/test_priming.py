"""Priming: the dose, what it rests on, the rails, and the written reason. All brews are invented.

The customary dose is 4.0 g/L of table sugar for each volume, with the printed table of residual gas (Draper & Hibberd
1996): 20.6 L, 2.4 volumes, 20 °C want (2.4 − 0.88) × 4.0 × 20.6 = 125 g.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import TWO_CANS, at, brewed, q, setting
from finished import DAY, LEVEL, act, asked, beer_at, bottled, by_days, keys, lot, primed, read
from gylebook.errors import GylebookError, InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.science.interval import Span
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.bottle_kinds import bottle_of
from gylebook.steps.priming import PRIME, STEP
from gylebook.steps.priming_dose import Outcome, rails

WANTED = ev.Planned(name="Invented ale", co2_wanted=q("2.4", "vol"))
NOW = 15 * DAY


def answer(brew: Brew, *things: ev.Event, **texts: str) -> Answer:
    return STEP.answer(brew, setting(*things, hours=NOW), asked(STEP, **texts))


def prime(brew: Brew, *things: ev.Event, **texts: str):
    return act(PRIME, brew, at(NOW), setting(*things, hours=NOW), texts)


def finished_brew(**more) -> Brew:
    return by_days(*LEVEL, plan=WANTED, **more)


# --- the dose -----------------------------------------------------------------------------------------------------


def test_twenty_litres_and_a_half_at_twenty_degrees_want_about_126_grams() -> None:
    found = answer(finished_brew(), volume="20.6 L", warmest="20 °C")
    assert found.figure("sugar").value == pytest.approx(126, abs=2)
    assert found.figure("sugar").low == pytest.approx(120.4, abs=0.5)  # by the molar masses alone
    assert "Weigh 125 g" in found.headline


def test_the_ceiling_of_returnable_bottles_in_a_thirty_degree_garage_is_told() -> None:
    found = answer(finished_brew(), bottles="40 x 500 mL brown returnable", store="30 °C")
    assert found.figure("ceiling").value == pytest.approx(2.9, abs=0.05)
    assert "2.9 volumes" in found.why


def test_a_litre_less_than_thought_is_more_fizz() -> None:
    found = answer(finished_brew(), volume="20.6 L")
    assert found.figure("if_short").value > found.figure("co2").value > found.figure("if_long").value
    assert "If there is a litre less than you think" in found.why


def test_the_volume_comes_from_the_log_and_not_from_the_leaflet() -> None:
    found = answer(finished_brew())
    # 22.4 L less five samples of 0.15 L (one is before the yeast or not: all are taken) and 1.4 L of sediment
    assert found.figure("volume").value == pytest.approx(22.4 - 4 * 0.15 - 1.4, abs=0.01)
    assert found.missing == "Which bottles will it go into?"


def test_sugar_bought_for_what_was_mixed_is_too_much_for_what_is_left() -> None:
    found = answer(finished_brew(), volume="18 L")
    finding = next(f for f in found.findings if f.key == "wrong_litres")
    assert "× 0.80" in finding.text  # 18 of 22.4 litres


def test_every_sugar_is_offered_and_the_hydrate_weighs_more() -> None:
    options = {option.name: option.figures[0].value for option in answer(finished_brew()).options}
    sucrose = next(value for name, value in options.items() if "sucrose" in name)
    hydrate = next(value for name, value in options.items() if "monohydrate" in name)
    assert hydrate / sucrose == pytest.approx(0.51428 / 0.44415, rel=1e-3)  # carbon dioxide of each by molar mass
    assert len(options) == 5


def test_doses_for_single_bottles_and_a_spoon_with_its_spread_are_given() -> None:
    found = answer(finished_brew(), bottles="20 x 500 mL brown returnable\n30 x 330 mL brown returnable")
    assert found.figure("each_500").value == pytest.approx(found.figure("sugar").value * 0.5 / 20.4, rel=0.02)
    spoons = found.figure("spoons")
    assert spoons.low < spoons.value < spoons.high


def test_the_leaflets_own_dose_stands_beside() -> None:
    kit = ev.Kit(
        name="Larch Lane bitter",
        ingredients=(),
        volume=q("23", "L"),
        priming_sugar="sucrose",
        priming_per_litre=q("5", "g/L"),
    )
    brew = by_days(*LEVEL, plan=ev.Planned(name="x", kit=kit))
    found = answer(brew, volume="20 L")
    assert found.figure("leaflet").value == pytest.approx(100)


# --- the warmest, not the cold ------------------------------------------------------------------------------------


def test_a_chilled_beer_is_primed_for_its_warmest_since_the_end() -> None:
    chilled = by_days(*LEVEL, (14.5, beer_at("3")), plan=WANTED)
    found = answer(chilled)
    assert found.figure("warmest").value == pytest.approx(20.0)
    assert found.figure("residual").value == pytest.approx(0.88, abs=0.005)


def test_asking_for_the_cold_is_answered_with_how_flat_it_would_be() -> None:
    found = answer(finished_brew(), volume="21 L", warmest="3 °C")
    finding = next(f for f in found.findings if f.key == "cold_temperature")
    assert "too little" in finding.text
    # residual 1.55 for 0.88 volumes at 4.0 g/L in 21 L are about 56 g
    assert "56 g" in finding.text


# --- what is still to ferment -------------------------------------------------------------------------------------


def test_a_brew_without_yeast_waits_and_is_told_no_gas_to_come() -> None:
    found = answer(brewed((0.2, ev.Mixed(ingredients=TWO_CANS, volume=q("20.5", "L"))), plan=WANTED), volume="18 L")
    assert found.urgency is found.findings[0].urgency is Urgency.WAIT
    assert found.headline.startswith("Nothing to prime yet: no yeast")
    assert found.figure("co2_to_come").words == "more than any bottle holds"


def test_the_water_of_the_syrup_is_told_in_round_millilitres() -> None:
    assert answer(by_days(*LEVEL, plan=WANTED), volume="20.6 L").figure("syrup").text() == "about 300 mL"


def test_litres_that_were_mixed_are_told_as_they_were_written() -> None:
    half = brewed((0.2, ev.Mixed(ingredients=TWO_CANS, volume=q("20.5", "L"))), plan=WANTED)
    texts = [f.text for f in answer(half, volume="16 L").findings if f.key == "wrong_litres"]
    assert "the 20.5 L that were mixed" in texts[0]


def test_an_unfinished_brew_is_told_so_before_any_dose() -> None:
    found = answer(by_days((3.0, read("1.022")), plan=WANTED))
    assert found.urgency is found.findings[0].urgency is Urgency.ACT
    assert found.headline.startswith("Not yet")
    assert keys(found)[0] == "not_finished"


def test_the_dose_of_an_unfinished_brew_is_the_one_that_it_would_want_once_it_is_done() -> None:
    early = answer(by_days((3.0, read("1.030")), plan=WANTED), volume="20.6 L", warmest="20 °C")
    assert early.figure("sugar").value == pytest.approx(126, abs=2)
    assert "More gas than any bottle holds could still come in the bottle" in early.findings[0].text
    assert not any(finding.urgency is Urgency.DANGER for finding in early.findings)


def test_sugar_given_to_an_unfinished_brew_is_reckoned_with_all_that_may_come() -> None:
    found = answer(by_days((3.0, read("1.020")), plan=WANTED), volume="20.6 L", mass="126 g")
    assert found.urgency is Urgency.DANGER
    assert found.figure("co2").value > 5.0


def test_no_sugar_is_wanted_where_the_beer_holds_enough() -> None:
    found = answer(finished_brew(), warmest="10 °C", co2="1.2 vol")
    assert found.headline.startswith("No sugar")


# --- the rails ----------------------------------------------------------------------------------------------------


def test_a_usual_dose_is_written_with_what_it_gives() -> None:
    decision = prime(finished_brew(), mass="126 g", volume="20.6 L")
    assert decision.events[0][1] == ev.Primed(sugar="sucrose", mass=q("126", "g"), volume=q("20.6", "L"))
    assert keys(decision) == ["primed"]


def test_a_decimal_comma_is_kept_as_written() -> None:
    decision = prime(finished_brew(), mass="126,5 g")
    assert decision.events[0][1].mass.text == "126,5"


def test_more_than_ten_grams_a_litre_is_refused() -> None:
    with pytest.raises(Refused, match="too much for glass"):
        prime(finished_brew(), mass="230 g", volume="20 L")


def test_ten_grams_in_each_half_litre_are_refused_with_their_pressure() -> None:
    with pytest.raises(Refused, match=r"20\.0 g/L of sugar makes 6\.\d volumes"):
        prime(finished_brew(), mass="10 g", how="each bottle", bottles="40")


def test_a_written_reason_lets_it_be_written_and_the_danger_stays_said() -> None:
    decision = prime(finished_brew(), mass="250 g", volume="20 L", against_advice="it is in already")
    event = decision.events[0][1]
    assert event.against_advice == "it is in already"
    assert {"sugar_tenfold", "pressure", "unknown_glass"} <= set(keys(decision))
    assert all(f.urgency is Urgency.DANGER for f in decision.findings if f.key in {"sugar_tenfold", "pressure"})


def test_priming_before_the_end_wants_a_reason() -> None:
    early = by_days((3.0, read("1.016")), plan=WANTED)
    with pytest.raises(Refused, match="not known to be finished"):
        prime(early, mass="60 g")
    decision = prime(early, mass="60 g", against_advice="bottles are PET and go into the fridge")
    assert "not_finished" in keys(decision)


def test_glass_of_unknown_make_stops_at_four_volumes_where_heavy_bottles_do_not() -> None:
    much = Outcome(150, "sucrose", Span(4.0, 4.1, 4.2), 4.3, 8.0)
    unknown = bottle_of("unknown_glass", q("500", "mL"), 40, Shelf())
    heavy = bottle_of("heavy", q("750", "mL"), 30, Shelf())
    assert [f.key for f in rails(much, (unknown,), 15.0)] == ["unknown_glass"]
    assert [f.key for f in rails(much, (), 15.0)] == ["unknown_glass"]
    assert rails(much, (heavy,), 15.0) == ()


def test_the_worst_bottle_in_twenty_past_the_one_published_ceiling_is_refused_warm_and_not_cool() -> None:
    # 4.0 volumes make 4.93 bar at 30 °C and 2.43 at 10 °C by the brewing chart's fit; glass stops at 4.7 bar
    given = Outcome(180, "sucrose", Span(3.4, 3.5, 3.6), 4.0, 9.0)
    heavy = (bottle_of("heavy", q("750", "mL"), 30, Shelf()),)
    assert [f.key for f in rails(given, heavy, 30.0)] == ["pressure"]
    assert rails(given, heavy, 10.0) == ()


def test_too_little_sugar_is_said_to_be_nearly_flat() -> None:
    found = answer(by_days(*LEVEL), volume="23 L", mass="50 g")
    assert "sugar_little" in keys(found)


def test_doubled_sugar_counts_together_and_is_asked_about() -> None:
    brew = by_days(*LEVEL, primed("100"), plan=WANTED)
    with pytest.raises(Refused):
        prime(brew, mass="126 g", volume="20.6 L")
    decision = prime(brew, mass="20 g", volume="20.6 L")
    assert keys(decision)[0] == "primed_twice"


def test_doubled_sugar_that_is_written_is_danger_on_the_page() -> None:
    brew = by_days(*LEVEL, primed(), (15.05, primed()[1]), bottled())
    found = answer(brew)
    assert found.urgency is Urgency.DANGER
    assert "primed_twice" in keys(found)
    # 0.88 in it, and twice 126 g in 20.6 L by the molar masses
    assert found.figure("co2").value == pytest.approx(0.88 + 2 * 126 * 0.51428 / 1.97681 / 20.6, abs=0.02)


def test_once_primed_the_answer_is_to_add_no_more() -> None:
    found = answer(by_days(*LEVEL, primed()))
    assert found.urgency is Urgency.NOTHING
    assert "Add no more" in found.headline


def test_forgotten_sugar_is_answered_with_a_dose_for_each_bottle() -> None:
    found = answer(by_days(*LEVEL, bottled()))
    assert "forgot" in keys(found)
    assert "into each 500 mL bottle" in found.headline


def test_bottles_that_must_never_be_filled_are_danger() -> None:
    found = answer(finished_brew(), bottles="20 x 750 mL wine")
    assert next(f for f in found.findings if f.key == "never_bottle").urgency is Urgency.DANGER


def test_a_bottle_line_that_cannot_be_read_names_its_line() -> None:
    with pytest.raises(InputError, match="line 2"):
        answer(finished_brew(), bottles="20 x 500 mL brown\nsome more")


def test_nothing_written_for_the_mass_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="How much"):
        PRIME.decide(finished_brew(), {}, at(NOW), setting(hours=NOW))


def test_an_answer_comes_even_from_an_empty_brew() -> None:
    found = STEP.answer(by_days(), setting(hours=2.0), {})
    assert found.headline
    assert found.assumed


@settings(max_examples=60)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            name: st.one_of(
                st.text(max_size=12), st.sampled_from(["12", "3 g", "0", "-4 kg", "9999 g", "5 US gal", "yes"])
            )
            for name in ("sugar", "mass", "how", "volume", "bottles", "syrup_water", "against_advice")
        },
    )
)
def test_random_words_are_read_or_refused_and_never_break(texts: dict[str, str]) -> None:
    brew = by_days(*LEVEL, primed(), bottled("room", lot("unheard-of kind")))
    try:
        decision = prime(brew, **texts)
    except GylebookError:
        return
    assert decision.events
