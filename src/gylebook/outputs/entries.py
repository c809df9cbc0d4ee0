"""An entry of the journal as a sentence: ink, so every number stands exactly as it was written."""

from __future__ import annotations

from datetime import date, datetime
from functools import singledispatch

from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain
from gylebook.outputs.wording import date_text
from gylebook.science.materials import MATERIALS
from gylebook.steps.bottle_kinds import NAMES
from gylebook.steps.cleaning_agents import name_of
from gylebook.steps.materials import plain_name
from gylebook.units import Quantity


def entry_words(event: ev.Event) -> str:
    """What an entry says, as one plain sentence."""
    text = _words(event)
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _join(start: str, *parts: tuple[str, object]) -> str:
    """Start, then each part that was written down, with the word before it."""
    told = [start]
    for before, value in parts:
        if value is None or value in ("", ()):
            continue
        shown = date_text(value) if isinstance(value, date) and not isinstance(value, datetime) else str(value)
        told.append(f"{before} {shown}".strip())
    return " ".join(told)


def _plain(key: str) -> str:
    return key.replace("_", " ")


def _bottle(kind: str) -> str:
    """What a brewer calls a kind of bottle; a kind kept on the shelf has its own name."""
    return NAMES[kind][0] if kind in NAMES else kind


def _sugar(key: str) -> str:
    return MATERIALS[key].label if key in MATERIALS else _plain(key)


def _because(text: str) -> str:
    return f"; because: {text}" if text else ""


def ingredient_words(ingredient: ev.Ingredient) -> str:
    """An ingredient in one line, such as "1.7 kg liquid malt extract (pale)"."""
    name = f" ({ingredient.name})" if ingredient.name else ""
    solids = f" with {ingredient.solids} solids" if ingredient.solids else ""
    at = f" at {ingredient.temp}" if ingredient.temp else ""
    left = f", {ingredient.left_behind} left behind" if ingredient.left_behind else ""
    return f"{ingredient.mass} {plain_name(ingredient.material)}{name}{solids}{at}{left}"


def lot_words(lot: ev.BottleLot) -> str:
    """Bottles in one line, such as "24 × 500 mL brown returnable"."""
    order = " (filled first)" if lot.first else " (filled last)" if lot.last else ""
    return f"{lot.count} × {lot.size} {_bottle(lot.bottle)}{order}"


def _stirred(how: str) -> str:
    return {"well": ", stirred well", "a little": ", stirred a little", "no": ", not stirred"}.get(how, "")


def _list(items: list[str]) -> str:
    return ", ".join(items)


@singledispatch
def _words(event: ev.Event) -> str:
    raise TypeError(f"no words for {type(event).__name__}")


@_words.register
def _(event: ev.Planned) -> str:
    kit = f"the kit {event.kit.name}" if event.kit else ""
    return _join(
        f"Planned {event.name}",
        ("from", kit),
        ("with", _plain(event.choice)),
        ("for", event.volume),
        ("in", event.vessel),
        ("at", event.place),
        ("to start on", event.start_on),
        ("to drink on", event.drink_on),
        ("with fizz of", event.co2_wanted),
    ) + (f": {event.intent}" if event.intent else "")


@_words.register
def _(event: ev.Cleaned) -> str:
    rinsed = {True: ", rinsed", False: ", not rinsed", None: ""}[event.rinsed]
    text = _join(
        f"Cleaned {event.what}", ("with", name_of(event.agent)), ("at", event.dilution), ("for", event.contact)
    )
    return text + rinsed


@_words.register
def _(event: ev.Mixed) -> str:
    text = _join("Mixed the wort", ("in", event.vessel), ("to", event.volume), ("by", event.volume_from))
    text = _join(
        text, ("at", event.temp), ("with boiling water", event.boiling_water), ("tap water at", event.tap_temp)
    )
    into = f": {_list([ingredient_words(i) for i in event.ingredients])}" if event.ingredients else ""
    return f"{text}{_stirred(event.stirred)}{into}"


@_words.register
def _(event: ev.ToppedUp) -> str:
    return _join("Topped up", ("with", event.water), ("to", event.new_volume)) + _stirred(event.stirred)


