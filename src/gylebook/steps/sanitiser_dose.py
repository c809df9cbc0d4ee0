"""How much of a sanitiser goes into how much water: for the cleaning step and for the sum of its own."""

from __future__ import annotations

from gylebook.phrases import say, say_number
from gylebook.science import sanitising
from gylebook.steps.answers import Figure, Working
from gylebook.steps.asked import Asked, Shown, figure, within
from gylebook.steps.cleaning_agents import Agent

# Chlorine wanted [ppm]: mildest, usual, strongest. Every other agent is dosed by its own label.
CHLORINE_PPM = (50.0, 80.0, 100.0)
_ML, _PPM = Shown("mL", "volume", 1), Shown("ppm", "concentration", 0)


def dose_figures(agent: Agent, asked: Asked) -> tuple[Figure, ...]:
    """Product for the water asked for, key "dose", and the strength it gives; empty where only the label knows.

    Raises
    ------
    OutOfRange
        When no such dose can be.
    """
    if agent.key != "bleach":
        return ()
    low, usual, high = CHLORINE_PPM
    wanted = asked.number("ppm")
    if wanted is not None:
        low = usual = high = 1000 * wanted  # the field's base unit is g/L
    water, per_cent = asked.need("water"), asked.need("strength")
    doses = [
        within(
            sanitising.dose_ml(ppm, water, per_cent),
            say("Strength"),
            say("no dose gives that"),
            say("check the water, the label's strength and the ppm"),
        )
        for ppm in (low, usual, high)
    ]
    working = Working(
        say("ppm × litres ÷ (grams of active substance in 100 mL of the product × 10)"),
        asked.givens,
        (*agent.sources, "by_definition"),
        (say("product {per_cent} % by its label, when fresh", per_cent=say_number(f"{per_cent:g}")),),
        (*agent.cautions, say("Old bleach has lost some of its strength.")),
    )
    return (
        figure(
            "dose",
            say("Into the water"),
            doses[1],
            _ML,
            working,
            low=doses[0],
            high=doses[2],
            interval=say("mildest, strongest"),
        ),
        figure("ppm", say("That makes"), usual, _PPM, working, low=low, high=high, interval=say("mildest, strongest")),
    )
