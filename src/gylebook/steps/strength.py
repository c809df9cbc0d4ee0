"""Strength of a beer: from its gravities, with what priming adds."""

from __future__ import annotations

from gylebook.journal.state import Brew
from gylebook.science import alcohol
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import STRENGTH, figure, within
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Primed, primed_of
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.volumes import Z90
from gylebook.units import show

_MOST_ATTENUATION = 1.2  # of a sugar that ferments fully, by the hydrometer
ALCOHOL_CAUTION = "Alcohol: not for children, not before driving or work with tools; the figure is an estimate."


def strength_figure(
    og: float, fg: float, inputs: tuple[Given, ...], *, og_sd: float, fg_sd: float, priming_g_per_l: float
) -> Figure:
    """Strength with its interval, priming included, key "abv".

    Raises
    ------
    OutOfRange
        When no beer can have these two gravities.
    """
    found = alcohol.abv_interval(og, fg, min(og_sd, 0.05), min(fg_sd, 0.05))
    base = within(found.best, "Final gravity", f"no beer goes from {og:.4g} to {fg:.4g}", "check both gravities")
    added = float(alcohol.abv_added_by_priming(priming_g_per_l))
    steps = [f"from the gravities {show(base, 2)} % vol"]
    if added > 0:
        steps.append(f"{show(priming_g_per_l, 1)} g/L of priming sugar adds {show(added, 2)} % vol")
    working = Working(
        "the alcohol for which Balling's balance and the densities of alcohol and extract give the gravity read",
        inputs,
        ("density_closure", "balling_nielsen_2007", "oiml_r22", "density_closure_priming"),
        tuple(steps),
        ("No sum from two gravities is better than about 0.15 % vol: the yield of alcohol differs.",),
    )
    return figure(
        "abv",
        "Strength",
        base + added,
        STRENGTH,
        working,
        low=float(found.low) + added,
        high=float(found.high) + added,
        interval="nineteen times in twenty",
    )


def strength_of(brew: Brew, setting: Setting, found: Outlook | None = None) -> Figure:
    """Strength of a brew with what priming adds, key "abv": where it is at its end, else where it should end.

    The original gravity is the better of weights and reading, so one bad reading does not spoil it.
    """
    found = found or outlook(brew, setting)
    primed = primed_of(brew, setting)
    at_end = found.now_sg is not None and (found.finished is True or primed is not None)
    end = found.now_sg if at_end and found.now_sg is not None else found.expected_fg
    # A log can hold gravities that no beer has together; the nearest pair that one can have is taken.
    og = min(max(found.original.value, end.value, 1.0), 1.14)
    fg = min(max(end.value, og - _MOST_ATTENUATION * (og - 1)), og)
    given = (
        Given("original gravity", found.original.text(), Basis.RECKONED, found.original.working.relation),
        Given("final gravity" if at_end else "final gravity expected", end.text(), Basis.RECKONED),
        *_priming_given(primed),
    )
    dry_g_per_l = min(primed.dose_g_per_l, 50.0) if primed else 0.0
    return strength_figure(og, fg, given, og_sd=_sd(found.original), fg_sd=_sd(end), priming_g_per_l=dry_g_per_l)


def _sd(found: Figure) -> float:
    return min(max(found.high - found.low, 0.0) / 2 / Z90, 0.02)


def _priming_given(primed: Primed | None) -> tuple[Given, ...]:
    if primed is None:
        return (Given("priming", "none written", Basis.ASSUMED),)
    return primed.givens
