"""Sums on the air of a room and on sanitisers."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any

from gylebook.phrases import capital, say, say_amount, say_number
from gylebook.science import room_air
from gylebook.science.carbon_dioxide import gas_volume_l
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Finding, Option, Urgency, Working
from gylebook.steps.asked import Asked, Shown, figure, within
from gylebook.steps.cleaning_agents import AGENTS
from gylebook.steps.decision import Sum
from gylebook.steps.fields import CHOICE, QUANTITY, Field
from gylebook.steps.room import AIR_CHANGES_AN_HOUR, POINTS_A_DAY, level, room_findings
from gylebook.steps.sanitiser_dose import dose_figures
from gylebook.units import show

_PPM, _WHOLE_LITRES = Shown("ppm", "", 0), Shown("L", "volume", 0)

_ROOM = (
    sums_fields.volume("volume", say("Beer fermenting, all vessels"), required=True, possible=(0.1, 1000.0)),
    Field(
        "room",
        say("The room"),
        QUANTITY,
        ("room",),
        possible=(0.3, 5000.0),
        default="30 m³",
        reason=say("a small room, 12 m² and 2.5 m high"),
        hint="30 m³",
    ),
    Field(
        "fall",
        say("Points a day at the peak"),
        QUANTITY,
        ("number",),
        possible=(0.0, 60.0),
        default=f"{POINTS_A_DAY:g}",
        reason=say("an ale at its liveliest"),
    ),
    Field(
        "air",
        say("Air changes in an hour"),
        QUANTITY,
        ("number",),
        possible=(0.01, 100.0),
        default=f"{AIR_CHANGES_AN_HOUR:g}",
        reason=say("a closed room"),
        hint=say("0.2 closed, 2 with a window ajar"),
    ),
    sums_fields.gravity("original", say("Original gravity"), default="1.045", reason=say("an ordinary beer")),
    sums_fields.gravity("final", say("Final gravity"), default="1.011", reason=say("an ordinary beer")),
)
_ROOM_CAUTIONS = (
    say("Carbon dioxide is heavier than air and has no smell: it lies in cellars, cupboards, pits and chest freezers."),
    say("No sum of a room holds in such places: put no head into them; a candle is no test."),
    say(
        "Headache, quick breath, dizziness near fermenting vessels: out into the open air, then open doors and windows."
    ),
)


def _room(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_ROOM, values)
    litres, room = asked.need("volume"), asked.need("room")
    og, fg = asked.need_gravity("original"), asked.need_gravity("final")
    peak = room_air.co2_evolved_g(litres, 1.0 + asked.need("fall") / 1000, 1.0)
    per_hour = [float(gas_volume_l(part, 20.0)) / 24 for part in peak]
    ppm = [float(room_air.room_ppm(part, room, asked.need("air"))) for part in per_hour]
    value = within(ppm[1], say("The room"), say("no air is known there"), say("write a room from 0.3 m³ on"))
    whole = room_air.co2_evolved_g(litres, og, min(fg, og))
    gas = [float(gas_volume_l(part, 20.0)) for part in whole]
    sealed = float(room_air.sealed_room_ppm(float(whole.best), room))
    working = Working(
        say("gas made in an hour ÷ (air changes × room), outdoor air added; the air taken as mixed"),
        asked.givens,
        ("mass_balance", "co2_reference_gas", "eh40"),
        (say("{gas} of gas an hour at the peak", gas=say_amount(per_hour[1], 1, "L")),),
        (say("Real air is not mixed: near the floor it is far more."),),
    )
    all_gas = Working(
        say("about 1 g of gas for each litre and point"), asked.givens, ("balling_nielsen_2007", "co2_stoichiometry")
    )
    # How often the air of a room changes is a guess, and matters more than how much gas there is.
    airier, closer = (float(room_air.room_ppm(per_hour[1], room, asked.need("air") * by)) for by in (2.0, 0.5))
    figures = [
        figure(
            "ppm", say("At the peak"), round(value, -2), _PPM, working,
            low=round(airier, -2), high=round(closer, -2), interval=say("with twice the air changes, and with half"),
        ),
        figure("gas", say("All the gas it makes"), round(gas[1], -1), _WHOLE_LITRES, all_gas,
               low=round(gas[0], -1), high=round(gas[2], -1)),
    ]  # fmt: skip
    if isfinite(sealed):  # more gas than room gives no number
        figures.append(figure("sealed", say("All of it in the sealed room"), round(sealed, -3), _PPM, all_gas))
    words, urgency = level(value)
    return Answer(
        say("About {ppm} ppm at the peak: {words}.", ppm=show(round(value, -2), 0), words=words),
        say(
            "In all it makes about {gas} of gas. Limits at work: {limit} ppm over eight hours, "
            "{short_limit} over a quarter; {dangerous} is dangerous at once.",
            gas=say_amount(round(gas[1], -1), 0, "L"),
            limit=say_number(f"{room_air.LIMIT_8H_PPM:.0f}"),
            short_limit=say_number(f"{room_air.LIMIT_15MIN_PPM:.0f}"),
            dangerous=say_number(f"{room_air.DANGEROUS_PPM:.0f}"),
        ),
        urgency,
        tuple(figures),
        tuple(room_findings(value, room)),
        cautions=_ROOM_CAUTIONS,
        assumed=asked.assumed,
    )


# --- sanitisers -----------------------------------------------------------------------------------------------

_SANITISER = (
    Field(
        "agent",
        say("Cleaner or sanitiser"),
        CHOICE,
        choices=tuple((agent.key, agent.name) for agent in AGENTS.values()),
        default="bleach",
        reason=say("the one whose dose can be reckoned"),
    ),
    sums_fields.volume("water", say("Water"), default="5 L", reason=say("one mix for a bucket"), possible=(0.1, 500.0)),
    Field(
        "strength",
        say("Chlorine in the bleach, by its label"),
        QUANTITY,
        ("share",),
        possible=(0.5, 20.0),
        default="5 %",
        reason=say("thin household bleach"),
    ),
    Field("ppm", say("Strength wanted"), QUANTITY, ("concentration",), possible=(0.0, 5.0), hint="80 ppm"),
)


def _sanitiser(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_SANITISER, values)
    agent = AGENTS[asked.word("agent")]
    figures = dose_figures(agent, asked)
    low, high = agent.minutes
    words = say("{agent}: {dose}.", agent=capital(agent.name), dose=agent.dose)
    if figures:
        dose = figures[0]
        words = say(
            "{dose} of {agent} in {water} of cold water.",
            dose=dose.text(),
            agent=agent.name,
            water=asked.quantity("water"),
        )
    findings = []
    wanted = asked.number("ppm")
    if figures and wanted is not None and wanted > 0.2:
        text = say(
            "{wanted} ppm is past the 200 ppm at which gear is drained without a rinse.",
            wanted=say_number(f"{1000 * wanted:.0f}"),
        )
        findings.append(Finding(Urgency.ACT, text, say("Rinse well afterwards."), key="too_strong"))
    if not agent.kills:
        text = say("It cleans or holds back; it does not sanitise by itself.")
        findings.append(Finding(Urgency.NOTHING, text, say("What comes after it?"), key="no_sanitiser"))
    return Answer(
        words,
        say(
            "Wet for {low} to {high} minutes; {rinse}. Dirt must be off first.",
            low=say_number(f"{low:g}"),
            high=say_number(f"{high:g}"),
            rinse=agent.rinse,
        ),
        Urgency.NOTHING,
        figures,
        tuple(findings),
        tuple(
            Option(
                each.name,
                (),
                say(
                    "{dose}; {minutes} to {minutes2} min; {rinse}",
                    dose=each.dose,
                    minutes=say_number(f"{each.minutes[0]:g}"),
                    minutes2=say_number(f"{each.minutes[1]:g}"),
                    rinse=each.rinse,
                ),
            )
            for each in AGENTS.values()
            if not each.ammonia
        ),
        cautions=agent.cautions,
        rule_of_thumb=say("A product's own label goes before this table."),
        assumed=asked.assumed,
    )


SUMS = (
    Sum(
        "co2_in_room",
        say("Gas in the room"),
        say("What do the fermenting vessels do to the air?"),
        _ROOM,
        _room,
        {"volume": "138 L", "room": "30 m³", "air": "0.2"},
    ),
    Sum(
        "sanitiser",
        say("Sanitiser"),
        say("How much of it, for how long, and rinse or not?"),
        _SANITISER,
        _sanitiser,
        {"agent": "bleach", "water": "10 L", "strength": "5 %"},
    ),
)
