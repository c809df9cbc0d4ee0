"""The outlook: what it says of finished, unfinished and doubtful brews. Every brew here is invented.

The cases are of the kind that brewers report (a stout in a house that went cold, hops at the final gravity, a reading
lower than the make-up can reach); expected numbers are derived from weights and the sugar tables.
"""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import ONE_CAN_SUGAR, TWO_CANS, at, brewed, material, q, setting
from gylebook import sources
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Urgency
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.outlook_bottles import bearing

DAY = 24.0
ALL_MALT = TWO_CANS
STOUT = (material("liquid_malt_extract", "4.75"),)


def read(gravity: str, temp: str | None = "20", **more: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q(temp, "°C") if temp else None, **more)


def begun(
    *later: tuple[float, ev.Event], made: tuple[ev.Ingredient, ...] = ALL_MALT, plan: ev.Planned | None = None
) -> Brew:
    """Mixed and pitched at the start; later entries by days."""
    start = (
        (0.5, ev.Mixed(ingredients=made, volume=q("23", "L"), temp=q("20", "°C"), stirred="well")),
        (1.0, ev.Pitched(temp=q("20", "°C"), kind="ale")),
    )
    return brewed(*start, *((1.0 + days * DAY, event) for days, event in later), plan=plan)


def look(brew: Brew, days: float = 40.0) -> Outlook:
    return outlook(brew, setting(hours=days * DAY))


def keys(found: Outlook) -> set[str]:
    return {finding.key for finding in found.findings}


# --- finished ---------------------------------------------------------------------------------------------------


def test_three_level_readings_over_six_days_where_the_make_up_ends_are_finished() -> None:
    found = look(begun((8, read("1.013")), (10, read("1.012")), (14, read("1.012"))))
    assert found.finished is True
    assert found.points_left.high <= 2.0
    assert found.missing == ()
    assert found.next_reading_at is None
    assert found.by is None
    assert found.level_since == at(1 + 8 * DAY)


def test_two_equal_readings_three_days_apart_at_the_expected_end_are_just_enough() -> None:
    assert look(begun((8, read("1.012", fizz="flat")), (11, read("1.012", fizz="flat")))).finished is True


def test_two_equal_readings_two_days_apart_a_little_above_the_expected_end_are_not_enough() -> None:
    found = look(begun((8, read("1.0140")), (10, read("1.0140"))))
    assert found.finished is None
    assert found.lacking == ("chance",)
    assert found.missing[0].endswith("% chance of more than 2 g/L of gas (1 vol) still to come")
    assert found.next_reading_at is not None
    assert found.next_reading_at >= at(1 + 11 * DAY)


def test_the_rule_says_what_it_is() -> None:
    assert look(begun()).rule.startswith("A forecast: every course of fermentation that explains the readings")


def test_gas_to_come_is_about_half_a_volume_for_each_point_left() -> None:
    found = look(begun((9, read("1.020")), (13, read("1.020"))))
    # 0.97 g/L for a point (real extract falls 0.81 as far and gives 0.463 of its mass), 1.977 g/L in a volume
    assert found.co2_to_come.value == pytest.approx(0.97 / 1.977 * found.points_left.value, rel=0.001)
    # in a bottle hardly any yeast grows, and up to 1.05 g/L is made
    assert found.co2_to_come.high == pytest.approx(1.05 / 1.977 * found.points_left.high, rel=0.001)


def test_chilling_a_finished_beer_does_not_unfinish_it() -> None:
    cold = (
        (11.1, ev.TempSeen(of="beer", temp=q("3", "°C"))),
        (14, read("1.013", temp="4", fizz="flat")),
    )
    found = look(begun((8, read("1.012", fizz="flat")), (11, read("1.012", fizz="flat")), *cold))
    assert found.finished is True


# --- not finished -----------------------------------------------------------------------------------------------


