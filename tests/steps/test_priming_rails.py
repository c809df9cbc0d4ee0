"""Every rail of priming: what is refused without a written reason, what is warned of, and that the reason stays.

All brews are invented. The rails are those of the trade's own slips: 10 g/L and more, 4 volumes in unknown glass, a
worst bottle past the one published ceiling of glass, sugar before the end, and sugar given twice or in two ways.
"""

from __future__ import annotations

import pytest

from brewing import at, q, setting
from finished import DAY, GARAGE, LEVEL, act, bottled, by_days, keys, lot, primed, read
from gylebook.errors import InputError, Refused
from gylebook.journal import events as ev
from gylebook.outputs.entries import entry_words
from gylebook.steps.answers import Urgency
from gylebook.steps.bottling import STEP as BOTTLING
from gylebook.steps.conditioning import STEP as CONDITIONING
from gylebook.steps.priming import PRIME, STEP

NOW = 15 * DAY
WANTED = ev.Planned(name="Invented ale", co2_wanted=q("2.4", "vol"), place="room")
OURS = ev.BottlesKept(name="ours", kind="returnable_500", size=q("500", "mL"), count=60)
STRONG = ev.BottlesKept(name="champagne ones", kind="heavy", size=q("750", "mL"), count=60)
THIN = ev.BottlesKept(name="thin ones", kind="one_way", size=q("330", "mL"), count=90)
SCALE = ev.InstrumentKept(name="letter scale", what="scale", step=q("0.1", "g"))


def done(*later, **more):
    return by_days(*LEVEL, *later, plan=more.pop("plan", WANTED), **more)


def prime(brew, *things, **texts):
    return act(PRIME, brew, at(NOW), setting(*things, hours=NOW), texts)


def garage_plan():
    return ev.Planned(name="Invented ale", co2_wanted=q("2.4", "vol"), place="garage")


