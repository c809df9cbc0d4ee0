"""The forecaster: whether its ranges hold, whom its gate lets through, and how long it takes.

None of the batches made here was used for choosing anything: their seeds are used nowhere else.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from datetime import UTC
from typing import Final
from unittest import mock

import big_book
from figures import Figure

from gylebook.steps.cards import CARDS_VERSION

PROCESSES: Final = min(2, os.cpu_count() or 1)
OWN_SEED, ORACLE_SEED, DECIDE_SEED, BOUND_SEED, HOPS_SEED = 900_001, 900_011, 900_021, 900_031, 900_041
OWN, OWN_WITH_HOPS, ORACLE, DECIDED, BOUND, HOPPED = 2_000, 500, 600, 1_000, 4_000, 200
RUNNING: Final = range(40_001, 40_201)  # two hundred brews, by numbers that no other benchmark uses


def accuracy_figures() -> Iterator[Figure]:
    """How exact its sums are, against sums that take hundreds of times as long; how many of its draws count."""
    from forecast import accuracy

    yield from accuracy.figures(processes=PROCESSES)


def spread_figures() -> Iterator[Figure]:
    """Whether the ranges hold the truth as often as they say."""
    from forecast import oracle_scores, own_scores

    yield from own_scores.figures(own_scores.scores(OWN, OWN_SEED, PROCESSES))
    hopped = own_scores.scores(OWN_WITH_HOPS, OWN_SEED + 1, PROCESSES, hops=True)
    yield from own_scores.figures(hopped, "own_prior_hops", limited=False)
    yield from oracle_scores.together_figures(oracle_scores.scores(ORACLE, ORACLE_SEED, PROCESSES))


def gate_figures() -> Iterator[Figure]:
    """Whom the gate lets through, in two mixes of batches; and what could be reached at all."""
    from forecast import bound, decisions

    for mix, own_stops in (("", False), ("own_stops_", True)):
        parts = decisions.shares("both", DECIDED, DECIDE_SEED, stalls=0.12, misread=0.02, own_stops=own_stops)
        found = decisions.run(parts, PROCESSES)
        print(decisions.heading(found, "both", DECIDE_SEED, stalls=0.12, own_stops=own_stops), file=sys.stderr)
        for line in decisions.report(found):
            print(line, file=sys.stderr)
        yield from decisions.figures(found, mix, limited=not own_stops)
        if not own_stops:
            yield from bound.figures(*bound.bounds(BOUND, BOUND_SEED, PROCESSES))


def hop_figures() -> Iterator[Figure]:
    """Batches whose hops free sugar, and the published case of it."""
    from forecast import hop_scores

    for mark, hops in (("hops_10", hop_scores.ONE_FOR_ALL), ("hops_any", None)):
        yield from hop_scores.figures(hop_scores.scores(HOPPED, HOPS_SEED, PROCESSES, hops), mark)
    yield hop_scores.rank_figure()


def measured_figures() -> Iterator[Figure]:
    """The half of the measured fermentations that nothing was chosen by; none where there are none."""
    from forecast.forecaster import shipped
    from forecast.real_batches import FOLDER, Half, folder, read_folder

    from forecast import real_scores

    place = folder()
    if place is None:
        print(f"No measured fermentations are judged: {FOLDER} names no folder.", file=sys.stderr)
        return
    half = Half.REPORTING
    yield from real_scores.figures(real_scores.judge(read_folder(place, half), shipped()), half)


def running_figures() -> Iterator[Figure]:
    """A book of two hundred brews in fermentation: each forecast anew, and how often Today does that."""
    from gylebook.forecast.forecast import forecast
    from gylebook.journal.book_file import entry_of
    from gylebook.journal.state import Shelf, fold
    from gylebook.steps.decision import Setting
    from gylebook.steps.outlook import forecast_of, outlook

    setting = Setting(big_book.NOW, Shelf(), UTC)
    first, *brews = [fold(str(n), map(entry_of, big_book.fermenting_rows(n))) for n in (RUNNING[-1] + 1, *RUNNING)]
    outlook(first, setting)
    forecast_of.cache_clear()
    begun, since = time.process_time(), time.perf_counter()
    told = [outlook(brew, setting) for brew in brews]
    worked, waited = time.process_time() - begun, time.perf_counter() - since
    anew = forecast_of.cache_info().misses
    begun = time.process_time()
    for each in told:
        forecast(each.forecast.evidence)
    alone = 1000 * (time.process_time() - begun) / len(told)
    clock = f"by the clock {1000 * waited / len(brews):.1f}"
    plain = f"{clock}; the forecaster alone {alone:.1f}; {anew} forecasts made for {len(brews)} brews"
    yield Figure("forecast.outlook_200_running", 1000 * worked / len(brews), "ms of one core a brew", 12.0, plain)
    yield _today_figure()


def _today_figure() -> Figure:
    """How often the forecaster is asked while Today shows the cards of two hundred running brews."""
    from django.db import transaction
    from django.test import Client

    from gylebook.forecast import forecast as door
    from gylebook.steps.outlook import forecast_of
    from gylebook.store import cards, rows

    with transaction.atomic():
        rows.insert_many("default", (row for number in RUNNING for row in big_book.fermenting_rows(number)))
    cards.refresh("default", [str(number) for number in RUNNING])
    forecast_of.cache_clear()
    client = Client(SERVER_NAME="127.0.0.1")
    with mock.patch.object(door, "forecast", side_effect=door.forecast) as asked:
        answer = client.get("/")
        by_today = asked.call_count
        client.get(f"/brews/{RUNNING[0]}/")
    if asked.call_count == by_today:
        raise RuntimeError("not even a brew's own page asks the forecaster: nothing was counted")
    shown = sum(f"/brews/{number}/".encode() in answer.content for number in RUNNING)
    if answer.status_code != 200 or not shown:
        raise RuntimeError(f"Today answered {answer.status_code} and shows {shown} of the running brews")
    plain = f"{shown} of {len(RUNNING)} running brews on the page, cards of version {CARDS_VERSION}"
    return Figure("forecast.today_forecasts", by_today, "forecasts", 0.0, plain)
