"""What went into the wort, and the gravities that follow from it: before fermentation and after.

For a wort made from extract, weights and volume tell the original gravity better than most readings do.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot, inf, isfinite, sqrt

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import joined, say, say_amount, say_number, say_range
from gylebook.science.attenuation import blended_apparent_attenuation, final_gravity_sg
from gylebook.science.dilution import gravity_interval_sg, original_gravity_sg
from gylebook.science.extract import sg_from_plato
from gylebook.science.interval import Span
from gylebook.science.materials import MATERIALS, Material
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.once import once
from gylebook.steps.volumes import Z90, start_l
from gylebook.units import Quantity, show

# Half-width of the 90 % interval that yeast and conditions add to a malt's apparent attenuation.
_YEAST_ATTENUATION = 0.05
_SAME_SHARE = 0.08
_DRIEST_POINTS = -20.0  # a strong sugar wort would end lighter than the tables go
_BODIES = ((18, say("thin and dry")), (32, say("light")), (50, say("medium")), (70, say("full")))  # [g/L]
_WEIGHING = 0.01  # a kitchen scale, and what sticks to the can


@dataclass(frozen=True, slots=True)
class MakeUp:
    """The ingredients as far as they are known, and where each came from, line by line."""

    ingredients: tuple[ev.Ingredient, ...]
    givens: tuple[Given, ...]
    assumed: tuple[str, ...] = ()
    measured: bool = False  # the masses were written when the wort was mixed


def given(name: str, value: object, basis: Basis, where: str = "", seq: int | None = None) -> Given:
    """A line of a working; None is told as not written."""
    return Given(name, say("not written") if value is None else say("{value}", value=value), basis, where, seq)


def given_entry(name: str, value: object, seq: int) -> Given:
    """A line of a working that was written in the journal."""
    return given(name, value, Basis.MEASURED, say("entry {seq}", seq=seq), seq)


def grams(quantity: Quantity) -> float:
    """A mass in grams."""
    return quantity.to("g", "mass")


def sg_of(quantity: Quantity) -> float:
    """A gravity as written, SG or °P, as specific gravity."""
    if quantity.unit == "°P":
        return float(sg_from_plato(quantity.number()))
    return quantity.to("SG", "gravity")


def chosen_alternative(kit: ev.Kit, choice: str) -> ev.Alternative | None:
    """The alternative of that key, else the kit's first, else None."""
    named = next((a for a in kit.alternatives if a.key == choice), None)
    return named or (kit.alternatives[0] if kit.alternatives else None)


def kit_makeup(kit: ev.Kit, choice: str) -> MakeUp:
    """What a kit with one of its alternatives holds, by its leaflet."""
    alternative = chosen_alternative(kit, choice)
    additions = alternative.additions if alternative else ()
    lines = [
        given(_words(i), i.mass, Basis.LEAFLET, say("leaflet of {kit}", kit=kit.name))
        for i in (*kit.ingredients, *additions)
    ]
    assumed: tuple[str, ...] = ()
    if alternative is not None and alternative.key != choice:
        assumed = (say("the kit is made with {alternative}, its leaflet's first choice", alternative=alternative.name),)
    return MakeUp((*kit.ingredients, *additions), tuple(lines), assumed)


def makeup_of(brew: Brew) -> MakeUp:
    """The ingredients: as written when mixing, else as the leaflet says, plus fermentables added later."""
    return brew.once(makeup_of, lambda: _makeup_of(brew))


def _makeup_of(brew: Brew) -> MakeUp:
    mixed = next((k for k in reversed(brew.all(ev.Mixed)) if k.event.ingredients), None)
    kit = brew.plan.kit
    if mixed is not None:
        lines = tuple(given_entry(_words(i), _mass_words(i), mixed.seq) for i in mixed.event.ingredients)
        base = MakeUp(mixed.event.ingredients, lines, measured=True)
    elif kit is not None:
        base = kit_makeup(kit, brew.plan.choice)
    else:
        return MakeUp((), ())  # what was added later says nothing of the rest
    later, lines_later = [], []
    for kept in brew.all(ev.Added):
        event = kept.event
        if event.purpose == "fermentable" and event.mass is not None:
            material = event.material if event.material in MATERIALS else "sucrose"
            later.append(ev.Ingredient(material=material, mass=event.mass, name=event.what))
            lines_later.append(given_entry(say("{what}, added later", what=event.what), event.mass, kept.seq))
    return MakeUp((*base.ingredients, *later), (*base.givens, *lines_later), base.assumed, base.measured)


