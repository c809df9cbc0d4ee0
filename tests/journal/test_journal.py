"""The journal: nothing is lost, a correction is a new entry, late entries find their place."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import JournalDamaged
from gylebook.journal import codec
from gylebook.journal import events as ev
from gylebook.journal.state import Entry, fold, fold_shelf, further
from gylebook.units import Quantity

START = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
FROZEN = Path(__file__).parent / "frozen"


def entry(seq: int, event: ev.Event, hours: float = 0.0, brew: str = "7") -> Entry:
    at = START + timedelta(hours=hours)
    return Entry(brew, seq, codec.kind_of(event), codec.version_of(event), at, at, "Ada", "page", f"c-{seq}", event)


def reading(text: str) -> ev.Measured:
    return ev.Measured(gravity=Quantity(text, "SG"))


def corrected(seq: int, instead: ev.Event | None) -> ev.Corrected:
    if instead is None:
        return ev.Corrected(seq=seq, because="wrong bucket")
    return ev.Corrected(seq=seq, kind=codec.kind_of(instead), version=1, instead=codec.plain_of(instead))


def gravities(brew) -> list[str]:
    return [k.event.gravity.text for k in brew.all(ev.Measured)]


def test_what_happened_earlier_but_was_written_later_stands_in_its_place() -> None:
    brew = fold(
        "7", [entry(1, ev.Planned(name="Ember")), entry(2, reading("1.020"), 96), entry(3, reading("1.040"), 1)]
    )
    assert gravities(brew) == ["1.040", "1.020"]
    assert [e.seq for e in brew.entries] == [1, 2, 3]


def test_a_correction_takes_the_place_of_the_entry_and_both_stay_readable() -> None:
    brew = fold("7", [entry(1, reading("1.034")), entry(2, corrected(1, reading("1.043")), 3)])
    assert gravities(brew) == ["1.043"]
    kept = brew.all(ev.Measured)[0]
    assert (kept.seq, kept.at, kept.corrected_by) == (1, START, 2)
    assert brew.struck == {1}
    assert len(brew.entries) == 2


def test_a_correction_of_a_correction_counts_for_the_first_entry() -> None:
    rows = [
        entry(1, reading("1.034")),
        entry(2, corrected(1, reading("1.043")), 3),
        entry(3, corrected(2, reading("1.044")), 4),
    ]
    assert gravities(fold("7", rows)) == ["1.044"]
    assert fold("7", rows).struck == {1, 2}


def test_an_entry_can_be_withdrawn() -> None:
    brew = fold("7", [entry(1, reading("1.034")), entry(2, corrected(1, None))])
    assert gravities(brew) == []


def test_the_stage_follows_what_was_done() -> None:
    rows = [entry(1, ev.Planned(name="Ember"))]
    assert fold("7", rows).stage == "planned"
    rows.append(entry(2, ev.Pitched()))
    assert fold("7", rows).stage == "fermenting"
    rows.append(entry(3, ev.Dumped(because="fell off the table")))
    assert fold("7", rows).stage == "dumped"
    assert not fold("7", rows).open


def test_the_shelf_keeps_the_latest_of_each_name_and_forgets_on_request() -> None:
    shelf = fold_shelf(
        [
            entry(1, ev.PlaceKept(name="loft", low=Quantity("10", "°C")), brew="shelf"),
            entry(2, ev.PlaceKept(name="loft", low=Quantity("12", "°C")), brew="shelf"),
            entry(3, ev.VesselKept(name="blue bucket"), brew="shelf"),
            entry(4, ev.Forgotten(thing="vessel", name="blue bucket"), brew="shelf"),
            entry(5, ev.SettingsKept(volume="imp pt"), brew="shelf"),
            entry(6, ev.SettingsKept(mass="oz"), brew="shelf"),
        ]
    )
    assert shelf.places["loft"].low == Quantity("12", "°C")
    assert not shelf.vessels
    assert (shelf.settings.volume, shelf.settings.mass) == ("imp pt", "oz")


def test_an_unknown_kind_a_future_version_or_a_strange_field_is_named_not_guessed() -> None:
    with pytest.raises(JournalDamaged, match="unknown kind"):
        codec.decode("conjured", 1, b"{}")
    with pytest.raises(JournalDamaged, match="version 9"):
        codec.decode("noted", 9, b'{"text":"x"}')
    with pytest.raises(JournalDamaged, match="noted"):
        codec.decode("noted", 1, b'{"text":"x","colour":"red"}')


@pytest.mark.parametrize("kind", sorted(ev.KINDS))
def test_every_version_of_every_kind_ever_released_still_reads(kind: str) -> None:
    """One frozen body for each kind and version; they are added to, never changed."""
    version = ev.KINDS[kind][1]
    for number in range(1, version + 1):
        body = (FROZEN / f"{kind}.{number}.json").read_bytes().strip()
        event = codec.decode(kind, number, body)
        if number == version:
            assert codec.encode(event) == body
            missing = [f for f in event.__struct_fields__ if f not in msgspec.json.decode(body)]
            assert not missing, f"the frozen body of {kind} leaves out {missing}"


@given(
    st.lists(
        st.tuples(st.integers(0, 30), st.one_of(st.just(ev.Noted(text="foam")), st.builds(ev.Corrected, seq=st.integers(1, 12)))),
        max_size=12,
    ),
    st.integers(0, 12),
)  # fmt: skip
def test_entries_folded_in_later_come_to_the_same_brew(log: list[tuple[int, ev.Event]], known: int) -> None:
    rows = [entry(seq, event, hours) for seq, (hours, event) in enumerate(log, 1)]
    assert further(fold("7", rows[:known]), rows[known:]) == fold("7", rows)
