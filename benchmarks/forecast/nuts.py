"""Reference posteriors by the No-U-Turn sampler of NumPyro, with the model written a second time (`nuts_model.py`).

NumPyro and JAX are wanted by nothing else, and stay out of the project's own environment:

    python -m venv build/nuts
    build/nuts/bin/pip install -r benchmarks/forecast/nuts-requirements.txt
    PYTHONPATH=src:benchmarks build/nuts/bin/python -m forecast.nuts

makes `reference_posteriors.json` anew, which `tests/forecast/test_reference.py` holds the forecaster against.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from importlib import metadata, util
from typing import Any, Final

import numpy as np
from scipy.stats import multivariate_t

from forecast import reference
from forecast.gold import Gold, spread
from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Story
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.evidence import LIGHT_GROSS, Evidence, Forced, Hops, Known, Reading, Warmth
from gylebook.forecast.priors import Family

CHAINS: Final = 4
WARM_UP, KEPT = 1000, 6000
SEED: Final = 20_260
MOST_RHAT: Final = 1.01
LEAST_EFFECTIVE: Final = 800.0
OF_USE: Final = 0.002  # share of a family from which its chains must agree
_FREEDOM: Final = 6.0  # of the Student that evidence is bridged to
_LIBRARIES: Final = ("numpyro", "jax", "jaxlib", "numpy", "scipy")

_KNOWN: Final = Known(og_sg=1.045, og_sd_sg=0.002, attenuation=0.76, attenuation_sd=0.04)
_COOL: Final = Warmth((0.0, 2.0, 5.0), (18.0, 19.5, 17.5))


def _read(*pairs: tuple[float, float], wort: float = 1.0455) -> tuple[Reading, ...]:
    return (Reading(0.0, wort, 0.0012), *(Reading(day, sg, 0.001) for day, sg in pairs))


# Invented brews, one for each thing that the forecaster sums over.
CASES: Final[dict[str, Evidence]] = {
    "nearly there": Evidence(_read((4.0, 1.0160), (6.0, 1.0120), (8.0, 1.0110)), 8.5, _KNOWN, _COOL),
    "level above the end": Evidence(_read((7.0, 1.0180), (10.0, 1.0175), (13.0, 1.0178)), 13.0, _KNOWN),
    "one reading that contradicts": Evidence(
        (*_read((5.0, 1.0150), (7.0, 1.0112)), Reading(8.0, 1.0190, 0.001, 0.0005, LIGHT_GROSS, 1)), 8.0, _KNOWN, _COOL
    ),
    "a forced sample": Evidence(_read((6.0, 1.0190), (8.0, 1.0180)), 9.0, _KNOWN, forced=Forced(1.0125)),
    "hops": Evidence(_read((6.0, 1.0120), (9.0, 1.0108), (14.0, 1.0085)), 14.0, _KNOWN, hops=Hops(8.0, 6.0)),
}


def missing() -> str | None:
    """What to do where NumPyro is not there; None where it is."""
    if util.find_spec("numpyro") is not None:
        return None
    return f"No reference posteriors are made: NumPyro is not installed. `{reference.COMMAND}` does both."


@dataclass(frozen=True, slots=True)
class Chains:
    """One family's chains: draws (chains, draws, unknowns), and what each draw answers."""

    family: Family
    log_evidence: np.ndarray  # (chains,), each chain by itself
    seen: Any  # leaves (chains * draws, ...)
    settled: dict[str, float]


def sampled(evidence: Evidence, seed: int, warm_up: int, kept: int) -> tuple[Gold, dict[str, Any]]:
    """Answers of one evidence and how well the chains agree: each family by itself, weighed by its evidence."""
    import jax

    jax.config.update("jax_enable_x64", True)
    from forecast.nuts_model import Model

    model = Model(evidence)
    found = [
        _chains(model, family, jax.random.PRNGKey(seed + place), warm_up, kept)
        for place, family in enumerate(model.families)
    ]
    logs = np.array([each.log_evidence for each in found])
    middle = logs.mean(axis=1)
    share = np.exp(middle - middle.max())
    share /= share.sum()
    error = logs.std(axis=1, ddof=1) / CHAINS**0.5
    draws = sum(s * s / each.settled["least_effective"] for s, each in zip(share, found, strict=True))
    worth = float(1 / (draws + (share * (1 - share) * error**2).max()))
    told = {
        "families": {
            each.family.name: {"share": round(float(s), 6), "error_of_log_evidence": round(float(e), 4)} | each.settled
            for each, s, e in zip(found, share, error, strict=True)
        },
        "worst_rhat": max(each.settled["worst_rhat"] for each, s in zip(found, share, strict=True) if s > OF_USE),
        "least_effective": round(worth),
    }
    return replace(_answers(found, share), ess=worth), told


