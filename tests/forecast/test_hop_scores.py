"""Scores with hops: what is looked at, and the published end point in the prior."""

from __future__ import annotations

from types import SimpleNamespace

from forecast.hop_scores import ONE_FOR_ALL, Part, figures, judge, published_rank, rank_figure
from forecast.hop_scores import _judged as judged
from forecast.mix import mixed

from gylebook.forecast.answers import Spread


class Watching:
    """Keeps what it is asked, and never lets a batch through."""

    def __init__(self):
        self.seen = []

    def __call__(self, evidence):
        self.seen.append(evidence)
        wide = Spread(0.0, 1.0, -1e9, -1e9, 0.0, 1e9, 1e9)
        return SimpleNamespace(stories={}, unsafe=0.5, final_sg=wide, now_sg=wide, co2_left_g_per_l=wide, end_day=wide)


def test_nobody_asks_before_the_hops_are_in():
    for batch in mixed(6, 3, hops=1.0):
        watching = Watching()
        judged(batch, watching)
        assert watching.seen
        assert all(evidence.hops is not None for evidence in watching.seen)
        assert all(evidence.now_day >= batch.hops.day for evidence in watching.seen)


def test_what_was_read_before_the_hops_is_known():
    (batch,) = mixed(1, 3, hops=ONE_FOR_ALL)
    watching = Watching()
    judged(batch, watching)
    assert min(reading.day for reading in watching.seen[-1].readings if reading.day > 0) < ONE_FOR_ALL.day


def test_batches_are_scored_by_both_quantities_and_the_gate():
    found = judge(Part(3, 4, ONE_FOR_ALL))
    told = {each.name: each for each in figures(found, "hops")}
    assert len(told) == 4
    assert all(each.limit is None for each in told.values())
    assert {len(each.pairs) for each in found} == {2}


def test_the_published_end_point_is_neither_beyond_the_prior_nor_certain():
    assert 0.0 < published_rank(2000) < 1.0
    assert rank_figure().ok
