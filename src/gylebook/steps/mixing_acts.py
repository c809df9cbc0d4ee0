"""Writing down the mixing: what went in, to which mark, how warm; and water added later."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from math import isfinite
from typing import Any

from gylebook.errors import InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, LONG_TEXT, QUANTITY, TEXT, Field
from gylebook.steps.lines import INGREDIENTS_HINT, read_ingredients
from gylebook.steps.makeup import leaflet_gates, makeup_of, original_gravity_reckoned
from gylebook.steps.mixing_volume import Leaflet, headspace_finding, volume_findings
from gylebook.steps.readings import latest_first, with_event
from gylebook.steps.volumes import Z90, litres, start_l, vessel_of
from gylebook.steps.warmth import celsius
from gylebook.units import Quantity, show

CAUTIONS = (
    say("Boiling water: clear the way, pour low and away from you, and never into glass."),
    say("Opened cans have sharp edges; hot syrup sticks and burns."),
    say(
        "Tap water that smells of chlorine can leave a taste of sticking plaster: boil it, or let it stand "
        "open overnight."
    ),
    say("23 L weigh 24 kg and the bucket: fill it where it will stand, or lift it with two."),
    say("Stir hard for three minutes after the last water, splashing: the yeast wants that air now, and never later."),
)
_HOT_C = 27.0


def meant_l(brew: Brew) -> float | None:
    """The volume that plan or leaflet means [L]."""
    plan = brew.plan
    if plan.volume is not None:
        return litres(plan.volume)
    return litres(plan.kit.volume) if plan.kit is not None else None


def mixed_findings(brew: Brew, setting: Setting, mixed: ev.Mixed, volume_l: float) -> tuple[Finding, ...]:
    """What a mixed wort needs before the yeast."""
    found = []
    pitched = bool(brew.all(ev.Pitched))
    if mixed.temp is not None and celsius(mixed.temp) > _HOT_C and not pitched:
        found.append(
            Finding(
                Urgency.ACT,
                say(
                    "{temp} is too warm for the yeast. Close it, stand it in cold water or a cool place, and pitch "
                    "below 25 °C; a night without yeast does no harm where all was sanitised.",
                    temp=mixed.temp,
                ),
                say("Cool it before the yeast goes in."),
                key="hot",
            )
        )
    if mixed.stirred in {"a little", "no"} and not pitched:
        found.append(
            Finding(
                Urgency.MEASURE,
                say("Syrup lies at the bottom until it is stirred; a reading now would mean nothing."),
                say("Stir hard for three minutes, splashing, before reading and pitching."),
                key="stir",
            )
        )
    headspace = headspace_finding(vessel_of(brew, setting.shelf), volume_l)
    if headspace is not None and not pitched:
        found.append(headspace)
    return tuple(found)


def _mix_act(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    earlier = brew.last(ev.Mixed)
    if earlier is not None:
        raise Refused(
            say(
                "Entry {seq} already says how it was mixed; correct that entry, or write water added as topping up.",
                seq=earlier.seq,
            )
        )
    event = ev.Mixed(
        ingredients=read_ingredients(values.get("ingredients") or "", say("Ingredients")),
        volume=values.get("volume"),
        volume_from=values.get("volume_from") or "",
        temp=values.get("temp"),
        boiling_water=values.get("boiling_water"),
        tap_temp=values.get("tap_temp"),
        stirred=values.get("stirred") or "",
        vessel=values.get("vessel") or "",
    )
    after = with_event(brew, at, event)
    volume = start_l(after, setting.shelf)
    found: list[Finding] = list(mixed_findings(after, setting, event, volume.value))
    meant = meant_l(after)
    if event.volume is not None and meant is not None:
        kit = after.plan.kit
        found += volume_findings(
            makeup_of(after).ingredients,
            volume.value,
            meant,
            leaflet=Leaflet(leaflet_gates(after), litres(kit.volume) if kit is not None else None),
            volume_sd_l=(volume.high - volume.low) / 2 / Z90,
        )[0]
    return Decision(((at, event),), latest_first(tuple(found)))


_STIRRED = (("well", say("hard, for minutes")), ("a little", say("a little")), ("no", say("no")))


def _litres(name: str, label: str, **more: Any) -> Field:
    return Field(name, label, QUANTITY, ("volume",), possible=(0.0, 1000.0), usual=(0.0, 100.0), **more)


MIX = Act(
    "mix",
    say("Mix the wort"),
    "mixing",
    (
        Field(
            "ingredients",
            say("What went in"),
            LONG_TEXT,
            reason=say("as the leaflet says, where nothing is written"),
            hint=INGREDIENTS_HINT,
        ),
        _litres("volume", say("Made up to")),
        Field(
            "volume_from",
            say("Volume read from"),
            CHOICE,
            choices=(
                ("bucket mark", say("the bucket's own mark")),
                ("calibrated mark", say("a mark I calibrated")),
                ("jug", say("a jug")),
                ("scale", say("a scale")),
                ("guess", say("a guess")),
            ),
        ),
        Field("temp", say("Wort now"), QUANTITY, ("temperature",), possible=(0.0, 105.0), usual=(2.0, 60.0)),
        _litres("boiling_water", say("Boiling water used")),
        Field("tap_temp", say("Tap water"), QUANTITY, ("temperature",), possible=(0.0, 60.0), usual=(1.0, 35.0)),
        Field("stirred", say("Stirred"), CHOICE, choices=_STIRRED),
        Field("vessel", say("Vessel"), TEXT, reason=say("the plan's")),
    ),
    _mix_act,
    CAUTIONS,
    about=say("Weights and the true volume matter most: from them the book knows the original gravity."),
)


def _top_up(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    water: Quantity | None = values.get("water")
    new: Quantity | None = values.get("new_volume")
    if water is None and new is None:
        raise InputError(
            say("Water added"), say("nothing was written"), say("write the water, or the mark it now stands at")
        )
    if any(kept.at <= at for kept in brew.all(ev.Bottled)):
        raise Refused(say("It is in bottles already; water can no longer be added."))
    event = ev.ToppedUp(water=water, new_volume=new, stirred=values.get("stirred") or "")
    after = with_event(brew, at, event)
    volume = start_l(after, setting.shelf)
    og = original_gravity_reckoned(makeup_of(after).ingredients, volume.value, (volume.high - volume.low) / 2 / Z90)
    found = []
    if isfinite(og.value):
        found.append(
            Finding(
                Urgency.NOTHING,
                say("That makes {volume} at {og}.", volume=say_amount(volume.value, 1, "L"), og=show(og.value, 4)),
                key="topped_up",
            )
        )
    if any(k.at <= at for k in brew.all(ev.Pitched)):
        found.append(
            Finding(
                Urgency.WAIT,
                say("Water stirred in after the yeast brings air: pour boiled and cooled water in quietly."),
                say("Was it boiled and cooled?"),
                key="air",
            )
        )
    return Decision(((at, event),), latest_first(tuple(found)))


TOP_UP = Act(
    "top_up",
    say("Add water"),
    "mixing",
    (
        _litres("water", say("Water added")),
        _litres("new_volume", say("Now stands at")),
        Field("stirred", say("Stirred"), CHOICE, choices=_STIRRED),
    ),
    _top_up,
    (),
    about=say("Either number is enough."),
)
