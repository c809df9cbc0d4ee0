"""Writing a plan, a note, and a brew's end."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from gylebook.errors import InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import joined, say
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import DATE, LONG_TEXT, QUANTITY, TEXT, Field
from gylebook.steps.lines import INGREDIENTS_HINT, read_ingredients
from gylebook.steps.shelf_lines import key_of
from gylebook.units import Quantity

OWN = say("own recipe")

_KIT = Field("kit", say("Kit"), TEXT, reason=say("the only one on the shelf; or write what goes in"))
_CHOICE = Field("choice", say("Added to it"), TEXT, reason=say("the leaflet's first choice"))
_VOLUME = Field("volume", say("Make up to"), QUANTITY, ("volume",), possible=(0.5, 1000.0), usual=(2.0, 60.0),
                reason=say("the leaflet's volume"))  # fmt: skip
_PLACE = Field("place", say("Stands in"), TEXT, reason=say("the leaflet's temperatures, else an ordinary room"))
_START = Field("start_on", say("Begins on"), DATE, reason=say("today"))
FIVE = (_KIT, _CHOICE, _VOLUME, _PLACE, _START)
INGREDIENTS = Field("ingredients", say("What goes in, where it is no kit"), LONG_TEXT, hint=INGREDIENTS_HINT)


def kit_named(brew: Brew, shelf: Shelf, name: str) -> ev.Kit:
    """The kit of that name on the shelf, else one that this brew was planned with.

    Raises
    ------
    InputError
        When there is none; the message names those there are.
    """
    wanted = " ".join(name.lower().split())
    for kit in shelf.kits.values():
        if kit.name.lower() == wanted:
            return kit
    for entry in reversed(brew.entries):
        body = entry.body
        if isinstance(body, ev.Planned) and body.kit is not None and body.kit.name.lower() == wanted:
            return body.kit
    known = joined(", ", shelf.kits) or say("none yet")
    raise InputError(
        say("Kit"),
        say("“{name}” is not on the shelf", name=name[:60]),
        say("keep its leaflet first, or choose one of: {known}", known=known),
    )


def choice_key(kit: ev.Kit | None, words: str) -> str:
    """The key of the alternative that the words mean; "" for none.

    Raises
    ------
    InputError
        When the kit has no such choice.
    """
    if not words:
        return ""
    wanted = key_of(words)
    alternatives = kit.alternatives if kit is not None else ()
    for each in alternatives:
        if wanted in {each.key, key_of(each.name)}:
            return each.key
    if not alternatives:
        raise InputError(
            say("Added to it"),
            say("“{words}” cannot be chosen", words=words[:40]),
            say("leave it empty: the kit has no choices"),
        )
    known = joined(", ", (each.name for each in alternatives))
    raise InputError(
        say("Added to it"),
        say("“{words}” is none of the kit's choices", words=words[:40]),
        say("choose one of: {known}", known=known),
    )


def kit_of_ingredients(text: str, volume: Quantity | None) -> ev.Kit:
    """Bare ingredients as a kit of one's own.

    Raises
    ------
    InputError
        Naming the line; or the volume, where it is missing.
    """
    ingredients = read_ingredients(text, INGREDIENTS.label)
    if not ingredients:
        raise InputError(INGREDIENTS.label, say("nothing was written"), say("write at least the extract"))
    if volume is None:
        raise InputError(
            _VOLUME.label,
            say("nothing was written"),
            say("write the litres, for there is no leaflet to take them from"),
        )
    return ev.Kit(name=OWN, ingredients=ingredients, volume=volume)


def _plan(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    before = brew.last(ev.Planned)
    old = before.event if before is not None else ev.Planned(name="")
    kit, choice = _kit_and_choice(brew, setting, values, old)
    event = ev.Planned(
        name=" ".join(str(values.get("name") or "").split())[:120] or old.name or _name(kit, choice),
        kit=kit,
        choice=choice,
        volume=values.get("volume") or old.volume,
        vessel=values.get("vessel") or old.vessel,
        place=values.get("place") or old.place,
        start_on=values.get("start_on") or old.start_on,
        drink_on=values.get("drink_on") or old.drink_on,
        co2_wanted=values.get("co2_wanted") or old.co2_wanted,
        intent=values.get("intent") or old.intent,
    )
    _dates(event.start_on, event.drink_on)
    return Decision(((at, event),), _plan_findings(brew, event, old))


def _kit_and_choice(
    brew: Brew, setting: Setting, values: Mapping[str, Any], old: ev.Planned
) -> tuple[ev.Kit | None, str]:
    name, text = values.get("kit") or "", values.get("ingredients") or ""
    if name and text.strip():
        raise InputError(INGREDIENTS.label, say("a kit was chosen as well"), say("leave one of the two out"))
    if name:
        kit: ev.Kit | None = kit_named(brew, setting.shelf, name)
    elif text.strip():
        kit = kit_of_ingredients(text, values.get("volume") or old.volume)
    else:
        kit = old.kit
    kept = old.choice if kit is not None and old.kit is not None and kit.name == old.kit.name else ""
    return kit, choice_key(kit, values.get("choice") or kept)


def _name(kit: ev.Kit | None, choice: str) -> str:
    if kit is None or kit.name == OWN:
        return say("Own recipe")
    alternative = next((a for a in kit.alternatives if a.key == choice), None)
    return (
        say("{kit} with {alternative}", kit=kit.name, alternative=alternative.name)
        if alternative is not None
        else kit.name
    )


def _dates(start_on: date | None, drink_on: date | None) -> None:
    if start_on is not None and drink_on is not None and drink_on <= start_on:
        raise InputError(
            say("To drink on"),
            say("{drink_on} is not after {start_on}, when it begins", drink_on=drink_on, start_on=start_on),
            say("check both days"),
        )


def _plan_findings(brew: Brew, event: ev.Planned, old: ev.Planned) -> tuple[Finding, ...]:
    found = []
    if event.kit is not None and len(event.kit.alternatives) > 1 and not event.choice:
        names = joined(", ", (a.name for a in event.kit.alternatives))
        found.append(
            Finding(
                Urgency.NOTHING,
                say("Counted with {alternative} until you choose.", alternative=event.kit.alternatives[0].name),
                say("Which will it be: {names}?", names=names),
                key="choose",
            )
        )
    if brew.stage != "planned" and event.kit != old.kit and brew.all(ev.Mixed):
        found.append(
            Finding(
                Urgency.WAIT,
                say("The wort is mixed already: what was written then counts, not the new plan."),
                key="mixed_already",
            )
        )
    return tuple(found)


PLAN = Act(
    "plan",
    say("Write the plan"),
    "plan",
    (
        *FIVE,
        Field("name", say("Name"), TEXT, reason=say("the kit's")),
        INGREDIENTS,
        Field("vessel", say("Vessel"), TEXT),
        Field("drink_on", say("To drink on"), DATE),
        Field(
            "co2_wanted",
            say("Fizz wanted"),
            QUANTITY,
            ("co2",),
            possible=(0.5, 6.0),
            usual=(1.2, 4.0),
            reason=say("2.3 volumes, as most beers"),
        ),
        Field("intent", say("Why this brew"), TEXT),
    ),
    _plan,
    about=say("Every field may stay empty; what goes in, volume, place and day shape the plan."),
)


def _note(_brew: Brew, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    text = str(values.get("text") or "").strip()
    if not text:
        raise InputError(say("Note"), say("nothing was written"), say("write it; it cannot be left out"))
    return Decision(((at, ev.Noted(text=text)),))


NOTE = Act(
    "note",
    say("Write a note"),
    "plan",
    (Field("text", say("Note"), LONG_TEXT, required=True),),
    _note,
    about=say("Anything worth keeping that has no entry of its own."),
)


def _end(brew: Brew) -> None:
    if brew.stage == "dumped":
        raise Refused(say("{brew} was thrown away already; a note can still be added.", brew=brew.name))
    if brew.stage == "closed":
        raise Refused(say("{brew} is closed already; a note can still be added.", brew=brew.name))


def _close(brew: Brew, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    _end(brew)
    found: tuple[Finding, ...] = ()
    if brew.stage in {"mixed", "fermenting", "racked"}:
        found = (
            Finding(
                Urgency.WAIT,
                say("It was never bottled, as far as the book knows; closed, it asks for nothing more."),
                say("Was it thrown away? Then write that instead."),
                key="never_bottled",
            ),
        )
    return Decision(((at, ev.Closed(lesson=values.get("lesson") or "")),), found)


CLOSE = Act(
    "close",
    say("Close the brew"),
    "plan",
    (Field("lesson", say("What to keep, what to change"), LONG_TEXT),),
    _close,
    about=say("When it is drunk and done. Nothing is due for it afterwards."),
)


def _dump(brew: Brew, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    _end(brew)
    found: tuple[Finding, ...] = ()
    if brew.all(ev.Bottled):
        found = (
            Finding(
                Urgency.ACT,
                say("Full bottles may be under pressure: chill them, cover them, open each cold, pointing away."),
                say("Are eyes and hands protected?"),
                key="under_pressure",
            ),
        )
    return Decision(((at, ev.Dumped(because=values.get("because") or "")),), found)


DUMP = Act(
    "dump",
    say("Throw it away"),
    "plan",
    (Field("because", say("Why"), TEXT, hint=say("mould; vinegar; burst")),),
    _dump,
    (say("Bottles under pressure are chilled first and opened cold, pointing away. Spent hops are kept from dogs."),),
)
