"""An entry of the journal as a sentence: ink, so every number stands exactly as it was written."""

from __future__ import annotations

from functools import singledispatch

from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain
from gylebook.outputs.measures import MONTHS
from gylebook.outputs.phrases import because, counted, join, listed, plain
from gylebook.outputs.wording import date_text
from gylebook.science.materials import MATERIALS
from gylebook.steps.bottle_kinds import NAMES
from gylebook.steps.cleaning_agents import name_of
from gylebook.steps.materials import plain_name
from gylebook.steps.place_words import at_place, the, to_place
from gylebook.steps.plan_acts import OWN

_VOLUME_FROM = {
    "bucket mark": "by the bucket's mark",
    "calibrated mark": "by a calibrated mark",
    "jug": "by the jug",
    "scale": "by weight",
    "guess": "by guess",
}
_PURPOSES = {
    "fermentable": "to ferment",
    "finings": "as finings",
    "nutrient": "as nutrient",
    "flavour": "for flavour",
}
_DRAWN = {
    "tap": "from the tap",
    "top": "from the top",
    "thief": "drawn with a thief",
    "jar": "in a jar",
    "forced sample": "from the forced sample",
}


def entry_words(event: ev.Event) -> str:
    """What an entry says, as one plain sentence."""
    text = _words(event)
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _bottle(kind: str) -> str:
    """What a brewer calls a kind of bottle; a kind kept on the shelf has its own name."""
    return NAMES[kind][0] if kind in NAMES else kind


def _sugar(key: str) -> str:
    return MATERIALS[key].label if key in MATERIALS else plain(key)


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


@singledispatch
def _words(event: ev.Event) -> str:
    raise TypeError(f"no words for {type(event).__name__}")


@_words.register
def _(event: ev.Planned) -> str:
    kit = ""
    if event.kit is not None:
        kit = "a recipe of your own" if event.kit.name == OWN else f"the kit {event.kit.name}"
    named = {alternative.key: alternative.name for alternative in event.kit.alternatives} if event.kit else {}
    choice = named.get(event.choice, plain(event.choice))
    text = join(f"Planned {event.name}", ("from", kit), ("with", choice), ("for", event.volume))
    parts = (
        ("in", the(event.vessel)),
        ("", at_place(event.place)),
        ("to start on", event.start_on),
        ("to drink on", event.drink_on),
        ("with a fizz of", event.co2_wanted),
    )
    return listed(text, *parts) + (f": {event.intent}" if event.intent else "")


@_words.register
def _(event: ev.Cleaned) -> str:
    rinsed = {True: ", rinsed", False: ", not rinsed", None: ""}[event.rinsed]
    text = join(f"Cleaned {event.what}", ("with", name_of(event.agent)))
    return listed(text, ("", event.dilution), ("for", event.contact)) + rinsed


@_words.register
def _(event: ev.Mixed) -> str:
    told = f"the volume {_VOLUME_FROM[event.volume_from]}" if event.volume_from else ""
    how = f"({_VOLUME_FROM[event.volume_from]})" if event.volume_from and event.volume else ""
    text = join("Mixed the wort", ("in", the(event.vessel)), ("to", event.volume), ("", how))
    boiling = f"{event.boiling_water} of boiling water" if event.boiling_water else ""
    tap = f"tap water at {event.tap_temp}" if event.tap_temp else ""
    water = " and ".join(part for part in (boiling, tap) if part)
    text = listed(text, ("", "" if how else told), ("at", event.temp), ("with", water)) + _stirred(event.stirred)
    return text + (f": {', '.join([ingredient_words(i) for i in event.ingredients])}" if event.ingredients else "")


@_words.register
def _(event: ev.ToppedUp) -> str:
    water = f"{event.water} of water" if event.water else ""
    return join("Topped up", ("with", water), ("to", event.new_volume)) + _stirred(event.stirred)


