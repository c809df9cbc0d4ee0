"""How much wort or beer there is: what was mixed, and what is left to bottle."""

from __future__ import annotations

from datetime import datetime
from math import sqrt

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say, say_amount, say_count
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.units import Quantity, show

Z90 = 1.645  # half-width of a 90 % interval in standard deviations

# Standard deviation of a volume by how it was read [L]. Bucket marks are often half a litre to a litre out.
_VOLUME_SD = {"calibrated mark": 0.15, "jug": 0.2, "scale": 0.1, "bucket mark": 0.45, "guess": 1.0, "": 0.5}
_PLANNED_SD = 0.6
_ASSUMED_L = 23.0

SAMPLE_L, SAMPLE_SD_L = 0.15, 0.04  # a trial jar of beer
FORCED_SAMPLE_L = 0.25
SEDIMENT_L, SEDIMENT_SD_L = 1.4, 0.3  # sediment and what the tap leaves behind
RACKING_SD_L = 0.3
HOP_LOSS_ML_PER_G, HOP_LOSS_SD = 7.5, 0.8


def litres(quantity: Quantity) -> float:
    """A volume in litres."""
    return quantity.to("L", "volume")


def vessel_of(brew: Brew, shelf: Shelf, at: datetime | None = None) -> ev.VesselKept | None:
    """The kept vessel that the brew stands in, as far as it was written."""
    name = vessel_name(brew, at)
    return shelf.vessels.get(name) if name else None


def vessel_name(brew: Brew, at: datetime | None = None) -> str:
    """The name of the vessel that the brew stands in, "" where none was written."""
    name = brew.plan.vessel
    for kept in brew.kept:
        if at is not None and kept.at > at:
            break
        if isinstance(kept.event, ev.Mixed | ev.Racked) and kept.event.vessel:
            name = kept.event.vessel
    return name


def mark_holds_l(vessel: ev.VesselKept, mark_l: float) -> float | None:
    """What a vessel really holds at a mark, between its calibrated marks; None where it was never calibrated.

    Beyond the outermost marks their error is kept as it is.
    """
    import numpy as np  # what only keeps or backs up the book does without arrays

    pairs = sorted((litres(m.mark), litres(m.holds)) for m in vessel.marks)
    if not pairs:
        return None
    marks = [mark for mark, _ in pairs]
    errors = [holds - mark for mark, holds in pairs]
    return float(mark_l + np.interp(mark_l, marks, errors))


def mixed_l(brew: Brew, shelf: Shelf) -> Figure | None:
    """Volume of the wort when it was made up, with all later water; the planned volume before that.

    None where neither brew nor leaflet names a volume.
    """
    mixed = brew.last(ev.Mixed)
    top_ups = brew.all(ev.ToppedUp)
    start = _written_start(brew, shelf, mixed)
    if start is None:
        start = _planned_start(brew)
    if start is None and not any(t.event.new_volume for t in top_ups):
        return None
    value, sd, given = start or (0.0, 0.0, [])
    steps: list[str] = []
    for top_up in top_ups:
        value, sd, line, more = _topped(brew, shelf, top_up, value, sd)
        steps.append(line)
        given = [*given, more]
    return _figure(
        "mixed",
        say("Wort made up"),
        value,
        sd,
        Working(
            say("volume as read, corrected by the vessel's own marks, plus water added later"),
            tuple(given),
            ("mass_balance",),
            tuple(steps),
        ),
    )


def _written_start(brew: Brew, shelf: Shelf, mixed: Kept[ev.Mixed] | None) -> tuple[float, float, list[Given]] | None:
    if mixed is None or mixed.event.volume is None:
        return None
    read = litres(mixed.event.volume)
    value, sd, note = _through_marks(brew, shelf, read, mixed.event.volume_from, mixed.at)
    where = (
        say("entry {seq}, {note}", seq=mixed.seq, note=note)
        if note
        else say("entry {seq}, read at {read_at}", seq=mixed.seq, read_at=_from_words(mixed.event.volume_from))
    )
    return value, sd, [Given(say("volume when mixed"), mixed.event.volume.said(), Basis.MEASURED, where, mixed.seq)]


def _planned_start(brew: Brew) -> tuple[float, float, list[Given]] | None:
    plan = brew.plan
    if plan.volume is not None:
        given = Given(say("volume"), plan.volume.said(), Basis.ASSUMED, say("the plan; nothing was read when mixing"))
        return litres(plan.volume), _PLANNED_SD, [given]
    if plan.kit is not None:
        given = Given(
            say("volume"), plan.kit.volume.said(), Basis.LEAFLET, say("the leaflet; nothing was read when mixing")
        )
        return litres(plan.kit.volume), _PLANNED_SD, [given]
    return None


def _topped(
    brew: Brew, shelf: Shelf, top_up: Kept[ev.ToppedUp], value: float, sd: float
) -> tuple[float, float, str, Given]:
    event = top_up.event
    where = say("entry {seq}", seq=top_up.seq)
    if event.new_volume is not None:
        new, new_sd, note = _through_marks(brew, shelf, litres(event.new_volume), "bucket mark", top_up.at)
        given = Given(
            say("volume after topping up"), event.new_volume.said(), Basis.MEASURED, note or where, top_up.seq
        )
        return new, new_sd, say("topped up to {new}", new=say_amount(new, 1, "L")), given
    added = litres(event.water) if event.water is not None else 0.0
    given = Given(say("water added"), str(event.water or say("not written")), Basis.MEASURED, where, top_up.seq)
    total = value + added
    return (
        total,
        sqrt(sd**2 + (0.1 * added) ** 2),
        say("plus {added} of water is {total}", added=say_amount(added, 1, "L"), total=say_amount(total, 1, "L")),
        given,
    )