@_words.register
def _(event: ev.Measured) -> str:
    where = event.sample_from if event.sample_from == "forced sample" else f"the {event.sample_from}"
    text = _join(
        f"Read {event.gravity}",
        ("at", event.temp),
        ("on", event.instrument),
        ("from", where if event.sample_from else ""),
    )
    gas = {"flat": ", flat", "some": ", some gas in it", "fizzy": ", fizzy"}.get(event.fizz, "")
    seen = "".join(f"; {sense}: {words}" for sense, words in (("looks", event.looks), ("tastes", event.taste)) if words)
    return f"{text}{gas}{_stirred(event.stirred)}{seen}"


@_words.register
def _(event: ev.Pitched) -> str:
    kind = f"{event.kind} yeast" if event.kind else "the yeast"
    text = _join(f"Pitched {event.mass or ''}".rstrip(), ("", event.yeast or kind), ("", event.how))
    return _join(text, ("at", event.temp), ("best before", event.best_before))


@_words.register
def _(event: ev.TempSeen) -> str:
    whose = "The beer" if event.of == "beer" else "The room"
    seen = f"was at {event.temp}" if event.temp else "was looked at"
    between = f"between {event.low} and {event.high}" if event.low and event.high else ""
    alone = "" if between else _join("", ("lowest", event.low), ("highest", event.high)).strip()
    return _join(f"{whose} {seen}", ("", between), ("", alone))


@_words.register
def _(event: ev.Moved) -> str:
    return _join(f"Moved to {event.place}", ("at", event.temp))


@_words.register
def _(event: ev.Added) -> str:
    purpose = f"({event.purpose})" if event.purpose != "other" else ""
    return _join("Added", ("", event.mass), ("", event.what), ("", purpose))


@_words.register
def _(event: ev.Roused) -> str:
    return _join("Roused the yeast", (":", event.how)).replace(" :", ":")


@_words.register
def _(event: ev.Hopped) -> str:
    bag = {True: "in a bag", False: "loose", None: ""}[event.bagged]
    days = f"for {event.planned_days} days" if event.planned_days is not None else ""
    return _join(f"Dry hopped with {event.mass} {event.hop}", ("", event.form), ("", bag), ("", days))


@_words.register
def _(event: ev.HopsRemoved) -> str:
    return f"Took the hops out{f' ({event.hop})' if event.hop else ''}"


@_words.register
def _(event: ev.Racked) -> str:
    return _join("Racked", ("into", event.vessel), ("with", event.volume))


@_words.register
def _(event: ev.Judged) -> str:
    return f"Judged it {event.verdict}{_because(event.because)}"


@_words.register
def _(event: ev.Primed) -> str:
    where = "each bottle" if event.how == "each bottle" else "the whole batch"
    text = _join(
        f"Primed {where} with {event.mass} {_sugar(event.sugar)}",
        ("in", f"{event.volume} of beer" if event.volume else ""),
        ("dissolved in", event.syrup_water),
        ("over", f"{event.bottles} bottles" if event.bottles is not None else ""),
    )
    return text + (f"; against the book's advice, because: {event.against_advice}" if event.against_advice else "")


@_words.register
def _(event: ev.Bottled) -> str:
    text = _join(
        "Bottled",
        ("", event.volume),
        ("as", _list([lot_words(lot) for lot in event.lots])),
        ("kept at", event.place),
    )
    return text + (f"; caps marked {event.cap_code}" if event.cap_code else "")


@_words.register
def _(event: ev.Opened) -> str:
    fizz = {1: "flat", 2: "soft", 3: "lively", 4: "very lively", 5: "wild"}.get(event.fizz or 0, "")
    gushed = {True: "it gushed", False: "it did not gush", None: ""}[event.gushed]
    seen = [part for part in (f"fizz {event.fizz} of 5, {fizz}" if fizz else "", gushed, event.note) if part]
    start = f"Opened a bottle{f' ({_bottle(event.bottle)})' if event.bottle else ''}"
    return start + (f": {_list(seen)}" if seen else "")


@_words.register
def _(event: ev.Burst) -> str:
    start = f"A bottle burst{f' ({_bottle(event.bottle)})' if event.bottle else ''}"
    return start + (f": {event.note}" if event.note else "")