@_words.register
def _(event: ev.Measured) -> str:
    text = join(
        f"Read {event.gravity}",
        ("at", event.temp),
        ("on", the(event.instrument)),
    )
    text = listed(text, ("", _DRAWN.get(event.sample_from, "")))
    gas = {"flat": ", flat", "some": ", some gas in it", "fizzy": ", fizzy"}.get(event.fizz, "")
    seen = "".join(f"; {sense}: {words}" for sense, words in (("looks", event.looks), ("tastes", event.taste)) if words)
    return f"{text}{gas}{_stirred(event.stirred)}{seen}"


@_words.register
def _(event: ev.Pitched) -> str:
    kind = {"": "yeast", "other": "yeast of another kind"}.get(event.kind, f"{event.kind} yeast")
    what = event.yeast or kind
    if event.yeast and event.kind and event.kind not in event.yeast.lower():  # a name mostly says its kind already
        what = f"{event.yeast} ({kind})"
    if event.mass:
        what = f"{event.mass} of {what}"
    elif what == "yeast":
        what = "the yeast"
    how = {"sprinkled": "sprinkled dry", "rehydrated": "woken in water", "liquid": "as a liquid"}.get(event.how, "")
    dated = f"best before {date_text(event.best_before)}" if event.best_before else ""
    return listed(join(f"Pitched {what}", ("at", event.temp)), ("", how), ("", dated))


@_words.register
def _(event: ev.TempSeen) -> str:
    low, high = event.low, event.high
    span = f"between {low} and {high}" if low and high else ""
    ends = span or ", ".join([f"{word} {end}" for word, end in (("lowest", low), ("highest", high)) if end])
    if event.temp:
        return listed(f"The {event.of} was at {event.temp}", ("", ends))
    return f"The {event.of} was {span}" if span else listed(f"Looked at the {event.of}'s temperature", ("", ends))


@_words.register
def _(event: ev.Moved) -> str:
    there = f" ({event.temp} there)" if event.temp else ""
    return f"Moved {to_place(event.place)}{there}"


@_words.register
def _(event: ev.Added) -> str:
    what = f"{event.mass} of {event.what}" if event.mass else event.what
    named = plain_name(event.material) if event.material else ""
    nature = f"counted as {named}" if named and named.lower() != event.what.lower() else ""
    return listed(join(f"Added {what}", ("", _PURPOSES.get(event.purpose, ""))), ("", nature))


@_words.register
def _(event: ev.Roused) -> str:
    return "Roused the yeast" + (f": {event.how}" if event.how else "")


@_words.register
def _(event: ev.Hopped) -> str:
    form = {"pellets": "pellets", "leaf": "whole cones"}.get(event.form, "")
    hop = join(event.hop or "hops", ("", f"({form})" if form and form not in event.hop.lower() else ""))
    bag = {True: "in a bag", False: "loose", None: ""}[event.bagged]
    days = counted(event.planned_days, "day") if event.planned_days is not None else ""
    return listed(f"Dry hopped with {event.mass} of {hop}", ("", bag), ("to stay", days))


@_words.register
def _(event: ev.HopsRemoved) -> str:
    return f"Took the hops out{f' ({event.hop})' if event.hop else ''}"


@_words.register
def _(event: ev.Racked) -> str:
    what = str(event.volume) if event.volume else "the beer"
    return f"Racked {what} {f'into {the(event.vessel)}' if event.vessel else 'off its sediment'}"


@_words.register
def _(event: ev.Judged) -> str:
    return f"Judged it {event.verdict}{because(event.because)}"


@_words.register
def _(event: ev.Primed) -> str:
    where = "each bottle" if event.how == "each bottle" else "the whole batch"
    syrup = f"dissolved in {event.syrup_water} of water" if event.syrup_water else ""
    count = counted(event.bottles, "bottle") if event.bottles is not None else ""
    into = " in ".join(part for part in (f"{event.volume} of beer" if event.volume else "", count) if part)
    text = listed(join(f"Primed {where} with {event.mass} of {_sugar(event.sugar)}", ("for", into)), ("", syrup))
    text += f", by {event.measured}" if event.measured else ""
    text += f" (counted: {event.measures})" if event.measures is not None else ""
    return text + (f"; against the book's advice, because: {event.against_advice}" if event.against_advice else "")


