"""An entry of the journal as a sentence: ink, so every number stands exactly as it was written."""

from __future__ import annotations

from functools import singledispatch

from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain
from gylebook.outputs.phrases import because, join, listed, plain
from gylebook.outputs.wording import date_text
from gylebook.phrases import capital, joined, say, say_count
from gylebook.science.materials import MATERIALS
from gylebook.steps.bottle_kinds import NAMES
from gylebook.steps.chosen import LANGUAGES
from gylebook.steps.cleaning_agents import name_of
from gylebook.steps.materials import plain_name
from gylebook.steps.moments import MONTHS
from gylebook.steps.place_words import at_place, the, to_place
from gylebook.steps.plan_acts import OWN

_VOLUME_FROM = {
    "bucket mark": say("by the bucket's mark"),
    "calibrated mark": say("by a calibrated mark"),
    "jug": say("by the jug"),
    "scale": say("by weight"),
    "guess": say("by guess"),
}
_PURPOSES = {
    "fermentable": say("to ferment"),
    "finings": say("as finings"),
    "nutrient": say("as nutrient"),
    "flavour": say("for flavour"),
}
_DRAWN = {
    "tap": say("from the tap"),
    "top": say("from the top"),
    "thief": say("drawn with a thief"),
    "jar": say("in a jar"),
    "forced sample": say("from the forced sample"),
}


def entry_words(event: ev.Event) -> str:
    """What an entry says, as one plain sentence."""
    text = _words(event)
    return text if text.endswith((".", "!", "?")) else text + "."


def _bottle(kind: str) -> str:
    """What a brewer calls a kind of bottle; a kind kept on the shelf has its own name."""
    return NAMES[kind][0] if kind in NAMES else kind


def _sugar(key: str) -> str:
    return MATERIALS[key].label if key in MATERIALS else plain(key)


def ingredient_words(ingredient: ev.Ingredient) -> str:
    """An ingredient in one line, such as "1.7 kg liquid malt extract (pale)"."""
    name = say(" ({name})", name=ingredient.name) if ingredient.name else ""
    solids = say(" with {solids} solids", solids=ingredient.solids) if ingredient.solids else ""
    at = say(" at {temp}", temp=ingredient.temp) if ingredient.temp else ""
    left = say(", {left_behind} left behind", left_behind=ingredient.left_behind) if ingredient.left_behind else ""
    return say(
        "{mass} {material}{name}{solids}{at}{left}",
        mass=ingredient.mass,
        material=plain_name(ingredient.material),
        name=name,
        solids=solids,
        at=at,
        left=left,
    )


def lot_words(lot: ev.BottleLot) -> str:
    """Bottles in one line, such as "24 × 500 mL brown returnable"."""
    order = say(" (filled first)") if lot.first else say(" (filled last)") if lot.last else ""
    return say(
        "{count} × {size} {bottle}{order}", count=lot.count, size=lot.size, bottle=_bottle(lot.bottle), order=order
    )


def _stirred(how: str) -> str:
    return {"well": say(", stirred well"), "a little": say(", stirred a little"), "no": say(", not stirred")}.get(
        how, ""
    )


@singledispatch
def _words(event: ev.Event) -> str:
    raise TypeError(f"no words for {type(event).__name__}")


@_words.register
def _(event: ev.Planned) -> str:
    kit = ""
    if event.kit is not None:
        kit = say("a recipe of your own") if event.kit.name == OWN else say("the kit {kit}", kit=event.kit.name)
    named = {alternative.key: alternative.name for alternative in event.kit.alternatives} if event.kit else {}
    choice = named.get(event.choice, plain(event.choice))
    text = join(
        say("Planned {name}", name=event.name), (say("from"), kit), (say("with"), choice), (say("for"), event.volume)
    )
    parts = (
        (say("in"), the(event.vessel)),
        ("", at_place(event.place)),
        (say("to start on"), event.start_on),
        (say("to drink on"), event.drink_on),
        (say("with a fizz of"), event.co2_wanted),
    )
    return listed(text, *parts) + (say(": {intent}", intent=event.intent) if event.intent else "")