# name, the brew, what is on the shelf, what is written, and the finding that the written reason leaves
REFUSED = {
    "more than ten grams a litre": (done, (STRONG,), {"mass": "215 g", "volume": "20 L"}, "sugar_tenfold"),
    "ten grams in each half litre": (
        done,
        (STRONG,),
        {"mass": "10 g", "how": "each bottle", "bottles": "40"},
        "sugar_tenfold",
    ),
    "two heaped teaspoons in each half litre": (
        done,
        (STRONG,),
        {"measured": "heaped teaspoon", "measures": "2", "how": "each bottle", "bottles": "40"},
        "sugar_tenfold",
    ),
    "more than four volumes in glass of unknown make": (
        done,
        (),
        {"mass": "232 g", "volume": "16 L", "sugar": "glucose_monohydrate"},
        "unknown_glass",
    ),
    "the worst bottle past the published ceiling of glass, at the warmest": (
        lambda: done(plan=garage_plan()),
        (OURS, GARAGE),
        {"mass": "170 g", "volume": "20 L"},
        "pressure",
    ),
    "not finished": (
        lambda: by_days((3.0, read("1.020")), plan=WANTED),
        (OURS,),
        {"mass": "60 g", "volume": "20 L"},
        "not_finished",
    ),
    "no yeast yet": (lambda: by_days(plan=WANTED), (OURS,), {"mass": "60 g", "volume": "20 L"}, "not_finished"),
    "sugar doubled": (lambda: done(primed()), (OURS,), {"mass": "126 g", "volume": "20.6 L"}, "sugar_tenfold"),
    "the batch, and the bottles too": (
        lambda: done(primed("60")),
        (OURS,),
        {"mass": "0.5 g", "how": "each bottle", "bottles": "40"},
        "primed_both",
    ),
    "the bottles, and the batch too": (
        lambda: done((15.0, ev.Primed(sugar="sucrose", mass=q("1", "g"), how="each bottle", bottles=40))),
        (OURS,),
        {"mass": "20 g", "volume": "20 L"},
        "primed_both",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_breaks_a_rail_is_refused_and_says_how_it_can_be_written(case: str) -> None:
    brew, things, texts, _ = REFUSED[case]
    with pytest.raises(Refused) as refused:
        prime(brew(), *things, **texts)
    assert PRIME.fields[-1].label in str(refused.value)
    assert "kept" in str(refused.value)


@pytest.mark.parametrize("case", REFUSED)
def test_with_a_reason_it_is_written_and_the_rail_is_named(case: str) -> None:
    brew, things, texts, key = REFUSED[case]
    decision = prime(brew(), *things, **texts, against_advice="it is in already")
    assert decision.events[0][1].against_advice == "it is in already"
    assert key in keys(decision)


@pytest.mark.parametrize("case", REFUSED)
def test_an_empty_reason_is_none(case: str) -> None:
    brew, things, texts, _ = REFUSED[case]
    with pytest.raises(Refused):
        prime(brew(), *things, **texts, against_advice="   ")


WARNED = {
    "less than three grams a litre": (done, (OURS,), {"mass": "50 g", "volume": "23 L"}, "sugar_little"),
    "less than three grams a litre of cold beer": (
        lambda: by_days((8.0, read("1.012", "4")), (11.0, read("1.012", "4")), plan=WANTED),
        (OURS,),
        {"mass": "50 g", "volume": "23 L", "against_advice": "it is in already"},
        "sugar_little",
    ),
    "more than the weakest bottle bears at the warmest": (
        lambda: done(plan=garage_plan()),
        (THIN, GARAGE),
        {"mass": "110 g", "volume": "20 L", "against_advice": "it will be drunk by Friday"},
        "not_fit",
    ),
    "a second addition, small enough": (
        lambda: done(primed("80")),
        (OURS,),
        {"mass": "20 g", "volume": "20 L"},
        "primed_twice",
    ),
    "three grams on a scale of one": (
        done,
        (OURS,),
        {"mass": "2.5 g", "how": "each bottle", "bottles": "40"},
        "coarse_scale",
    ),
}


@pytest.mark.parametrize("case", WARNED)
def test_what_is_doubtful_is_written_with_a_warning(case: str) -> None:
    brew, things, texts, key = WARNED[case]
    decision = prime(brew(), *things, **texts)
    assert key in keys(decision)


def test_an_ordinary_dose_breaks_and_warns_of_nothing() -> None:
    assert keys(prime(done(), OURS, mass="125 g", volume="20.6 L")) == ["primed"]


def test_a_scale_of_tenths_is_fine_enough_for_each_bottle() -> None:
    assert keys(prime(done(), OURS, SCALE, mass="3.0 g", how="each bottle", bottles="40")) == ["primed"]


# --- the reason, later --------------------------------------------------------------------------------------------


def overruled(*later):
    return done((15.0, ev.Primed(sugar="sucrose", mass=q("126", "g"), volume=q("20.6", "L"), against_advice="a wager")),
                *later)  # fmt: skip


@pytest.mark.parametrize(
    ("step", "brew"),
    [
        (STEP, overruled()),
        (BOTTLING, overruled()),
        (BOTTLING, overruled(bottled())),
        (CONDITIONING, overruled(bottled())),
    ],
)
def test_the_reason_is_told_wherever_the_bottles_are_spoken_of(step, brew) -> None:
    found = next(f for f in step.answer(brew, setting(OURS, hours=16 * DAY), {}).findings if f.key == "against_advice")
    assert "a wager" in found.text
    assert found.seq == brew.first(ev.Primed).seq


def test_the_log_tells_the_reason() -> None:
    assert "against the book's advice, because: a wager" in entry_words(overruled().first(ev.Primed).event)


# --- spoons, drops, syringes --------------------------------------------------------------------------------------


def test_spoons_that_were_counted_are_kept_as_counted_and_stand_for_what_they_usually_hold() -> None:
    event = prime(done(), OURS, measured="level teaspoon", measures="0.5", how="each bottle", bottles="40").events[0][1]
    assert (str(event.measures), event.measured, str(event.mass)) == ("0.5", "level teaspoon", "2.10 g")
    assert "by level teaspoon" in entry_words(event)


@pytest.mark.parametrize(
    ("texts", "label"),
    [
        ({"measures": "0.5"}, "How many spoons"),
        ({"measures": "0.5", "measured": "scale"}, "How many spoons"),
        ({"measures": "0.5", "measured": "level teaspoon", "sugar": "honey"}, "How many spoons"),
        ({"measures": "0.5", "measured": "level teaspoon", "mass": "6 g"}, "How many spoons"),
        ({"measured": "level teaspoon"}, "How much"),
    ],
)
def test_spoons_of_which_nothing_is_known_are_refused_by_name(texts, label) -> None:
    with pytest.raises(InputError, match=label):
        prime(done(), OURS, how="each bottle", bottles="40", **texts)


def test_half_a_spoon_for_the_whole_batch_is_taken_for_the_slip_that_it_is() -> None:
    with pytest.raises(InputError, match="next to nothing; choose each bottle"):
        prime(done(), OURS, measured="level teaspoon", measures="0.5")
    assert prime(done(), OURS, measured="level teaspoon", measures="28").events[0][1].how == "whole batch"


def worst_bar(measured: str) -> float:
    """The worst of forty half litres at 25 °C with the same 126 g, by the way it was measured."""
    event = ev.Primed(
        sugar="sucrose", mass=q("3.15", "g"), how="each bottle", bottles=40, volume=q("20.6", "L"), measured=measured
    )
    brew = done((15.0, event), bottled("room", lot()))
    found = BOTTLING.answer(brew, setting(OURS, SCALE, hours=16 * DAY), {})
    return next(f for f in found.figures if f.key == "pressure_warm").high


def test_the_worst_bottle_is_worse_the_coarser_the_measure() -> None:
    drops, scale, level, heaped = (worst_bar(m) for m in ("syringe", "scale", "level teaspoon", "heaped teaspoon"))
    assert drops < scale < level < heaped


def test_without_a_scale_teaspoons_are_told_for_each_size_with_what_they_do_to_the_worst() -> None:
    asked = {"volume": q("20.6", "L"), "bottles": "30 x 500 mL brown returnable\n20 x 330 mL brown returnable"}
    found = STEP.answer(done(), setting(hours=NOW), asked)
    for key in ("spoons", "spoons_330"):
        assert found.figure(key).low < found.figure(key).value < found.figure(key).high
    assert found.figure("spoons").value == pytest.approx(3.0 / 4.2, rel=0.05)
    assert found.figure("spoon_worst").value > found.figure("if_short_worst").value
    kept = STEP.answer(done(), setting(SCALE, hours=NOW), asked)
    assert not {"spoons_330", "spoon_worst"} & {f.key for f in kept.figures}


def test_asked_for_spoons_the_answer_counts_them_and_says_that_a_scale_is_better() -> None:
    asked = {"volume": q("20.6", "L"), "measured": "level teaspoon", "bottles": "42 x 500 mL brown returnable"}
    found = STEP.answer(done(), setting(SCALE, hours=NOW), asked)
    assert found.headline.startswith("About 0.7 × level teaspoon of table sugar (sucrose) into each 500 mL bottle")
    assert "A scale is better" in next(f.text for f in found.findings if f.key == "by_spoon")


def test_the_step_of_the_kept_scale_tells_what_weighing_is_worth() -> None:
    asked = {"volume": q("20.6", "L"), "bottles": "42 x 500 mL brown returnable"}
    usual = STEP.answer(done(), setting(hours=NOW), asked)
    assert usual.figure("scale_batch").value == pytest.approx(50 / 125, abs=0.01)  # half a gram of 125
    assert usual.figure("scale_bottle").value == pytest.approx(50 / 3.04, rel=0.02)
    assert usual.figure("scale_bottle").working.cautions
    fine = STEP.answer(done(), setting(SCALE, hours=NOW), asked)
    assert fine.figure("scale_bottle").value == pytest.approx(5 / 3.04, rel=0.02)
    assert not fine.figure("scale_bottle").working.cautions


def test_syrup_by_the_millilitre_holds_all_the_sugar() -> None:
    asked = {"volume": q("20.6", "L"), "bottles": "42 x 500 mL brown returnable"}
    found = STEP.answer(done(), setting(hours=NOW), asked)
    each, whole = found.figure("dosing_500").value, found.figure("dosing").value
    assert each / whole == pytest.approx(0.5 / 20.6)
    assert "0.30 g of sugar in each mL" in found.figure("dosing").text()
    by_syringe = STEP.answer(done(), setting(hours=NOW), {**asked, "measured": "syringe"})
    assert "made up to 412 mL, 10.0 mL into each 500 mL bottle" in by_syringe.headline


# --- half a litre wrong -------------------------------------------------------------------------------------------


def test_half_a_litre_wrong_is_told_as_gas_and_as_the_worst_bottles_pressure() -> None:
    found = STEP.answer(done(), setting(OURS, hours=NOW), {"volume": q("20", "L"), "mass": q("120", "g")})
    gas = 120 * 0.51428 / 1.97681 / 20
    for key, litres in (("if_short", 19.5), ("if_long", 20.5)):
        assert found.figure(key).value - 0.88 == pytest.approx(gas * 20 / litres, abs=0.02)
        assert found.figure(key).low < found.figure(key).value < found.figure(key).high
        assert found.figure(key).working.steps
    assert found.figure("if_short_worst").value > found.figure("if_long_worst").value


def test_once_primed_half_a_litre_wrong_is_still_told_until_it_is_bottled() -> None:
    before = {f.key for f in STEP.answer(overruled(), setting(OURS, hours=NOW + 1), {}).figures}
    after = {f.key for f in STEP.answer(overruled(bottled()), setting(OURS, hours=16 * DAY), {}).figures}
    assert {"if_short", "if_short_worst", "if_long", "if_long_worst"} <= before
    assert not {"if_short", "if_long"} & after


def test_the_order_of_mixing_stands_among_the_cautions() -> None:
    words = " ".join(PRIME.cautions)
    assert "Syrup first, the beer quietly on top of it; stir gently, and again every 8 to 10 bottles." in words
    assert all(f.urgency is not Urgency.DANGER for f in STEP.answer(done(), setting(OURS, hours=NOW), {}).findings)