def ingredients_of(brew: Brew) -> tuple[ev.Ingredient, ...]:
    """Only the ingredients of `makeup_of`."""
    return makeup_of(brew).ingredients


def _words(ingredient: ev.Ingredient) -> str:
    material = MATERIALS.get(ingredient.material)
    label = material.label if material else ingredient.material.replace("_", " ")
    return (
        say("{ingredient} ({label})", ingredient=ingredient.name, label=label)
        if ingredient.name and ingredient.name != label
        else label
    )


def _mass_words(ingredient: ev.Ingredient) -> str:
    if not ingredient.left_behind:
        return ingredient.mass.said()
    return say("{mass}, {left} left behind", mass=ingredient.mass, left=ingredient.left_behind)


def material_of(ingredient: ev.Ingredient) -> Material:
    """The ingredient's material; an unknown one counts as liquid malt extract."""
    return MATERIALS.get(ingredient.material, MATERIALS["liquid_malt_extract"])


def solids_span(ingredient: ev.Ingredient) -> Span:
    """Its extract by mass [1]: the label's, else the material's."""
    if ingredient.solids is not None:
        share = ingredient.solids.number() / 100.0
        return Span(max(0.0, share - 0.005), share, min(1.0, share + 0.005))
    return material_of(ingredient).solids


def net_mass_g(ingredient: ev.Ingredient) -> float:
    """What really went in [g]."""
    left = grams(ingredient.left_behind) if ingredient.left_behind is not None else 0.0
    return max(0.0, grams(ingredient.mass) - left)


def extract_g(ingredients: tuple[ev.Ingredient, ...]) -> float:
    """Extract of all ingredients [g]."""
    return sum(net_mass_g(i) * solids_span(i).best for i in ingredients)


def original_gravity_reckoned(
    ingredients: tuple[ev.Ingredient, ...], volume_l: float, volume_sd_l: float, inputs: tuple[Given, ...] = ()
) -> Figure:
    """Original gravity from weights and volume, key "og"; NaN where no ingredient is known."""
    working = Working(
        say("extract = Σ mass × solids; its concentration in the volume gives the gravity by the sugar tables"),
        (
            *(inputs or tuple(given(_words(i), _mass_words(i), Basis.ASSUMED) for i in ingredients)),
            given(
                say("volume"),
                say_range(volume_l, Z90 * volume_sd_l, 1, "L", "±"),
                Basis.RECKONED,
            ),
        ),
        ("mass_balance", "bubnik_1995", "nbs_c440", "public_extract_tables", "error_propagation"),
        _extract_steps(ingredients, volume_l),
    )
    if not ingredients or volume_l <= 0:
        nan = float("nan")
        return Figure("og", say("Original gravity by weight"), nan, nan, nan, "SG", "gravity", 4, working)
    masses = tuple(net_mass_g(i) for i in ingredients)
    spans = tuple(solids_span(i) for i in ingredients)
    found = _gravity(masses, spans, volume_l, min(Z90 * volume_sd_l, 0.45 * volume_l))
    best = found.best
    weighing = _WEIGHING * (best - 1)
    down, up = best - found.low, found.high - best
    # At the end of the tables a side has no value: the other side's width stands for it.
    down, up = (down if isfinite(down) else up), (up if isfinite(up) else down)
    if not isfinite(down):
        down = up = 0.05 * (best - 1)
    low, high = best - hypot(down, weighing), best + hypot(up, weighing)
    return Figure("og", say("Original gravity by weight"), best, low, high, "SG", "gravity", 4, working)


@lru_cache(maxsize=2048)
def _gravity(masses: tuple[float, ...], solids: tuple[Span, ...], volume_l: float, error_l: float) -> Span:
    """The sum itself, kept: a brew's ingredients seldom change, and every answer asks for it."""
    low, best, high = zip(*solids, strict=True)
    found = gravity_interval_sg(masses, low, best, high, volume_l=volume_l, volume_error_l=error_l)
    return Span(float(found.low), float(found.best), float(found.high))


def _extract_steps(ingredients: tuple[ev.Ingredient, ...], volume_l: float) -> tuple[str, ...]:
    lines = [
        say(
            "{words}: {net} × {solids} % = {extract} of extract",
            words=_words(i),
            net=say_amount(net_mass_g(i), 0, "g"),
            solids=show(100 * solids_span(i).best, 1),
            extract=say_amount(net_mass_g(i) * solids_span(i).best, 0, "g"),
        )
        for i in ingredients
    ]
    if ingredients and volume_l > 0:
        total = extract_g(ingredients)
        lines.append(
            say(
                "{total} in {volume} is {concentration} g/L",
                total=say_amount(total, 0, "g"),
                volume=say_amount(volume_l, 1, "L"),
                concentration=show(total / volume_l, 1),
            )
        )
    return tuple(lines)