@_words.register
def _(event: ev.Cleaned) -> str:
    rinsed = {True: say(", rinsed"), False: say(", not rinsed"), None: ""}[event.rinsed]
    agent = say("with {agent}", agent=name_of(event.agent)) if event.agent else ""
    text = join(say("Cleaned {what}", what=event.what), ("", agent))
    return listed(text, ("", event.dilution), (say("for"), event.contact)) + rinsed


@_words.register
def _(event: ev.Mixed) -> str:
    told = say("the volume {how}", how=_VOLUME_FROM[event.volume_from]) if event.volume_from else ""
    how = say("({how})", how=_VOLUME_FROM[event.volume_from]) if event.volume_from and event.volume else ""
    text = join(say("Mixed the wort"), (say("in"), the(event.vessel)), (say("to"), event.volume), ("", how))
    boiling = say("{water} of boiling water", water=event.boiling_water) if event.boiling_water else ""
    tap = say("tap water at {temp}", temp=event.tap_temp) if event.tap_temp else ""
    water = joined(say(" and "), (part for part in (boiling, tap) if part))
    text = listed(text, ("", "" if how else told), (say("at"), event.temp), (say("with"), water)) + _stirred(
        event.stirred
    )
    inside = joined(", ", [ingredient_words(i) for i in event.ingredients])
    return text + (say(": {ingredients}", ingredients=inside) if event.ingredients else "")


@_words.register
def _(event: ev.ToppedUp) -> str:
    water = say("{water} of water", water=event.water) if event.water else ""
    return join(say("Topped up"), (say("with"), water), (say("to"), event.new_volume)) + _stirred(event.stirred)


@_words.register
def _(event: ev.Measured) -> str:
    text = join(
        say("Read {gravity}", gravity=event.gravity),
        (say("at"), event.temp),
        (say("on"), the(event.instrument)),
    )
    text = listed(text, ("", _DRAWN.get(event.sample_from, "")))
    gas = {"flat": say(", flat"), "some": say(", some gas in it"), "fizzy": say(", fizzy")}.get(event.fizz, "")
    looks = say("; looks: {words}", words=event.looks) if event.looks else ""
    tastes = say("; tastes: {words}", words=event.taste) if event.taste else ""
    return joined("", (text, gas, _stirred(event.stirred), looks, tastes))


@_words.register
def _(event: ev.Pitched) -> str:
    kind = {"": say("yeast"), "other": say("yeast of another kind")}.get(
        event.kind, say("{kind} yeast", kind=plain(event.kind))
    )
    what = event.yeast or kind
    if event.yeast and event.kind and event.kind not in event.yeast.lower():  # a name mostly says its kind already
        what = say("{yeast} ({kind})", yeast=event.yeast, kind=kind)
    pitched = say("Pitched {what}", what=what)
    if event.mass:
        pitched = say("Pitched {mass} of {what}", mass=event.mass, what=what)
    elif what == "yeast":
        pitched = say("Pitched the yeast")
    how = {"sprinkled": say("sprinkled dry"), "rehydrated": say("woken in water"), "liquid": say("as a liquid")}.get(
        event.how, ""
    )
    dated = say("best before {day}", day=date_text(event.best_before)) if event.best_before else ""
    return listed(join(pitched, (say("at"), event.temp)), ("", how), ("", dated))


@_words.register
def _(event: ev.TempSeen) -> str:
    low, high = event.low, event.high
    span = say("between {low} and {high}", low=low, high=high) if low and high else ""
    ends = span or joined(
        ", ",
        [
            say("{word} {end}", word=word, end=end)
            for word, end in ((say("lowest"), low), (say("highest"), high))
            if end
        ],
    )
    if event.temp:
        return listed(say("The {of} was at {temp}", of=plain(event.of), temp=event.temp), ("", ends))
    return (
        say("The {of} was {span}", of=plain(event.of), span=span)
        if span
        else listed(say("Looked at the {of}'s temperature", of=plain(event.of)), ("", ends))
    )


@_words.register
def _(event: ev.Moved) -> str:
    there = say(" ({temp} there)", temp=event.temp) if event.temp else ""
    return say("Moved {place}{there}", place=to_place(event.place), there=there)


