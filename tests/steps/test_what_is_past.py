"""What is past is left out, and the same figure is the same wherever it is told. Every brew here is invented."""

from __future__ import annotations

from datetime import UTC, date

from brewing import TWO_CANS, at, brewed, q, shelf_with
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Answer
from gylebook.steps.cards import card
from gylebook.steps.catalogue import step
from gylebook.steps.cellar_figures import pressure_figure
from gylebook.steps.decision import Setting
from gylebook.steps.mixing import ASK as MIXING
from gylebook.steps.sums import SUMS

DAY = 24.0
LOTS = (ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),)
PLACE = ev.PlaceKept(name="shed", low=q("14", "°C"), high=q("21", "°C"))
KIT = ev.Kit(
    name="Invented kit",
    volume=q("20", "L"),
    ingredients=TWO_CANS,
    temp_from=q("18", "°C"),
    temp_to=q("22", "°C"),
)
MADE_TOO_THIN = ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"), temp=q("20", "°C"), stirred="well")


def read(gravity: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), fizz="flat")


def begun(*later: tuple[float, ev.Event]) -> Brew:
    return brewed(
        (0.2, MADE_TOO_THIN),
        (1.0, ev.Pitched(temp=q("20", "°C"))),
        *((1.0 + days * DAY, event) for days, event in later),
        plan=ev.Planned(name="Invented ale", kit=KIT, place="shed"),
    )


LEVEL = ((8.0, read("1.012")), (12.0, read("1.012")))
BOTTLED = (*LEVEL, (12.5, ev.Primed(sugar="sucrose", mass=q("120", "g"))), (12.6, ev.Bottled(lots=LOTS)))
HALTED = ((9.0, read("1.025")), (13.0, read("1.025")))


def answer(word: str, brew: Brew, days: float) -> Answer:
    return step(word).answer(brew, Setting(at(1 + days * DAY), shelf_with(PLACE), UTC), {})


def keys(found: Answer) -> set[str]:
    return {figure.key for figure in found.figures}


def told(found: Answer) -> str:
    findings = " ".join(f"{finding.text} {finding.check}" for finding in found.findings)
    return f"{found.headline} {found.why} {findings} {found.missing}"


def test_a_closed_brews_plan_mends_nothing_and_tells_no_day_to_come() -> None:
    closed = answer("plan", begun(*BOTTLED, (60, ev.Closed(lesson="more hops"))), 70)
    assert closed.findings == ()
    assert not keys(closed) & {"bottling", "drink_from"}
    assert "restore" not in told(closed)
    assert "bottling" not in closed.why
    assert "past planning" in closed.headline


def test_too_much_water_is_not_mended_once_it_has_fermented_but_while_it_can_be() -> None:
    assert "restore it" in told(answer("plan", begun(), 0.1))
    assert "restore it" not in told(answer("plan", begun(*LEVEL), 13))


def test_no_day_for_bottling_is_told_while_a_beer_stands_above_its_end() -> None:
    halted = answer("plan", begun(*HALTED), 13.5)
    assert "no day for bottling" in halted.why
    assert "good to drink" not in halted.headline
    assert not keys(halted) & {"bottling", "drink_from"}


def test_the_plan_asks_for_spaced_level_readings_as_finishing_does() -> None:
    young = answer("plan", begun(), 1)
    assert "when spaced readings lie level, where the make-up says it ends" in young.why
    assert {"bottling", "drink_from"} <= keys(young)


def test_a_finished_beers_plan_says_that_it_can_be_bottled() -> None:
    assert "by its readings it can be primed and bottled" in answer("plan", begun(*LEVEL), 13).why


def test_worry_about_the_yeast_is_told_only_while_it_is_to_come() -> None:
    assert {"lag", "worry"} <= keys(answer("pitching", begun(), 0.5))
    assert "worry" not in keys(answer("pitching", begun(*LEVEL), 13))
    assert "worry" not in keys(answer("pitching", begun(), 30))


def test_hops_have_no_figures_once_the_beer_is_in_bottles() -> None:
    bottled = answer("dry_hopping", begun(*BOTTLED), 20)
    assert (bottled.figures, bottled.options, bottled.missing) == ((), (), "")
    assert answer("dry_hopping", begun(*LEVEL), 13).figures


def test_the_pressure_at_the_warmest_is_one_figure_in_cellar_bottling_and_conditioning() -> None:
    brew = begun(*BOTTLED)
    bottles = card(brew, shelf_with(PLACE)).bottles
    assert bottles is not None
    cellar = pressure_figure(bottles, bottles.lots[0])
    for word in ("bottling", "conditioning"):
        other = answer(word, brew, 40).figure("pressure_warm")
        assert (cellar.low, cellar.value, cellar.high) == (other.low, other.value, other.high)


def test_a_pressure_is_told_once_where_the_beer_is_as_warm_as_it_will_get() -> None:
    found = step("bottling").answer(
        begun(*BOTTLED, (13, ev.TempSeen(of="beer", temp=q("21", "°C")))),
        Setting(at(1 + 13 * DAY), shelf_with(PLACE), UTC),
        {},
    )
    labels = [figure.label for figure in found.figures]
    assert len(labels) == len(set(labels))


def test_the_sum_and_the_step_suppose_the_same_of_the_extract() -> None:
    by_step = next(field for field in MIXING if field.name == "extract_temp")
    by_sum = next(field for field in SUMS["boiling_water"].fields if field.name == "extract_temp")
    assert (by_step.default, by_step.reason) == (by_sum.default, by_sum.reason)


def drinkable(on: date) -> str:
    asked = {"start_on": date(2026, 11, 10), "drink_on": on}
    found = step("plan").answer(
        brewed(plan=ev.Planned(name="Invented ale", kit=KIT, place="shed")),
        Setting(at(0), shelf_with(PLACE), UTC),
        asked,
    )
    return next(f.text for f in found.findings if f.key in {"too_late", "tight", "in_time"})


def test_a_day_to_drink_it_says_the_last_day_to_begin_and_what_is_in_hand() -> None:
    relaxed = drinkable(date(2027, 6, 1))
    assert "days in hand; the last day to begin is" in relaxed
    assert "if all goes as usual" in relaxed
    assert "days short" in drinkable(date(2026, 12, 8)) or "in hand" in drinkable(date(2026, 12, 8))
    assert drinkable(date(2026, 11, 15)).startswith("It will not be ready by 2026-11-15")
