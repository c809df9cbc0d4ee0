"""The life of a brew from a leaflet, as a list of things to write down and questions to ask; page and command share it.

The days, the temperatures and the bottles are invented. Sugar and bottles are those that the book itself answered.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from acceptance.leaflets import Leaflet

PLACE = {"name": "larder", "low": "18 °C", "high": "20 °C"}
BOTTLES = {"name": "brown halves", "kind": "returnable_500", "size": "500 mL", "count": "60"}
CO2 = "2.4"
LOT = "44 x 500 mL brown returnable"


@dataclass(frozen=True)
class Write:
    """Something written down so many days after the wort was mixed."""

    day: float
    act: str
    texts: dict[str, str]


@dataclass(frozen=True)
class Ask:
    """A step's question with what is supposed, and the name under which its answer is kept."""

    day: float
    step: str
    supposed: dict[str, str]
    called: str


def life(leaflet: Leaflet) -> Iterator[Write | Ask]:
    """From the plan to the last bottle. "{sugar}" and "{bottles}" stand for what the book answered before."""
    first, *reads = leaflet.reads
    plan = {"kit": leaflet.kit["name"], "name": f"{leaflet.word} {leaflet.kit['name']}", "place": "larder"}
    litres = f"{leaflet.litres:g} L"
    yield Write(0, "plan", {**plan, "volume": litres, **({"choice": leaflet.choice} if leaflet.choice else {})})
    yield Ask(0, "plan", {}, "plan")
    yield Ask(0, "mixing", {"tap_temp": "12"}, "mixing")
    yield Write(0, "clean", {"what": "bucket and lid", "agent": "acid_sanitiser", "contact": "2 min"})
    yield Write(0.1, "mix", {"volume": litres, "temp": "20", "stirred": "well"})
    yield Write(0.15, "reading", {"gravity": first, "temp": "20", "stirred": "well"})
    yield Ask(0.15, "readings", {}, "original")
    yield Ask(0.16, "pitching", {"mass": "11 g"}, "pitching")
    yield Write(0.17, "pitch", {"mass": "11 g", "temp": "20", "kind": "ale"})
    yield Write(1, "temperature", {"temp": "20", "of": "beer"})
    yield Write(4, "reading", {"gravity": reads[0], "temp": "20", "fizz": "flat"})
    yield Ask(4, "finishing", {}, "fermenting")
    yield from _fermented(leaflet, reads[1:])


def _fermented(leaflet: Leaflet, reads: list[str]) -> Iterator[Write | Ask]:
    day = 9
    for gravity in reads:
        yield Write(day, "reading", {"gravity": gravity, "temp": "20", "fizz": "flat"})
        day += 3
    yield Ask(day - 3, "finishing", {}, "finished")
    if leaflet.hops_g:
        yield Ask(day - 3, "dry_hopping", {"mass": f"{leaflet.hops_g:g} g"}, "hops")
        hop = {"hop": "Marl and Mere", "mass": f"{leaflet.hops_g:g} g", "form": "pellets", "planned_days": "3"}
        yield Write(day - 2.9, "hop", hop)
        yield Ask(day - 2.8, "finishing", {}, "hopped")
        yield Write(day, "hops_out", {})
        for gravity in leaflet.after_hops:
            day += 3
            yield Write(day, "reading", {"gravity": gravity, "temp": "20", "fizz": "flat"})
        yield Ask(day, "finishing", {}, "finished after hops")
    day += 1
    yield Write(day, "judge", {"verdict": "finished", "because": "level, and where it should end"})
    yield Ask(day, "racking", {}, "racking")
    yield Write(day, "rack", {"vessel": "bottling bucket", "volume": f"{leaflet.to_bottles:g} L"})
    yield Ask(day, "priming", {"co2": CO2, "bottles": LOT, "store": "20"}, "priming")
    yield Write(day, "prime", {"sugar": "sucrose", "mass": "{sugar} g", "volume": f"{leaflet.to_bottles:g} L"})
    yield Ask(day, "bottling", {"bottles": LOT, "store": "20"}, "bottling")
    lots = {"lots": "{bottles} x 500 mL brown returnable", "place": "larder", "cap_code": leaflet.word}
    yield Write(day + 0.1, "bottle", lots)
    yield Ask(day + 6, "conditioning", {}, "carbonating")
    yield Write(day + 16, "open_bottle", {"fizz": "3", "gushed": "no"})
    yield Ask(day + 16, "conditioning", {}, "conditioned")
    yield Write(day + 35, "taste", {"score": "8", "words": "round, dry at the end", "again": "yes"})
    yield Ask(day + 35, "tasting", {}, "tasting")
    yield Write(day + 60, "take_out", {"count": "{left}", "to": "drunk"})
    yield Write(day + 61, "close", {"lesson": "once more, as it was"})
