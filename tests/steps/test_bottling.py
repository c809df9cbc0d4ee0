"""Bottling: counts from a mixed set, what each kind is fit for, and what was really filled. All brews are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import at, q, setting
from finished import COLD, DAY, GARAGE, LEVEL, ROOM, act, asked, by_days, keys, lot, primed, read
from gylebook.errors import GylebookError, InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.bottle_kinds import bottle_of, weakest, words_to_keys
from gylebook.steps.bottling import BOTTLE, STEP

NOW = 15 * DAY
MIXED_SET = "24 x 500 mL brown returnable\n12 x 330 mL swing-top\n10 x 500 mL PET"


def answer(brew: Brew, *things: ev.Event, **texts: str) -> Answer:
    return STEP.answer(brew, setting(*things, hours=NOW), asked(STEP, **texts))


def bottle(brew: Brew, *things: ev.Event, **texts: str):
    return act(BOTTLE, brew, at(NOW), setting(*things, hours=NOW), texts)


def ready(plan: ev.Planned | None = None) -> Brew:
    return by_days(*LEVEL, primed(), plan=plan)


# --- counts -------------------------------------------------------------------------------------------------------


def test_a_mixed_set_is_filled_in_order_and_the_rest_is_told() -> None:
    found = answer(ready(), volume="20.2 L", bottles=MIXED_SET)
    assert found.headline == "20.2 L: 24 × 500 mL brown returnable + 12 × 330 mL swing-top + 8 × 500 mL PET."
    # 20.2 less 0.2 under the tap, less 12, 3.96 and 4.0
    assert found.figure("left").value == pytest.approx(0.04, abs=0.001)


def test_twenty_one_litres_are_about_forty_one_half_litres_or_sixty_three_small_ones() -> None:
    found = answer(ready(), volume="21 L")
    assert found.figure("count_500").value == 41
    assert found.figure("count_330").value == 63
    assert found.missing == "Which bottles are at hand, and how many?"


def test_bottles_kept_on_the_shelf_are_used_strongest_first() -> None:
    thin = ev.BottlesKept(name="thin clear", kind="one_way", size=q("500", "mL"), count=30)
    brown = ev.BottlesKept(name="brown ones", kind="returnable_500", size=q("500", "mL"), count=30)
    found = answer(ready(), thin, brown, volume="20.2 L")
    assert found.headline.startswith("20.2 L: 30 × 500 mL brown ones + 10 × 500 mL thin clear")


def test_bottles_that_stand_full_of_another_brew_are_not_filled_again() -> None:
    brown = ev.BottlesKept(name="brown ones", kind="returnable_500", size=q("500", "mL"), count=50)
    where = setting(brown, hours=NOW)
    there = replace(where, full_bottles=lambda: {"500 mL brown ones": 30, "330 mL others": 9})
    asking = asked(STEP, volume="20.2 L")
    assert "40 × 500 mL brown ones." in STEP.answer(ready(), where, asking).headline
    assert "20 × 500 mL brown ones; 10.0 L are left over" in STEP.answer(ready(), there, asking).headline


def test_bottles_that_must_never_be_filled_take_no_beer() -> None:
    found = answer(ready(), volume="10 L", bottles="6 x 750 mL wine\n40 x 500 mL brown returnable")
    assert found.headline == "10.0 L: 19 × 500 mL brown returnable."
    assert next(f for f in found.findings if f.key == "never_bottle").urgency is Urgency.DANGER


def test_too_few_bottles_are_said_with_what_is_left_over() -> None:
    found = answer(ready(), volume="20 L", bottles="10 x 500 mL brown returnable")
    assert "14.8 L are left over" in found.headline


# --- what they are fit for ----------------------------------------------------------------------------------------


def test_words_of_fitness_are_fit_fit_below_and_never() -> None:
    found = answer(ready(), bottles="10 x 500 mL brown returnable\n10 x 500 mL clear\n1 x 750 mL wine", store="26 °C")
    words = {option.name.split(" mL ")[1]: option.words for option in found.options}
    assert words["brown returnable"].startswith("fit. ")
    assert words["light one-way"].startswith("fit if kept below 15 °C")
    assert words["wine bottle"].startswith("never. ")


def test_no_sentence_says_that_a_bottle_is_safe() -> None:
    found = answer(ready(), bottles=MIXED_SET, store="30 °C")
    told = " ".join(
        [
            found.headline,
            found.why,
            *found.cautions,
            *(o.words for o in found.options),
            *(f.text for f in found.findings),
        ]
    )
    assert "safe" not in told.lower()


def test_the_warm_months_of_the_place_make_the_pressure() -> None:
    plan = ev.Planned(name="x", place="garage")
    warm = answer(ready(plan), GARAGE).figure("pressure_warm")
    cool = answer(ready(ev.Planned(name="x", place="cold")), COLD).figure("pressure_warm")
    assert warm.label == "Pressure at 34 °C"
    assert warm.value > 2 * cool.value


def test_glass_above_a_litre_and_a_bit_is_never_fit_whatever_its_kind() -> None:
    assert bottle_of("heavy", q("1.5", "L"), 1, Shelf()).fit_words(2.0, 2.2, 10.0) == "never"
    assert bottle_of("pet", q("1.5", "L"), 1, Shelf()).fit_words(2.0, 2.2, 10.0) == "fit"


def test_washes_lower_what_glass_is_fit_for() -> None:
    worn = ev.BottlesKept(name="old brown", kind="returnable_500", size=q("500", "mL"), count=1, washes=40)
    new = ev.BottlesKept(name="new brown", kind="returnable_500", size=q("500", "mL"), count=1)
    shelf = setting(worn, new).shelf
    old, fresh = (bottle_of(name, q("500", "mL"), 1, shelf) for name in ("old brown", "new brown"))
    assert old.limit_bar.low < fresh.limit_bar.low
    assert weakest((fresh, old)) is old


def test_a_word_that_nobody_knows_counts_as_glass_of_unknown_make() -> None:
    assert bottle_of("grandmother's", q("500", "mL"), 1, Shelf()).kind.key == "unknown_glass"
    assert weakest(()).kind.key == "unknown_glass"


def test_every_kind_of_bottle_can_be_written_by_its_own_name() -> None:
    from gylebook.science.glass import BOTTLES

    words = words_to_keys(Shelf())
    for key in BOTTLES:
        name = bottle_of(key, q("500", "mL"), 1, Shelf()).name
        assert words[name.lower()] == key


def test_unfinished_beer_is_measured_before_it_is_sealed() -> None:
    found = answer(by_days((3.0, read("1.020"))))
    assert found.urgency is Urgency.MEASURE
    assert "not_finished" in keys(found)
    assert found.headline.startswith("Not yet: ")
    assert "Were it done, " in found.headline
    assert found.assumed[1] == "Gas: finished, and primed to 2.3 volumes (an ordinary ale)"


def test_primed_beer_that_is_not_known_to_be_finished_is_told_to_finish_under_an_airlock() -> None:
    found = answer(by_days((3.0, read("1.020")), primed()))
    assert found.headline.startswith("Primed, but not known to be finished: unless it is, let it finish")


def test_bottles_unfit_for_their_place_are_filled_only_where_the_fit_ones_do_not_suffice() -> None:
    hot = {"store": "32 °C", "volume": "20.4 L"}
    enough = answer(ready(), bottles="40 x 500 mL PET\n10 x 330 mL thin clear", **hot)
    assert enough.headline == "20.4 L: 40 × 500 mL PET."
    few = answer(ready(), bottles="30 x 500 mL PET\n10 x 330 mL thin clear", **hot)
    assert "10 × 330 mL" in few.headline
    assert "too_warm" in keys(few) or "not_fit" in keys(few)


def test_a_kind_that_is_kept_and_not_chosen_is_a_note_and_alarms_nobody() -> None:
    brown = ev.BottlesKept(name="brown ones", kind="returnable_500", size=q("500", "mL"), count=60)
    thin = ev.BottlesKept(name="clear thins", kind="one_way", size=q("330", "mL"), count=30)
    hot = {"store": "24 °C", "volume": "20.4 L"}
    both = answer(ready(), brown, thin, **hot)
    assert "clear thins" not in both.headline
    (note,) = [finding for finding in both.findings if "clear thins" in finding.text]
    assert (note.urgency, note.check) == (Urgency.NOTHING, "They are left out.")
    assert both.urgency is Urgency.NOTHING
    used = answer(ready(), thin, **hot)  # nothing else is there
    asked_for = answer(ready(), brown, thin, **hot, bottles="50 x 500 mL brown ones\n30 x 330 mL clear thins")
    for found in (used, asked_for):
        assert {f.urgency for f in found.findings if "clear thins" in f.text} <= {Urgency.ACT, Urgency.DANGER}
        assert any("clear thins" in f.text for f in found.findings)


def test_the_warmest_place_is_told_in_whole_degrees_rounded_down() -> None:
    for option in answer(ready(), bottles=MIXED_SET).options:
        for shown in option.figures:
            assert shown.value == int(shown.value)
            assert "." not in shown.text()


def test_once_filled_the_answer_is_about_the_bottles_that_were_filled() -> None:
    brew = by_days(
        *LEVEL, primed(), (15.1, ev.Bottled(lots=(lot(), lot("swing_top", 5)), place="garage", cap_code="L7"))
    )
    found = answer(brew, GARAGE)
    assert found.headline == "Bottled: 40 × 500 mL brown returnable + 5 × 500 mL swing-top, caps marked L7."
    assert "too_warm" in keys(found)
    assert found.urgency is Urgency.ACT


# --- the act ------------------------------------------------------------------------------------------------------


def test_lots_are_written_by_lines_with_first_and_last() -> None:
    decision = bottle(
        ready(), ROOM, lots=MIXED_SET.replace("returnable", "returnable, first"), place="room", cap_code="L7"
    )
    event = decision.events[0][1]
    assert [(b.bottle, b.count, b.first) for b in event.lots] == [
        ("returnable_500", 24, True),
        ("swing_top", 12, False),
        ("pet", 10, False),
    ]
    assert (event.place, event.cap_code) == ("room", "L7")
    assert keys(decision) == ["bottled"]


def test_wine_bottles_that_were_filled_stay_written_and_are_danger() -> None:
    decision = bottle(ready(), lots="6 x 750 mL wine\n30 x 500 mL brown")
    assert len(decision.events[0][1].lots) == 2
    assert next(f for f in decision.findings if f.key == "never_bottle").urgency is Urgency.DANGER


def test_bottling_unfinished_beer_is_written_with_what_to_do() -> None:
    decision = bottle(by_days((3.0, read("1.020"))), lots="40 x 500 mL brown")
    assert keys(decision)[0] == "not_finished"


def test_less_beer_in_bottles_than_was_primed_is_more_sugar_in_each() -> None:
    decision = bottle(ready(), lots="30 x 500 mL brown", volume="20 L")
    finding = next(f for f in decision.findings if f.key == "less_beer")
    assert "33 % more sugar" in finding.text  # 20 litres' sugar in 15


def test_more_bottles_than_beer_is_asked_about() -> None:
    assert "too_many" in keys(bottle(ready(), lots="80 x 500 mL brown"))


def test_a_kind_that_is_not_known_is_refused_with_the_kinds_that_are() -> None:
    with pytest.raises(InputError, match="is no kind of bottle that is known here"):
        bottle(ready(), lots="10 x 500 mL glowing orbs")


def test_no_lines_at_all_are_refused() -> None:
    with pytest.raises(InputError, match="Bottles filled"):
        BOTTLE.decide(ready(), {"lots": "  \n "}, at(NOW), setting(hours=NOW))


@settings(max_examples=60)
@given(
    lots=st.one_of(
        st.text(max_size=60), st.sampled_from(["3 x 500 mL brown", "1 x 1 L heavy, last", "0 x 500 mL PET"])
    ),
    place=st.text(max_size=20),
    volume=st.one_of(st.just(""), st.text(max_size=8)),
)
def test_random_words_are_read_or_refused_and_never_break(lots: str, place: str, volume: str) -> None:
    try:
        decision = bottle(by_days(*LEVEL, (15.0, ev.Bottled(lots=(lot(),)))), lots=lots, place=place, volume=volume)
    except GylebookError:
        return
    assert decision.events
