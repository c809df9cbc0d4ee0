"""Mixing the wort: how much boiling water, and what the hydrometer should then show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf, isfinite
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import joined, say, say_amount, say_range
from gylebook.science.hydrometer import reading_sg
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Option, Urgency, Working
from gylebook.steps.asked import CELSIUS, SG, Asked, figure
from gylebook.steps.decision import Setting, Step
from gylebook.steps.fields import QUANTITY, Field
from gylebook.steps.gravity import readings
from gylebook.steps.makeup import MakeUp, leaflet_gates, makeup_of, net_mass_g, original_gravity_reckoned
from gylebook.steps.mixing_acts import CAUTIONS, MIX, TOP_UP, meant_l, mixed_findings
from gylebook.steps.mixing_heat import Landing, Waters, landing
from gylebook.steps.mixing_volume import Leaflet, headspace_finding, volume_findings
from gylebook.steps.readings import latest_first
from gylebook.steps.samples import glass_of
from gylebook.steps.volumes import Z90, litres, mixed_l, start_l, vessel_of
from gylebook.steps.warmth import celsius
from gylebook.units import show

_VOLUME = Field("volume", say("Make up to"), QUANTITY, ("volume",), possible=(0.5, 1000.0), usual=(2.0, 60.0),
                reason=say("the plan's or the leaflet's volume"))  # fmt: skip
_TARGET = Field("target", say("Temperature wanted for the yeast"), QUANTITY, ("temperature",), possible=(2.0, 40.0),
                default="20 °C", reason=say("the middle of what ale yeast likes"))  # fmt: skip
_TAP = Field("tap_temp", say("Tap water"), QUANTITY, ("temperature",), possible=(0.0, 60.0), usual=(1.0, 35.0),
             default="12 °C", reason=say("an ordinary tap; run it and measure"))  # fmt: skip
_EXTRACT = Field("extract_temp", say("Extract and sugar"), QUANTITY, ("temperature",), possible=(0.0, 100.0),
                 default="20 °C",
                 reason=say("as in a room; a can out of hot water is about 40 °C: write that"))  # fmt: skip
_LEAST = Field("least_boiling", say("Least boiling water"), QUANTITY, ("volume",), possible=(0.0, 60.0),
               default="1.5 L", reason=say("dissolves the extract and rinses the can"))  # fmt: skip
_MOST = Field("most_boiling", say("Most boiling water"), QUANTITY, ("volume",), possible=(0.0, 100.0),
              hint=say("what kettle and pans give"))  # fmt: skip
_CHILLED = Field("chilled", say("Chilled water at hand"), QUANTITY, ("volume",), possible=(0.0, 100.0),
                 hint=say("from the refrigerator, about 4 °C"))  # fmt: skip
_ICE = Field(
    "ice", say("Ice at hand"), QUANTITY, ("mass",), possible=(0.0, 50_000.0), hint=say("made of drinking water")
)
ASK = (_VOLUME, _TARGET, _TAP, _EXTRACT, _LEAST, _MOST, _CHILLED, _ICE)


@dataclass(frozen=True, slots=True)
class _Mix:
    """What is to be mixed, as far as it is known."""

    made: MakeUp
    volume_l: float
    volume_sd_l: float
    inputs: tuple[Given, ...]
    assumed: tuple[str, ...]
    wanted: Asked


def _fields(brew: Brew) -> tuple[Field, ...]:
    """The fields with what this brew's leaflet and plan put in."""
    kit = brew.plan.kit
    target = _TARGET
    if kit is not None and kit.temp_from is not None and kit.temp_to is not None:
        low, high = celsius(kit.temp_from), celsius(kit.temp_to)
        target = replace(_TARGET, default=f"{(low + high) / 2:.0f} °C", reason=say("the middle of the leaflet's range"))
    return (_VOLUME, target, *ASK[2:])


