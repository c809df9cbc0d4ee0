"""The forecast without a brew. Readings are invented; what is checked follows from them by plain sense."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import pytest

from finished import asked, keys
from gylebook.errors import InputError
from gylebook.steps.answers import Answer, Basis, Figure
from gylebook.steps.forecast_typed import typed_of
from gylebook.steps.sums import SUMS

LEVEL = "day 4: 1.018\nday 7: 1.0125\nday 9: 1.0115\nday 12: 1.0115"
HIGH = "day 4: 1.028\nday 7: 1.0205\nday 10: 1.020"


def values(**texts: str) -> dict[str, Any]:
    return asked(SUMS["forecast"].fields, **{"original": "1.042", **texts})


def reckon(**texts: str) -> Answer:
    return SUMS["forecast"].reckon(values(**texts))


def value(answer: Answer, key: str) -> float:
    return answer.figure(key).value


def test_a_level_beer_at_its_expected_end_is_finished() -> None:
    answer = reckon(readings=LEVEL)
    assert answer.headline.startswith("Finished, as far as these readings tell: under 1 %")
    assert answer.figure("gas_over").words == "under 1 %"
    assert value(answer, "fg") == pytest.approx(1.0116, abs=0.001)
    assert answer.missing == ""
    assert answer.course is not None
    assert answer.course.next_day is None
    assert answer.options[0].name == "Done"


def test_a_beer_that_stopped_high_is_not_and_the_forced_sample_is_named() -> None:
    answer = reckon(original="1.048", readings=HIGH)
    assert answer.headline.startswith("Not yet: ")
    assert "halted" in {option.figures[0].key.removeprefix("story_") for option in answer.options}
    assert answer.missing.startswith("Forced sample:")


def test_a_forced_sample_settles_what_a_hydrometer_cannot() -> None:
    before = value(reckon(original="1.048", readings=HIGH), "gas_over")
    low = value(reckon(original="1.048", readings=HIGH, forced="1.011"), "gas_over")
    high = value(reckon(original="1.048", readings=HIGH, forced="1.0195"), "gas_over")
    assert high < before < low


def test_sugar_and_the_brewers_own_attenuation_move_the_end_before_any_reading() -> None:
    malt, sugar, own = (reckon(**more) for more in ({}, {"sugar": "40 %"}, {"attenuation": "85 %"}))
    assert value(sugar, "fg") < value(malt, "fg") - 0.002
    assert typed_of(values(attenuation="85 %")).expected.value == pytest.approx(1.0063)
    assert value(own, "fg") == pytest.approx(1.0063, abs=0.0015)
    assert malt.headline.startswith("Nothing was read yet; it should end near 1.01")


def test_a_cold_beer_takes_longer_and_lager_yeast_works_colder() -> None:
    warm, cold = (reckon(readings="day 3: 1.030", temp=temp) for temp in ("20 °C", "20 °C\nday 3: 13 °C"))
    assert value(cold, "end_day") > value(warm, "end_day") + 1
    assert typed_of(values(yeast="lager")).evidence.warmth.works_c == 13.0
    assert typed_of(values(temp="20\nday 5: 12 °C")).evidence.warmth.temp_c == (20.0, 12.0)


def test_hops_keep_the_question_open_and_are_marked_on_the_course() -> None:
    plain, hopped = reckon(readings=LEVEL), reckon(readings=LEVEL, hops="8 g/L", hops_day="11")
    assert value(hopped, "gas_over") > value(plain, "gas_over")
    assert hopped.course is not None
    assert hopped.course.marks == ((11.0, "hops in"),)


def test_a_reading_that_does_not_fit_is_named_and_asked_to_be_repeated() -> None:
    answer = reckon(readings=f"{LEVEL}\nday 13: 1.024")
    assert "gross" in keys(answer)
    assert "day 13: 1.024" in next(f.text for f in answer.findings if f.key == "gross")
    assert answer.missing.startswith("Repeat the last reading")


def test_a_warm_sample_is_corrected_and_a_fizzy_one_may_have_been_lifted() -> None:
    cool, warm, fizzy = typed_of(
        values(readings="day 5: 1.012\nday 6: 1.012 at 30 °C\nday 7: 1.012 at 20 °C, fizzy")
    ).evidence.readings
    assert warm.gravity_sg > cool.gravity_sg + 0.001
    assert fizzy.lift_sg > cool.lift_sg
    assert cool.sd_sg > fizzy.sd_sg  # its temperature was not written


def test_today_is_the_last_reading_unless_it_is_said() -> None:
    assert typed_of(values(readings=LEVEL)).evidence.now_day == 12.0
    later = reckon(readings="day 4: 1.018", now="9")
    assert value(later, "points_left") < value(reckon(readings="day 4: 1.018"), "points_left")
    today = next(g for g in reckon(readings="day 4: 1.018").figure("fg").working.inputs if g.name == "today")
    assert (today.value, today.basis, today.where) == ("day 4", Basis.ASSUMED, "the last reading")


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        ({"readings": "day 4: 1.018\nday 9: 1.012", "now": "7"}, "Readings, line 2: day 9 is still to come on day 7"),
        ({"readings": "day 4: 1.018\nfroth"}, "Readings, line 2: “froth” does not begin with a day"),
        ({"hops": "4 g/L"}, "They went in on day: nothing was written"),
        ({"hops": "4 g/L", "hops_day": "5", "readings": "day 4: 1.018"}, "day 5 is still to come on day 4"),
        ({"original": "1.001"}, "Original gravity: 1.0010 is hardly wort"),
        ({"temp": "20\nday 3: soup"}, "The beer's temperature, line 2"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field_and_line(texts: dict[str, str], told: str) -> None:
    with pytest.raises(InputError) as caught:
        reckon(**texts)
    assert told in str(caught.value)


def test_the_course_holds_the_readings_the_fan_and_the_end_by_the_make_up() -> None:
    course = reckon(readings="day 3: 1.025\nday 5: 1.016", now="6").course
    assert course is not None
    assert [seen.day for seen in course.seen] == [3.0, 5.0]
    assert course.day[0] == 0.0
    assert course.day[-1] > 6.0
    lines = (course.low_sg, course.half_low_sg, course.middle_sg, course.half_high_sg, course.high_sg)
    assert all(len(line) == len(course.day) for line in lines)
    assert all(list(column) == sorted(column) for column in zip(*lines, strict=True))
    assert course.end_sg[1] < course.end_sg[0] < course.end_sg[2]


def test_every_figure_has_its_interval_its_half_or_is_a_chance() -> None:
    answer = reckon(readings="day 3: 1.025\nday 5: 1.016", now="6")
    for found in answer.figures:
        assert isinstance(found, Figure)
        if found.interval == "chance":
            assert 0 <= found.value <= 100
            continue
        assert found.half is not None
        assert found.low <= found.half[0] <= found.value <= found.half[1] <= found.high
    assert sum(option.figures[0].value for option in answer.options) == pytest.approx(100, abs=4)
    assert [option.chosen for option in answer.options] == [True, *[False] * (len(answer.options) - 1)]


def test_the_same_readings_give_the_same_numbers() -> None:
    one, other = reckon(readings=LEVEL), reckon(readings=LEVEL)
    assert [f.value for f in one.figures if isinstance(f, Figure)] == [
        f.value for f in other.figures if isinstance(f, Figure)
    ]


def test_no_other_sum_waits_for_the_forecaster() -> None:
    code = (
        "import sys; from gylebook.cli.main import main; from gylebook.steps.sums import SUMS; SUMS['forecast']; "
        "code = main(['reckon', 'priming', '--volume', '20 L']); "
        "sys.exit(code or 'scipy' in sys.modules or 'gylebook.forecast.forecast' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True)
    assert done.returncode == 0, done.stderr
