"""Vents count for all bottles only where all of them were vented. All brews are invented."""

from __future__ import annotations

import pytest

from brewing import q, setting
from finished import DAY, LEVEL, ROOM, bottled, by_days, primed
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.bottle_age import vent_rounds
from gylebook.steps.bottle_tasks import of_bottles
from gylebook.steps.fizz import fizz_of
from gylebook.steps.opened import vents_of

HOUR = 1.0 / 24.0
WHERE = setting(ROOM, hours=40 * DAY)


def vent(day: float, count: int | None = None) -> tuple[float, ev.Event]:
    return day, ev.Vented(temp=q("4", "°C"), count=count)


def brew_of(*later: tuple[float, ev.Event]) -> Brew:
    """Forty half litres with a good deal of sugar, bottled on day 15."""
    return by_days(*LEVEL, primed("200"), bottled(), *later)


@pytest.mark.parametrize(
    ("later", "rounds"),
    [
        ((vent(36.0),), 1),  # without a count: of all of them
        ((vent(36.0, 40),), 1),
        ((vent(36.0, 1),), 0),
        ((vent(36.0, 39),), 0),
        ((vent(36.0, 25), vent(36.0 + 2 * HOUR, 15)), 1),  # a round in two goes
        ((vent(36.0, 20), vent(36.5, 20)), 0),  # the next round of the same twenty, as far as is known
        (((35.0, ev.TakenOut(count=10, to="drunk")), vent(36.0, 30)), 1),  # of those that are left
        (((35.0, ev.Opened(fizz=5, gushed=True)), vent(36.0, 39), vent(36.5, 39)), 2),
    ],
)
def test_a_round_is_one_that_every_bottle_had(later, rounds) -> None:
    brew = brew_of(*later)
    assert len(vent_rounds(brew)) == rounds
    assert len(vents_of(brew, WHERE)) == rounds


def test_one_bottle_vented_leaves_the_others_as_full_as_they_were() -> None:
    none, one, every = (fizz_of(brew_of(*later), WHERE) for later in ((), (vent(36.0, 1),), (vent(36.0, 40),)))
    assert one.total == none.total
    assert one.worst == none.worst
    assert every.total.best < none.total.best
    assert every.worst < none.worst


def test_a_gusher_is_not_done_with_by_one_bottle_vented() -> None:
    gushed = (35.0, ev.Opened(fizz=5, gushed=True))
    one, every = (brew_of(gushed, vent(36.0, many)) for many in (1, 39))
    assert [task.act for task in of_bottles(one, WHERE, fizz_of(one, WHERE))] == ["vent"]
    assert "vent" not in [task.act for task in of_bottles(every, WHERE, fizz_of(every, WHERE))]