@_words.register
def _(event: ev.Added) -> str:
    what = say("{mass} of {what}", mass=event.mass, what=event.what) if event.mass else event.what
    named = plain_name(event.material) if event.material else ""
    nature = say("counted as {named}", named=named) if named and named.lower() != event.what.lower() else ""
    return listed(join(say("Added {what}", what=what), ("", _PURPOSES.get(event.purpose, ""))), ("", nature))


@_words.register
def _(event: ev.Roused) -> str:
    return say("Roused the yeast") + (say(": {how}", how=event.how) if event.how else "")


@_words.register
def _(event: ev.Hopped) -> str:
    form = {"pellets": say("pellets"), "leaf": say("whole cones")}.get(event.form, "")
    hop = join(
        event.hop or say("hops"), ("", say("({form})", form=form) if form and form not in event.hop.lower() else "")
    )
    bag = {True: say("in a bag"), False: say("loose"), None: ""}[event.bagged]
    days = say_count(event.planned_days, "{n} day", "{n} days") if event.planned_days is not None else ""
    return listed(say("Dry hopped with {mass} of {hop}", mass=event.mass, hop=hop), ("", bag), (say("to stay"), days))


@_words.register
def _(event: ev.HopsRemoved) -> str:
    return say("Took the hops out") + (say(" ({hop})", hop=event.hop) if event.hop else "")


@_words.register
def _(event: ev.Racked) -> str:
    what = event.volume.said() if event.volume else say("the beer")
    if event.vessel:
        return say("Racked {what} into {vessel}", what=what, vessel=the(event.vessel))
    return say("Racked {what} off its sediment", what=what)


@_words.register
def _(event: ev.Judged) -> str:
    return say(
        "Judged it {verdict}{because}",
        verdict=plain(event.verdict),
        because=because(event.because),
    )


@_words.register
def _(event: ev.Primed) -> str:
    where = say("each bottle") if event.how == "each bottle" else say("the whole batch")
    syrup = say("dissolved in {syrup_water} of water", syrup_water=event.syrup_water) if event.syrup_water else ""
    count = say_count(event.bottles, "{n} bottle", "{n} bottles") if event.bottles is not None else ""
    into = joined(
        say(" in "),
        (part for part in (say("{volume} of beer", volume=event.volume) if event.volume else "", count) if part),
    )
    text = listed(
        join(
            say("Primed {where} with {mass} of {sugar}", where=where, mass=event.mass, sugar=_sugar(event.sugar)),
            (say("for"), into),
        ),
        ("", syrup),
    )
    text += say(", by {measured}", measured=plain(event.measured)) if event.measured else ""
    text += say(" (counted: {measures})", measures=event.measures) if event.measures is not None else ""
    return text + (
        say("; against the book's advice, because: {against_advice}", against_advice=event.against_advice)
        if event.against_advice
        else ""
    )


@_words.register
def _(event: ev.Filling) -> str:
    done = {
        "begun": say("Began to fill bottles"),
        "paused": say("Paused the filling"),
        "resumed": say("Went on filling"),
    }[event.what]
    parts = (
        (say("with"), event.volume),
        (say("to stand"), at_place(event.place)),
        (say("caps marked"), event.cap_code),
    )
    return listed(done, *parts) + (say(": {note}", note=event.note) if event.note else "")


@_words.register
def _(event: ev.Filled) -> str:
    squeeze = say(", to squeeze") if event.indicator else ""
    note = say(": {note}", note=event.note) if event.note else ""
    return say(
        "Filled {count} × {size} {bottle}{squeeze}{note}",
        count=event.count,
        size=event.size,
        bottle=_bottle(event.bottle),
        squeeze=squeeze,
        note=note,
    )


@_words.register
def _(event: ev.Bottled) -> str:
    text = join(say("Bottled"), ("", event.volume), (say("as"), joined(", ", [lot_words(lot) for lot in event.lots])))
    text = listed(text, (say("kept"), at_place(event.place)))
    return text + (say("; caps marked {cap_code}", cap_code=event.cap_code) if event.cap_code else "")


