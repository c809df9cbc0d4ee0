"""Batches drawn from the forecaster's own priors, so that its sums can be checked apart from its assumptions.

Every parameter comes from its prior, every reading from the noise that the forecaster assumes; whoever knows the truth
can then count how often the stated intervals hold it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gylebook.forecast import priors
from gylebook.forecast.answers import NEAR_END_SG, Floats, Story
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.curve import Clock, day_of, halted_for, progress, rates, thermal_at
from gylebook.forecast.evidence import Evidence, Hops, Known, Reading, Warmth
from gylebook.forecast.likelihood import GROSS_SD_SG, TIME_SD_DAYS, Sheet


@dataclass(frozen=True)
class Truth:
    """What the forecaster should find: of the last reading's moment."""

    story: Story
    final_sg: float
    now_sg: float
    left_sg: float
    end_day: float

    @property
    def co2_left_g_per_l(self) -> float:
        """Carbon dioxide still to come [g/L]."""
        return CO2_G_PER_L_PER_SG * self.left_sg


def plan(rng: np.random.Generator, *, hops: bool = False, most: int = 8) -> Evidence:
    """Known things and moments of readings, without their values: a brew as anybody may look at it."""
    count = int(rng.integers(1, most))
    days = np.cumsum(rng.choice([0.5, 1.0, 1.0, 2.0, 2.0, 3.0, 4.0], size=count)) + rng.uniform(0.5, 4.0)
    known = Known(
        og_sg=round(float(rng.uniform(1.036, 1.075)), 4),
        og_sd_sg=float(rng.choice([0.0015, 0.002, 0.004])),
        attenuation=round(float(rng.uniform(0.70, 0.85)), 3),
        attenuation_sd=float(rng.choice([0.03, 0.035, 0.05])),
    )
    steps = np.arange(0.0, days[-1] + 1)
    temps = np.round(2 * (rng.uniform(16, 23) + np.cumsum(rng.normal(0, 0.4, len(steps))))) / 2
    readings = [Reading(0.0, 1.05, 0.0012), *(Reading(round(float(d), 3), 1.02, 0.001) for d in days)]
    hopped = Hops(round(float(days[0] + 1), 3), float(rng.choice([3.0, 6.0, 10.0]))) if hops else None
    warmth = Warmth(tuple(steps.tolist()), tuple(temps.tolist()))
    return Evidence(tuple(readings), round(float(days[-1]), 3), known, warmth, hopped)


def simulate(planned: Evidence, rng: np.random.Generator) -> tuple[Truth, Evidence]:
    """One batch: its truth, and the evidence with readings filled in."""
    stories = list(priors.CHANCE)
    story = stories[int(rng.choice(len(stories), p=[priors.CHANCE[s] for s in stories]))]
    woken = planned.hops is not None and (story in _ALWAYS_CREEPS or bool(rng.random() < priors.WOKEN_CHANCE))
    kinds = {family.name: family for family in priors.families(planned)}
    name = {Story.FADING: "fading", Story.HALTED: "halted"}.get(story, "woken" if woken else "running out")
    family = kinds[name]
    told = Story.WOKEN if name == "woken" and story is Story.HEALTHY else story
    make = next(m for m in family.makes if m.story is told)
    drawn = family.draw(rng.standard_normal((family.size, 1)))
    pause = np.inf
    if story is Story.HALTED and rng.random() < priors.RESTARTS:
        pause = float(priors.PAUSE[0] * np.exp(priors.PAUSE[1] * rng.standard_normal()))
    sheet = Sheet(planned)
    if np.isfinite(pause):
        stood = halted_for(
            drawn.shape, Clock(planned.warmth, np.array([planned.now_day])).thermal(drawn.shape.energy)[0]
        )
        if stood[0] > pause:
            u = rng.random() / priors.HALTS_AGAIN
            again = np.where(u < 1, drawn.shape.halt + (1 - drawn.shape.halt) * u, 2.0)
            shape = replace(drawn.shape, pause=np.array([pause]), again=again)
            drawn = priors.Drawn(shape, drawn.creep_sg, drawn.creep_pace)
    curves = sheet.curves(drawn)
    og = planned.known.og_sg + planned.known.og_sd_sg * rng.standard_normal()
    fall = make.attenuation * (og - 1) + sheet.fall * make.spread * rng.standard_normal()
    offset = sheet.offset_sds[0] * rng.standard_normal()
    filled = []
    for i, reading in enumerate(planned.readings):
        shift = 0.0 if curves.shift is None else curves.shift[i, 0]
        sd = np.hypot(reading.sd_sg, TIME_SD_DAYS * sheet.fall * make.attenuation * curves.slope[i, 0])
        wrong = GROSS_SD_SG if rng.random() < reading.gross else 0.0
        value = og - fall * curves.done[i, 0] + shift + offset + np.hypot(sd, wrong) * rng.standard_normal()
        filled.append(replace(reading, gravity_sg=float(value)))
    evidence = replace(planned, readings=tuple(filled))
    return _truth(evidence, drawn, told, og, fall, pause), evidence


