"""Whatever is in a brew's log, the later steps answer it: with workings, known sources and ordered intervals."""

from __future__ import annotations

import re
from dataclasses import replace
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from brewing import ONE_CAN_SUGAR, TWO_CANS, brewed, q, setting
from finished import GARAGE, ROOM
from gylebook import sources
from gylebook.journal import events as ev
from gylebook.steps import bottling, cleaning, conditioning, priming, tasting
from gylebook.steps.answers import Answer, MomentFigure
from gylebook.steps.tasting_compare import compare

STEPS = {
    "cleaning": cleaning,
    "priming": priming,
    "bottling": bottling,
    "conditioning": conditioning,
    "tasting": tasting,
}

temps = st.one_of(st.none(), st.integers(-5, 45).map(lambda n: q(str(n), "°C")))
litres = st.one_of(st.none(), st.integers(1, 60).map(lambda n: q(str(n), "L")))
gravities = st.integers(985, 1140).map(lambda n: q(f"{n / 1000:.3f}", "SG"))
kinds = st.sampled_from(["returnable_500", "one_way", "pet", "wine", "brown ones", "never heard of", ""])
lots = st.lists(
    st.builds(
        ev.BottleLot,
        bottle=kinds,
        count=st.integers(1, 500),
        size=st.sampled_from([q("500", "mL"), q("0.05", "L"), q("5", "L"), q("1", "imp pt")]),
        first=st.booleans(),
    ),
    min_size=1,
    max_size=3,
).map(tuple)
events = st.one_of(
    st.builds(ev.Mixed, ingredients=st.sampled_from([(), ONE_CAN_SUGAR, TWO_CANS]), volume=litres, temp=temps),
    st.builds(ev.Measured, gravity=gravities, temp=temps, fizz=st.sampled_from(["", "flat", "fizzy"])),
    st.builds(ev.Pitched, temp=temps, mass=st.one_of(st.none(), st.just(q("6", "g")))),
    st.builds(ev.TempSeen, of=st.sampled_from(["beer", "room"]), temp=temps, low=temps, high=temps),
    st.builds(ev.Moved, place=st.sampled_from(["garage", "room", "attic"])),
    st.builds(ev.Hopped, hop=st.just("Invented"), mass=st.sampled_from([q("1", "g"), q("5", "kg")])),
    st.builds(ev.Cleaned, what=st.just("all"), agent=st.sampled_from(["bleach", "descaler", "soap", ""])),
    st.builds(ev.Racked, volume=litres),
    st.builds(
        ev.Primed,
        sugar=st.sampled_from(["sucrose", "honey", "treacle"]),
        mass=st.sampled_from([q("126", "g"), q("0", "g"), q("2", "kg"), q("3", "g")]),
        how=st.sampled_from(["whole batch", "each bottle"]),
        volume=litres,
        bottles=st.one_of(st.none(), st.integers(1, 300)),
    ),
    st.builds(ev.Bottled, lots=lots, place=st.sampled_from(["", "garage", "nowhere"]), cap_code=st.text(max_size=3)),
    st.builds(ev.Opened, fizz=st.one_of(st.none(), st.integers(1, 5)), gushed=st.one_of(st.none(), st.booleans()), bottle=kinds),
    st.builds(ev.Burst, bottle=kinds),
    st.builds(ev.Vented, temp=temps),
    st.builds(ev.TakenOut, count=st.integers(1, 900), bottle=kinds),
    st.builds(ev.Tasted, faults=st.sampled_from([(), ("apple",), ("odd", "flat", "Antiseptic")])),
    st.builds(ev.Judged, verdict=st.sampled_from(["finished", "infected"])),
)  # fmt: skip
logs = st.lists(st.tuples(st.floats(0, 4000), events), max_size=10)
BROWN = ev.BottlesKept(name="brown ones", kind="returnable_500", size=q("500", "mL"), count=30, washes=3)


def check(answer: Answer) -> None:
    assert answer.headline
    assert answer.why
    for figure in (*answer.figures, *(f for option in answer.options for f in option.figures)):
        assert figure.working.relation, figure.key
        assert set(figure.working.sources) <= sources.all().keys(), figure.key
        if isinstance(figure, MomentFigure):
            assert figure.low <= figure.value <= figure.high, figure
        else:
            assert isfinite(figure.value), figure
            assert figure.low <= figure.value <= figure.high, figure
    keys = [figure.key for figure in answer.figures]
    assert len(keys) == len(set(keys)), keys
    spoken = " ".join([answer.headline, answer.why, answer.missing, *(f.text + f.check for f in answer.findings)])
    words = re.findall(r"[a-z]+", spoken.lower())
    assert "nan" not in words
    assert "safe" not in words
    assert "not known volumes" not in spoken


@pytest.mark.parametrize("word", STEPS)
@limits(max_examples=60)
@given(log=logs, hours=st.floats(0, 5000))
def test_any_log_is_answered(word: str, log: list[tuple[float, ev.Event]], hours: float) -> None:
    check(STEPS[word].answer(brewed(*log), setting(GARAGE, ROOM, BROWN, hours=hours), {}))


@limits(max_examples=60)
@given(one=logs, two=logs)
def test_any_two_brews_are_compared(one: list[tuple[float, ev.Event]], two: list[tuple[float, ev.Event]]) -> None:
    other = replace(brewed(*two), id="8")
    check(compare(brewed(*one), other, setting(GARAGE, ROOM, BROWN, hours=5000)))
