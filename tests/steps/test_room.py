"""The air where a brew ferments. All brews and places are invented."""

from __future__ import annotations

import pytest

from brewing import TWO_CANS, brewed, q, setting, shelf_with
from gylebook.journal import events as ev
from gylebook.steps import pitching, room
from gylebook.steps.answers import Urgency

PLAN = ev.Planned(name="Invented ale", place="nook")
MIXED = (1, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"), temp=q("20", "°C"), stirred="well"))
PITCHED = (2, ev.Pitched(mass=q("11", "g"), temp=q("20", "°C")))


def nook(cubic_metres: str | None) -> ev.PlaceKept:
    return ev.PlaceKept(name="nook", room_volume=q(cubic_metres, "m³") if cubic_metres else None)


def found(cubic_metres: str | None, *more: tuple[float, ev.Event], hours: float = 20.0) -> list[str]:
    answer = pitching.answer(brewed(MIXED, *more, plan=PLAN), setting(nook(cubic_metres), hours=hours), {})
    return [finding.key for finding in answer.findings if finding.key in {"cupboard", "room_air"}]


@pytest.mark.parametrize(("cubic_metres", "keys"), [("0.4", ["cupboard"]), ("6", ["room_air"]), ("30", []), (None, [])])
def test_a_chest_and_a_shut_box_room_are_spoken_of_before_and_after_the_yeast(
    cubic_metres: str | None, keys: list[str]
) -> None:
    assert found(cubic_metres) == keys
    assert found(cubic_metres, PITCHED) == keys


def test_nothing_is_said_of_the_air_once_the_beer_is_in_bottles() -> None:
    assert found("0.4", PITCHED, (400, ev.Bottled(lots=())), hours=500) == []


def test_a_place_that_is_not_kept_is_not_spoken_of() -> None:
    assert room.place_findings(brewed(MIXED), shelf_with(), 23.0) == []


def test_a_cupboard_asks_that_no_head_is_put_into_it_and_what_else_is_said_stays() -> None:
    answer = pitching.answer(brewed(MIXED, PITCHED, plan=PLAN), setting(nook("0.4"), hours=10), {})
    assert answer.findings[0].urgency is Urgency.ACT
    assert "put no head into it" in answer.findings[0].text
    assert answer.headline.startswith("Leave it. Worry becomes reasonable")


def test_23_litres_at_their_liveliest_in_a_shut_box_room_of_6_cubic_metres_pass_the_days_limit() -> None:
    # 23 L × 15 points are about 340 g, 186 L of gas a day, 7.8 L an hour; ÷ (0.2 × 6 m³) is 6500 ppm over the air's own.
    (finding,) = room.place_findings(brewed(MIXED, plan=PLAN), shelf_with(nook("6")), 23.0)
    ppm = float(finding.text.split("about ")[1].split(" ppm")[0])
    assert ppm == pytest.approx(6900, abs=300)