@_words.register
def _(event: ev.Filling) -> str:
    done = {"begun": "Began to fill bottles", "paused": "Paused the filling", "resumed": "Went on filling"}[event.what]
    parts = (("with", event.volume), ("to stand", at_place(event.place)), ("caps marked", event.cap_code))
    return listed(done, *parts) + (f": {event.note}" if event.note else "")


@_words.register
def _(event: ev.Filled) -> str:
    squeeze = ", to squeeze" if event.indicator else ""
    note = f": {event.note}" if event.note else ""
    return f"Filled {event.count} × {event.size} {_bottle(event.bottle)}{squeeze}{note}"


@_words.register
def _(event: ev.Bottled) -> str:
    text = join("Bottled", ("", event.volume), ("as", ", ".join([lot_words(lot) for lot in event.lots])))
    text = listed(text, ("kept", at_place(event.place)))
    return text + (f"; caps marked {event.cap_code}" if event.cap_code else "")


@_words.register
def _(event: ev.Opened) -> str:
    felt = {1: "flat", 2: "soft", 3: "lively", 4: "very lively", 5: "wild"}.get(event.fizz or 0, "")
    gushed = {True: "it gushed", False: "it did not gush", None: ""}[event.gushed]
    fizz = f"fizz {event.fizz} of 5 ({felt})" if felt else ""
    lay = {"thin": "little sediment", "usual": "sediment as usual", "thick": "thick sediment", "": ""}[event.sediment]
    seen = "; ".join(part for part in (fizz, gushed, lay, event.note) if part)
    start = f"Opened a bottle{f' ({_bottle(event.bottle)})' if event.bottle else ''}"
    return start + (f": {seen}" if seen else "")


@_words.register
def _(event: ev.Burst) -> str:
    start = f"A bottle burst{f' ({_bottle(event.bottle)})' if event.bottle else ''}"
    return start + (f": {event.note}" if event.note else "")


@_words.register
def _(event: ev.Vented) -> str:
    count = counted(event.count, "bottle") if event.count is not None else "the bottles"
    return join(f"Vented {count}", ("at", event.temp)) + " and closed them again"


@_words.register
def _(event: ev.Tasted) -> str:
    score = f"{event.score} of 10" if event.score is not None else ""
    again = {True: "would brew it again", False: "would not brew it again", None: ""}[event.again]
    faults = f"noticed {', '.join([plain(f) for f in event.faults])}" if event.faults else ""
    change = f"next time: {event.change}" if event.change else ""
    seen = [part for part in (score, event.words, faults, again, change) if part]
    return "Tasted it" + (f": {'; '.join(seen)}" if seen else "")


@_words.register
def _(event: ev.TakenOut) -> str:
    bottle = f" ({_bottle(event.bottle)})" if event.bottle else ""
    to = {"drunk": "drunk", "given": "given away", "lost": "lost or broken"}.get(event.to, "")
    return listed(f"Took out {counted(event.count, 'bottle')}{bottle}", ("", to))


@_words.register
def _(event: ev.Noted) -> str:
    return f"Note: {event.text}"


@_words.register
def _(event: ev.Corrected) -> str:
    if event.instead is None:
        return f"Withdrew entry {event.seq}{because(event.because)}"
    instead = _words(decode_plain(event.kind, event.version, event.instead)).rstrip(".")
    time = " and its time" if event.happened_at is not None else ""
    return f"Corrected entry {event.seq}{time} to: {instead}{because(event.because)}"


@_words.register
def _(event: ev.Closed) -> str:
    return "Closed the brew" + (f"; learnt: {event.lesson}" if event.lesson else "")


@_words.register
def _(event: ev.Dumped) -> str:
    return f"Threw the brew away{because(event.because)}"


# --- the shelf ------------------------------------------------------------------------------------------------


