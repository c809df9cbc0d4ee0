"""One reading more is judged as it would be with all others judged anew; what is left out is left out. Invented."""

from __future__ import annotations

from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from brewing import ONE_CAN_SUGAR, at, brewed, q, shelf_with
from gylebook.journal import events as ev
from gylebook.journal.state import Kept
from gylebook.steps.gravity import one_more, readings
from gylebook.steps.readings import with_event

GLASS = ev.InstrumentKept(name="jar's", ref_temp=q("15.6", "°C"))
temps = st.one_of(st.none(), st.integers(1, 45).map(lambda n: q(str(n), "°C")))
gravities = st.one_of(
    st.integers(1000, 1060).map(lambda n: q(f"{n / 1000:.3f}", "SG")),
    st.sampled_from([q("1.190", "SG"), q("1.150", "SG"), q("0", "SG"), q("12", "°P")]),
)
measured = st.builds(
    ev.Measured,
    gravity=gravities,
    temp=temps,
    fizz=st.sampled_from(["", "flat", "fizzy"]),
    sample_from=st.sampled_from(["", "", "", "forced sample"]),
)
others = st.one_of(
    st.builds(ev.Mixed, ingredients=st.sampled_from([(), ONE_CAN_SUGAR]), volume=st.just(q("23", "L")), temp=temps),
    st.builds(ev.Pitched, temp=temps),
    st.builds(ev.TempSeen, of=st.sampled_from(["beer", "room"]), temp=temps),
    st.just(ev.Added(what="sugar", mass=q("500", "g"), purpose="fermentable", material="sucrose")),
    st.just(ev.Hopped(hop="Invented", mass=q("50", "g"))),
)
logs = st.lists(st.tuples(st.integers(0, 40), st.one_of(measured, measured, others)), max_size=10)


@limits(max_examples=300)
@given(log=logs, hours=st.integers(0, 40), event=measured)
def test_one_reading_more_is_judged_as_if_it_stood_in_the_log(
    log: list[tuple[int, ev.Event]], hours: int, event: ev.Measured
) -> None:
    brew = brewed(*((10.0 * each, other) for each, other in log))
    shelf = shelf_with(GLASS)
    newest = Kept(brew.head_seq + 1, at(10.0 * hours), event)
    stood = readings(with_event(brew, newest.at, event), shelf)
    assert one_more(brew, shelf, newest) == next((r for r in stood if r.seq == newest.seq), None)
