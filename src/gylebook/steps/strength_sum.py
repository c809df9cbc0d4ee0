"""The sum behind a beer's strength: from two gravities with their errors, and what priming adds."""

from __future__ import annotations

from gylebook.phrases import say, say_number
from gylebook.science import alcohol
from gylebook.steps.answers import Figure, Given, Working
from gylebook.steps.asked import STRENGTH, figure, within
from gylebook.units import show

_MOST_ATTENUATION = 1.2  # of a sugar that ferments fully, by the hydrometer


def nearest_pair(og: float, fg: float) -> tuple[float, float]:
    """A log can hold gravities that no beer has together; the nearest pair that one can have."""
    og = min(max(og, fg, 1.0), 1.14)
    return og, min(max(fg, og - _MOST_ATTENUATION * (og - 1)), og)


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
    base = within(
        found.best,
        say("Final gravity"),
        say("no beer goes from {og} to {fg}", og=say_number(f"{og:.4g}"), fg=say_number(f"{fg:.4g}")),
        say("check both gravities"),
    )
    added = float(alcohol.abv_added_by_priming(priming_g_per_l))
    steps = [say("from the gravities {strength} % vol", strength=show(base, 2))]
    if added > 0:
        steps.append(
            say(
                "{dose} g/L of priming sugar adds {added} % vol",
                dose=show(priming_g_per_l, 1),
                added=show(added, 2),
            )
        )
    working = Working(
        say("the alcohol for which Balling's balance and the densities of alcohol and extract give the gravity read"),
        inputs,
        ("density_closure", "balling_nielsen_2007", "oiml_r22", "density_closure_priming"),
        tuple(steps),
        (say("No sum from two gravities is better than about 0.15 % vol: the yield of alcohol differs."),),
    )
    return figure(
        "abv",
        say("Strength"),
        base + added,
        STRENGTH,
        working,
        low=float(found.low) + added,
        high=float(found.high) + added,
        interval=say("nineteen times in twenty"),
    )
