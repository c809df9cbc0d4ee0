"""Which batches a mix holds."""

from __future__ import annotations

import pytest
from forecast.batches import make
from forecast.mix import mixed


@pytest.fixture(scope="module")
def halted_only():
    return mixed(60, 8, stalls=0.3)


def test_nothing_stops_that_was_not_made_to(halted_only):
    assert not any(batch.sticks and not batch.stalled for batch in halted_only)


def test_the_models_own_stops_stay_where_they_are_asked_for():
    found = mixed(60, 8, stalls=0.0, own_stops=True)
    assert any(batch.sticks for batch in found)
    assert [batch.final_sg for batch in found] == [batch.final_sg for batch in make(60, 8, stalls=0.0)]


def test_those_left_out_are_replaced_by_their_own_kind(halted_only):
    assert sum(batch.kind == "toro" for batch in halted_only) == 30
    assert len(halted_only) == 60
    assert len({batch.number for batch in halted_only}) == 60


def test_who_is_left_out_does_not_depend_on_who_is_halted(halted_only):
    assert [batch.number for batch in mixed(60, 8, stalls=0.0)] == [batch.number for batch in halted_only]


def test_one_kind_alone_may_be_asked_for():
    assert {batch.kind for batch in mixed(7, 8, "toro")} == {"toro"}
    assert len(mixed(7, 8, "gee")) == 7


def test_hops_change_nothing_about_who_is_in(halted_only):
    hopped = mixed(60, 8, stalls=0.3, hops=1.0)
    assert [batch.number for batch in hopped] == [batch.number for batch in halted_only]
    assert all(batch.hops is not None for batch in hopped)