def _mix(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> _Mix:
    wanted = Asked(_fields(brew), asked)
    made = makeup_of(brew)
    asked_volume = wanted.number("volume")
    if asked_volume is not None:
        return _Mix(made, asked_volume, 0.3, wanted.given("volume"), (*made.assumed, *wanted.assumed), wanted)
    start = start_l(brew, setting.shelf)
    assumed = tuple(
        say("{name}: {value} ({where})", name=given.name, value=given.value, where=given.where)
        for given in start.working.inputs
        if given.basis is Basis.ASSUMED
    )
    sd = (start.high - start.low) / 2 / Z90
    return _Mix(made, start.value, sd, start.working.inputs, (*made.assumed, *assumed, *wanted.assumed), wanted)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """How much boiling water before mixing; whether volume and gravity are right after it."""
    mix = _mix(brew, setting, asked)
    if not mix.made.ingredients:
        return Answer(
            say("Write down what goes in; then the water can be reckoned."),
            say("Weights and volume fix gravity and temperature; neither can be told without the weights."),
            Urgency.MEASURE,
            missing=say("What goes in, and how much of it?"),
            cautions=CAUTIONS,
            assumed=mix.assumed,
        )
    mixed = brew.last(ev.Mixed)
    if mixed is not None and "volume" not in mix.wanted:
        return _after(brew, setting, mix, mixed)
    return _before(brew, setting, mix)


def _before(brew: Brew, setting: Setting, mix: _Mix) -> Answer:
    og = original_gravity_reckoned(mix.made.ingredients, mix.volume_l, mix.volume_sd_l, (*mix.made.givens, *mix.inputs))
    landed = landing(mix.made.ingredients, _waters(mix))
    if landed is None or not isfinite(og.value):
        if "volume" in mix.wanted:
            raise InputError(
                say("Make up to"),
                say("{volume_l} is too little for what goes in", volume_l=say_amount(mix.volume_l, 1, "L")),
                say("write more litres"),
            )
        return _impossible(mix)
    found, options = _other_volume(brew, mix, 0.0)
    headspace = headspace_finding(vessel_of(brew, setting.shelf), mix.volume_l)
    findings = latest_first((*landed.findings, *([headspace] if headspace else []), *found, _make_up_to(landed, mix)))
    reading = _reading_figure(setting, og, landed.temp)
    return Answer(
        _headline(landed, mix),
        say(
            "It will start at {og} and your hydrometer will show {reading} while the wort is at {temp}.",
            og=show(og.value, 4),
            reading=show(reading.value, 3),
            temp=say_amount(landed.temp.value, 0, "°C"),
        ),
        _urgency(findings),
        figures=(*landed.figures, og, reading),
        findings=findings,
        options=options,
        missing=""
        if "tap_temp" in mix.wanted and not _is_assumed(mix, say("Tap water"))
        else say("How cold is the tap water?"),
        cautions=CAUTIONS,
        assumed=mix.assumed,
    )


def _impossible(mix: _Mix) -> Answer:
    weight = sum(net_mass_g(i) for i in mix.made.ingredients) / 1000
    return Answer(
        say("Check weights and volume: they cannot both be right."),
        say(
            "{weight} in {volume_l} would be thicker than any wort.",
            weight=say_amount(weight, 1, "kg"),
            volume_l=say_amount(mix.volume_l, 1, "L"),
        ),
        Urgency.MEASURE,
        missing=say("To which mark was it made up?"),
        cautions=CAUTIONS,
        assumed=mix.assumed,
    )


def _is_assumed(mix: _Mix, label: str) -> bool:
    return any(line.startswith(f"{label}:") for line in mix.assumed)


def _waters(mix: _Mix) -> Waters:
    wanted = mix.wanted
    ice = wanted.number("ice")
    most = wanted.number("most_boiling")
    return Waters(
        volume_l=mix.volume_l,
        target_c=wanted.need("target"),
        tap_c=wanted.need("tap_temp"),
        extract_c=wanted.need("extract_temp"),
        least_boiling_l=min(wanted.need("least_boiling"), most if most is not None else inf),
        most_boiling_l=most if most is not None else inf,
        chilled_l=wanted.number("chilled") or 0.0,
        ice_kg=(ice or 0.0) / 1000,
        inputs=(*mix.made.givens, *mix.inputs, *wanted.givens),
    )


def _headline(landed: Landing, mix: _Mix) -> str:
    plan = landed.plan
    boiling = float(plan.boiling_l)
    parts = [
        say("{boiling} of boiling water", boiling=say_amount(boiling, 1, "L"))
        if boiling > 0.05
        else say("no boiling water")
    ]
    if float(plan.chilled_l) > 0.05:
        parts.append(say("{chilled_l} of chilled water", chilled_l=say_amount(float(plan.chilled_l), 1, "L")))
    if float(plan.ice_kg) > 0.05:
        parts.append(say("{ice_kg} of ice", ice_kg=say_amount(float(plan.ice_kg), 1, "kg")))
    used = joined(say(", then "), parts)
    tail = say("tap water up to the {volume_l} mark", volume_l=say_amount(mix.volume_l, 1, "L"))
    lands = say_amount(landed.temp.value, 0, "°C")
    if landed.verdict == "reached":
        return say("Use {used}, then {tail}: it lands at {lands}.", used=used, tail=tail, lands=lands)
    if landed.verdict == "too warm":
        return say(
            "Even with only {used} and {tail} it lands at {lands}: chill some water first, or wait with the yeast.",
            used=used,
            tail=tail,
            lands=lands,
        )
    return say("Even with {used} and {tail} it lands at only {lands}.", used=used, tail=tail, lands=lands)


def _make_up_to(landed: Landing, mix: _Mix) -> Finding:
    return Finding(
        Urgency.NOTHING,
        say(
            "“Make up to {volume_l}” means {water_l} of water in all; the extract is the rest.",
            volume_l=say_amount(mix.volume_l, 1, "L"),
            water_l=say_amount(landed.water_l, 1, "L"),
        ),
        key="make_up_to",
    )


def _urgency(findings: tuple[Finding, ...]) -> Urgency:
    return findings[0].urgency if findings else Urgency.NOTHING


def _reading_figure(setting: Setting, og: Figure, temp: Figure) -> Figure:
    """What the hydrometer shows at the wort's own temperature: to be compared without any correcting."""
    glass = glass_of(setting.shelf, "")
    at = min(max(temp.value, 0.0), 60.0)
    value, low, high = (
        float(reading_sg(gravity, at, glass.ref_c, glass.offset_sg)) for gravity in (og.value, og.low, og.high)
    )
    working = Working(
        say("the hydrometer's equilibrium, solved for the reading"),
        (
            Given(say("gravity"), og.text(), Basis.RECKONED),
            Given(say("temperature of the sample"), say_amount(at, 0, "°C"), Basis.RECKONED),
            Given(
                say("scale's temperature"),
                say_amount(glass.ref_c, 1, "°C"),
                Basis.MEASURED if glass.known else Basis.ASSUMED,
                glass.name,
            ),
        ),
        ("hydrometer_equilibrium", "iso_1768_1975", "bubnik_1995"),
        (say("{og} shows as {value} at {at}", og=show(og.value, 4), value=show(value, 4), at=say_amount(at, 0, "°C")),),
        (say("Above 40 °C cool the sample first."),) if at > 40 else (),
    )
    return figure(
        "reading", say("Your hydrometer at {at}", at=say_amount(at, 0, "°C")), value, SG, working, low=low, high=high
    )


def _other_volume(brew: Brew, mix: _Mix, dropped: float) -> tuple[tuple[Finding, ...], tuple[Option, ...]]:
    meant = meant_l(brew)
    leaflet = litres(brew.plan.kit.volume) if brew.plan.kit is not None else None
    against = leaflet if mix.wanted.number("volume") is not None and leaflet is not None else meant
    if against is None:
        return (), ()
    return volume_findings(
        mix.made.ingredients,
        mix.volume_l,
        against,
        leaflet=Leaflet(leaflet_gates(brew), leaflet),
        volume_sd_l=mix.volume_sd_l,
        dropped_points=dropped,
    )


# --- after mixing ---------------------------------------------------------------------------------------------


def _after(brew: Brew, setting: Setting, mix: _Mix, mixed: Kept[ev.Mixed]) -> Answer:
    volume = mixed_l(brew, setting.shelf) or start_l(brew, setting.shelf)
    og = original_gravity_reckoned(mix.made.ingredients, mix.volume_l, mix.volume_sd_l, (*mix.made.givens, *mix.inputs))
    if not isfinite(og.value):
        return _impossible(mix)
    found, options = _other_volume(brew, mix, dropped_points(brew, setting, og))
    findings = latest_first((*found, *mixed_findings(brew, setting, mixed.event, mix.volume_l)))
    figures: list[Figure] = [volume, og]
    if mixed.event.temp is not None and isfinite(og.value):
        temp = celsius(mixed.event.temp)
        working = Working(
            say("as read"),
            (Given(say("temperature"), mixed.event.temp.said(), Basis.MEASURED, say("entry {seq}", seq=mixed.seq)),),
        )
        figures.append(_reading_figure(setting, og, figure("temp", say("Wort"), temp, CELSIUS, working, spread=0.5)))
    top = findings[0] if findings else None
    pitched = brew.first(ev.Pitched) is not None
    return Answer(
        _after_headline(top, volume, og, pitched=pitched, mendable=len(options) > 1),
        say(
            "{volume} ({range}) of what went in is {og} ({og_low} to {og_high}).",
            volume=say_amount(volume.value, 1, "L"),
            range=say_range(volume.low, volume.high, 1, "L"),
            og=show(og.value, 4),
            og_low=show(og.low, 4),
            og_high=show(og.high, 4),
        ),
        _urgency(findings),
        figures=tuple(figures),
        findings=findings,
        options=options,
        missing=_missing_after(mixed.event),
        cautions=() if pitched else CAUTIONS[3:],  # whoever stirs air in after the yeast spoils the beer
        assumed=tuple(line for line in mix.assumed if not any(line.startswith(f"{f.label}:") for f in ASK)),
    )


def _after_headline(top: Finding | None, volume: Figure, og: Figure, *, pitched: bool, mendable: bool) -> str:
    if top is None or top.urgency is Urgency.NOTHING:
        key = top.key if top else ""
        if key == "too_much_water" and mendable:
            return say("A little too much water went in: restore it with dried extract, or leave it.")
        if key == "too_much_water":
            return say("A little too much water went in, and it is too far on to mend: leave it.")
        if pitched:
            return say(
                "Mixed: {volume} at {og}. The yeast is in: nothing to do here.",
                volume=say_amount(volume.value, 1, "L"),
                og=show(og.value, 4),
            )
        return say(
            "Mixed: {volume} at {og}. Cool it to the yeast's temperature and pitch.",
            volume=say_amount(volume.value, 1, "L"),
            og=show(og.value, 4),
        )
    return top.check or top.text


def _missing_after(mixed: ev.Mixed) -> str:
    if mixed.volume is None:
        return say("To which mark was it made up?")
    if mixed.temp is None:
        return say("How warm is the wort?")
    if not mixed.stirred:
        return say("Was it stirred hard after the last water?")
    return ""


def dropped_points(brew: Brew, setting: Setting, og: Figure | None) -> float:
    """Points that fermentation has taken so far; 0 before the yeast."""
    seen = [r for r in readings(brew, setting.shelf) if not r.before_pitch and not r.lightly]
    if seen and og is not None and isfinite(og.value):
        return 1000 * (og.value - seen[-1].gravity_sg)
    pitched = brew.first(ev.Pitched)
    # A day after the yeast some of the sugar is gone, read or not.
    return 5.0 if pitched is not None and (setting.now - pitched.at).total_seconds() > 86_400 else 0.0


STEP = Step(
    "mixing",
    say("Mixing"),
    say("How much boiling water, so that volume and temperature land right?"),
    answer,
    ASK,
    (MIX, TOP_UP),
    CAUTIONS,
)
