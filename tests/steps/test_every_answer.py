"""Whatever is in a brew's log, the first steps answer it: with workings, known sources and ordered intervals."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from brewing import BOOSTED, ONE_CAN_SUGAR, TWO_CANS, brewed, material, q, setting
from gylebook import sources
from gylebook.journal import events as ev
from gylebook.steps import mixing, pitching, plan, readings
from gylebook.steps.answers import Answer, MomentFigure
from gylebook.steps.shelf_lines import read_alternatives

STEPS = {"plan": plan, "mixing": mixing, "readings": readings, "pitching": pitching}
KIT = ev.Kit(
    name="Invented Bitter",
    ingredients=ONE_CAN_SUGAR[:1],
    volume=q("23", "L"),
    alternatives=read_alternatives("sugar: 1 kg sugar; final 1.004 to 1.006\nlactose: 1 kg lactose"),
    yeast_mass=q("6", "g"),
)

temps = st.one_of(st.none(), st.integers(-5, 60).map(lambda n: q(str(n), "°C")))
litres = st.one_of(st.none(), st.integers(1, 60).map(lambda n: q(str(n), "L")))
gravities = st.one_of(
    st.integers(980, 1160).map(lambda n: q(f"{n / 1000:.3f}", "SG")),
    st.integers(-4, 30).map(lambda n: q(str(n), "°P")),
    st.sampled_from([q("0", "SG"), q("-3", "SG"), q("1062", "SG"), q("12", "SG")]),
)
stirred = st.sampled_from(["", "well", "a little", "no"])
make_ups = st.sampled_from(
    [(), ONE_CAN_SUGAR, TWO_CANS, BOOSTED, (material("lactose", "1"),), (material("sucrose", "9"),)]
)
events = st.one_of(
    st.builds(ev.Mixed, ingredients=make_ups, volume=litres, temp=temps, stirred=stirred),
    st.builds(ev.ToppedUp, water=litres, new_volume=litres),
    st.builds(ev.Measured, gravity=gravities, temp=temps, fizz=st.sampled_from(["", "flat", "some", "fizzy"]), stirred=stirred,
              sample_from=st.sampled_from(["", "tap", "forced sample"])),
    st.builds(ev.Pitched, temp=temps, mass=st.one_of(st.none(), st.just(q("11", "g")))),
    st.builds(ev.TempSeen, of=st.sampled_from(["beer", "room"]), temp=temps, low=temps, high=temps),
    st.builds(ev.Moved, place=st.sampled_from(["garage", "attic"]), temp=temps),
    st.builds(ev.Added, what=st.just("sugar"), mass=st.just(q("500", "g")), purpose=st.sampled_from(["fermentable", "other"]),
              material=st.just("sucrose")),
    st.builds(ev.Hopped, hop=st.just("Sedgeway"), mass=st.just(q("50", "g"))),
    st.builds(ev.Racked, volume=litres),
    st.just(ev.Bottled(lots=(ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),))),
    st.just(ev.Dumped()),
)  # fmt: skip
logs = st.lists(st.tuples(st.floats(0, 700), events), max_size=9)
plans = st.sampled_from(
    [None, ev.Planned(name="x", kit=KIT), ev.Planned(name="x", kit=KIT, choice="lactose", place="garage")]
)
GARAGE = ev.PlaceKept(name="garage", low=q("2", "°C"), high=q("36", "°C"))


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
    assert "nan" not in re.findall(r"[a-z]+", spoken.lower())
    assert "not known" not in spoken


@limits(max_examples=80)
@pytest.mark.parametrize("word", STEPS)
@given(log=logs, planned=plans, hours=st.floats(0, 900))
def test_any_log_has_an_answer(
    word: str, log: list[tuple[float, ev.Event]], planned: ev.Planned | None, hours: float
) -> None:
    brew = brewed(*sorted(log, key=lambda pair: pair[0]), plan=planned)
    check(STEPS[word].answer(brew, setting(GARAGE, hours=hours), {}))


def test_moments_are_aware() -> None:
    answer = plan.answer(brewed(plan=ev.Planned(name="x", kit=KIT)), setting(), {})
    moments = [f for f in answer.figures if isinstance(f, MomentFigure)]
    assert moments
    assert all(f.value.tzinfo is not None and f.value > datetime(2026, 1, 1, tzinfo=UTC) for f in moments)
