"""Which bottles a place is too warm for, each kind told once. All brews are invented."""

from __future__ import annotations

from brewing import setting
from finished import DAY, GARAGE, LEVEL, bottled, by_days, lot, primed
from gylebook.journal import events as ev
from gylebook.steps.bottle_place import moved_findings, pressure_findings
from gylebook.steps.cellar import lots_left
from gylebook.steps.fizz import fizz_of

WHERE = setting(GARAGE, hours=20 * DAY)
ENDS = (lot("one_way", 20, "330", first=True), lot("one_way", 10, "330", last=True), lot("returnable_500", 10))


def test_the_first_and_the_last_filled_are_told_once() -> None:
    brew = by_days(*LEVEL, primed("140"), bottled("garage", *ENDS))
    found = pressure_findings(fizz_of(brew, WHERE), lots_left(brew, WHERE.shelf), 34.0, 20.0)
    texts = [finding.text for finding in found]
    assert len(texts) == len(set(texts)) == 2


def test_a_kind_that_is_gone_is_not_told_of_when_the_others_are_moved() -> None:
    gone = (18.0, ev.TakenOut(count=20, bottle="one_way", to="drunk"))
    rest = (18.5, ev.TakenOut(count=10, bottle="one_way", to="drunk"))
    brew = by_days(*LEVEL, primed("140"), bottled("garage", *ENDS), gone, rest, (19.0, ev.Moved(place="garage")))
    assert not any("330" in finding.text for finding in moved_findings(brew, WHERE))