def test_a_stout_at_1_026_in_a_house_that_fell_to_15_degrees_for_36_hours_is_not_finished_and_wants_warmth() -> None:
    cold = ev.TempSeen(of="room", low=q("15", "°C"), temp=q("15.5", "°C"), high=q("16", "°C"))
    found = look(begun((4, cold), (5.5, read("1.026")), made=STOUT), days=6)
    assert found.original.value == pytest.approx(1.0635, abs=0.0015)
    assert found.expected_fg.value == pytest.approx(1.017, abs=0.003)
    assert found.finished is False
    assert {"above", "cold"} <= set(found.lacking)
    assert found.likeliest in {"Going on", "Stalled"}
    assert found.points_left.value == pytest.approx(8.0, abs=1.5)
    assert found.experiment is not None
    assert found.experiment.key == "warm"
    assert "cold" in keys(found)
    assert found.points_left.low > 2


def test_level_readings_far_above_the_end_are_a_halt_or_another_make_up_and_a_forced_sample_tells_which() -> None:
    found = look(begun((9, read("1.020")), (13, read("1.020"))))
    assert found.finished is False
    assert found.likeliest == "Stalled"
    assert found.experiment is not None
    assert found.experiment.key == "forced"
    assert "halted" in keys(found)
    assert found.by is None, "nobody can say when a halt ends"


def test_a_fall_that_readings_show_is_not_finished_and_time_is_the_cheapest_experiment() -> None:
    found = look(begun((4, read("1.020")), (6, read("1.0145"))))
    assert found.finished is False
    assert "falls" in found.lacking
    assert found.experiment is not None
    assert found.experiment.key == "wait"
    assert found.slope_points_per_day is not None
    assert found.slope_points_per_day.value == pytest.approx(-2.75, abs=0.1)
    assert found.by is not None
    assert found.by.low <= found.by.value <= found.by.high


def test_level_but_cold_readings_near_the_end_are_not_known_to_be_finished() -> None:
    cold = [(day, ev.TempSeen(of="beer", temp=q("14", "°C"))) for day in (4.0, 6.5, 9.0, 11.5)]
    found = look(begun(*cold, (8, read("1.013")), (12, read("1.013"))))
    assert found.finished is None
    assert "cold" in found.lacking


def test_a_fizzy_pair_counts_lightly_and_asks_for_a_flat_one() -> None:
    found = look(begun((8, read("1.0145", fizz="fizzy")), (11, read("1.0145", fizz="fizzy"))))
    assert found.finished is not True


def test_gas_in_a_sample_can_only_have_lifted_the_glass_so_no_more_is_left_than_was_read() -> None:
    flat, fizzy = (look(begun((3, read("1.018", fizz=fizz))), days=4) for fizz in ("flat", "fizzy"))
    assert flat.now_sg is not None
    assert fizzy.now_sg is not None
    assert fizzy.now_sg.high <= flat.now_sg.high
    # bubbles lift by one to four points, which no other error of reading does
    assert 0.001 < flat.now_sg.value - fizzy.now_sg.value < 0.003
    most = 1000 * (fizzy.now_sg.high - fizzy.expected_fg.low)
    assert fizzy.points_left.high <= most + 0.1


def test_beyond_what_any_bottle_holds_no_number_of_gas_is_told() -> None:
    early, late = (look(begun((3, read(sg, fizz="flat"))), days=4).co2_to_come for sg in ("1.030", "1.014"))
    assert early.words == "more than any bottle holds"
    assert late.words == ""


def test_a_readings_worth_of_time_in_the_warmth_is_asked_for() -> None:
    found = look(begun((1.5, read("1.012")), (3.6, read("1.012"))), days=4)
    assert found.finished is not True
    assert "early" in found.lacking


def test_rousing_asks_for_a_reading_two_days_later() -> None:
    level = ((8, read("1.012", fizz="flat")), (12, read("1.012", fizz="flat")))
    assert "woken" in look(begun(*level, (12.5, ev.Roused(how="swirled")))).lacking
    assert look(begun(*level, (12.5, ev.Roused()), (15.5, read("1.012", fizz="flat")))).finished is True


# --- hops, sugar, water -----------------------------------------------------------------------------------------


FLAT = {"fizz": "flat"}