_ALWAYS_CREEPS = (Story.FADING, Story.HALTED)


def _truth(  # noqa: PLR0917 - all that was drawn
    evidence: Evidence, drawn: priors.Drawn, story: Story, og: float, fall: float, pause: float
) -> Truth:
    now, one = np.array([evidence.now_day]), np.array([fall])
    creep = 0.0 if drawn.creep_sg is None else float(drawn.creep_sg[0])
    left = float(left_of_each(evidence, drawn, one, now)[0])
    shape = drawn.shape
    bare = replace(shape, halt=None, pause=None, again=None)
    ends = thermal_at(bare, np.maximum(1 - NEAR_END_SG / one, 0.0))
    if creep:
        grid = np.linspace(0.0, 400.0, 8001)
        going = _many(replace(drawn, shape=bare), len(grid))
        there = np.flatnonzero(left_of_each(evidence, going, np.full(len(grid), fall), grid) <= NEAR_END_SG)
        ends = thermal_on(evidence.warmth, grid[there[:1]], shape.energy) if len(there) else np.array([np.inf])
    if shape.halt is not None and (1 - shape.halt[0]) * fall > NEAR_END_SG:
        ends = ends + pause
    if shape.again is not None and (1 - shape.again[0]) * fall > NEAR_END_SG:
        ends = ends + np.inf
    end = float(day_of(evidence.warmth, ends, shape.energy)[0])
    final = og - fall - creep
    return Truth(story, final, final + left, left, end)


def left_of_each(evidence: Evidence, drawn: priors.Drawn, fall: Floats, day: Floats) -> Floats:
    """All that is still to fall of each draw on a day of its own (draws,) [SG]."""
    shape, warmth = drawn.shape, evidence.warmth
    thermal = thermal_on(warmth, day, shape.energy)
    left = fall * (1 - progress(shape, thermal[None, :])[0][0])
    if drawn.creep_sg is not None and drawn.creep_pace is not None and evidence.hops is not None:
        own = np.full_like(day, priors.CREEP_ENERGY)
        begun = thermal_on(warmth, np.full_like(day, evidence.hops.day), own)
        left = left + drawn.creep_sg * np.exp(-drawn.creep_pace * np.maximum(thermal_on(warmth, day, own) - begun, 0))
    for added in evidence.additions:
        begun = thermal_on(warmth, np.full_like(day, added.day), shape.energy)
        left = left + added.falls_sg * np.exp(-shape.pace * np.maximum(thermal - begun, 0.0))
    return np.asarray(left)


def thermal_on(warmth: Warmth, day: Floats, energy: Floats) -> Floats:
    """Thermal time of each draw on a day of its own, shape (draws,)."""
    pace = rates(warmth, energy)
    begins = np.maximum(np.asarray(warmth.day, dtype=float), 0.0)
    begins[0] = 0.0
    ends = np.append(begins[1:], np.inf)
    inside = np.clip(day, begins[:, None], ends[:, None]) - begins[:, None]
    return np.asarray((inside * pace).sum(axis=0))


def _many(drawn: priors.Drawn, count: int) -> priors.Drawn:
    some = np.zeros(count, dtype=int)
    creep = None if drawn.creep_sg is None else drawn.creep_sg[some]
    pace = None if drawn.creep_pace is None else drawn.creep_pace[some]
    return priors.Drawn(drawn.shape.take(some), creep, pace)
