"""Cards of the law: every line with its sources and its month, and the year's wort against what is allowed."""

from __future__ import annotations

from datetime import UTC, datetime
from math import sqrt
from zoneinfo import ZoneInfo

import pytest

from brewing import at, brewed, q, shelf_with
from gylebook import sources
from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.sources import Standing
from gylebook.steps.answers import Urgency
from gylebook.steps.chosen import COUNTRIES
from gylebook.steps.law import EVERYWHERE, law, standing_words, title_of, year_so_far
from gylebook.steps.law_lines import TOPICS
from gylebook.units import convert

ALL = [country for country, _ in COUNTRIES]


def mixed(litres: str, volume_from: str = "jug") -> ev.Mixed:
    return ev.Mixed(volume=q(litres, "L"), volume_from=volume_from)


def year(country: str, *brews, now=None, zone=UTC):
    card = law(country)
    assert card is not None
    return year_so_far(card, brews, shelf_with(), now or at(400), zone)


@pytest.mark.parametrize("country", ALL)
def test_every_country_of_the_settings_has_a_card_that_says_what_must_be_said(country: str) -> None:
    card = law(country)
    assert card is not None
    assert card.country == country
    topics = {line.topic for line in card.lines}
    assert {"making", "amount", "selling", "giving", "distilling", "age", "label"} <= topics
    order = [list(TOPICS).index(line.topic) for line in card.lines]
    assert order == sorted(order)
    assert card.authority in standing_words(card)
    assert "no legal advice" in standing_words(card)
    assert title_of(card).startswith("The law ")


@pytest.mark.parametrize("country", ALL)
def test_every_line_names_its_sources_and_its_month_and_says_when_it_was_only_recalled(country: str) -> None:
    for line in law(country).lines:
        assert line.sources
        assert datetime.strptime(line.as_of, "%Y-%m").replace(tzinfo=UTC)
        found = {sources.get(key).standing for key in line.sources}
        assert line.as_of in line.when
        assert ("from memory" in line.when) == (Standing.FROM_MEMORY in found)
        assert ("not looked up" in line.when) == (found == {Standing.FROM_MEMORY})


@pytest.mark.parametrize("country", ["Canada", "Australia", "New Zealand"])
def test_a_country_of_which_nothing_was_read_says_so_of_what_may_be_made(country: str) -> None:
    making = next(line for line in law(country).lines if line.topic == "making")
    assert making.recalled == (True, True)


def test_no_country_has_no_card_and_an_unknown_one_names_the_known() -> None:
    assert law(None) is None
    assert law("") is None
    assert "no legal advice" in standing_words(None)
    assert any("not for sale" in words for words in EVERYWHERE)
    with pytest.raises(InputError, match="choose one of UK, Ireland, Germany"):
        law("Narnia")


def test_amounts_are_those_that_the_rules_name() -> None:
    assert [each.litres for each in law("Germany").allowed] == [500.0]
    one, two = law("US").allowed
    assert one.litres == pytest.approx(convert(100, "US gal", "L", "volume"))
    assert two.litres == pytest.approx(convert(200, "US gal", "L", "volume"))
    # What was read names no limit for the United Kingdom, and none is made up.
    assert [country for country in ALL if law(country).allowed] == ["Germany", "US"]


def test_the_wort_of_the_year_is_added_up_with_its_interval_and_all_that_went_in() -> None:
    first, second = brewed((1.0, mixed("20"))), brewed((2.0, mixed("23")), (90.0, ev.Dumped()))
    planned = brewed(plan=ev.Planned(name="Not yet", volume=q("30", "L")))
    answer = year("Germany", first, second, planned)
    figure = answer.figure("brewed")
    assert figure.value == pytest.approx(43.0)
    half = 1.645 * 0.2  # a jug's
    assert figure.high - figure.value == pytest.approx(sqrt(2) * half)
    assert len(figure.working.inputs) == 2
    assert answer.figure("allowed_left").value == pytest.approx(457.0)
    assert answer.headline == "By the book you have brewed 43 L this calendar year, of 500 L allowed."
    assert answer.findings == ()
    assert answer.urgency is Urgency.NOTHING
    for each in answer.figures:
        assert each.working.relation
        assert all(sources.get(key) for key in each.working.sources)


def test_the_calendar_year_is_that_of_the_brewers_own_clock() -> None:
    # Mixed at half past eleven at night on 31 December in London is already the new year in Berlin.
    eve = datetime(2026, 12, 31, 23, 30, tzinfo=UTC)
    hours = (eve - at(0)).total_seconds() / 3600
    brew = brewed((hours, mixed("20")))
    january = datetime(2027, 1, 5, 12, tzinfo=UTC)
    assert year("Germany", brew, now=january, zone=UTC).figure("brewed").value == 0.0
    berlin = year("Germany", brew, now=january, zone=ZoneInfo("Europe/Berlin"))
    assert berlin.figure("brewed").value == pytest.approx(20.0)


@pytest.mark.parametrize(
    ("litres", "keys", "urgency"),
    [
        ("300", [], Urgency.NOTHING),
        ("480", ["allowed_near"], Urgency.NOTHING),
        ("500", ["allowed_perhaps"], Urgency.ACT),
        ("520", ["allowed_passed"], Urgency.ACT),
    ],
)
def test_what_is_near_or_past_the_amount_is_said(litres: str, keys: list[str], urgency: Urgency) -> None:
    answer = year("Germany", brewed((1.0, mixed(litres))))
    assert [finding.key for finding in answer.findings] == keys
    assert answer.urgency is urgency
    assert all("Hauptzollamt" in finding.check for finding in answer.findings)
    assert answer.figure("allowed_left").low >= 0.0


def test_what_one_adult_may_is_no_alarm_where_two_may_more() -> None:
    answer = year("US", brewed((1.0, mixed("400"))))
    assert [finding.key for finding in answer.findings] == ["allowed_one_passed"]
    assert answer.urgency is Urgency.NOTHING
    assert "household of one adult" in answer.headline
    assert year("US", brewed((1.0, mixed("800")))).urgency is Urgency.ACT


def test_a_brew_without_a_volume_is_counted_as_the_usual_one_and_said_to_be() -> None:
    answer = year("Germany", brewed((1.0, ev.Mixed())))
    assert answer.figure("brewed").value == pytest.approx(23.0)
    assert answer.assumed == ("23 L for No. b1, whose volume is not written",)


def test_a_card_without_an_amount_counts_nothing() -> None:
    assert year("UK", brewed((1.0, mixed("500")))) is None