def hopped(grams: str = "165") -> tuple[tuple[float, ev.Event], ...]:
    """165 g in about 22 L is 7.5 g/L, after two readings at 1.013 two days apart."""
    hop = ev.Hopped(hop="Invented hop", mass=q(grams, "g"), form="pellets", planned_days=3)
    return ((8, read("1.013", **FLAT)), (10, read("1.013", **FLAT)), (10.1, hop))


def test_hops_at_the_final_gravity_open_the_question_again_and_may_take_one_to_three_points() -> None:
    found = look(begun(*hopped(), (13, ev.HopsRemoved())), days=13)
    assert found.finished is None
    assert {"fresh", "hops"} <= set(found.lacking)
    assert "hop_creep" in keys(found)
    assert 1.0 <= found.points_left.value <= 4.5
    assert 3.0 <= found.hop_points <= 12.0
    assert found.reopened_by == "hops"


def test_readings_before_the_hops_do_not_count_towards_finished() -> None:
    one_after = look(begun(*hopped(), (13, ev.HopsRemoved()), (16, read("1.012", **FLAT))))
    assert one_after.finished is None
    assert "pair" in one_after.lacking


def test_two_fresh_readings_soon_after_heavy_hops_are_too_early() -> None:
    found = look(begun(*hopped(), (11, read("1.012", **FLAT)), (14, read("1.012", **FLAT))))
    assert "hops" in found.lacking


def test_fresh_readings_spaced_over_a_week_leave_only_what_hops_may_still_free() -> None:
    later = ((13, ev.HopsRemoved()), *((day, read("1.0115", **FLAT)) for day in (13, 17, 21)))
    found = look(begun(*hopped(), *later))
    assert found.lacking == ("chance",)
    assert found.forecast is not None
    assert found.forecast.unsafe < 0.05


def test_hops_that_freed_hardly_anything_in_two_weeks_close_it_again() -> None:
    later = ((13, ev.HopsRemoved()), *((day, read("1.0125", **FLAT)) for day in (13, 17, 21, 25)))
    assert look(begun(*hopped(), *later)).finished is True


def test_a_heavier_dose_leaves_more_to_come() -> None:
    light, heavy = (look(begun(*hopped(grams)), days=11) for grams in ("44", "220"))
    assert heavy.points_left.value > light.points_left.value
    assert heavy.points_left.high > light.points_left.high


def test_sugar_added_late_opens_the_question_again() -> None:
    added = ev.Added(what="honey", mass=q("500", "g"), purpose="fermentable", material="honey")
    found = look(begun((8, read("1.012")), (12, read("1.012")), (12.1, added)))
    assert found.finished is not True
    assert "no reading since the honey went in" in found.missing
    assert found.reopened_by == "honey"


# --- below the possible, lactose, leaflet -----------------------------------------------------------------------


def test_an_all_malt_beer_at_1_002_is_below_the_possible_and_dangerous_in_bottles() -> None:
    found = look(begun((14, read("1.002"))))
    assert found.finished is False
    assert found.lacking == ("below_possible",)
    (finding,) = (f for f in found.findings if f.key == "below_possible")
    assert finding.urgency is Urgency.DANGER
    assert "wrong entry" in finding.text
    assert found.experiment is not None
    assert found.experiment.key == "water"
    assert found.possibilities[0].name == "Something else"


def test_one_can_with_a_kilogram_of_sugar_may_end_at_1_004() -> None:
    found = look(begun((14, read("1.004")), made=ONE_CAN_SUGAR))
    assert "below_possible" not in found.lacking
    assert found.expected_fg.value == pytest.approx(1.005, abs=0.0025)


def test_lactose_raises_the_expected_end_and_is_said_so() -> None:
    with_lactose = (*ALL_MALT, material("lactose", "0.5"))
    plain, milky = (look(begun((9, read("1.020")), made=made)) for made in (ALL_MALT, with_lactose))
    assert 1000 * (milky.expected_fg.value - plain.expected_fg.value) == pytest.approx(8.0, abs=1.5)
    assert "lactose" in keys(milky)
    assert "lactose" not in keys(plain)


