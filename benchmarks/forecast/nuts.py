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
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from importlib import metadata, util
from typing import Any, Final

import numpy as np

from forecast import reference
from forecast.gold import Gold, _spread
from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Story
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.evidence import LIGHT_GROSS, Evidence, Forced, Hops, Known, Reading, Warmth

CHAINS: Final = 4
WARM_UP, KEPT = 1000, 4000
SEED: Final = 20_260
MOST_RHAT: Final = 1.01
LEAST_EFFECTIVE: Final = 800.0
_KEEP_EVERY: Final = 2  # of the draws, what the answers are made from
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


def sampled(evidence: Evidence, seed: int, warm_up: int, kept: int) -> tuple[Gold, dict[str, float]]:
    """Answers of one evidence and how well the chains agree."""
    import jax
    from numpyro.infer import MCMC, NUTS

    jax.config.update("jax_enable_x64", True)
    from forecast.nuts_model import Model

    model = Model(evidence)
    kernel = NUTS(potential_fn=lambda z: -model.density(z), target_accept_prob=0.9, dense_mass=True)
    chains = MCMC(
        kernel, num_warmup=warm_up, num_samples=kept, num_chains=CHAINS, chain_method="sequential", progress_bar=False
    )
    start, run = jax.random.split(jax.random.PRNGKey(seed))
    starts = jax.random.normal(start, (CHAINS, model.size))
    chains.run(run, init_params=starts, extra_fields=("diverging",))
    z = np.asarray(chains.get_samples(group_by_chain=True))
    seen = jax.jit(jax.vmap(model.seen))(z.reshape(-1, model.size))
    gold, rows = _answers(seen, model.story_places())
    found = _diagnostics({**rows, **{f"z{i}": z[:, :, i] for i in range(model.size)}}, z.shape[:2])
    found["divergences"] = int(np.sum(np.asarray(chains.get_extra_fields()["diverging"])))
    return replace(gold, ess=found["least_effective"]), found


def _answers(seen: Any, places: np.ndarray) -> tuple[Gold, dict[str, np.ndarray]]:
    """Answers, and by name what each draw expects, which the chains must agree in."""
    log_makes = np.asarray(seen.log_makes)
    makes = np.exp(log_makes - log_makes.max(axis=(1, 2), keepdims=True))
    makes /= makes.sum(axis=(1, 2), keepdims=True)
    by_family = makes.sum(axis=2)
    final, now, left = (np.asarray(values) for values in (seen.final, seen.now, seen.left))
    stories = np.stack([(makes * (places == place)).sum(axis=(1, 2)) for place in range(len(Story))])
    over = left * CO2_G_PER_L_PER_SG > UNSAFE_CO2_G_PER_L
    rows = {name: (by_family * x).sum(axis=1) for name, x in (("final", final), ("now", now), ("left", left))}
    rows["unsafe"] = (by_family * over).sum(axis=1)
    rows |= {str(story): stories[place] for place, story in enumerate(Story) if stories[place].mean() > 1e-3}
    weight = by_family[::_KEEP_EVERY].ravel()
    under = [float((by_family * (left < points / 1000)).sum(axis=1).mean()) for points in (0.5, 1.0, 2.0)]
    spreads = [_spread(x[::_KEEP_EVERY].ravel(), weight) for x in (final, now, CO2_G_PER_L_PER_SG * left)]
    gross = (by_family[:, :, None] * np.asarray(seen.wrong)).sum(axis=1).mean(axis=0)
    return Gold(
        "NUTS", 0.0, spreads[0], spreads[1], spreads[2], (under[0], under[1], under[2]), float(rows["unsafe"].mean()),
        {story: float(stories[place].mean()) for place, story in enumerate(Story)}, tuple(gross.tolist()),
    ), rows  # fmt: skip


def _diagnostics(rows: Mapping[str, np.ndarray], shape: tuple[int, int]) -> dict[str, float]:
    from numpyro.diagnostics import effective_sample_size, split_gelman_rubin

    chains = {name: np.asarray(x).reshape(shape) for name, x in rows.items()}
    rhat = {name: float(split_gelman_rubin(x)) for name, x in chains.items()}
    ess = {name: float(effective_sample_size(x)) for name, x in chains.items()}
    worst = max(rhat, key=lambda name: rhat[name])
    least = min(ess, key=lambda name: ess[name])
    return {
        "worst_rhat": round(rhat[worst], 5), "worst_rhat_of": worst,
        "least_effective": round(ess[least]), "least_effective_of": least,
    }  # fmt: skip


def case(name: str, seed: int, warm_up: int, kept: int) -> dict[str, Any]:
    """One case as it is written."""
    gold, found = sampled(CASES[name], seed, warm_up, kept)
    print(name, found, f"unsafe {gold.unsafe:.4f}", flush=True)
    return {
        "name": name,
        "method": "NUTS, families, makes and wrong readings summed over",
        "seed": seed,
        "chains": CHAINS,
        "warm_up": warm_up,
        "draws": CHAINS * kept,
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