@_words.register
def _(event: ev.Opened) -> str:
    felt = {1: say("flat"), 2: say("soft"), 3: say("lively"), 4: say("very lively"), 5: say("wild")}.get(
        event.fizz or 0, ""
    )
    gushed = {True: say("it gushed"), False: say("it did not gush"), None: ""}[event.gushed]
    fizz = say("fizz {fizz} of 5 ({felt})", fizz=event.fizz, felt=felt) if felt else ""
    lay = {"thin": say("little sediment"), "usual": say("sediment as usual"), "thick": say("thick sediment"), "": ""}[
        event.sediment
    ]
    seen = joined("; ", (part for part in (fizz, gushed, lay, event.note) if part))
    start = say("Opened a bottle") + (say(" ({bottle})", bottle=_bottle(event.bottle)) if event.bottle else "")
    return start + (say(": {seen}", seen=seen) if seen else "")


@_words.register
def _(event: ev.Burst) -> str:
    start = say("A bottle burst") + (say(" ({bottle})", bottle=_bottle(event.bottle)) if event.bottle else "")
    return start + (say(": {note}", note=event.note) if event.note else "")


@_words.register
def _(event: ev.Vented) -> str:
    count = say_count(event.count, "{n} bottle", "{n} bottles") if event.count is not None else say("the bottles")
    if event.temp is not None:
        return say("Vented {bottles} at {temp} and closed them again", bottles=count, temp=event.temp)
    return say("Vented {bottles} and closed them again", bottles=count)


@_words.register
def _(event: ev.Tasted) -> str:
    score = say("{score} of 10", score=event.score) if event.score is not None else ""
    again = {True: say("would brew it again"), False: say("would not brew it again"), None: ""}[event.again]
    faults = say("noticed {faults}", faults=joined(", ", [plain(f) for f in event.faults])) if event.faults else ""
    change = say("next time: {change}", change=event.change) if event.change else ""
    seen = [part for part in (score, event.words, faults, again, change) if part]
    return say("Tasted it") + (say(": {seen}", seen=joined("; ", seen)) if seen else "")


@_words.register
def _(event: ev.TakenOut) -> str:
    bottle = say(" ({bottle})", bottle=_bottle(event.bottle)) if event.bottle else ""
    to = {"drunk": say("drunk"), "given": say("given away"), "lost": say("lost or broken")}.get(event.to, "")
    return listed(
        say("Took out {bottles}", bottles=say_count(event.count, "{n} bottle", "{n} bottles")) + bottle,
        ("", to),
    )


@_words.register
def _(event: ev.Noted) -> str:
    return say("Note: {text}", text=event.text)


@_words.register
def _(event: ev.Corrected) -> str:
    if event.instead is None:
        return say("Withdrew entry {seq}{because}", seq=event.seq, because=because(event.because))
    instead = _words(decode_plain(event.kind, event.version, event.instead)).rstrip(".")
    time = say(" and its time") if event.happened_at is not None else ""
    return say(
        "Corrected entry {seq}{time} to: {instead}{because}",
        seq=event.seq,
        time=time,
        instead=instead,
        because=because(event.because),
    )


@_words.register
def _(event: ev.Closed) -> str:
    return say("Closed the brew") + (say("; learnt: {lesson}", lesson=event.lesson) if event.lesson else "")


@_words.register
def _(event: ev.Dumped) -> str:
    return say("Threw the brew away{because}", because=because(event.because))


# --- the shelf ------------------------------------------------------------------------------------------------


def kit_words(kit: ev.Kit) -> str:
    """A kit in one line."""
    inside = joined(", ", [ingredient_words(i) for i in kit.ingredients])
    choices = joined(say(" or "), (a.name for a in kit.alternatives))
    text = join(kit.name, (say("for"), kit.volume)) + (say(": {inside}", inside=inside) if inside else "")
    return text + (say("; made up with {choices}", choices=choices) if choices else "")


def _thing(what: str, name: str) -> str:
    """A thing by its name, with the word for it where the name does not say it: "Old bin (fermenter)"."""
    return capital(name) if what in name.lower() else say("{name} ({what})", name=capital(name), what=plain(what))


@_words.register
def _(event: ev.KitKept) -> str:
    return say("Kit {kit}", kit=kit_words(event.kit))


@_words.register
def _(event: ev.InstrumentKept) -> str:
    water = say("shows water truly") if event.offset is not None else ""
    if event.offset is not None and event.offset.number() != 0:
        off = event.offset.said().lstrip("-−")
        water = (
            say("shows water {off} too low", off=off)
            if event.offset.number() < 0
            else say("shows water {off} too high", off=off)
        )
    name = _thing(event.what, event.name)
    return listed(name, (say("true at"), event.ref_temp), ("", water), (say("divided in steps of"), event.step))


