"""The forecaster's model written a second time, for JAX: log density of all unknowns of one draw, and its answers.

Only constants are shared with the forecaster. A family's density sums over its makes of the wort, and over right and
wrong readings, each by itself; nothing else is integrated out. Thermal time is the plain sum over the record's steps.
Later sugar, and halts that went on, are not written here.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

import jax.numpy as jnp
import numpy as np
from jax.scipy.special import log_ndtr, logsumexp, ndtr

from gylebook.forecast import curve, likelihood, priors
from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG, Evidence

Array = Any
_COMMON: Final = 5
_LOG_2PI: Final = float(np.log(2 * np.pi))


class Curve(NamedTuple):
    """Parameters of one draw's curve, those of all families."""

    pace: Array
    pitch: Array
    growth: Array
    energy: Array
    sharp: Array
    slow: Array
    fade: Array
    halt: Array
    creep_sg: Array
    creep_pace: Array


class Seen(NamedTuple):
    """One draw under one family: the log weight of each make, and what it answers."""

    log_makes: Array  # (makes,)
    final: Array
    now: Array
    left: Array
    wrong: Array  # (readings,)


class Model:
    """One evidence, ready for draws: a draw is a vector of standard normals and, last, the fall in a scale of its own.

    Its entries: five of the curve, fading, halt, two of hops, original gravity, an offset a hydrometer, the fall.
    """

    def __init__(self, evidence: Evidence) -> None:
        if evidence.additions or priors.went_on_after_a_halt(evidence):
            raise ValueError("later sugar and halts that went on are not written in this model")
        self.evidence, known = evidence, evidence.known
        self.families = priors.families(evidence)
        readings = evidence.readings
        self.days = np.array([*(r.day for r in readings), evidence.now_day, max([r.day for r in readings] + [0.0])])
        instruments = sorted({r.instrument for r in readings})
        offsets = {number: (value, sd) for number, value, sd in known.offsets}
        self.offsets = np.array([offsets.get(number, (0.0, USUAL_OFFSET_SD_SG)) for number in instruments])
        self.glass = np.array([instruments.index(r.instrument) for r in readings])
        self.value = np.array([r.gravity_sg - likelihood.LIFT_MEAN * r.lift_sg for r in readings])
        self.variance = np.array([r.sd_sg**2 + (likelihood.LIFT_SD * r.lift_sg) ** 2 for r in readings])
        self.gross = np.array([r.gross for r in readings])
        self.inside, self.colder = self._steps(self.days)
        begun = evidence.hops.day if evidence.hops is not None else 0.0
        self.hopped = self._steps(np.array([begun]))[0]
        usual = np.exp(-priors.ENERGY[0] / curve.GAS_CONSTANT_KJ * self.colder)
        warm = [max(int(np.searchsorted(evidence.warmth.day, r.day, side="right")) - 1, 0) for r in readings]
        self.nominal = known.og_sg - 1
        self.timed = likelihood.TIME_SD_DAYS * self.nominal * known.attenuation * usual[warm]
        self.size = _COMMON + 5 + len(instruments) + 1

    def _steps(self, days: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Days spent in each step of the record by each moment, and each step's 1/T - 1/T where it works."""
        warmth = self.evidence.warmth
        edges = np.maximum([0.0, *warmth.day[1:], np.inf], 0.0)
        inside = np.clip(np.maximum(days, 0.0)[:, None], edges[:-1], edges[1:]) - edges[:-1]
        temp = np.minimum(warmth.temp_c, warmth.works_c + curve._WARMEST_ABOVE_WORKS)  # noqa: SLF001 - the model's own
        return inside, 1 / (temp + 273.15) - 1 / (warmth.works_c + 273.15)

    def _curve(self, z: Array) -> Curve:
        known, hops = self.evidence.known, self.evidence.hops
        tail = priors.TAIL[0] + priors.TAIL[1] * z[4]
        low, high = priors.HALT
        middle = 0.0
        if hops is not None:
            middle = priors.CREEP_SG[0] * (max(hops.dose_g_per_l, 0.01) / priors.CREEP_DOSE[0]) ** priors.CREEP_DOSE[1]
            if hops.out_day is not None:
                middle *= 1 - np.exp(-max(hops.out_day - hops.day, 0.1) / priors.STEEPED_DAYS)
        return Curve(
            known.pace * jnp.exp(known.pace_sd * z[0]),
            jnp.minimum(known.pitch * jnp.exp(known.pitch_sd * z[1]), 0.9),
            priors.GROWTH[0] * jnp.exp(priors.GROWTH[1] * z[2]),
            jnp.clip(priors.ENERGY[0] + priors.ENERGY[1] * z[3], *curve.ENERGY_RANGE),
            jnp.minimum(priors.SHARP * (jnp.exp(jnp.clip(tail, 0.0, 4.0)) - 1), priors.MOST_SHARP),
            jnp.maximum(-priors.SLOW * tail, 1e-6),
            priors.FADE[0] * jnp.exp(priors.FADE[1] * z[5]),
            low + (high - low) * ndtr(z[6]),
            middle * jnp.exp(priors.CREEP_SG[1] * z[7]),
            priors.CREEP_PACE[0] * jnp.exp(priors.CREEP_PACE[1] * z[8]),
        )

    def density(self, family: priors.Family, z: Array) -> Array:
        """Logarithm of one draw's density under a family: what it integrates to is the family's evidence."""
        return logsumexp(self.seen(family, z).log_makes) + _log_normal(z[:-1], 1.0).sum()

    def seen(self, family: priors.Family, z: Array) -> Seen:
        """One draw under a family."""
        found, known = self._curve(z), self.evidence.known
        thermal = self.inside @ jnp.exp(-found.energy / curve.GAS_CONSTANT_KJ * self.colder)
        fallen = self.nominal + known.og_sd_sg * z[9]
        fall = self.nominal * (known.attenuation + known.attenuation_sd * z[-1])
        offset = (self.offsets[:, 0] + self.offsets[:, 1] * z[10:-1])[self.glass] if len(self.glass) else 0.0
        return self._family(family, found, thermal, (fallen, fall, offset))

    def _family(self, family: priors.Family, found: Curve, thermal: Array, wort: tuple[Array, Array, Array]) -> Seen:
        name, makes = family.name, family.makes
        fallen, fall, offset = wort
        done, slope = _progress(found, thermal[:-1], name)
        creeps = self.evidence.hops is not None and name != "running out"
        freed, creep_left = self._creep(found) if creeps else (0.0, 0.0)
        gravity = 1 + fallen - done * fall - freed
        rest = 1 + fallen - fall
        noise = self.variance + (self.timed * slope[:-1]) ** 2
        log_right = jnp.log1p(-self.gross) + _log_normal(self.value - gravity[:-1] - offset, noise)
        wide = noise + likelihood.GROSS_SD_SG**2
        log_wrong = jnp.log(self.gross) + _log_normal(self.value - gravity[:-1] - offset, wide)
        log_both = jnp.logaddexp(log_right, log_wrong)
        total = log_both.sum() + self._forced(rest)
        if name == "halted":
            stood = jnp.maximum(thermal[-1] - _thermal_at(found, found.halt), 1e-9)
            middle, spread = priors.PAUSE
            total += jnp.log1p(-priors.RESTARTS * jnp.exp(log_ndtr(jnp.log(stood / middle) / spread)))
        log_makes = [
            total + make.log_chance + _log_normal(fall - make.attenuation * fallen, (make.spread * self.nominal) ** 2)
            for make in makes
        ]
        left = (1 - done[-1]) * fall + creep_left
        final = rest - (found.creep_sg if creeps else 0.0)
        return Seen(jnp.stack(log_makes), final, gravity[-1], left, jnp.exp(log_wrong - log_both))

    def _creep(self, found: Curve) -> tuple[Array, Array]:
        """What hops have freed by each moment, and what they still will after now."""
        rates = np.exp(-priors.CREEP_ENERGY / curve.GAS_CONSTANT_KJ * self.colder)
        since = np.maximum(self.inside[:-1] @ rates - self.hopped @ rates, 0.0)
        rest = found.creep_sg * jnp.exp(-found.creep_pace * since)
        return found.creep_sg - rest, rest[-1]

    def _forced(self, rest: Array) -> Array:
        forced = self.evidence.forced
        if forced is None:
            return 0.0
        off, own = forced.gravity_sg - rest, forced.sd_sg**2
        right = jnp.log1p(-likelihood.FORCED_GROSS) + _log_normal(off, own)
        wrong = jnp.log(likelihood.FORCED_GROSS) + _log_normal(off, own + likelihood.GROSS_SD_SG**2)
        return jnp.logaddexp(right, wrong)


def _log_normal(off: Array, variance: Array) -> Array:
    return -0.5 * (off * off / variance + jnp.log(variance) + _LOG_2PI)


def _soft_above(x: Array) -> Array:
    return 0.5 * (x + jnp.sqrt(x * x + curve._SOFT**2))  # noqa: SLF001 - the model's own constant


def _progress(found: Curve, thermal: Array, name: str) -> tuple[Array, Array]:
    tau, living = found.pace * thermal, 1.0
    if name == "fading":
        living = jnp.exp(-found.fade * tau)
        tau = (1 - living) / found.fade
    grown = 1 + found.pitch * jnp.expm1(jnp.minimum(found.growth * tau, 300.0))
    whole_rate = jnp.log(grown) / found.growth
    left = jnp.exp(-jnp.log1p(found.slow * whole_rate) / found.slow)
    fall = left / (1 + found.slow * whole_rate) * (1 - (1 - found.pitch) / grown) * found.pace * living
    none_left, all_left = _soft_above(-found.sharp), _soft_above(1 - found.sharp)
    x = left - found.sharp
    done = (all_left - _soft_above(x)) / (all_left - none_left)
    slope = fall * 0.5 * (1 + x / jnp.sqrt(x * x + curve._SOFT**2)) / (all_left - none_left)  # noqa: SLF001
    if name != "halted":
        return done, slope
    over = done - found.halt
    done = done - _soft_above(over) + _soft_above(-found.halt)
    return done, slope * 0.5 * (1 - over / jnp.sqrt(over * over + curve._SOFT**2))  # noqa: SLF001


def _thermal_at(found: Curve, done: Array) -> Array:
    """Thermal time at which a share of the fall is done, halts left out."""
    none_left, all_left = _soft_above(-found.sharp), _soft_above(1 - found.sharp)
    v = all_left - done * (all_left - none_left)
    left = jnp.clip(v - curve._SOFT**2 / (4 * v) + found.sharp, 1e-12, 1.0)  # noqa: SLF001
    whole_rate = jnp.expm1(-found.slow * jnp.log(left)) / found.slow
    grown = jnp.expm1(jnp.minimum(found.growth * whole_rate, 600.0))
    return jnp.log1p(grown / found.pitch) / found.growth / found.pace
