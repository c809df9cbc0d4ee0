"""Each rail of priming, sent on the page and by command: refused, written with a reason, and the reason found again."""

from __future__ import annotations

import pytest

from acceptance.both import ByCommand, ByPage, plain
from acceptance.command_line import options, told

pytestmark = pytest.mark.xdist_group("acceptance_priming_rails")

DAY = 13.0
REASON = "it is in already"
EACH = {"how": "each bottle", "bottles": "38"}
# what is written, what the refusal says, and the finding that stays when it is written all the same
RAILS = {
    "more than ten grams a litre": ({"mass": "210 g", "volume": "19 L"}, "too much for glass", "past the 10 g/L"),
    "ten grams in each half litre": ({"mass": "10 g", **EACH}, "too much for glass", "past the 10 g/L"),
    "two heaped spoons in each half litre": (
        {"measured": "heaped teaspoon", "measures": "2", **EACH},
        "too much for glass",
        "past the 10 g/L",
    ),
    "more than four volumes in unknown glass": (
        {"mass": "240 g", "volume": "19 L"},
        "too much for glass",
        "glass of unknown make is fit for no more than",
    ),
    "the worst bottle past the published ceiling": (
        {"mass": "185 g", "volume": "19 L"},
        "too much for glass",
        "The worst bottle could reach",
    ),
}


@pytest.fixture(params=[ByPage, ByCommand], ids=["page", "command"])
def by(request, own_book):
    """One way into an empty book."""
    return request.param()


def brewed(by, *, days=(8, 10, 12)):
    by.keep(0, "keep_place", name="attic", low="5", high="34")
    by.write(0, "plan", name="Railed", place="attic")
    by.write(0.1, "mix", ingredients="3 kg liquid malt extract", volume="21 L", temp="20", stirred="well")
    by.write(0.2, "pitch", mass="11", temp="20")
    for day in days:
        by.write(day, "reading", gravity="1.012", temp="20", fizz="flat")
        by.write(day, "temperature", temp="20", of="beer")
    by.write(12.5, "rack", volume="19 L")


def refused(by, texts):
    """What is said where nothing was written."""
    if isinstance(by, ByPage):
        answer = by.post(DAY, "/brews/1/priming/", {"act": "prime", **texts})
        assert answer.status_code >= 400
        return plain(answer.content.decode())
    answer = told("log", "1", "prime", *options(texts), day=DAY)
    assert answer.code == 3
    return " ".join(answer.err.split())


def log(by):
    if isinstance(by, ByCommand):
        return " ".join(told("brews", "1", day=DAY + 1).out.split())
    return by._get(DAY + 1, "/brews/1/", {})


@pytest.mark.parametrize("rail", RAILS)
def test_a_rail_refuses_until_a_reason_is_written_and_the_reason_stays(by, rail):
    texts, why, finding = RAILS[rail]
    brewed(by)
    said = refused(by, texts)
    assert why in said
    assert "write the reason under" in said
    by.write(DAY, "prime", **texts, against_advice=REASON)
    asked = by.ask(DAY + 0.1, "priming")
    assert finding in asked
    told_again = f"Sugar was given against the book's advice (entry 11), because: {REASON}"
    assert told_again in asked
    assert told_again in by.ask(DAY + 0.1, "bottling")
    assert f"against the book's advice, because: {REASON}" in log(by)


def test_sugar_before_the_end_is_refused_and_the_reason_stays(by):
    brewed(by, days=(4,))
    assert "not known to be finished" in refused(by, {"mass": "60 g", "volume": "19 L"})
    by.write(DAY, "prime", mass="60 g", volume="19 L", against_advice=REASON)
    assert REASON in by.ask(DAY + 0.1, "priming")


def test_doubled_sugar_is_refused_and_a_little_more_is_asked_about(by):
    brewed(by)
    by.write(DAY, "prime", mass="90 g", volume="19 L", against_advice=REASON)
    assert "too much for glass" in refused(by, {"mass": "120 g", "volume": "19 L"})
    by.write(DAY, "prime", mass="5 g", volume="19 L", against_advice=REASON)
    assert "Sugar is written 2 times." in by.ask(DAY + 0.1, "priming")


def test_sugar_in_the_batch_and_in_the_bottles_too_is_refused(by):
    brewed(by)
    by.write(DAY, "prime", mass="60 g", volume="19 L", against_advice=REASON)
    assert "ugar was given before in another way (entry 11)" in refused(by, {"mass": "0.5 g", **EACH})


def test_too_little_sugar_and_too_weak_bottles_are_warned_of(by):
    brewed(by)
    by.write(DAY, "prime", mass="40 g", volume="19 L", against_advice=REASON)
    assert "2.1 g/L gives 1.4 volumes: nearly flat." in by.ask(DAY + 0.1, "priming")
    weak = by.ask(DAY + 0.1, "priming", bottles="60 x 330 mL one-way", mass="100 g")
    assert "330 mL light one-way" in weak
    assert "this is too much for them" in weak