def final_gravity_expected(
    ingredients: tuple[ev.Ingredient, ...],
    og_sg: float,
    og_sd_sg: float = 0.0,
    leaflet: ev.Gates | None = None,
    *,
    leaflet_volume_l: float | None = None,
    inputs: tuple[Given, ...] = (),
) -> Figure:
    """Final gravity by what the wort is made of, key "fg".

    Where the leaflet gives a range of its own for this make-up, the two are weighed together, each by its spread, and
    the interval holds the leaflet's range: who ends within it has not come to a halt above the end. With the leaflet's
    volume its range is stretched to the gravity that was really made.
    """
    attenuation, half, steps = attenuation_of(ingredients)
    points = (og_sg - 1) * 1000
    fallen = float(final_gravity_sg(og_sg, attenuation))
    value = (fallen - 1) * 1000 if isfinite(fallen) else _DRIEST_POINTS
    sd = sqrt((points * half / Z90) ** 2 + (1000 * og_sd_sg * (1 - attenuation)) ** 2)
    lines = [
        *steps,
        say(
            "{points} points at an apparent attenuation of {attenuation}: {value}",
            points=show(points, 1),
            attenuation=show(attenuation, 3),
            value=show(value, 1),
        ),
    ]
    givens = [*inputs, given(say("original gravity"), say("{og_sg} SG", og_sg=show(og_sg, 4)), Basis.RECKONED)]
    printed = _leaflet_final(leaflet, _stretch(ingredients, points, leaflet_volume_l))
    held = (inf, -inf)
    if printed is not None and leaflet is not None:
        mid, leaflet_sd, ends, words = printed
        givens.append(given(say("final gravity"), words, Basis.LEAFLET, say("the leaflet")))
        if abs(mid - value) <= 3 * hypot(sd, leaflet_sd):
            weight = sd**2 / (sd**2 + leaflet_sd**2)
            value, sd = value + weight * (mid - value), sd * sqrt(1 - weight)
            held = ends
            lines.append(
                say(
                    "weighed with the leaflet's {words}: {value} points; the interval holds its range",
                    words=words,
                    value=show(value, 1),
                )
            )
        else:
            lines.append(say("the leaflet's {words} does not fit this make-up and is left out", words=words))
    low, high = min(value - Z90 * sd, held[0]), max(value + Z90 * sd, held[1])
    return Figure(
        "fg",
        say("Final gravity expected"),
        1 + value / 1000,
        1 + low / 1000,
        1 + high / 1000,
        "SG",
        "gravity",
        4,
        Working(
            say("final extract = original extract × (1 − Σ share × apparent attenuation), in °P"),
            tuple(givens),
            ("attenuation_make_up", "common_practice"),
            tuple(lines),
        ),
    )


def _stretch(ingredients: tuple[ev.Ingredient, ...], points: float, leaflet_volume_l: float | None) -> float:
    """Points made over the points that the leaflet's volume would make."""
    if leaflet_volume_l is None or leaflet_volume_l <= 0 or not ingredients:
        return 1.0
    meant = float(original_gravity_sg(extract_g(ingredients), leaflet_volume_l))
    return points / (1000 * (meant - 1)) if meant > 1.001 else 1.0


def _leaflet_final(gates: ev.Gates | None, stretch: float) -> tuple[float, float, tuple[float, float], str] | None:
    """Middle, sd and ends in points, and in words; None where the leaflet gives no final gravity."""
    if gates is None or (gates.final_from is None and gates.final_to is None):
        return None
    ends = sorted(stretch * 1000 * (sg_of(q) - 1) for q in (gates.final_from, gates.final_to) if q is not None)
    words = joined(say(" to "), dict.fromkeys(q.said() for q in (gates.final_from, gates.final_to) if q is not None))
    # A leaflet's range is a hope over many brewers, seldom better than two points either way.
    return sum(ends) / len(ends), max(2.0 / Z90, (ends[-1] - ends[0]) / 2), (ends[0], ends[-1]), words