STRONG = ev.BottlesKept(name="brown ones", kind="returnable_500", size=q("500", "mL"), count=100)


THIN = ev.BottlesKept(name="thin ones", kind="one_way", size=q("500", "mL"), count=100)


def test_level_readings_do_not_finish_it_for_bottles_that_bear_no_more_than_the_fizz_wanted() -> None:
    brew = begun(*((day, read("1.012", **FLAT)) for day in (8, 12)))
    strong, weak = (outlook(brew, setting(kept, hours=500)) for kept in (STRONG, THIN))
    assert strong.finished is True
    assert weak.finished is None
    assert weak.lacking == ("bottles",)
    assert "the weakest of your bottles (500 mL thin ones) bear 0.2 vol" in weak.missing[0]
    assert weak.next_reading_at is not None
    primed = ev.Primed(sugar="sucrose", mass=q("120", "g"))
    assert outlook(begun(*((day, read("1.012", **FLAT)) for day in (8, 12)), (13, primed)), setting(THIN)).finished


@pytest.mark.parametrize(
    ("wanted", "kept", "holds"),
    [
        # 1.6 g/L is 0.81 vol; brown bottles at 25 °C by habit: 3.0 cautious, 3.25 middling, 3.5 boldest; thin ones 2.5
        ("2.3", (STRONG,), True),
        ("2.3", (), True),
        ("2.6", (STRONG,), True),
        ("2.6", (), False),
        ("2.8", (STRONG,), False),
        ("2.0", (THIN,), False),
    ],
)
def test_the_unlikely_rest_is_laid_at_the_bottles(wanted: str, kept: tuple[ev.Event, ...], *, holds: bool) -> None:
    brew = begun(plan=ev.Planned(name="Invented ale", co2_wanted=q(wanted, "vol")))
    found = bearing(brew, setting(*kept).shelf, lambda g_per_l: 0.012 if g_per_l < 1.6 else 0.008)
    assert found.rest_vol == pytest.approx(1.6 / 1.97681, abs=1e-6)
    assert found.holds is holds


def kit(gate: str, **more: object) -> ev.Planned:
    gates = ev.Gates(bottle_at_or_below=q(gate, "SG"))
    made = ev.Kit(name="Invented kit", ingredients=ALL_MALT, volume=q("23", "L"), gates=gates)
    return ev.Planned(name="Invented ale", kit=made, **more)


def test_a_leaflets_gravity_that_this_make_up_cannot_reach_does_not_hold_it_back() -> None:
    level = ((8, read("1.012", **FLAT)), (12, read("1.012", **FLAT)), (15, read("1.012", **FLAT)))
    found = look(begun(*level, plan=kit("1.006")))
    assert found.finished is True
    assert "leaflet_unreachable" in keys(found)


def test_a_leaflets_gravity_is_a_custom_beside_the_forecast_and_not_waited_for() -> None:
    level = tuple((day, read("1.012", **FLAT)) for day in (8, 12, 16, 20))
    found = outlook(begun(*level, plan=kit("1.011")), setting(STRONG, hours=700))
    assert found.finished is True
    leaflet = next(option for option in found.customary if option.name == "The leaflet's gravity")
    assert leaflet.words.startswith("Says not finished: at or below 1.0110.")
    assert leaflet.words.endswith("by the readings together, less than two points are left.")


# --- the forced sample ------------------------------------------------------------------------------------------


def forced(gravity: str) -> ev.Measured:
    return read(gravity, sample_from="forced sample", fizz="flat")


LEVEL_HIGH = ((9, read("1.0165", **FLAT)), (13, read("1.0165", **FLAT)))


def test_a_forced_sample_that_stops_where_the_brew_stands_settles_it() -> None:
    level = ((9, read("1.016", **FLAT)), (13, read("1.016", **FLAT)))
    without, with_it = look(begun(*level)), look(begun(*level, (16, forced("1.016"))))
    assert without.finished is False
    assert with_it.finished is True
    assert with_it.expected_fg.value == pytest.approx(1.016, abs=0.0005)
    assert "stokholm_2020" in with_it.expected_fg.working.sources
    assert "forced_agrees" in keys(with_it)
    assert without.forecast is not None
    assert with_it.forecast is not None
    assert without.forecast.unsafe > 10 * with_it.forecast.unsafe