@_words.register
def _(event: ev.VesselKept) -> str:
    marks = [(say("its {mark} mark holds", mark=m.mark), m.holds) for m in event.marks]
    lost = say("loses {volume} to the sediment", volume=event.trub_loss) if event.trub_loss else ""
    return listed(_thing(event.what, event.name), (say("holds"), event.capacity), ("", lost), *marks)


@_words.register
def _(event: ev.PlaceKept) -> str:
    both = say("{low} to {high}", low=event.low, high=event.high) if event.low and event.high else ""
    ends = both or joined(
        ", ",
        [
            say("{word} {end}", word=word, end=end)
            for word, end in ((say("lowest"), event.low), (say("highest"), event.high))
            if end
        ],
    )
    names = dict(enumerate(MONTHS, 1))
    months = [
        (
            names.get(m.month, say("month {month}", month=m.month)),
            say("{low} to {high}", low=m.low, high=m.high),
        )
        for m in event.months
    ]
    room = say("a room of {volume}", volume=event.room_volume) if event.room_volume else ""
    return listed(_thing("place", event.name), ("", ends), ("", room), *months)


@_words.register
def _(event: ev.BottlesKept) -> str:
    times = {None: "", 0: say(", never washed"), 1: say(", washed once")}.get(
        event.washes, say(", washed {washes} times", washes=event.washes)
    )
    return say(
        "Bottles {name}: {count} × {size} {bottle}{times}",
        name=event.name,
        count=event.count,
        size=event.size,
        bottle=_bottle(event.kind),
        times=times,
    )


@_words.register
def _(event: ev.StockKept) -> str:
    kind = "" if event.what == "other" or event.what in event.item.lower() else say(" ({what})", what=plain(event.what))
    item = joined("", (event.item, kind))
    if event.amount is not None:
        amount, pieces = event.amount, event.amount.unit == "pieces"
        item = (
            say("{count} {item}", count=amount.text, item=item)
            if pieces
            else say("{amount} of {item}", amount=amount, item=item)
        )
    return listed(
        say("In the cupboard: {item}", item=item), (say("best before"), event.best_before), (say("cost"), event.cost)
    )


@_words.register
def _(event: ev.WarmSpell) -> str:
    days = date_text(event.from_on)
    days = days if event.to_on == event.from_on else say("{first} to {last}", first=days, last=date_text(event.to_on))
    warm = (
        say("{low} to {high}", low=event.low, high=event.high)
        if event.low is not None
        else say("up to {high}", high=event.high)
    )
    what = say("Warm weather") if event.low is None else say("Weather")
    return say(
        "{what}, {place}, {days}: {warm}{note}",
        what=what,
        place=event.place or say("everywhere"),
        days=days,
        warm=warm,
        note=say("; {note}", note=event.note) if event.note else "",
    )


@_words.register
def _(event: ev.Forgotten) -> str:
    return say("Off the shelf: {thing} {name}", thing=plain(event.thing), name=event.name)


@_words.register
def _(event: ev.SettingsKept) -> str:
    units = ("volume", "mass", "temperature", "gravity", "pressure")
    names = {name: say("{name} in", name=plain(name)) for name in units}
    names |= {"co2": say("fizz in"), "currency": say("money in")}
    called = {"language": dict(LANGUAGES)}
    chosen = [
        say("{setting} {value}", setting=names.get(n, plain(n)), value=called.get(n, {}).get(v, v))
        for n in event.__struct_fields__
        if (v := getattr(event, n)) is not None
    ]
    return say("Settings: {chosen}", chosen=joined(", ", chosen)) if chosen else say("Settings: as they were")


@_words.register
def _(event: ev.LessonsKept) -> str:
    about = (
        ""
        if event.thing == "everything"
        else say(" about the {thing} {name}", thing=plain(event.thing), name=event.name).rstrip()
    )
    if event.count:
        return say("All finished brews count again") + about
    until = say(", up to {day}", day=date_text(event.until)) if event.until else ""
    return say("Forgotten: what finished brews taught") + about + until