_READ_AT = {
    "": say("a mark, as far as known"),
    "bucket mark": say("a bucket mark"),
    "calibrated mark": say("a calibrated mark"),
    "jug": say("a jug"),
    "scale": say("a scale"),
    "guess": say("a guess"),
}


def _from_words(volume_from: str) -> str:
    return _READ_AT[volume_from]


def _through_marks(brew: Brew, shelf: Shelf, read: float, volume_from: str, at: datetime) -> tuple[float, float, str]:
    """The true volume, its sd, and a note where calibrated marks were used."""
    vessel = vessel_of(brew, shelf, at)
    if vessel is not None and vessel.marks and volume_from in {"bucket mark", "calibrated mark", ""}:
        true = mark_holds_l(vessel, read)
        assert true is not None
        note = say(
            "the mark {read} of {vessel} holds {true}",
            read=show(read, 1),
            vessel=vessel.name,
            true=say_amount(true, 1, "L"),
        )
        return true, _VOLUME_SD["calibrated mark"], note
    return read, _VOLUME_SD[volume_from], ""


def start_l(brew: Brew, shelf: Shelf) -> Figure:
    """As `mixed_l`, and where nothing at all is known, an assumed volume that says so."""
    found = mixed_l(brew, shelf)
    if found is not None:
        return found
    given = Given(
        say("volume"),
        say_amount(_ASSUMED_L, None, "L"),
        Basis.ASSUMED,
        say("the commonest leaflet volume; nothing was written"),
    )
    return _figure(
        "mixed", say("Wort made up"), _ASSUMED_L, 2.5, Working(say("assumed"), (given,), ("common_practice",))
    )


def in_vessel_l(brew: Brew, shelf: Shelf, at: datetime | None = None, *, with_sediment: bool = False) -> Figure:
    """Beer that can be drawn off, after samples, hops, sediment and racking, at a moment or at the end.

    `with_sediment` counts all that is in the vessel, as hops and yeast meet it. What went into bottles is not taken
    off: it is the beer there was to bottle.
    """
    start = start_l(brew, shelf)
    racked = [k for k in brew.all(ev.Racked) if at is None or k.at <= at]
    since: datetime | None = None
    value, variance = start.value, ((start.high - start.low) / 2 / Z90) ** 2
    given, steps = list(start.working.inputs), list(start.working.steps)
    measured = next((k for k in reversed(racked) if k.event.volume is not None), None)
    if measured is not None:
        assert measured.event.volume is not None
        value, _, _ = _through_marks(brew, shelf, litres(measured.event.volume), "bucket mark", measured.at)
        variance, since = RACKING_SD_L**2, measured.at
        given = [
            Given(
                say("volume racked"),
                measured.event.volume.said(),
                Basis.MEASURED,
                say("entry {seq}", seq=measured.seq),
                measured.seq,
            )
        ]
        steps = [say("racked {value}", value=say_amount(value, 1, "L"))]
    for loss, sd, line in _losses(brew, shelf, since, at, sediment=measured is None and not with_sediment):
        value -= loss
        variance += sd**2
        steps.append(line)
    return _figure(
        "volume",
        say("Beer to draw off") if not with_sediment else say("In the vessel"),
        max(value, 0.0),
        sqrt(variance),
        Working(
            say("volume mixed (or racked) − samples − what hops hold − sediment and tap"),
            tuple(given),
            ("mass_balance", "hop_loss_trade_study", "common_practice"),
            tuple(steps),
        ),
    )


def _losses(
    brew: Brew, shelf: Shelf, since: datetime | None, at: datetime | None, *, sediment: bool
) -> list[tuple[float, float, str]]:
    found: list[tuple[float, float, str]] = []
    mixed = brew.last(ev.Mixed)
    begin = since or (mixed.at if mixed else None)
    inside = [k for k in brew.kept if (at is None or k.at <= at) and (begin is None or k.at >= begin)]
    taken = [k.event for k in inside if isinstance(k.event, ev.Measured)]
    if taken:
        loss = sum(FORCED_SAMPLE_L if e.sample_from == "forced sample" else SAMPLE_L for e in taken)
        found.append(
            (
                loss,
                SAMPLE_SD_L * len(taken),
                say_count(
                    len(taken),
                    "less {loss} in {n} sample",
                    "less {loss} in {n} samples",
                    loss=say_amount(loss, 2, "L"),
                ),
            )
        )
    hops = sum(k.event.mass.to("g", "mass") for k in inside if isinstance(k.event, ev.Hopped))
    if hops:
        loss = hops * HOP_LOSS_ML_PER_G / 1000
        found.append(
            (
                loss,
                hops * HOP_LOSS_SD / 1000,
                say("less {loss} held by {hops} of hops", loss=say_amount(loss, 2, "L"), hops=say_amount(hops, 0, "g")),
            )
        )
    if sediment:
        vessel = vessel_of(brew, shelf, at)
        loss, sd, whose = SEDIMENT_L, SEDIMENT_SD_L, say("usual")
        if vessel is not None and vessel.trub_loss is not None:
            loss, sd, whose = litres(vessel.trub_loss), 0.15, say("{vessel}'s own", vessel=vessel.name)
        found.append(
            (
                loss,
                sd,
                say("less {loss} of sediment and under the tap ({whose})", loss=say_amount(loss, 1, "L"), whose=whose),
            )
        )
    return found


def _figure(key: str, label: str, value: float, sd: float, working: Working) -> Figure:
    low, high = max(0.0, value - Z90 * sd), value + Z90 * sd
    return Figure(key, label, value, low, high, "L", "volume", 1, working)