def kit_words(kit: ev.Kit) -> str:
    """A kit in one line."""
    inside = ", ".join([ingredient_words(i) for i in kit.ingredients])
    choices = " or ".join(a.name for a in kit.alternatives)
    text = join(kit.name, ("for", kit.volume)) + (f": {inside}" if inside else "")
    return text + (f"; made up with {choices}" if choices else "")


def _thing(what: str, name: str) -> str:
    """A thing by its name, with the word for it where the name does not say it: "Old bin (fermenter)"."""
    known = what in name.lower()
    return f"{name[:1].upper()}{name[1:]}{'' if known else f' ({what})'}"


@_words.register
def _(event: ev.KitKept) -> str:
    return f"Kit {kit_words(event.kit)}"


@_words.register
def _(event: ev.InstrumentKept) -> str:
    water = "truly" if event.offset is not None else ""
    if event.offset is not None and event.offset.number() != 0:
        water = f"{str(event.offset).lstrip('-−')} too {'low' if event.offset.number() < 0 else 'high'}"
    name = _thing(event.what, event.name)
    return listed(name, ("true at", event.ref_temp), ("shows water", water), ("divided in steps of", event.step))


@_words.register
def _(event: ev.VesselKept) -> str:
    marks = [(f"its {m.mark} mark holds", m.holds) for m in event.marks]
    lost = f"{event.trub_loss} to the sediment" if event.trub_loss else ""
    return listed(_thing(event.what, event.name), ("holds", event.capacity), ("loses", lost), *marks)


@_words.register
def _(event: ev.PlaceKept) -> str:
    both = f"{event.low} to {event.high}" if event.low and event.high else ""
    ends = both or ", ".join([f"{word} {end}" for word, end in (("lowest", event.low), ("highest", event.high)) if end])
    names = dict(enumerate(MONTHS, 1))
    months = [(names.get(m.month, f"month {m.month}"), f"{m.low} to {m.high}") for m in event.months]
    room = f"a room of {event.room_volume}" if event.room_volume else ""
    return listed(_thing("place", event.name), ("", ends), ("", room), *months)


@_words.register
def _(event: ev.BottlesKept) -> str:
    times = {None: "", 0: ", never washed", 1: ", washed once"}.get(event.washes, f", washed {event.washes} times")
    return f"Bottles {event.name}: {event.count} × {event.size} {_bottle(event.kind)}{times}"


@_words.register
def _(event: ev.StockKept) -> str:
    kind = "" if event.what == "other" or event.what in event.item.lower() else f" ({event.what})"
    item = f"{event.item}{kind}"
    if event.amount is not None:
        item = f"{event.amount.text if event.amount.unit == 'pieces' else f'{event.amount} of'} {item}"
    return listed(f"In the cupboard: {item}", ("best before", event.best_before), ("cost", event.cost))


@_words.register
def _(event: ev.WarmSpell) -> str:
    days = date_text(event.from_on)
    days = days if event.to_on == event.from_on else f"{days} to {date_text(event.to_on)}"
    warm = f"{event.low} to {event.high}" if event.low is not None else f"up to {event.high}"
    what = "Warm weather" if event.low is None else "Weather"
    return f"{what}, {event.place or 'everywhere'}, {days}: {warm}{f'; {event.note}' if event.note else ''}"


@_words.register
def _(event: ev.Forgotten) -> str:
    return f"Off the shelf: {event.thing} {event.name}"


@_words.register
def _(event: ev.SettingsKept) -> str:
    names = {name: f"{name} in" for name in ("volume", "mass", "temperature", "gravity", "pressure", "co2")}
    names |= {"co2": "fizz in", "currency": "money in"}
    chosen = [f"{names.get(n, plain(n))} {v}" for n in event.__struct_fields__ if (v := getattr(event, n)) is not None]
    return f"Settings: {', '.join(chosen) or 'as they were'}"


@_words.register
def _(event: ev.LessonsKept) -> str:
    about = "" if event.thing == "everything" else f" about the {event.thing} {event.name}".rstrip()
    if event.count:
        return f"All finished brews count again{about}"
    return f"Forgotten: what finished brews taught{about}{f', up to {date_text(event.until)}' if event.until else ''}"