def test_a_forced_sample_that_goes_lower_shows_a_halt() -> None:
    found = look(begun(*LEVEL_HIGH, (16, forced("1.010"))))
    assert found.finished is False
    assert "forced_lower" in keys(found)
    assert found.experiment is not None
    assert found.experiment.key == "repitch"


def test_a_forced_sample_from_before_the_hops_no_longer_counts() -> None:
    hop = ev.Hopped(hop="Invented hop", mass=q("100", "g"))
    found = look(begun(*LEVEL_HIGH, (16, forced("1.016")), (17, hop)))
    assert found.expected_fg.value < 1.014


def test_a_forced_sample_alone_does_not_make_it_finished() -> None:
    assert look(begun((12, forced("1.012")))).finished is not True


def test_a_reading_and_a_forced_sample_that_agree_are_two_witnesses() -> None:
    assert look(begun((9, read("1.012")))).finished is None
    assert look(begun((9, read("1.012")), (12, forced("1.012")))).finished is True


# --- no readings, other stages ----------------------------------------------------------------------------------


def test_without_readings_time_alone_never_finishes_it() -> None:
    found = look(begun(), days=60)
    assert found.finished is None
    assert found.now_sg is None
    assert found.points_left.high >= 5, "a quarter of the fall may always be left"


def test_the_first_reading_is_wanted_after_six_warm_days() -> None:
    found = look(begun(), days=1)
    assert found.next_reading_at is not None
    assert timedelta(days=6) <= found.next_reading_at - at(1) <= timedelta(days=8)
    assert found.by is not None


def test_before_the_yeast_goes_in_nothing_is_finished_and_nothing_is_due() -> None:
    found = outlook(brewed(), setting())
    assert found.finished is False
    assert found.lacking == ("pitch",)
    assert found.next_reading_at is None


def test_a_brew_with_nothing_written_but_its_yeast_still_has_an_answer() -> None:
    found = outlook(brewed((1, ev.Pitched())), setting())
    assert found.expected_fg.low < found.expected_fg.value < found.expected_fg.high
    assert found.points_left.high > 0


def test_readings_after_priming_are_not_of_this_question() -> None:
    level = ((8, read("1.012", **FLAT)), (12, read("1.012", **FLAT)))
    primed = (12.1, ev.Primed(sugar="sucrose", mass=q("120", "g")))
    found = look(begun(*level, primed, (20, read("1.009"))))
    assert found.finished is True
    assert found.now_sg is not None
    assert found.now_sg.value == pytest.approx(1.012, abs=0.0005)
    assert found.next_reading_at is None


def test_the_customary_rules_stand_beside_it_and_each_is_said_to_be_weak() -> None:
    found = look(begun((9, read("1.020")), (13, read("1.020")), plan=kit("1.014")))
    by_name = {option.name: option for option in found.customary}
    assert by_name["Two equal readings"].words.startswith("Says finished.")
    assert by_name["The leaflet's gravity"].words.startswith("Says not finished")
    assert by_name["Attenuation of 72 %"].words.startswith("Says not finished: 4")
    assert all("Weak:" in option.words for option in found.customary)


def test_a_verdict_that_the_book_does_not_share_is_a_finding() -> None:
    found = look(begun((9, read("1.020")), (10, ev.Judged(verdict="finished"))))
    assert "judged_otherwise" in keys(found)


def test_every_figure_has_a_working_with_known_sources() -> None:
    cases = (
        begun(),
        begun((8, read("1.013")), (11, read("1.012"))),
        begun(*hopped()),
        begun(*LEVEL_HIGH, (16, forced("1.016"))),
    )
    for brew in cases:
        found = look(brew)
        for figure in (
            found.expected_fg,
            found.now_sg,
            found.points_left,
            found.co2_to_come,
            found.slope_points_per_day,
            found.by,
        ):
            if figure is not None:
                assert figure.working.relation
                assert all(sources.get(key) for key in figure.working.sources)


