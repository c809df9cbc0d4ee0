"""The forecaster against reference posteriors by the No-U-Turn sampler, which the file beside it keeps.

The model behind them was written a second time. When a constant of the model changes the file is stale and says so;
its command makes it anew. NumPyro is wanted for that alone, and not here.
"""

from __future__ import annotations

from dataclasses import asdict

import pytest
from forecast.gold import differences, told

from forecast import nuts, reference
from gylebook.forecast import priors
from gylebook.forecast.checking import check
from gylebook.forecast.forecast import forecast

KEPT = reference.read()
CASES = {case["name"]: case for case in KEPT["cases"]}
STALE = reference.stale(KEPT["constants"])


@pytest.fixture(params=CASES)
def case(request):
    if STALE is not None:
        pytest.skip("the reference posteriors are stale, as another test says")
    return CASES[request.param]


def test_the_reference_posteriors_are_of_the_model_as_it_is():
    assert STALE is None, STALE


def test_the_reference_posteriors_are_of_the_brews_that_would_be_sampled_anew():
    assert {name: case["evidence"] for name, case in CASES.items()} == {
        name: asdict(evidence) | {"readings": [asdict(r) for r in evidence.readings]}
        | {"known": _listed(asdict(evidence.known)), "warmth": _listed(asdict(evidence.warmth)), "additions": []}
        for name, evidence in nuts.CASES.items()
    }  # fmt: skip


def _listed(fields):
    return {name: list(value) if isinstance(value, tuple) else value for name, value in fields.items()}


@pytest.mark.parametrize("name", CASES)
def test_the_chains_agree_and_evidence_comes_back_as_it_was(name):
    found = CASES[name]["diagnostics"]
    assert nuts.settled(found), found
    evidence = reference.evidence_of(CASES[name]["evidence"])
    check(evidence)
    assert evidence == nuts.CASES[name]


def test_what_was_it_made_with_stands_in_the_file():
    assert set(KEPT["libraries"]) == {"numpyro", "jax", "jaxlib", "numpy", "scipy"}
    assert KEPT["made_by"] == reference.COMMAND
    for case in CASES.values():
        assert case["draws_by_family"] >= 10_000
        assert case["seed"] == nuts.SEED


def tolerance(kept, found):
    """One standard error of both: chains and draws are each worth so many independent ones."""
    return (1 / kept["diagnostics"]["least_effective"] + 1 / found.ess) ** 0.5


@pytest.mark.parametrize("enough", [None, 4000.0])
def test_the_forecaster_says_what_the_reference_says(case, enough):
    """Within four standard errors. The ends of a spread have one of about 2.1 standard deviations a draw; that of the
    gas still to come lies in a long tail, and is held by the chances of less than 0.5, 1 and 2 points and of too much.
    The chances' 0.004 are what makes and patterns of less than 2 in 10,000 may add up to.
    """
    found = told("forecast", forecast(reference.evidence_of(case["evidence"]), enough=enough))
    kept = reference.gold_of(case)
    error, off = tolerance(case, found), differences(found, kept)
    assert abs(off.final_mean) < 4 * error
    assert max(map(abs, (*off.low[:2], *off.high[:2]))) < 4 * 2.1 * error
    for chance, other in zip([*kept.left_under, kept.unsafe, *kept.stories.values()], off.chances, strict=True):
        assert abs(other) < 4 * error * (chance * (1 - chance)) ** 0.5 + 0.004
    for one, other in zip(found.gross, kept.gross, strict=True):
        assert one == pytest.approx(other, abs=4 * error * (other * (1 - other)) ** 0.5 + 0.004)


# A file that no longer fits


def test_a_constant_that_changed_is_named_with_the_command_that_makes_the_file_anew():
    kept = reference.model_constants() | {"priors.FADE": [0.5, 0.6]}
    found = reference.stale(kept)
    assert found is not None
    assert f"priors.FADE was [0.5, 0.6] and is {list(priors.FADE)}" in found
    assert reference.COMMAND in found
    assert "\n" not in found


@pytest.mark.parametrize("change", [{"priors.ADDED": 1.0}, {"priors.FADE": None}])
def test_a_constant_more_or_less_makes_it_stale(change):
    kept = {name: value for name, value in (reference.model_constants() | change).items() if value is not None}
    assert reference.stale(kept) is not None


def test_what_the_model_rests_on_is_kept_and_how_it_is_summed_is_not():
    names = set(reference.model_constants())
    assert {"priors.CHANCE", "priors.HALT", "likelihood.GROSS_SD_SG", "curve._SOFT", "evidence.USUAL_GROSS"} <= names
    assert not {"curve._ORDER", "likelihood._MOST_PAIRED"} & names


def test_without_numpyro_one_line_says_what_to_do(monkeypatch, capsys):
    monkeypatch.setattr(nuts.util, "find_spec", lambda name: None)
    assert nuts.main([]) == 0
    printed = capsys.readouterr().out
    assert printed.count("\n") == 1
    assert "NumPyro is not installed" in printed
    assert reference.COMMAND in printed