def _chains(model: Any, family: Family, key: Any, warm_up: int, kept: int) -> Chains:
    import jax
    from numpyro.infer import MCMC, NUTS

    start, run, bridge = jax.random.split(key, 3)
    kernel = NUTS(potential_fn=lambda z: -model.density(family, z), target_accept_prob=0.9, dense_mass=True)
    chains = MCMC(
        kernel, num_warmup=warm_up, num_samples=kept, num_chains=CHAINS, chain_method="sequential", progress_bar=False
    )
    chains.run(run, init_params=jax.random.normal(start, (CHAINS, model.size)), extra_fields=("diverging",))
    z = np.asarray(chains.get_samples(group_by_chain=True))
    seen = jax.jit(jax.vmap(lambda one: model.seen(family, one)))(z.reshape(-1, model.size))
    density = jax.jit(jax.vmap(lambda one: model.density(family, one)))
    rng = np.random.default_rng(np.asarray(jax.random.randint(bridge, (2,), 0, 2**30)))
    evidence = np.array([bridged(chain, lambda x: np.asarray(density(x)), rng) for chain in z])
    rows = {f"z{place}": z[:, :, place] for place in range(model.size)}
    rows |= {name: np.asarray(getattr(seen, name)).reshape(z.shape[:2]) for name in ("final", "now", "left")}
    settled = _settled(rows)
    settled["divergences"] = int(np.sum(np.asarray(chains.get_extra_fields()["diverging"])))
    return Chains(family, evidence, seen, settled)


def bridged(z: np.ndarray, density: Callable[[np.ndarray], np.ndarray], rng: np.random.Generator) -> float:
    """Logarithm of what a density integrates to, by a bridge from draws of it to a Student fitted to half of them.

    The bridge is the best one for so many draws of each (Meng and Wong's), found by iteration.
    """
    half = len(z) // 2
    student = multivariate_t(z[:half].mean(axis=0), np.cov(z[:half].T) * (_FREEDOM - 2) / _FREEDOM, _FREEDOM)
    own, other = z[half:], student.rvs(len(z) - half, random_state=rng)
    log_own = density(own) - student.logpdf(own)
    log_other = density(other) - student.logpdf(other)
    middle, ratio = float(np.median(log_own)), 1.0
    up, down = np.exp(log_other - middle), np.exp(log_own - middle)
    for _ in range(200):
        ratio = float(np.mean(up / (up + ratio)) / np.mean(1 / (down + ratio)))
    return middle + float(np.log(ratio))


def _answers(found: Sequence[Chains], share: np.ndarray) -> Gold:
    stories = dict.fromkeys(Story, 0.0)
    columns: list[tuple[np.ndarray, ...]] = []
    gross = 0.0
    for each, part in zip(found, share, strict=True):
        log_makes = np.asarray(each.seen.log_makes)
        makes = np.exp(log_makes - log_makes.max(axis=1, keepdims=True))
        makes = (makes / makes.sum(axis=1, keepdims=True)).mean(axis=0)
        for make, chance in zip(each.family.makes, makes, strict=True):
            stories[make.story] += float(part * chance)
        final, now, left = (np.asarray(getattr(each.seen, name)) for name in ("final", "now", "left"))
        columns.append((np.full(len(final), part / len(final)), final, now, left))
        gross = gross + part * np.asarray(each.seen.wrong).mean(axis=0)
    weight, final, now, left = (np.concatenate(column) for column in zip(*columns, strict=True))
    under = [float(weight[left < points / 1000].sum()) for points in (0.5, 1.0, 2.0)]
    gas = CO2_G_PER_L_PER_SG * left
    return Gold(
        "NUTS",
        0.0,
        spread(final, weight),
        spread(now, weight),
        spread(gas, weight),
        (under[0], under[1], under[2]),
        float(weight[gas > UNSAFE_CO2_G_PER_L].sum()),
        stories,
        tuple(np.asarray(gross).tolist()),
    )


def _settled(rows: Mapping[str, np.ndarray]) -> dict[str, Any]:
    from numpyro.diagnostics import effective_sample_size, split_gelman_rubin

    rhat = {name: float(split_gelman_rubin(x)) for name, x in rows.items()}
    ess = {name: float(effective_sample_size(x)) for name, x in rows.items()}
    return {"worst_rhat": round(max(rhat.values()), 5), "least_effective": round(min(ess.values()))}


def case(name: str, seed: int, warm_up: int, kept: int) -> dict[str, Any]:
    """One case as it is written."""
    gold, found = sampled(CASES[name], seed, warm_up, kept)
    print(name, found, f"unsafe {gold.unsafe:.4f}", flush=True)
    return {
        "name": name,
        "method": "NUTS by family, makes and wrong readings summed over, families weighed by bridge sampling",
        "seed": seed,
        "chains": CHAINS,
        "warm_up": warm_up,
        "draws_by_family": CHAINS * kept,
        "diagnostics": found,
        "evidence": asdict(CASES[name]),
        "answers": reference.answers_of(gold),
    }


def settled(found: Mapping[str, Any]) -> bool:
    """Whether the chains agree and are long enough."""
    return found["worst_rhat"] <= MOST_RHAT and found["least_effective"] >= LEAST_EFFECTIVE


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--warm-up", type=int, default=WARM_UP)
    asked.add_argument("--kept", type=int, default=KEPT)
    asked.add_argument("--seed", type=int, default=SEED)
    asked.add_argument("--only", choices=list(CASES), help="one case, without writing the file")
    given = asked.parse_args(words)
    nothing = missing()
    if nothing is not None:
        print(nothing)
        return 0
    names = [given.only] if given.only else list(CASES)
    cases = [case(name, given.seed, given.warm_up, given.kept) for name in names]
    unsettled = [each["name"] for each in cases if not settled(each["diagnostics"])]
    if unsettled:
        print(f"The chains do not agree well enough for {', '.join(unsettled)}: nothing is written.", file=sys.stderr)
        return 1
    if given.only:
        return 0
    kept = {
        "made_by": reference.COMMAND,
        "libraries": {name: metadata.version(name) for name in _LIBRARIES},
        "constants": reference.model_constants(),
        "cases": cases,
    }
    reference.FILE.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
