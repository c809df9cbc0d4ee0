"""A kit and its choices side by side: gravity, strength, body, cost and gates of each."""

from __future__ import annotations

from math import floor, isfinite

from gylebook.errors import OutOfRange
from gylebook.journal import events as ev
from gylebook.phrases import joined, say, say_amount
from gylebook.steps.answers import Basis, Figure, Given, Option, Working
from gylebook.steps.asked import COUNT, G_PER_L, LITRES, Shown, figure
from gylebook.steps.makeup import (
    MakeUp,
    body_g_per_l,
    body_words,
    final_gravity_expected,
    kit_makeup,
    original_gravity_reckoned,
)
from gylebook.steps.strength import strength_figure
from gylebook.steps.volumes import HOP_LOSS_ML_PER_G, SAMPLE_L, SEDIMENT_L, SEDIMENT_SD_L, Z90
from gylebook.units import parse_number, show

_MONEY = Shown("", "money", 2)
_SAMPLES = 3
_BOTTLE_L = 0.5


def make_up_figures(
    made: MakeUp, volume: Figure, gates: ev.Gates, leaflet_l: float | None = None
) -> tuple[Figure, ...]:
    """Original and final gravity, strength and body of one make-up; empty where it is not known."""
    if not made.ingredients:
        return ()
    sd = (volume.high - volume.low) / 2 / Z90
    og = original_gravity_reckoned(made.ingredients, volume.value, sd, (*made.givens, *volume.working.inputs))
    if not isfinite(og.value):
        return ()
    og_sd = (og.high - og.low) / 2 / Z90
    fg = final_gravity_expected(
        made.ingredients, og.value, og_sd, gates, leaflet_volume_l=leaflet_l, inputs=made.givens
    )
    inputs = (
        Given(say("original gravity"), og.text(), Basis.RECKONED),
        Given(say("final gravity"), fg.text(), Basis.RECKONED),
    )
    found = [og, fg]
    try:
        fg_sd = (fg.high - fg.low) / 2 / Z90
        found.append(strength_figure(og.value, fg.value, inputs, og_sd=og_sd, fg_sd=fg_sd, priming_g_per_l=0.0))
    except OutOfRange:
        pass  # a make-up of lactose alone has no strength to show
    body = body_g_per_l(made.ingredients, volume.value)
    working = Working(
        say("extract that yeast leaves ÷ litres"),
        made.givens,
        ("attenuation_make_up", "common_practice"),
        (say("{grams} g/L is {words}", grams=show(body, 0), words=body_words(body)),),
    )
    found.append(figure("body", say("Left for body"), body, G_PER_L, working, spread=0.2 * body))
    return tuple(found)


def alternatives_of(kit: ev.Kit, choice: str, volume: Figure) -> tuple[Option, ...]:
    """The kit's choices side by side; the one that the plan counts with is marked."""
    counted = choice or (kit.alternatives[0].key if kit.alternatives else "")
    return tuple(_option(kit, each, volume, chosen=each.key == counted) for each in kit.alternatives)


def _option(kit: ev.Kit, each: ev.Alternative, volume: Figure, *, chosen: bool) -> Option:
    made = kit_makeup(kit, each.key)
    gates = each.gates if each.gates != ev.Gates() else kit.gates
    figures = make_up_figures(made, volume, gates, kit.volume.to("L", "volume"))
    cost = cost_figure(kit, each)
    body = next((f.value for f in figures if f.key == "body"), float("nan"))
    words = joined("; ", (part for part in (body_words(body) if isfinite(body) else "", gate_words(gates)) if part))
    return Option(each.name, (*figures, *((cost,) if cost is not None else ())), words, chosen=chosen)


def gate_words(gates: ev.Gates) -> str:
    """The leaflet's gates in words, "" where it gives none."""
    parts = []
    if gates.hop_at_or_below is not None:
        parts.append(say("hops in at or below {gravity}", gravity=gates.hop_at_or_below))
    if gates.bottle_at_or_below is not None:
        parts.append(say("bottle at or below {gravity}", gravity=gates.bottle_at_or_below))
    return joined(", ", parts)


def cost_figure(kit: ev.Kit, alternative: ev.Alternative | None) -> Figure | None:
    """What kit and addition cost together; None where neither says."""
    parts = [(say("kit"), kit.cost)] + ([(alternative.name, alternative.cost)] if alternative is not None else [])
    known = [(name, parse_number(text, say("Cost"))) for name, text in parts if text]
    if not known:
        return None
    givens = tuple(Given(name, show(value, 2), Basis.LEAFLET, say("as written on the shelf")) for name, value in known)
    total = sum(value for _, value in known)
    return figure("cost", say("Cost"), total, _MONEY, Working(say("added up"), givens, ("by_definition",)))


def yield_figures(volume: Figure, hops: tuple[ev.HopPlan, ...]) -> tuple[Figure, Figure]:
    """Litres that reach the bottles, and half-litre bottles of them."""
    held = sum(hop.mass.to("g", "mass") for hop in hops) * HOP_LOSS_ML_PER_G / 1000
    value = max(0.0, volume.value - _SAMPLES * SAMPLE_L - SEDIMENT_L - held)
    spread = Z90 * ((volume.high - volume.low) ** 2 / (2 * Z90) ** 2 + SEDIMENT_SD_L**2) ** 0.5
    steps = [
        say("{volume} made up", volume=say_amount(volume.value, 1, "L")),
        say("less {n} samples of {volume}", n=_SAMPLES, volume=say_amount(SAMPLE_L, 2, "L")),
        say("less {volume} of sediment and under the tap", volume=say_amount(SEDIMENT_L, 1, "L")),
    ]
    if held:
        steps.append(say("less {held} held by hops", held=say_amount(held, 1, "L")))
    working = Working(
        say("volume − samples − sediment − what hops hold"),
        volume.working.inputs,
        ("mass_balance", "hop_loss_trade_study", "common_practice"),
        tuple(steps),
    )
    low, high = max(0.0, value - spread), value + spread
    litres = figure("yield", say("To the bottles"), value, LITRES, working, low=low, high=high)
    counts = [float(floor(part / _BOTTLE_L)) for part in (value, low, high)]
    bottles = figure("bottles", say("Bottles of 500 mL"), counts[0], COUNT, working, low=counts[1], high=counts[2])
    return litres, bottles
