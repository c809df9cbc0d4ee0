"""Racking: usually not; the litres that reach the bottles; the gas that stays. Every brew here is invented."""

from __future__ import annotations

import pytest

from brewing import TWO_CANS, at, brewed, q, setting
from gylebook.errors import Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.racking import RACK, answer

DAY = 24.0
BUCKET = ev.VesselKept(name="bottling bucket", what="bottling bucket", capacity=q("15", "L"))


def read(gravity: str, temp: str = "20") -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q(temp, "°C"), fizz="flat")


def beer(temp: str) -> ev.TempSeen:
    return ev.TempSeen(of="beer", temp=q(temp, "°C"))


def begun(*later: tuple[float, ev.Event]) -> Brew:
    start = (
        (0.2, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"), temp=q("20", "°C"), stirred="well")),
        (1.0, ev.Pitched(temp=q("20", "°C"))),
    )
    return brewed(*start, *((1.0 + d * DAY, event) for d, event in later))


FINISHED = ((8, read("1.012")), (8.1, beer("20")), (12, read("1.012")))


def ask(brew: Brew, days: float = 13.0, **asked: object) -> Answer:
    return answer(brew, setting(hours=1 + days * DAY), asked)


def test_most_beers_are_left_on_their_yeast() -> None:
    said = ask(begun(*FINISHED))
    assert said.headline == "No. Leave it on its yeast until bottling day."
    assert said.urgency is Urgency.NOTHING
    assert any("no special reason" in assumed for assumed in said.assumed)


def test_twenty_three_litres_give_about_twenty_one_to_bottle() -> None:
    said = ask(begun(*FINISHED))
    assert said.figure("volume").value == pytest.approx(21.3, abs=0.3)
    assert said.figure("bottles").value == pytest.approx(42.6, abs=0.7)


@pytest.mark.parametrize("reason", ["vessel", "fruit", "store"])
def test_a_fair_reason_is_enough_once_it_nears_its_end(reason: str) -> None:
    assert not ask(begun(*FINISHED), reason=reason).headline.startswith("No")
    assert ask(begun((3, read("1.025"))), days=3, reason=reason).headline == "Not yet."


def test_clearing_is_the_colds_work_and_priming_waits_for_the_end() -> None:
    assert ask(begun(*FINISHED), reason="clear").headline.startswith("No. Cold clears it better")
    assert ask(begun(*FINISHED), reason="prime").headline.startswith("Yes")
    assert ask(begun((8, read("1.012"))), reason="prime").headline.startswith("Not yet")


def test_a_chilled_beer_keeps_the_gas_of_its_warmest_since_the_end() -> None:
    chilled = begun(*FINISHED, (12.1, beer("3")), (15, beer("3")))
    said = ask(chilled, days=16)
    assert said.figure("warmest").value == pytest.approx(20.0, abs=0.6)
    # PUBLISHED draper_hibberd_1996: 0.88 volumes at 20 °C; 1.55 is between its rows for 2 and 4 °C.
    assert said.figure("residual").value == pytest.approx(0.88, abs=0.02)
    by_cold = next(option for option in said.options if option.name.startswith("By the cold"))
    assert by_cold.figures[0].value == pytest.approx(1.55, abs=0.02)
    assert by_cold.words == "wrong: primed so, the beer ends 0.7 vol too flat"


def test_what_was_read_only_after_chilling_is_not_taken_for_the_warmest() -> None:
    """The end was never read; an ordinary room is assumed for it, since only the cold afterwards was written."""
    only_cold = begun((8, read("1.012")), (12, read("1.012")), (12.1, beer("3")))
    assert ask(only_cold, days=14).figure("warmest").value > 15


def test_the_cold_can_be_asked_about() -> None:
    said = ask(begun(*FINISHED), cold=q("4", "°C"))
    assert [option.chosen for option in said.options] == [True, False]


def test_two_months_in_the_warmth_on_the_yeast_are_told() -> None:
    keys = {finding.key: finding for finding in ask(begun(*FINISHED), days=75).findings}
    assert keys["long_on_yeast"].urgency is Urgency.ACT
    assert not ask(begun(*FINISHED), days=20).findings


def test_bottled_beer_is_left_alone() -> None:
    lots = (ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),)
    assert ask(begun(*FINISHED, (13, ev.Bottled(lots=lots)))).headline == "It is in bottles."
    assert ask(brewed()).headline == "Nothing to rack yet."


def test_racked_beer_is_led_on_to_its_sugar() -> None:
    into_bucket = begun(*FINISHED, (12.5, ev.Racked(vessel="bottling bucket", volume=q("20.5", "L"))))
    said = ask(into_bucket)
    assert said.headline == "Racked: weigh the sugar for 20.5 L, and bottle it today."
    assert said.urgency is Urgency.ACT
    tapped = ev.VesselKept(name="tap", what="bottling bucket")
    into_tap = begun(*FINISHED, (12.5, ev.Racked(vessel="tap", volume=q("20.5", "L"))))
    assert answer(into_tap, setting(tapped, hours=313), {}).headline == said.headline
    stored = ask(begun(*FINISHED, (12.5, ev.Racked(vessel="demijohn", volume=q("20.5", "L")))))
    assert stored.headline == "Racked: leave it closed until bottling day, then weigh the sugar for 20.5 L."
    assert stored.urgency is Urgency.NOTHING
    sweetened = (12.6, ev.Primed(sugar="sucrose", mass=q("110", "g")))
    primed = ask(begun(*FINISHED, (12.5, ev.Racked(vessel="bottling bucket")), sweetened))
    assert primed.headline == "Racked and primed: stir it once, gently, and bottle it now."


def test_beer_racked_before_its_end_is_known_gets_no_sugar_yet() -> None:
    said = ask(begun((8, read("1.012")), (8.5, ev.Racked())), days=9)
    assert said.headline.startswith("Racked, but it is not known to be finished: no sugar yet. Read it ")
    assert said.urgency in {Urgency.WAIT, Urgency.MEASURE}


def rack(brew: Brew, days: float, *things: ev.Event, **values: object):
    moment = 1 + days * DAY
    return RACK.decide(brew, values, at(moment), setting(*things, hours=moment))


def test_racking_is_written_as_given() -> None:
    decided = rack(begun(*FINISHED), 12.5, vessel="second bucket", volume=q("21", "L"))
    assert decided.events[0][1] == ev.Racked(vessel="second bucket", volume=q("21", "L"))
    assert decided.findings == ()


def test_racking_early_more_than_there_was_or_more_than_fits_is_told() -> None:
    early = rack(begun((3, read("1.025"))), 3.1, vessel="second bucket")
    assert [finding.key for finding in early.findings] == ["racked_early"]
    odd = rack(begun(*FINISHED), 12.5, BUCKET, vessel="bottling bucket", volume=q("27", "L"))
    assert {finding.key for finding in odd.findings} == {"vessel_too_small", "more_than_was_there"}


def test_bottled_beer_cannot_be_racked() -> None:
    lots = (ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),)
    with pytest.raises(Refused, match="in bottles"):
        rack(begun(*FINISHED, (13, ev.Bottled(lots=lots))), 14)


def test_an_empty_brew_has_an_answer() -> None:
    assert ask(brewed((1.0, ev.Pitched()))).figures
