"""What the forecaster is told of one brew: numbers only, each with its error. Days count from pitching.

Nothing here knows a journal, a clock or a unit other than those in the names.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

USUAL_GROSS: Final = 0.03  # chance that an ordinary reading is grossly wrong (misread, bubbles, wrong vessel)
LIGHT_GROSS: Final = 0.5  # for one that contradicts, or was taken carelessly
USUAL_OFFSET_SD_SG: Final = 0.0007  # a hydrometer that was never checked in water


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of true gravity.

    Parameters
    ----------
    day
        Days since pitching; 0 or below for the wort.
    gravity_sg, sd_sg
        Gravity corrected for temperature and glass, and the standard deviation of its own error (scale, resolution,
        sample temperature, wort not mixed), without the hydrometer's offset.
    lift_sg
        Scale of what gas in the sample may have lifted it by (half-normal); 0 for a flat sample.
    gross
        Chance, before looking, that it is grossly wrong.
    instrument
        Readings with the same number share one unknown offset.
    """

    day: float
    gravity_sg: float
    sd_sg: float
    lift_sg: float = 0.0
    gross: float = USUAL_GROSS
    instrument: int = 0


@dataclass(frozen=True, slots=True)
class Warmth:
    """The beer's temperature as steps: each value holds from its day to the next, the last one holds on.

    Before the first day the first value holds. `works_c` is where this yeast works at its usual pace.
    """

    day: tuple[float, ...] = (0.0,)
    temp_c: tuple[float, ...] = (20.0,)
    works_c: float = 20.0


@dataclass(frozen=True, slots=True)
class Hops:
    """Hops added to the fermenting or finished beer. `out_day` is None while they are in it."""

    day: float
    dose_g_per_l: float
    out_day: float | None = None


@dataclass(frozen=True, slots=True)
class Addition:
    """Fermentable sugar put in later: it lifts the gravity at once by `lifts_sg`, and lets it fall by `falls_sg`."""

    day: float
    lifts_sg: float
    falls_sg: float


@dataclass(frozen=True, slots=True)
class Forced:
    """Where a small, warm, over-yeasted sample came to rest, and how far its brew may end from there (sd)."""

    gravity_sg: float
    sd_sg: float = 0.0010


@dataclass(frozen=True, slots=True)
class Known:
    """What is known before any reading of beer.

    Parameters
    ----------
    og_sg, og_sd_sg
        Original gravity by weights and volume (or a wide guess), without the readings of the wort.
    attenuation, attenuation_sd
        Share of (OG - 1) that this wort should lose with this yeast.
    pace, pace_sd
        Median of the tail rate at `works_c`, and the standard deviation of its logarithm [1/d].
    pitch, pitch_sd
        Median of the yeast's activity when it went in, as a share of its full activity, and the sd of its logarithm.
    offsets
        What is known of hydrometers' errors: instrument number, error [SG], its sd [SG]; of others it is 0 and
        `USUAL_OFFSET_SD_SG`.
    """

    og_sg: float = 1.042
    og_sd_sg: float = 0.006
    attenuation: float = 0.77
    attenuation_sd: float = 0.06
    pace: float = 1.0
    pace_sd: float = 0.40
    pitch: float = 0.035
    pitch_sd: float = 0.9
    offsets: tuple[tuple[int, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    """All of it. `now_day` is the moment that the answers speak of; readings after it are refused."""

    readings: tuple[Reading, ...]
    now_day: float
    known: Known = field(default_factory=Known)
    warmth: Warmth = field(default_factory=Warmth)
    hops: Hops | None = None
    additions: tuple[Addition, ...] = ()
    forced: Forced | None = None
