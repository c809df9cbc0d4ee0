"""Tasting: when, how strong, causes of a fault by this brew's own log, and two brews side by side. All are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import ONE_CAN_SUGAR, at, brewed, q, setting
from finished import COLD, DAY, LEVEL, ROOM, act, asked, beer_at, bottled, by_days, keys, lot, primed, read
from gylebook.errors import GylebookError, InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import voice
from gylebook.phrases import tell
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.strength import strength_of
from gylebook.steps.tasting import STEP, TASTE
from gylebook.steps.tasting_compare import compare
from gylebook.steps.tasting_facts import gather
from gylebook.steps.tasting_faults import ALSO, FAULTS, fault_named, ranked


def answer(brew: Brew, days: float, *things: ev.Event, **texts: str) -> Answer:
    return STEP.answer(brew, setting(*things, hours=days * DAY), asked(STEP, **texts))


def in_bottles(*more: tuple[float, ev.Event], place: str = "room") -> Brew:
    return by_days(*LEVEL, primed(), bottled(place), *more)


def likeliest(brew: Brew, fault: str, days: float = 60) -> tuple[str, str]:
    cause, evidence = ranked(FAULTS[fault], gather(brew, setting(ROOM, hours=days * DAY)))[0]
    return cause.words, evidence.words


# --- when and how strong ------------------------------------------------------------------------------------------


def test_young_beer_waits_ripe_beer_is_drunk_and_old_beer_is_not_thrown_away() -> None:
    assert answer(in_bottles(), 18, ROOM).urgency is Urgency.WAIT
    assert answer(in_bottles(), 30, ROOM).headline.startswith("Open one to see")
    assert answer(in_bottles(), 60, ROOM).headline == "Drink it: it is in its good time."
    assert "not past drinking" in answer(in_bottles(), 400, ROOM).headline


def test_dry_hopped_beer_is_at_its_best_sooner() -> None:
    hopped = by_days((9.0, ev.Hopped(hop="Invented hop", mass=q("40", "g"))), *LEVEL, primed(), bottled())
    assert "dry hops fade" in answer(hopped, 40, ROOM).why


def test_strength_counts_priming_and_has_its_interval() -> None:
    brew = in_bottles()
    found = strength_of(brew, setting(ROOM, hours=20 * DAY))
    plain = strength_of(by_days(*LEVEL), setting(ROOM, hours=20 * DAY))
    # 6.1 g/L of sugar make 6.1 / 2.0665 g of alcohol a litre, 0.38 % vol
    assert found.value - plain.value == pytest.approx(0.38, abs=0.02)
    assert found.low < found.value < found.high
    assert found.high - found.low >= 0.3


def test_strength_of_an_unread_brew_is_that_which_is_to_be_expected() -> None:
    found = strength_of(by_days(), setting(hours=48))
    assert 3.0 < found.value < 4.5


def test_units_are_those_of_the_bottles_that_were_filled() -> None:
    small = by_days(*LEVEL, primed(), bottled("room", lot("returnable_330", 60, "330")))
    found = answer(small, 60, ROOM)
    assert found.figure("units").label == "Units in 330 mL"
    assert found.figure("units").value == pytest.approx(found.figure("abv").value * 0.33)


# --- faults -------------------------------------------------------------------------------------------------------


def test_plaster_after_bleach_that_was_not_rinsed_is_laid_at_the_bleach() -> None:
    brew = in_bottles((0.2, ev.Cleaned(what="bucket", agent="bleach", rinsed=False)))
    cause, seen = likeliest(brew, "sticking plaster")
    assert cause == "chlorine left on the gear"
    assert "no rinse" in seen


def test_plaster_after_rinsed_bleach_is_laid_at_the_tap_water() -> None:
    brew = in_bottles((0.2, ev.Cleaned(what="bucket", agent="bleach", rinsed=True)))
    assert likeliest(brew, "sticking plaster")[0] == "chlorine in the tap water"


def test_solvent_after_a_hot_start_is_laid_at_the_start_and_does_not_fade() -> None:
    brew = in_bottles((1.0, beer_at("29")))
    assert likeliest(brew, "hot or solvent") == ("a hot start", "29 °C in the first days")
    found = answer(brew, 60, ROOM, faults="solvent")
    assert "does not fade" in found.why


def test_green_apple_in_young_beer_fades_and_says_when_to_taste_again() -> None:
    brew = in_bottles()
    assert likeliest(brew, "green apple", days=20)[0] == "it is young"
    assert "taste again in 21 days" in answer(brew, 20, ROOM, faults="apple").why


def test_a_cause_that_the_log_speaks_against_sinks_below_one_it_speaks_for() -> None:
    hasty = by_days((3.0, read("1.012")), (7.0, bottled()[1]))
    assert likeliest(hasty, "green apple", days=10)[0] == "it is young"
    assert likeliest(hasty, "green apple", days=90) == ("taken off the yeast too soon", "off the yeast after 7 days")


def test_thin_beer_of_much_sugar_is_laid_at_the_sugar() -> None:
    brew = brewed(
        (1.0, ev.Mixed(ingredients=ONE_CAN_SUGAR, volume=q("23", "L"))), (2.0, ev.Pitched(temp=q("20", "°C")))
    )
    cause, seen = likeliest(brew, "thin")
    assert cause == "much plain sugar"
    assert seen == "42 % of the extract was plain sugar"  # 1000 of 2360 g


def test_evidence_names_its_entry() -> None:
    found = answer(in_bottles((1.0, beer_at("29"))), 60, ROOM, faults="hot")
    chosen = next(option for option in found.options if option.chosen)
    assert "(entry " in chosen.words
    assert "Next time:" in chosen.words


def test_other_words_for_a_fault_are_understood_and_unknown_ones_are_kept() -> None:
    assert fault_named("Antiseptic") is FAULTS["sticking plaster"]
    assert fault_named("Butterscotch") is FAULTS["butter"]
    assert fault_named("like my aunt's curtains") is None
    assert "unknown_fault" in keys(answer(in_bottles(), 60, ROOM, faults="curtains"))


def test_faults_are_understood_as_the_book_names_them_in_german() -> None:
    german = voice("de", Measures)
    assert all(fault_named(tell(fault.key, german)) is fault for fault in FAULTS.values())
    assert fault_named("Grüner Apfel") is FAULTS["green apple"]
    assert fault_named("Lichtgeschmack") is FAULTS["skunky"]


def test_no_two_faults_share_a_word() -> None:
    seen: dict[str, str] = {}
    for fault in FAULTS.values():
        for word in (fault.key, *fault.names, *ALSO[fault.key]):
            assert seen.setdefault(word, fault.key) == fault.key


# --- the act ------------------------------------------------------------------------------------------------------


def taste(brew: Brew, **texts: str):
    return act(TASTE, brew, at(50 * DAY), setting(ROOM, hours=50 * DAY), texts)


def test_a_tasting_is_written_in_the_brewers_own_words() -> None:
    decision = taste(in_bottles(), score="7", words="Dry, a bit of pear.", faults="pear; odd", again="yes")
    event = decision.events[0][1]
    assert event == ev.Tasted(score=7, faults=("pear", "odd"), words="Dry, a bit of pear.", again=True)
    assert {"cause", "unknown_fault"} <= set(keys(decision))


def test_an_empty_tasting_is_refused() -> None:
    with pytest.raises(Refused, match="a word or a score is enough"):
        taste(in_bottles())


def test_a_score_of_eleven_is_refused_by_the_field() -> None:
    with pytest.raises(GylebookError, match="From 1 to 10"):
        taste(in_bottles(), score="11")


@settings(max_examples=60)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            name: st.one_of(st.text(max_size=16), st.sampled_from(["7", "yes", "butter, sour", "flat"]))
            for name in ("score", "words", "faults", "again", "change")
        },
    )
)
def test_random_words_are_read_or_refused_and_never_break(texts: dict[str, str]) -> None:
    for brew in (brewed(), in_bottles()):
        try:
            decision = taste(brew, **texts)
        except GylebookError:
            continue
        assert decision.events


# --- two brews ----------------------------------------------------------------------------------------------------


def other(brew: Brew) -> Brew:
    return replace(brew, id="b2")


def test_only_what_differs_is_told_the_largest_first() -> None:
    warm = in_bottles((1.0, beer_at("28")))
    thin = by_days(*LEVEL, primed(), bottled(), volume="24.5")
    found = compare(warm, other(thin), setting(ROOM, hours=60 * DAY))
    names = [option.name for option in found.options]
    assert names[0] == "Warmest in the first days"
    assert "Pitched at" not in names
    assert "one comparison" in found.why
    assert found.headline.startswith(
        "Invented ale and Invented ale differ most in warmest in the first days (28.0 °C and 20.0 °C)"
    )


def test_every_number_compared_is_a_figure_of_its_brew_with_its_working() -> None:
    warm, thin = in_bottles((1.0, beer_at("28"))), by_days(*LEVEL, primed(), bottled(), volume="27")
    found = compare(warm, other(thin), setting(ROOM, hours=60 * DAY))
    numbers = {option.name: option.figures for option in found.options}
    volumes = numbers["Volume mixed"]
    assert [each.label for each in volumes] == ["Brew b1", "Brew b2"]
    assert [each.value for each in volumes] == pytest.approx([22.4, 27.0], abs=0.1)
    assert {each.key for option in found.options for each in option.figures} >= {"mixed_b1", "mixed_b2"}
    keys = [each.key for option in found.options for each in option.figures]
    assert len(keys) == len(set(keys))
    assert all(each.working.relation and each.working.inputs for figures in numbers.values() for each in figures)


def test_what_differs_by_less_than_its_own_error_is_not_told() -> None:
    """Both volumes are good to about a litre, so a litre and a half between them is more, and half a litre is not."""
    near = by_days(*LEVEL, primed(), bottled(), volume="22.9")
    names = [option.name for option in compare(in_bottles(), other(near), setting(ROOM, hours=60 * DAY)).options]
    assert "Volume mixed" not in names
    assert "Original gravity" not in names


def test_a_gravity_that_is_still_falling_is_no_final_gravity() -> None:
    fermenting = by_days((4.0, read("1.020")))
    found = compare(in_bottles(), other(fermenting), setting(ROOM, hours=60 * DAY))
    assert "Final gravity" not in [option.name for option in found.options]


def test_a_brew_is_not_put_beside_itself() -> None:
    with pytest.raises(InputError, match="does not differ from itself"):
        compare(in_bottles(), in_bottles(), setting(ROOM, hours=60 * DAY))


def test_two_brews_that_are_alike_are_said_to_be_alike() -> None:
    found = compare(in_bottles(), other(in_bottles()), setting(ROOM, hours=60 * DAY))
    assert found.options == ()
    assert "are the same" in found.headline


def test_what_is_known_of_one_only_is_asked_for() -> None:
    plain = by_days((8.0, read("1.012")))
    found = compare(in_bottles(place="cold"), other(plain), setting(COLD, hours=60 * DAY))
    assert "days in the vessel" in found.missing


def test_cloudy_beer_is_laid_at_age_cold_hops_or_wheat() -> None:
    fault = fault_named("bits")
    assert fault is not None
    assert fault is fault_named("hazy")
    causes = " ".join(cause.words for cause in fault.causes)
    for word in ("yeast", "chilled", "hops", "wheat", "infection"):
        assert word in causes
    assert "goes as the glass warms" in fault.fades