# --- properties -------------------------------------------------------------------------------------------------

gravities = st.integers(990, 1060).map(lambda n: f"{n / 1000:.3f}")
STEADY = settings(deadline=None, max_examples=40)


@STEADY
@given(gravities, st.floats(0.5, 60), st.sampled_from(["", "flat", "some", "fizzy"]))
def test_a_single_reading_never_finishes_a_brew(gravity: str, day: float, fizz: str) -> None:
    assert look(begun((day, read(gravity, fizz=fizz))), days=80).finished is not True


@STEADY
@given(gravities, gravities, st.floats(0.5, 60))
def test_a_reading_and_a_forced_sample_finish_it_only_where_they_agree(one: str, other: str, day: float) -> None:
    found = look(begun((day, read(one)), (day + 3, forced(other))), days=80)
    if found.finished:
        assert float(one) - float(other) <= 0.002
        assert found.forecast is not None
        assert found.forecast.unsafe < 0.01


RANK = {False: 0, None: 1, True: 2}


@STEADY
@given(
    st.lists(st.integers(0, 8), min_size=1, max_size=4),
    st.integers(1, 5),
    st.floats(5.5, 20),
    st.floats(0.1, 10),
)
def test_an_equal_later_reading_makes_it_less_finished_only_where_it_lays_bare_a_fall(
    falls: list[int], gap: int, first: float, wait: float
) -> None:
    level, entries = 1016.0, []
    for step, fall in enumerate(falls):
        level -= fall / 2
        entries.append((first + step * gap, read(f"{level / 1000:.4f}", fizz="flat")))
    last = entries[-1][0]
    before = look(begun(*entries), days=100)
    after = look(begun(*entries, (last + wait, entries[-1][1])), days=100)
    assert RANK[after.finished] >= RANK[before.finished] or "falls" in after.lacking


@STEADY
@given(
    st.integers(1008, 1013),
    st.lists(st.floats(0.2, 6.0), min_size=1, max_size=5),
    st.sampled_from(["", "flat", "some"]),
)
def test_among_equal_readings_one_more_never_makes_it_less_finished(points: int, gaps: list[float], fizz: str) -> None:
    reading = read(f"{points / 1000:.3f}", fizz=fizz)
    days = [6.0]
    for gap in gaps:
        days.append(days[-1] + gap)
    rows = [(day, reading) for day in days]
    before, after = look(begun(*rows[:-1]), days=100), look(begun(*rows), days=100)
    assert RANK[after.finished] >= RANK[before.finished]


@STEADY
@given(
    st.lists(st.tuples(st.floats(0.2, 40), gravities, st.sampled_from(["", "flat", "fizzy"])), max_size=6),
    st.booleans(),
)
def test_any_readings_have_an_answer_with_honest_intervals(rows: list[tuple[float, str, str]], with_hops: bool) -> None:
    entries: list[tuple[float, ev.Event]] = [(day, read(gravity, fizz=fizz)) for day, gravity, fizz in sorted(rows)]
    if with_hops:
        entries.append((12.3, ev.Hopped(hop="Invented hop", mass=q("80", "g"))))
    found = look(begun(*entries), days=50)
    assert 0 <= found.points_left.low <= found.points_left.value <= found.points_left.high
    assert 0 <= found.co2_to_come.low <= found.co2_to_come.value <= found.co2_to_come.high
    assert (found.finished is True) == (not found.missing)
    if found.finished:
        assert found.points_left.high <= 2.0
    if found.by is not None:
        assert found.by.low <= found.by.value <= found.by.high


@STEADY
@given(st.floats(2.0, 12.0), st.floats(0.5, 8.0))
def test_wider_spacing_never_leaves_more_to_come(gap: float, more: float) -> None:
    near, far = (look(begun((8, read("1.012")), (8 + days, read("1.012"))), days=60) for days in (gap, gap + more))
    assert far.points_left.high <= near.points_left.high + 1e-9
