"""Keeping a kit: its leaflet entered once, with every choice of what is added and the gates of each."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from math import isfinite
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import say, say_amount
from gylebook.science.priming import PRIMING_SUGARS
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, COUNT, DATE, LONG_TEXT, QUANTITY, TEXT, Field
from gylebook.steps.lines import (
    HOPS_HINT,
    INGREDIENTS_HINT,
    hop_plans_text,
    ingredients_text,
    read_hop_plans,
    read_ingredients,
)
from gylebook.steps.makeup import final_gravity_expected, original_gravity_reckoned, sg_of
from gylebook.steps.materials import plain_name
from gylebook.steps.readings import latest_first
from gylebook.steps.shelf_lines import ALTERNATIVES_HINT, alternatives_text, name_of, read_alternatives
from gylebook.units import Quantity, parse_number, show

_MOST_HOPS_G_PER_L = 15.0
_MOST_PRIMING_G_PER_L = 10.0
_LEAST_PRIMING_G_PER_L = 3.0
_GATES = (("hop_gate", "hop_at_or_below"), ("bottle_gate", "bottle_at_or_below"), ("final_from", "final_from"),
          ("final_to", "final_to"))  # fmt: skip
_PLAIN = ("volume", "yeast_mass", "temp_from", "temp_to", "days", "priming_per_litre", "bitterness", "colour",
          "claimed_strength", "best_before")  # fmt: skip
_WORDS = ("yeast", "yeast_kind", "priming_sugar", "cost", "note")


def _keep_kit(_shelf: Shelf, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    kit = kit_from(values)
    found = [*_gate_findings(kit), *_dose_findings(kit)]
    if kit.best_before is not None and kit.best_before < setting.now.astimezone(setting.zone).date():
        found.append(
            Finding(
                Urgency.WAIT,
                say(
                    "The kit is past its date: darker and a little tangy, and its yeast wants replacing. A bulging or "
                    "leaking can is thrown away unopened."
                ),
                say("Is fresh yeast at hand?"),
                key="past_date",
            )
        )
    return Decision(((at, ev.KitKept(kit=kit)),), latest_first(tuple(found)))


def kit_from(values: Mapping[str, Any]) -> ev.Kit:
    """The kit that a form describes.

    Raises
    ------
    InputError
        Naming the field, and the line where a list is at fault.
    """
    ingredients = read_ingredients(values.get("ingredients") or "", say("In the box"))
    if not ingredients:
        raise InputError(
            say("In the box"),
            say("nothing was written"),
            say("write at least the extract, such as 1.7 kg liquid malt extract"),
        )
    volume: Quantity | None = values.get("volume")
    if volume is None:
        raise InputError(say("Makes"), say("nothing was written"), say("write the leaflet's volume, such as 23 L"))
    low, high = values.get("temp_from"), values.get("temp_to")
    if low is not None and high is not None and low.to("°C", "temperature") > high.to("°C", "temperature"):
        raise InputError(
            say("Ferments from"), say("{low} is above {high}", low=low, high=high), say("change them round")
        )
    cost = values.get("cost") or ""
    if cost:
        parse_number(cost, say("Cost"))
    plain: dict[str, Any] = {name: values.get(name) for name in _PLAIN if values.get(name) is not None}
    words: dict[str, Any] = {name: values.get(name) or "" for name in _WORDS}
    gates: dict[str, Any] = {gate: values[field] for field, gate in _GATES if values.get(field) is not None}
    kit = ev.Kit(
        name=name_of(values),
        ingredients=ingredients,
        alternatives=read_alternatives(values.get("alternatives") or "", say("Alternatives")),
        hops=read_hop_plans(values.get("hops") or "", say("Hops")),
        gates=ev.Gates(**gates),
        **plain,
        **words,
    )
    _possible(kit)
    return kit


def _possible(kit: ev.Kit) -> None:
    og = original_gravity_reckoned(kit.ingredients, kit.volume.to("L", "volume"), 0.3)
    if not isfinite(og.value):
        raise InputError(
            say("Makes"),
            say("{volume} is too little for what is in the box", volume=kit.volume),
            say("check weights and volume"),
        )


def _choices(kit: ev.Kit) -> tuple[tuple[str, tuple[ev.Ingredient, ...], ev.Gates], ...]:
    if not kit.alternatives:
        return ((kit.name, kit.ingredients, kit.gates),)
    return tuple(
        (a.name, (*kit.ingredients, *a.additions), a.gates if a.gates != ev.Gates() else kit.gates)
        for a in kit.alternatives
    )


def _gate_findings(kit: ev.Kit) -> list[Finding]:
    """Gates that the make-up cannot meet: the beer would never be called finished, or always."""
    found = []
    litres = kit.volume.to("L", "volume")
    for name, ingredients, gates in _choices(kit):
        og = original_gravity_reckoned(ingredients, litres, 0.3)
        if not isfinite(og.value):
            continue
        fg = final_gravity_expected(ingredients, og.value)
        gate = gates.bottle_at_or_below
        if gate is None:
            continue
        if sg_of(gate) < fg.low - 0.0005:
            found.append(
                Finding(
                    Urgency.WAIT,
                    say(
                        "With {name} it stops at about {fg} ({fg_low} to {fg_high}); the gate of {gate} to bottle "
                        "would never open.",
                        name=name,
                        fg=show(fg.value, 3),
                        fg_low=show(fg.low, 3),
                        fg_high=show(fg.high, 3),
                        gate=gate,
                    ),
                    say("Is that gate meant for another choice?"),
                    key="gate_too_low",
                )
            )
        elif sg_of(gate) > fg.high + 0.002:
            found.append(
                Finding(
                    Urgency.WAIT,
                    say(
                        "With {name} it goes down to about {fg}; at {gate} it may still have {points} points to go.",
                        name=name,
                        fg=show(fg.value, 3),
                        gate=gate,
                        points=show(1000 * (sg_of(gate) - fg.value), 0),
                    ),
                    say("Is that gate meant for another choice?"),
                    key="gate_too_high",
                )
            )
    return found


def _dose_findings(kit: ev.Kit) -> list[Finding]:
    found = []
    litres = kit.volume.to("L", "volume")
    hops = sum(hop.mass.to("g", "mass") for hop in kit.hops)
    if hops / litres > _MOST_HOPS_G_PER_L:
        found.append(
            Finding(
                Urgency.MEASURE,
                say(
                    "{hops} of hops are {dose} g/L; 1 to 10 is usual.",
                    hops=say_amount(hops, 0, "g"),
                    dose=show(hops / litres, 0),
                ),
                say("Are the grams right?"),
                key="hops_much",
            )
        )
    if kit.priming_per_litre is not None:
        dose = kit.priming_per_litre.to("g/L", "concentration")
        if dose > _MOST_PRIMING_G_PER_L:
            found.append(
                Finding(
                    Urgency.ACT,
                    say(
                        "{priming_per_litre} of priming sugar is more than most bottles bear; 5 to 7 is usual.",
                        priming_per_litre=kit.priming_per_litre,
                    ),
                    say("Is it by the litre, or by the bottle?"),
                    key="priming_much",
                )
            )
        elif dose < _LEAST_PRIMING_G_PER_L:
            found.append(
                Finding(
                    Urgency.NOTHING,
                    say(
                        "{priming_per_litre} of priming sugar gives a nearly flat beer; 5 to 7 is usual.",
                        priming_per_litre=kit.priming_per_litre,
                    ),
                    key="priming_little",
                )
            )
    return found


def _gravity(name: str, label: str) -> Field:
    return Field(name, label, QUANTITY, ("gravity", "extract"), possible=(0.98, 1.16), usual=(0.99, 1.06), hint="1.006")


KEEP_KIT = Act(
    "keep_kit",
    say("Keep a kit"),
    "shelf",
    (
        Field("name", say("Name"), TEXT, required=True, hint=say("what you call it")),
        Field("ingredients", say("In the box"), LONG_TEXT, required=True, hint=INGREDIENTS_HINT),
        Field(
            "volume",
            say("Makes"),
            QUANTITY,
            ("volume",),
            required=True,
            possible=(0.5, 1000.0),
            usual=(3.0, 60.0),
            hint="23 L",
        ),
        Field("alternatives", say("What may be added to it"), LONG_TEXT, hint=ALTERNATIVES_HINT),
        _gravity("hop_gate", say("Add hops at or below")),
        _gravity("bottle_gate", say("Bottle at or below")),
        _gravity("final_from", say("Final gravity from")),
        _gravity("final_to", say("Final gravity to")),
        Field("yeast", say("Yeast"), TEXT),
        Field("yeast_mass", say("Yeast in the sachet"), QUANTITY, ("mass",), possible=(0.5, 500.0), usual=(2.0, 50.0)),
        Field(
            "yeast_kind",
            say("Kind of yeast"),
            CHOICE,
            choices=(
                ("ale", say("ale")),
                ("lager", say("lager")),
                ("wheat", say("wheat")),
                ("other", say("other")),
            ),
        ),
        Field("hops", say("Hops"), LONG_TEXT, hint=HOPS_HINT),
        Field("temp_from", say("Ferments from"), QUANTITY, ("temperature",), possible=(0.0, 45.0), usual=(6.0, 32.0)),
        Field("temp_to", say("Ferments to"), QUANTITY, ("temperature",), possible=(0.0, 45.0), usual=(6.0, 32.0)),
        Field("days", say("Days of fermentation"), COUNT, possible=(1, 120)),
        Field(
            "priming_sugar",
            say("Priming sugar"),
            CHOICE,
            choices=tuple((key, plain_name(key)) for key in PRIMING_SUGARS),
        ),
        Field(
            "priming_per_litre",
            say("Priming sugar by the litre"),
            QUANTITY,
            ("concentration",),
            possible=(0.0, 50.0),
            hint="6 g/L",
        ),
        Field("bitterness", say("Bitterness"), QUANTITY, ("bitterness",), possible=(0.0, 200.0)),
        Field("colour", say("Colour"), QUANTITY, ("colour",), possible=(0.0, 500.0)),
        Field("claimed_strength", say("Strength it promises"), QUANTITY, ("strength",), possible=(0.0, 15.0)),
        Field("best_before", say("Best before"), DATE),
        Field("cost", say("Cost"), TEXT),
        Field("note", say("Note"), LONG_TEXT),
    ),
    _keep_kit,
    (say("A bulging or leaking can is thrown away unopened."),),
    about=say(
        "Only name, weights and volume are needed; gates belong to a choice when the leaflet gives them for each."
    ),
)


def texts_of_kit(kit: ev.Kit) -> dict[str, str]:
    """A kit as the texts its act's fields would have been given."""
    found = {
        "name": kit.name,
        "ingredients": ingredients_text(kit.ingredients),
        "alternatives": alternatives_text(kit.alternatives),
        "hops": hop_plans_text(kit.hops),
    }
    for field, gate in _GATES:
        value = getattr(kit.gates, gate)
        found[field] = str(value) if value is not None else ""
    for name in (*_PLAIN, *_WORDS):
        value = getattr(kit, name)
        if isinstance(value, date):
            found[name] = value.isoformat()
        else:
            found[name] = str(value) if value is not None else ""
    return {name: text for name, text in found.items() if text}