def attenuation_of(ingredients: tuple[ev.Ingredient, ...]) -> tuple[float, float, tuple[str, ...]]:
    """Apparent attenuation of the make-up [1], half its 90 % interval, and the lines of the sum."""
    if not ingredients:
        malt = MATERIALS["liquid_malt_extract"].apparent_attenuation
        # Between an all-malt kit and one with its kilogram of sugar: wide, since the make-up is not known.
        return (
            0.78,
            0.15,
            (
                say(
                    "ingredients not known: between {best} (all malt) and 0.90 (with sugar)",
                    best=say_number(f"{malt.best:g}"),
                ),
            ),
        )
    total = extract_g(ingredients)
    if total <= 0:
        return attenuation_of(())
    lines: list[str] = []
    shared: dict[str, float] = {}
    for ingredient in ingredients:
        material = material_of(ingredient)
        share = net_mass_g(ingredient) * solids_span(ingredient).best / total
        shared[material.key] = shared.get(material.key, 0.0) + share
        lines.append(
            say(
                "{share} % {words} × {best}",
                share=show(100 * share, 0),
                words=_words(ingredient),
                best=show(material.apparent_attenuation.best, 2),
            )
        )
    value = blended_apparent_attenuation(
        list(shared.values()), [MATERIALS[key].apparent_attenuation.best for key in shared]
    )
    return float(value), _attenuation_half(shared), tuple(lines)


def _attenuation_half(shared: dict[str, float]) -> float:
    """Malt extracts of one wort err together (one yeast, one maker's way); other materials by themselves."""
    malt = sum(share for key, share in shared.items() if key.endswith("malt_extract"))
    span = MATERIALS["liquid_malt_extract"].apparent_attenuation
    parts = [malt * (span.high - span.low) / 2, malt * _YEAST_ATTENUATION]
    for key, share in shared.items():
        if not key.endswith("malt_extract"):
            own = MATERIALS[key].apparent_attenuation
            parts.append(share * (own.high - own.low) / 2)
    return hypot(*parts)


def body_g_per_l(ingredients: tuple[ev.Ingredient, ...], volume_l: float) -> float:
    """Extract that yeast leaves behind, per litre [g/L]: what is felt as body."""
    if volume_l <= 0:
        return float("nan")
    left, sugar = 0.0, MATERIALS["sucrose"].apparent_attenuation.best
    for ingredient in ingredients:
        used = min(1.0, material_of(ingredient).apparent_attenuation.best / sugar)
        left += net_mass_g(ingredient) * solids_span(ingredient).best * (1 - used)
    return left / volume_l


def body_words(grams_per_litre: float) -> str:
    """That body in plain words."""
    return next((words for limit, words in _BODIES if grams_per_litre < limit), say("very full"))


def leaflet_gates(brew: Brew) -> ev.Gates:
    """The leaflet's gates for what really went in; empty where the make-up is none of the leaflet's.

    Each choice has its own gates, so what was weighed goes before what was planned.
    """
    return brew.once(leaflet_gates, lambda: _leaflet_gates(brew))


def _leaflet_gates(brew: Brew) -> ev.Gates:
    kit = brew.plan.kit
    if kit is None:
        return ev.Gates()
    planned = chosen_alternative(kit, brew.plan.choice)
    if planned is None:
        return kit.gates if _is_made_of(brew, kit_makeup(kit, "")) else ev.Gates()
    for each in (planned, *(a for a in kit.alternatives if a is not planned)):
        if _is_made_of(brew, kit_makeup(kit, each.key)):
            return each.gates if each.gates != ev.Gates() else kit.gates
    return ev.Gates()


def leaflet_volume_l(brew: Brew) -> float | None:
    """The volume that the leaflet's figures belong to [L]."""
    kit = brew.plan.kit
    return kit.volume.to("L", "volume") if kit is not None else None


def _is_made_of(brew: Brew, meant: MakeUp) -> bool:
    """Whether what went in is that make-up: no material's share of extract differs."""
    made, wanted = _shares(ingredients_of(brew)), _shares(meant.ingredients)
    return all(abs(made.get(key, 0.0) - wanted.get(key, 0.0)) <= _SAME_SHARE for key in {*made, *wanted})


def _shares(ingredients: tuple[ev.Ingredient, ...]) -> dict[str, float]:
    total = extract_g(ingredients)
    shared: dict[str, float] = {}
    for ingredient in ingredients if total > 0 else ():
        # Liquid and dried extract ferment alike.
        key = "malt" if ingredient.material.endswith("malt_extract") else ingredient.material
        part = net_mass_g(ingredient) * solids_span(ingredient).best / total
        shared[key] = shared.get(key, 0.0) + part
    return shared


@once
def og_by_weight(brew: Brew, shelf: Shelf) -> Figure:
    """Original gravity of a brew from its weights and its volume, key "og"."""
    volume = start_l(brew, shelf)
    made = makeup_of(brew)
    sd = (volume.high - volume.low) / 2 / Z90
    return original_gravity_reckoned(made.ingredients, volume.value, sd, (*made.givens, *volume.working.inputs))