@_words.register
def _(event: ev.Vented) -> str:
    count = f"{event.count} bottles" if event.count is not None else "the bottles"
    return _join(f"Vented {count}", ("at", event.temp))


@_words.register
def _(event: ev.Tasted) -> str:
    score = f"{event.score} of 10" if event.score is not None else ""
    again = {True: "would brew it again", False: "would not brew it again", None: ""}[event.again]
    faults = f"noticed {_list([_plain(f) for f in event.faults])}" if event.faults else ""
    change = f"next time: {event.change}" if event.change else ""
    seen = [part for part in (score, event.words, faults, again, change) if part]
    return "Tasted" + (f": {'; '.join(seen)}" if seen else "")


@_words.register
def _(event: ev.TakenOut) -> str:
    bottle = f" ({_bottle(event.bottle)})" if event.bottle else ""
    return f"Took {event.count} out{bottle}{f', {event.to}' if event.to else ''}"


@_words.register
def _(event: ev.Noted) -> str:
    return f"Note: {event.text}"


@_words.register
def _(event: ev.Corrected) -> str:
    if event.instead is None:
        return f"Withdrew entry {event.seq}{_because(event.because)}"
    instead = _words(decode_plain(event.kind, event.version, event.instead)).rstrip(".")
    return f"Corrected entry {event.seq} to: {instead}{_because(event.because)}"


@_words.register
def _(event: ev.Closed) -> str:
    return "Closed the brew" + (f"; learnt: {event.lesson}" if event.lesson else "")


@_words.register
def _(event: ev.Dumped) -> str:
    return f"Threw the brew away{_because(event.because)}"


# --- the shelf ------------------------------------------------------------------------------------------------


def kit_words(kit: ev.Kit) -> str:
    """A kit in one line."""
    inside = _list([ingredient_words(i) for i in kit.ingredients])
    choices = _list([a.name for a in kit.alternatives])
    return _join(kit.name, ("for", kit.volume)) + f": {inside}" + (f"; made up with {choices}" if choices else "")


@_words.register
def _(event: ev.KitKept) -> str:
    return f"Kit {kit_words(event.kit)}"


@_words.register
def _(event: ev.InstrumentKept) -> str:
    text = _join(f"{event.what.capitalize()} {event.name}", ("true at", event.ref_temp))
    return _join(text, ("off by", f"{event.offset} in water" if event.offset else ""), ("divided in", event.step))


@_words.register
def _(event: ev.VesselKept) -> str:
    marks = _list([f"{m.mark} mark holds {m.holds}" for m in event.marks])
    text = _join(f"{event.what.capitalize()} {event.name}", ("of", event.capacity), ("losing", event.trub_loss))
    return text + (f": {marks}" if marks else "")


@_words.register
def _(event: ev.PlaceKept) -> str:
    months = _list([f"{m.low} to {m.high} in month {m.month}" for m in event.months])
    text = _join(f"Place {event.name}", ("from", event.low), ("to", event.high), ("with", event.room_volume))
    return text + (f": {months}" if months else "")


@_words.register
def _(event: ev.BottlesKept) -> str:
    washes = f", washed {event.washes} times" if event.washes is not None else ""
    return f"Bottles {event.name}: {event.count} × {event.size} {_bottle(event.kind)}{washes}"


@_words.register
def _(event: ev.StockKept) -> str:
    text = _join(f"In the cupboard: {event.item}", (", amount", event.amount), (", best before", event.best_before))
    return (text + (f", cost {event.cost}" if event.cost else "")).replace(" ,", ",")


@_words.register
def _(event: ev.Forgotten) -> str:
    return f"Off the shelf: {event.thing} {event.name}"


@_words.register
def _(event: ev.SettingsKept) -> str:
    chosen = [f"{_plain(n)} {v}" for n in event.__struct_fields__ if (v := getattr(event, n)) is not None]
    return f"Settings: {_list(chosen) or 'none'}"


def quantity_words(quantity: Quantity | None) -> str:
    """As written, or "not written down"."""
    return str(quantity) if quantity is not None else "not written down"
