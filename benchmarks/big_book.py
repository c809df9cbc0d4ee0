"""An invented book of any size: brews of forty entries at every stage, straight into the journal's table."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.book_file import Row, row_of
from gylebook.units import Quantity

ENTRIES = 40
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)

_KIT = ev.Kit(
    name="Harbour amber",
    ingredients=(ev.Ingredient(material="liquid_malt_extract", mass=Quantity("1.7", "kg")),),
    volume=Quantity("23", "L"),
    alternatives=(
        ev.Alternative(
            key="dried",
            name="dried malt extract",
            additions=(ev.Ingredient(material="dried_malt_extract", mass=Quantity("1", "kg")),),
            gates=ev.Gates(bottle_at_or_below=Quantity("1.012", "SG")),
        ),
    ),
    yeast_mass=Quantity("11", "g"),
)


RUNNING, BOTTLED, CLOSED = 0, 1, 3
OPEN = 30


def of_one_brewer(number: int, brews: int) -> int:
    """Stage in the book of one brewer: ten brews run, twenty stand in bottles, all older ones are closed."""
    if number <= brews - OPEN:
        return CLOSED
    return RUNNING if number % 3 == 0 else BOTTLED


def of_a_club(number: int, brews: int) -> int:
    """Stage in the book of a club: one brew in five runs, two stand in bottles, two are closed."""
    return (RUNNING, BOTTLED, BOTTLED, CLOSED, CLOSED)[number % 5]


def _life(number: int, stage: int) -> Iterator[tuple[float, ev.Event]]:
    """Hours since the start, and what was written, up to its stage."""
    yield 0, ev.Planned(name=f"Brew {number} of the shed", kit=_KIT, choice="dried", volume=Quantity("23", "L"))
    yield 1, ev.Cleaned(what="bucket and spoon", agent="acid no-rinse")
    yield (
        2,
        ev.Mixed(
            ingredients=(*_KIT.ingredients, *_KIT.alternatives[0].additions),
            volume=Quantity("22,5", "L"),
            temp=Quantity("21", "°C"),
            stirred="well",
        ),
    )
    yield 2.1, ev.Measured(gravity=Quantity("1.040", "SG"), temp=Quantity("21", "°C"), fizz="flat", stirred="well")
    yield 2.5, ev.Pitched(yeast="house ale", mass=Quantity("11", "g"), kind="ale", temp=Quantity("21", "°C"))
    readings = 8 if stage else 4
    for day in range(1, 31 if not stage else 21):
        yield 24 * day, ev.TempSeen(of="beer", temp=Quantity(f"{18 + day % 4}.5", "°C"))
    for index in range(readings):
        sg = 1.011 + 0.029 * 0.45**index
        yield 30 + 36 * index, ev.Measured(gravity=Quantity(f"{sg:.4f}", "SG"), temp=Quantity("19", "°C"), fizz="some")
    if stage:
        yield 24 * 22, ev.Judged(verdict="finished")
        yield 24 * 22 + 1, ev.Racked(volume=Quantity("21", "L"))
        yield 24 * 22 + 2, ev.Primed(sugar="sucrose", mass=Quantity("125", "g"), volume=Quantity("21", "L"))
        lots = (ev.BottleLot(bottle="returnable_500", count=41, size=Quantity("500", "mL")),)
        yield 24 * 22 + 3, ev.Bottled(lots=lots, place="spare room", cap_code=str(number))
        yield 24 * 40, ev.Opened(fizz=3)
        yield 24 * 45, ev.Tasted(score=7, words="clean, a little thin")
        if stage == CLOSED:
            yield 24 * 120, ev.Closed(lesson="brew it shorter")
            return
    yield 24 * 46 if stage else 24 * 30 + 1, ev.Noted(text="smells as it should")


def brew_rows(number: int, stage: int, entries: int = ENTRIES) -> Iterator[Row]:
    """The rows of one brew: forty, or as many as asked for, the rest of them notes."""
    start = NOW - (timedelta(days=25 + number % 4) if stage == RUNNING else timedelta(days=60 + number % 300))
    life = sorted(_life(number, stage), key=lambda pair: pair[0])[:ENTRIES]
    while len(life) < entries:
        life.append((life[-1][0], ev.Noted(text="looked in, nothing new")))
    for seq, (hours, event) in enumerate(life, start=1):
        at = min(start + timedelta(hours=hours), NOW)
        yield row_of(
            str(number), seq, at, event, now=at, by="bench", source="import", command_id=f"bench-{number}-{seq}"
        )


def sensor_rows(number: int, readings: int) -> Iterator[Row]:
    """The rows of a brew with a sensor in it: three weeks of readings a little apart, and now and then a slip."""
    start = NOW - timedelta(days=22)
    life = [pair for pair in _life(number, RUNNING) if isinstance(pair[1], ev.Planned | ev.Mixed | ev.Pitched)]
    for index in range(readings):
        hours = 3 + 21 * 24 * index / readings
        sg = 1.0105 + 0.0295 * 0.5 ** (hours / 30) + 0.0004 * ((7 * index) % 11 - 5) / 5
        if index % 97 == 96:
            sg += 0.012
        temp = Quantity(f"{19 + (index % 13) / 10:.1f}", "°C") if index % 4 else None
        life.append((hours, ev.Measured(gravity=Quantity(f"{sg:.4f}", "SG"), temp=temp, fizz="flat")))
    for seq, (hours, event) in enumerate(life, start=1):
        at = start + timedelta(hours=hours)
        yield row_of(
            str(number), seq, at, event, now=at, by="bench", source="device", command_id=f"sensor-{number}-{seq}"
        )


def fermenting_rows(number: int) -> Iterator[Row]:
    """The rows of a brew in fermentation with two to six readings of its beer; no two are alike."""
    start = NOW - timedelta(days=22)
    life = [pair for pair in _life(number, RUNNING) if not isinstance(pair[1], ev.Measured | ev.TempSeen | ev.Noted)]
    og, fg, half = 1.038 + 0.0005 * (number % 11), 1.009 + 0.0005 * (number % 7), 20 + number % 13
    life.append((2.1, ev.Measured(gravity=Quantity(f"{og:.4f}", "SG"), temp=Quantity("21", "°C"), fizz="flat")))
    for index in range(2 + number % 5):
        hours = 36 + (19 + number % 17) * index + number % 23
        sg = fg + (og - fg) * 0.5 ** (hours / half) + 0.0005 * ((7 * index + number) % 3 - 1)
        temp = Quantity(f"{18 + (number + index) % 4}.5", "°C")
        life.append((hours, ev.Measured(gravity=Quantity(f"{sg:.4f}", "SG"), temp=temp, fizz="some")))
    for seq, (hours, event) in enumerate(sorted(life, key=lambda pair: pair[0]), start=1):
        at = start + timedelta(hours=hours)
        yield row_of(str(number), seq, at, event, now=at, by="bench", source="import", command_id=f"run-{number}-{seq}")


def book_rows(brews: int, stage_of: Callable[[int, int], int] = of_one_brewer, *, after: int = 0) -> Iterator[Row]:
    """A whole book, brew by brew; or its brews after a number."""
    for number in range(after + 1, brews + 1):
        yield from brew_rows(number, stage_of(number, brews))
