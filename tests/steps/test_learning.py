"""Learning from finished brews. Closed forms are DERIVED: a normal number about a normal effect."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import exp, log, sqrt

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from brewing import ONE_CAN_SUGAR, TWO_CANS, at, brewed, q, setting, shelf_with
from finished import DAY, LEVEL, ROOM, bottled, by_days, primed, read
from gylebook.errors import InputError, NotFound
from gylebook.forecast.curve import progress
from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG, Evidence, Known
from gylebook.forecast.priors import families
from gylebook.journal import events as ev
from gylebook.steps.cards import card
from gylebook.steps.learned import (
    ATTENUATION_SD,
    BREW_PACE_SHARE,
    BREW_SHARE,
    GENERAL,
    KIT_SHARE,
    LEAVING_SHARE,
    OWN_PACE_SHARE,
    VESSEL_SHARE,
    YEAST_PACE_SHARE,
    YEAST_SHARE,
)
from gylebook.steps.learning import NOTHING_LEARNED, Taught, Told, learned, learned_for, taught, taught_to, teach
from gylebook.steps.lesson_pace import Fall, at_least, log_pace
from gylebook.steps.outlook import outlook
from gylebook.steps.shelf_lessons import KEEP_LESSONS
from gylebook.steps.volumes import SEDIMENT_L, SEDIMENT_SD_L
from gylebook.steps.warm_days import Track

KIT, YEAST = "Fernside stout", "house ale"
KNOWN = Known(attenuation=0.70, attenuation_sd=ATTENUATION_SD)


def lesson(number: int = 1, shift: float = -0.04, sd: float = 0.02, **more: object) -> Taught:
    """An invented lesson on attenuation."""
    given: dict[str, object] = {"kit": KIT, "yeast": YEAST, "attenuation": Told(shift, sd)}
    return Taught(brew=str(number), ended=at(24 * number), **{**given, **more})  # type: ignore[arg-type]


def shrunk(values: list[float], noise: float, before: float) -> tuple[float, float]:
    """Mean and variance of a normal effect of variance `before`, seen with noise of this variance."""
    variance = 1 / (1 / before + len(values) / noise)
    return variance * sum(values) / noise, variance


# --- shrinkage --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("values", [[-0.04], [-0.04, -0.02], [0.03, 0.01, -0.02, 0.04, 0.05]])
@pytest.mark.parametrize(("kit", "yeast"), [(KIT, YEAST), (KIT, ""), ("", YEAST)])
def test_attenuation_is_shrunk_as_the_closed_form_has_it(values: list[float], kit: str, yeast: str) -> None:
    told = learned(lesson(n, value, kit=kit, yeast=yeast) for n, value in enumerate(values))
    known_share = (KIT_SHARE if kit else 0) + (YEAST_SHARE if yeast else 0)
    open_variance = (1 - known_share) * ATTENUATION_SD**2
    mean, variance = shrunk(values, 0.02**2 + open_variance, known_share * ATTENUATION_SD**2)
    shift, sd, count = told.attenuation_shift(kit, yeast)
    assert (shift, sd, count) == (
        pytest.approx(mean, rel=1e-9),
        pytest.approx(sqrt(variance + open_variance), rel=1e-9),
        len(values),
    )


def test_the_pace_is_shrunk_as_the_closed_form_has_it() -> None:
    values = [0.3, 0.1, 0.2]
    told = learned(lesson(n, attenuation=None, log_pace=Told(v, 0.3)) for n, v in enumerate(values))
    noise = BREW_PACE_SHARE * GENERAL.pace_sd**2
    mean, variance = shrunk(values, 0.3**2 + noise, (OWN_PACE_SHARE + YEAST_PACE_SHARE) * GENERAL.pace_sd**2)
    median, sd, count = told.pace(YEAST)
    assert median == pytest.approx(GENERAL.pace * exp(mean), rel=1e-9)
    assert (sd, count) == (pytest.approx(sqrt(variance + noise), rel=1e-9), 3)


def test_another_yeast_shares_the_brewers_own_pace_only() -> None:
    told = learned(lesson(n, attenuation=None, log_pace=Told(0.3, 0.2)) for n in range(4))
    ours, other = told.pace(YEAST), told.pace("lager yeast")
    assert GENERAL.pace < other[0] < ours[0]
    assert ours[1] < other[1] < GENERAL.pace_sd


def test_what_a_vessel_keeps_is_shrunk_as_the_closed_form_has_it() -> None:
    told = learned(lesson(n, attenuation=None, vessel="white bucket", lost_l=Told(2.4, 0.4)) for n in range(3))
    noise = LEAVING_SHARE * SEDIMENT_SD_L**2
    mean, variance = shrunk([2.4 - SEDIMENT_L] * 3, 0.4**2 + noise, VESSEL_SHARE * SEDIMENT_SD_L**2)
    litres, sd, count = told.loss("White  bucket")
    assert litres == pytest.approx(SEDIMENT_L + mean, rel=1e-9)
    assert (sd, count) == (pytest.approx(sqrt(variance + noise), rel=1e-9), 3)


def test_a_hydrometers_error_and_a_vessels_marks_share_what_the_wort_told() -> None:
    """Two effects seen only as their sum part it by their variances."""
    told = learned(
        lesson(n, attenuation=None, vessel="bucket", offset=Told(0.002, 0.001), offset_of="long one") for n in range(50)
    )
    marks = 0.0008**2
    both, _ = shrunk([0.002] * 50, 0.001**2, USUAL_OFFSET_SD_SG**2 + marks)
    shift, sd, count = told.offset("long one")
    assert shift == pytest.approx(both * USUAL_OFFSET_SD_SG**2 / (USUAL_OFFSET_SD_SG**2 + marks), rel=1e-9)
    assert sd < USUAL_OFFSET_SD_SG
    assert count == 50


def test_an_unchecked_hydrometer_may_be_what_made_the_brews_seem_to_end_high() -> None:
    def shift(checked: tuple[str, ...]) -> float:
        brews = (lesson(n, hydrometer="long one", offset_bears=-25.0, checked=checked) for n in range(10))
        return learned(brews).attenuation_shift(KIT, YEAST)[0]

    assert abs(shift(("long one",))) > 1.1 * abs(shift(()))


one_lesson = st.builds(
    lesson,
    st.integers(1, 40),
    st.floats(-0.1, 0.1),
    st.floats(0.005, 0.05),
    kit=st.sampled_from(["", KIT, "Old lantern"]),
    yeast=st.sampled_from(["", YEAST, "wheat yeast"]),
    hydrometer=st.sampled_from(["", "long one"]),
    offset_bears=st.floats(-40, -10),
    log_pace=st.none() | st.builds(Told, st.floats(-1, 1), st.floats(0.1, 1)),
    offset=st.none() | st.builds(Told, st.floats(-0.003, 0.003), st.floats(0.0005, 0.003)),
    offset_of=st.sampled_from(["", "long one", "short one"]),
    vessel=st.sampled_from(["", "white bucket"]),
    lost_l=st.none() | st.builds(Told, st.floats(0, 4), st.floats(0.1, 1)),
)


@given(
    st.lists(one_lesson, max_size=8, unique_by=lambda x: x.brew).flatmap(
        lambda x: st.tuples(st.just(x), st.permutations(x))
    )
)
def test_the_order_in_which_brews_come_does_not_matter(both: tuple[list[Taught], list[Taught]]) -> None:
    one, other = learned(both[0]), learned(both[1])
    assert one == other
    for kit in ("", KIT, "never brewed"):
        for yeast in ("", YEAST):
            assert one.attenuation_shift(kit, yeast) == other.attenuation_shift(kit, yeast)
            assert one.pace(yeast) == other.pace(yeast)
    assert one.offset("long one") == other.offset("long one")
    assert one.loss("white bucket") == other.loss("white bucket")
    assert one.lines() == other.lines()


@given(
    st.lists(one_lesson, max_size=6, unique_by=lambda x: x.brew),
    st.sampled_from(["", KIT]),
    st.sampled_from(["", YEAST]),
)
def test_learning_never_widens_what_is_expected(lessons: list[Taught], kit: str, yeast: str) -> None:
    told = learned(lessons)
    slack = 1 + 1e-9
    assert told.attenuation_shift(kit, yeast)[1] <= ATTENUATION_SD * slack
    assert told.attenuation_shift(kit, yeast)[1] >= sqrt(BREW_SHARE) * ATTENUATION_SD / slack
    assert told.pace(yeast)[1] <= GENERAL.pace_sd * slack
    assert told.offset("long one")[1] <= USUAL_OFFSET_SD_SG * slack
    assert told.loss("white bucket")[1] <= SEDIMENT_SD_L * slack
    moved, lines = teach(KNOWN, told, kit, yeast, {0: "long one"})
    assert moved.attenuation_sd <= KNOWN.attenuation_sd * slack
    assert all(lines)
    if not lines:
        assert moved is KNOWN


def test_without_lessons_what_is_known_stays_exactly_the_same() -> None:
    assert learned(()) is NOTHING_LEARNED
    assert NOTHING_LEARNED.attenuation_shift(KIT, YEAST) == (0.0, ATTENUATION_SD, 0)
    assert NOTHING_LEARNED.pace(YEAST) == (GENERAL.pace, GENERAL.pace_sd, 0)
    assert NOTHING_LEARNED.offset("long one") == (0.0, USUAL_OFFSET_SD_SG, 0)
    assert NOTHING_LEARNED.loss("bucket") == (SEDIMENT_L, SEDIMENT_SD_L, 0)
    assert NOTHING_LEARNED.lines() == ()
    known, lines = teach(KNOWN, NOTHING_LEARNED, KIT, YEAST, {0: "long one"})
    assert known is KNOWN
    assert lines == ()


def test_a_brew_of_other_things_stays_exactly_as_it_was() -> None:
    told = learned([lesson()])
    known, lines = teach(KNOWN, told, "Old lantern", "wheat yeast", {0: "long one"})
    assert known is KNOWN
    assert lines == ()


def test_one_brew_moves_it_little_and_ten_that_agree_nearly_all_the_way() -> None:
    def after(count: int) -> tuple[float, float]:
        known, _ = teach(KNOWN, learned(lesson(n, -0.04, 0.015) for n in range(count)), KIT, YEAST, {})
        return (known.attenuation - KNOWN.attenuation) / -0.04, known.attenuation_sd / KNOWN.attenuation_sd

    moved, narrowed = zip(*map(after, range(11)), strict=True)
    assert moved[1] < 0.65
    assert moved[10] > 0.92
    assert list(moved) == sorted(moved)
    assert list(narrowed) == sorted(narrowed, reverse=True)
    assert narrowed[10] == pytest.approx(sqrt(BREW_SHARE), abs=0.05)


def test_a_wort_with_sugar_is_moved_less() -> None:
    told = learned(lesson(n) for n in range(5))
    malt, _ = teach(KNOWN, told, KIT, YEAST, {})
    sugar, _ = teach(replace(KNOWN, attenuation=0.92, attenuation_sd=0.5 * ATTENUATION_SD), told, KIT, YEAST, {})
    assert sugar.attenuation - 0.92 == pytest.approx(0.5 * (malt.attenuation - 0.70))
    assert sugar.attenuation_sd == pytest.approx(0.5 * malt.attenuation_sd)


def test_hydrometers_are_moved_by_their_numbers() -> None:
    told = learned(lesson(n, attenuation=None, offset=Told(0.001, 0.001), offset_of="long one") for n in range(6))
    known, lines = teach(replace(KNOWN, offsets=((1, 0.0, 0.0003),)), told, KIT, YEAST, {0: "Long one", 1: "short one"})
    assert known.offsets[0][:2] == (0, told.offset("long one")[0])
    assert known.offsets[1] == (1, 0.0, 0.0003)
    # 0.7² / (0.7² + (1² + 0.8²) / 6) of the 1.0 point that they told
    assert lines == (
        "Long one: learned from 6 of your brews, whose weights are known, that it reads 0.6 points too high",
    )


def test_what_was_learned_is_told_in_words() -> None:
    more = {"log_pace": Told(0.2, 0.1), "vessel": "white bucket", "lost_l": Told(2.4, 0.2)}
    told = learned(lesson(n, -0.02, 0.001, **more) for n in range(3))
    kit, pace, vessel = told.lines()
    # 0.70 / (0.70 + 0.30 / 3) of the 2.0 points that they told
    assert kit == (
        "attenuation of Fernside stout with house ale: learned from 3 of your brews, 1.7 points of a hundred lower than the "
        "make-up says"
    )
    assert pace.startswith("pace with house ale: learned from 3 of your brews, 18 % quicker than usual")
    assert vessel == "white bucket: learned from 3 of your brews, 2.1 L stay behind"
    assert told.attenuation_line(KIT, YEAST).startswith("attenuation of this kit: learned from 3")
    assert told.attenuation_line("another", YEAST).startswith("attenuation of this yeast: learned from 3")


# --- what one brew teaches --------------------------------------------------------------------------------------

FALLING = (2.0, read("1.030"))
GLASS = ev.InstrumentKept(name="long one", ref_temp=q("20", "°C"), offset=q("0.0010", "SG"))
SHELF = shelf_with(ROOM, GLASS)
CLOSED = (60.0, ev.Closed())


def test_a_finished_brew_teaches_what_it_did() -> None:
    found = taught(by_days(FALLING, *LEVEL, primed(), bottled(), CLOSED), shelf_with(ROOM))
    assert found is not None
    assert (found.yeast, found.ended) == (YEAST, at(60 * DAY))
    # 3.0 kg of extract of 80.3 % in 22.4 L give 1.0413; its make-up promises 70 %, it reached 70 %.
    assert found.attenuation is not None
    assert abs(found.attenuation.value) < 0.01
    assert 0.01 < found.attenuation.sd < 0.03
    assert found.offset_bears == pytest.approx(-1 / 0.0413, rel=0.01)
    assert found.log_pace is not None
    assert abs(found.log_pace.value) < 0.4
    assert found.offset is None
    assert found.lost_l is None


def test_a_brew_that_ends_lower_teaches_more_attenuation() -> None:
    lower = tuple((day, read("1.009") if isinstance(e, ev.Measured) else e) for day, e in LEVEL)
    one, other = (taught(by_days(*run, primed(), bottled(), CLOSED), SHELF) for run in (LEVEL, lower))
    assert one is not None
    assert other is not None
    assert one.attenuation is not None
    assert other.attenuation is not None
    assert other.attenuation.value - one.attenuation.value == pytest.approx(0.003 / 0.0413, rel=0.05)


@pytest.mark.parametrize(
    "more",
    [
        (),
        ((60.0, ev.Dumped(because="sour")),),
        (CLOSED, (61.0, ev.Dumped())),
        ((20.0, ev.Judged(verdict="infected")), CLOSED),
        ((30.0, ev.Burst()), CLOSED),
        ((30.0, ev.Opened(gushed=True)), CLOSED),
    ],
    ids=["open", "dumped", "closed and dumped", "infected", "burst", "gushed"],
)
def test_a_brew_that_is_not_finished_or_went_wrong_teaches_nothing(more: tuple[tuple[float, ev.Event], ...]) -> None:
    assert taught(by_days(FALLING, *LEVEL, primed(), bottled(), *more), SHELF) is None


def test_a_brew_that_contradicts_its_make_up_teaches_nothing() -> None:
    """As one with a kilogram of sugar that was not written down."""
    drier = tuple((day, read("0.996") if isinstance(e, ev.Measured) else e) for day, e in LEVEL)
    assert taught(by_days(*drier, primed(), bottled(), CLOSED), SHELF) is None


@pytest.mark.parametrize(
    "run",
    [
        (),
        ((4.0, read("1.020")),),
        ((4.0, read("1.020")), (5.5, read("1.015"))),
        ((8.0, read("1.0125")), (9.0, ev.Added(what="sugar", mass=q("0.5", "kg"), purpose="fermentable")), *LEVEL[3:]),
        (*LEVEL, (14.5, ev.Judged(verdict="stuck"))),
    ],
    ids=["no reading", "one early", "still falling", "sugar on the way", "given up"],
)
def test_an_end_that_was_not_read_teaches_no_attenuation(run: tuple[tuple[float, ev.Event], ...]) -> None:
    assert taught(by_days(*run, primed(), bottled(), CLOSED), shelf_with(ROOM)) is None


def test_a_single_late_reading_teaches_with_a_wider_error() -> None:
    one = taught(by_days((14.0, read("1.012")), primed(), bottled(), CLOSED), SHELF)
    many = taught(by_days(*LEVEL, primed(), bottled(), CLOSED), SHELF)
    assert one is not None
    assert many is not None
    assert one.attenuation is not None
    assert many.attenuation is not None
    assert one.attenuation.sd > 1.5 * many.attenuation.sd


def test_a_forced_sample_tells_the_end_of_a_brew_that_halted() -> None:
    forced = (6.0, ev.Measured(gravity=q("1.0115", "SG"), temp=q("20", "°C"), sample_from="forced sample", fizz="flat"))
    halted = tuple((day, read("1.018") if isinstance(e, ev.Measured) else e) for day, e in LEVEL)
    found = taught(by_days(forced, *halted, primed(), bottled(), CLOSED), SHELF)
    assert found is not None
    assert found.attenuation is not None
    assert found.attenuation.value == pytest.approx(0.0, abs=0.04)


def test_hops_widen_what_the_end_tells_unless_it_was_level_before_them() -> None:
    hop = ev.Hopped(hop="Sedgeway", mass=q("50", "g"))
    before, late = (taught(by_days(*LEVEL, (day, hop), primed(), bottled(), CLOSED), SHELF) for day in (14.2, 8.5))
    assert before is not None
    assert late is not None
    assert before.attenuation is not None
    assert late.attenuation is not None
    assert late.attenuation.sd > 2 * before.attenuation.sd


def test_wort_and_weights_together_tell_a_hydrometers_error_and_bottles_what_stayed_behind() -> None:
    plan = ev.Planned(name="Invented ale", vessel="white bucket")
    wort = (
        0.6 / DAY,
        ev.Measured(gravity=q("1.0435", "SG"), temp=q("20", "°C"), instrument="long one", stirred="well"),
    )
    brew = by_days(wort, *LEVEL, primed(), bottled(), CLOSED, plan=plan)
    found = taught(brew, SHELF)
    assert found is not None
    assert found.offset is not None
    # 1.0435 less the check's 0.0010 is 1.0425; the weights give 1.0413.
    assert found.offset.value == pytest.approx(0.0012, abs=0.0002)
    assert (found.offset_of, found.checked, found.vessel) == ("long one", ("long one",), "white bucket")
    # 22.4 L less five samples of 0.15 L, plus 126 g of sugar at 0.62 mL/g, less forty half litres.
    assert found.lost_l is not None
    assert found.lost_l.value == pytest.approx(22.4 - 5 * 0.15 + 0.078 - 20.0, abs=0.01)


def test_wort_in_layers_tells_nothing_of_the_hydrometer() -> None:
    wort = (0.6 / DAY, ev.Measured(gravity=q("1.060", "SG"), temp=q("20", "°C"), instrument="long one", stirred="well"))
    found = taught(by_days(wort, *LEVEL, primed(), bottled(), CLOSED), SHELF)
    assert found is not None
    assert found.offset is None


def test_working_a_lesson_out_anew_gives_the_same() -> None:
    written = (FALLING, *LEVEL, primed(), bottled(), CLOSED)
    found = taught(by_days(*written), SHELF)
    assert found is not None
    assert taught(by_days(*written), shelf_with(ROOM, GLASS)) == found
    assert msgspec.json.decode(msgspec.json.encode(found), type=Taught) == found
    assert learned([found]) == learned([found])
    assert hash(learned([found])) == hash(learned([found]))


# --- pace -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pace", [0.5, 1.0, 1.6])
def test_the_pace_of_a_curve_is_found_again(pace: float) -> None:
    days = np.array([1.5, 2.5, 3.5])
    usual = families(Evidence((), 0.0))[0]
    curve = usual.draw(np.zeros((usual.size, 1))).shape
    done, _ = progress(replace(curve, pace=np.array([pace])), days[:, None])
    falls = [Fall(day, 1.042 - 0.030 * share, 0.0007) for day, share in zip(days, done[:, 0], strict=True)]
    track = Track((at(0),), (20.0,), known=True, yeast="ale")
    found = log_pace(falls, 1.042, Told(1.012, 0.0005), track, at(0))
    assert found is not None
    assert found.value == pytest.approx(log(pace / GENERAL.pace), abs=0.12)
    assert 0.1 < found.sd < 0.5


@pytest.mark.parametrize(("bound", "bound_sd"), [(-0.3, 0.05), (0.0, 0.2), (0.4, 0.3)])
def test_a_least_pace_moves_the_general_one_as_integration_has_it(bound: float, bound_sd: float) -> None:
    """DERIVED: the general pace times the chance that the bound lies below it, integrated numerically."""
    general = GENERAL.pace_sd

    def moment(power: int) -> float:
        return quad(
            lambda x: x**power * norm.pdf(x, 0, general) * norm.cdf((x - bound) / bound_sd), -4, 4, points=[bound]
        )[0]

    mean = moment(1) / moment(0)
    variance = moment(2) / moment(0) - mean**2
    told = at_least(bound, bound_sd, general)
    assert told is not None
    after = 1 / (1 / general**2 + 1 / told.sd**2)
    assert after == pytest.approx(variance, rel=1e-6)
    assert after * told.value / told.sd**2 == pytest.approx(mean, rel=1e-6)


def test_a_first_reading_long_after_the_end_is_no_news_of_the_pace() -> None:
    assert at_least(-1.5, 0.2, GENERAL.pace_sd) is None


# --- forgetting -------------------------------------------------------------------------------------------------


def test_what_was_forgotten_says_nothing_more_and_later_brews_teach_anew() -> None:
    lessons = [lesson(n, -0.04) for n in range(1, 5)]
    everything, newest = learned(lessons), learned(lessons, since=at(24 * 3))
    assert newest == learned(lessons[3:])
    assert newest.attenuation_shift(KIT, YEAST)[2] == 1
    assert learned(lessons, since=at(24 * 4)) is NOTHING_LEARNED
    assert learned(lessons, since=None) == everything


@pytest.mark.parametrize(
    ("thing", "name"), [("kit", "FERNSIDE stout"), ("yeast", YEAST), ("hydrometer", "long one"), ("vessel", "bucket")]
)
def test_one_thing_can_be_forgotten_alone(thing: str, name: str) -> None:
    more = {"log_pace": Told(0.2, 0.1), "offset": Told(0.001, 0.001), "offset_of": "long one", "vessel": "bucket"}
    lessons = [lesson(n, lost_l=Told(2.0, 0.2), **more) for n in range(1, 4)]
    told, whole = learned(lessons, forgotten={(thing, name): at(24 * 9)}), learned(lessons)
    assert told.attenuation_shift(KIT, YEAST)[2] == (0 if thing in {"kit", "yeast"} else 3)
    assert told.pace(YEAST)[2] == (0 if thing == "yeast" else 3)
    assert told.offset("long one")[2] == (0 if thing == "hydrometer" else 3)
    assert told.loss("bucket")[2] == (0 if thing == "vessel" else 3)
    assert len(told.lines()) < len(whole.lines())
    assert learned(lessons, forgotten={(thing, name): at(0)}).lines() == whole.lines()


def written(values: dict[str, object], *before: ev.Event) -> ev.LessonsKept:
    where = replace(setting(*before), learned=learned([lesson()]))
    ((_, event),) = KEEP_LESSONS.decide(where.shelf, {"what": "forget", **values}, where.now, where).events
    assert isinstance(event, ev.LessonsKept)
    return event


def test_the_act_forgets_and_lets_count_again() -> None:
    day = date(2026, 11, 3)
    gone = written({"thing": "kit", "name": "fernside  STOUT", "until": day})
    assert gone == ev.LessonsKept(count=False, thing="kit", name=KIT, until=day)
    shelf = shelf_with(gone)
    ((key, until),) = shelf.forgotten.items()
    assert key == ("kit", KIT)
    assert until.date() == day
    back = written({"what": "count_again", "thing": "kit", "name": KIT}, gone)
    assert shelf_with(gone, back).forgotten == {}
    assert shelf_with(gone, ev.LessonsKept(count=True)).forgotten == {}


def test_all_is_forgotten_up_to_the_moment_where_no_day_is_written() -> None:
    gone = written({})
    assert gone == ev.LessonsKept(count=False)
    ((key, until),) = shelf_with(gone).forgotten.items()
    assert key == ("everything", "")
    assert until == at(-100)


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ({"what": ""}, InputError),
        ({"name": KIT}, InputError),
        ({"thing": "kit"}, InputError),
        ({"thing": "kit", "name": "never brewed"}, NotFound),
        ({"what": "count_again"}, NotFound),
        ({"what": "count_again", "until": date(2026, 1, 1)}, InputError),
    ],
)
def test_what_cannot_be_forgotten_is_refused_in_words(values: dict[str, object], error: type[Exception]) -> None:
    with pytest.raises(error):
        written(values)


# --- to the next brew -------------------------------------------------------------------------------------------


def test_a_running_brew_is_taught_and_a_finished_one_is_not() -> None:
    where = replace(setting(), learned=learned(lesson(n, kit="") for n in range(5)))
    running, finished = by_days(*LEVEL), by_days(*LEVEL, primed(), bottled(), CLOSED)
    assert learned_for(finished, where) is NOTHING_LEARNED
    known, lines = taught_to(running, where, KNOWN, ("a 20 °C hydrometer",))
    assert known.attenuation < KNOWN.attenuation
    assert lines == (where.learned.attenuation_line("", YEAST),)
    assert taught_to(finished, where, KNOWN, ()) == (KNOWN, ())


def test_the_kits_own_yeast_counts_where_none_was_named() -> None:
    kit = ev.Kit(name=KIT, ingredients=ONE_CAN_SUGAR, volume=q("23", "L"), yeast="kit yeast")
    plan = ev.Planned(name="Invented stout", kit=kit)
    brew = brewed(
        (1.0, ev.Mixed(ingredients=TWO_CANS, volume=q("22.4", "L"))),
        (2.0, ev.Pitched()),
        *((days * DAY, event) for days, event in (*LEVEL, primed(), bottled(), CLOSED)),
        plan=plan,
    )
    found = taught(brew, SHELF)
    assert found is not None
    assert (found.kit, found.yeast) == (KIT, "kit yeast")
    assert found.ended - at(0) == timedelta(days=60)


def test_the_outlook_of_a_running_brew_is_moved_and_says_so() -> None:
    running = by_days(FALLING)
    told = learned(lesson(n, -0.06, 0.015, kit="") for n in range(6))
    general = setting(ROOM, hours=3 * DAY)
    before, after = outlook(running, general), outlook(running, replace(general, learned=told))
    assert before.learned == ()
    assert after.learned == (told.attenuation_line("", YEAST),)
    # 5 points of a hundred of about 41 points stay in the beer
    assert 1000 * (after.expected_fg.value - before.expected_fg.value) == pytest.approx(2.0, abs=0.8)
    assert after.expected_fg.high - after.expected_fg.low < before.expected_fg.high - before.expected_fg.low
    assert card(running, general.shelf, general.now, learned=told) != card(running, general.shelf, general.now)
