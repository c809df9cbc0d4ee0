"""The demo book's brews, from a plan for the winter to one that is drunk and closed. All of it is invented.

They are written as brewers write: a comma for a point, a temperature forgotten, a reading typed wrong and corrected
later, an entry made the day after.
"""

from __future__ import annotations

from gylebook.steps.demo_brews_bottled import DUNE_WHEAT, HARVEST_SUPPER, HEDGE_BITTER
from gylebook.steps.demo_told import Told

# Dry-hopped, and it woke up again.
_PIPIT = (
    Told(
        "plan",
        19,
        "17:00",
        {
            "kit": "Pipit pale",
            "volume": "22 L",
            "place": "spare room",
            "vessel": "white bucket",
            "name": "Lapwing pale",
        },
    ),
    Told("clean", 19, "17:30", {"what": "everything", "agent": "acid_sanitiser", "contact": "2 min"}),
    Told(
        "mix",
        19,
        "18:30",
        {
            "volume": "22.5 L",
            "volume_from": "bucket mark",
            "temp": "20 °C",
            "stirred": "well",
            "vessel": "white bucket",
        },
    ),
    Told(
        "reading",
        19,
        "18:40",
        {"gravity": "1.0505", "temp": "20 °C", "stirred": "well", "instrument": "long hydrometer"},
    ),
    Told(
        "pitch",
        19,
        "18:50",
        {"yeast": "Pipit ale yeast", "mass": "11 g", "kind": "ale", "how": "sprinkled", "temp": "20 °C"},
    ),
    Told("temperature", 18, "07:00", {"temp": "21.5 °C", "of": "beer"}),
    Told(
        "reading", 13, "19:00", {"gravity": "1.016", "temp": "20 °C", "fizz": "some", "instrument": "long hydrometer"}
    ),
    Told(
        "reading", 11, "19:00", {"gravity": "1.015", "temp": "20 °C", "fizz": "flat", "instrument": "long hydrometer"}
    ),
    Told("reading", 9, "19:00", {"gravity": "1.015", "temp": "20 °C", "fizz": "flat", "instrument": "long hydrometer"}),
    Told(
        "hop",
        9,
        "19:15",
        {"hop": "Marl and Mere", "mass": "100 g", "form": "pellets", "bagged": "no", "planned_days": "3"},
    ),
    Told("hops_out", 5, "18:00", {"hop": "Marl and Mere"}),
    Told(
        "reading", 5, "18:10", {"gravity": "1.0140", "temp": "20 °C", "fizz": "some", "instrument": "long hydrometer"}
    ),
    Told("note", 4, "18:00", {"text": "Airlock going again since the hops."}),
    Told(
        "reading", 2, "19:00", {"gravity": "1.0125", "temp": "20 °C", "fizz": "flat", "instrument": "long hydrometer"}
    ),
)

# Cold and slow in the shed; one temperature was never written.
_SHED = (
    Told(
        "plan",
        13,
        "09:00",
        {
            "kit": "Tansy Row bitter",
            "choice": "malt",
            "volume": "23 L",
            "place": "cold shed",
            "vessel": "old bin",
            "name": "Shed bitter",
            "intent": "no room left in the house",
        },
    ),
    Told(
        "mix",
        13,
        "10:00",
        {"volume": "23 L", "volume_from": "bucket mark", "temp": "19 °C", "stirred": "well", "vessel": "old bin"},
    ),
    Told("reading", 13, "10:05", {"gravity": "1.039", "temp": "19 °C", "stirred": "well"}),
    Told(
        "pitch",
        13,
        "10:15",
        {"yeast": "ale yeast sachet", "mass": "11 g", "kind": "ale", "how": "sprinkled", "temp": "19 °C"},
    ),
    Told("temperature", 10, "08:00", {"low": "11.5 °C", "high": "14 °C", "of": "room"}),
    Told("reading", 6, "18:00", {"gravity": "1.023", "fizz": "some", "looks": "thin foam"}),
    Told("temperature", 5, "08:00", {"temp": "13 °C", "of": "beer"}),
    Told("reading", 3, "18:00", {"gravity": "1,0215", "temp": "12,5 °C", "fizz": "some"}),
)

# A reading before the yeast that cannot be: not stirred.
_STOUT = (
    Told(
        "plan",
        4,
        "17:30",
        {
            "kit": "Cinder Yard stout",
            "volume": "20.5 L",
            "place": "spare room",
            "vessel": "blue bucket",
            "name": "Coal hole stout",
            "co2_wanted": "2.0 vol",
        },
    ),
    Told(
        "mix",
        4,
        "18:30",
        {
            "volume": "20,5 L",
            "volume_from": "bucket mark",
            "temp": "23 °C",
            "stirred": "a little",
            "vessel": "blue bucket",
            "ingredients": "3.0 kg liquid malt extract, left 60 g",
        },
    ),
    Told("reading", 4, "18:40", {"gravity": "1.026", "temp": "23 °C", "sample_from": "top", "stirred": "a little"}),
    Told(
        "pitch",
        4,
        "18:50",
        {"yeast": "Cinder Yard ale yeast", "mass": "7 g", "kind": "ale", "how": "sprinkled", "temp": "23 °C"},
    ),
    Told("temperature", 3, "07:30", {"temp": "22 °C", "of": "beer"}),
    Told("note", 2, "07:30", {"text": "Foam up into the airlock in the night. Wiped and loosened the lid."}),
)

# Going as it should.
_TABLE = (
    Told(
        "plan",
        6,
        "18:00",
        {
            "kit": "Tansy Row bitter",
            "choice": "sugar",
            "volume": "22 L",
            "place": "spare room",
            "name": "Kitchen table bitter",
        },
    ),
    Told("clean", 6, "18:10", {"what": "bucket and spoon", "agent": "acid_sanitiser", "contact": "2 min"}),
    Told(
        "mix",
        6,
        "18:40",
        {
            "volume": "22 L",
            "volume_from": "jug",
            "temp": "20.5 °C",
            "stirred": "well",
            "tap_temp": "9 °C",
            "boiling_water": "2 L",
        },
    ),
    Told(
        "reading",
        6,
        "18:45",
        {"gravity": "1.0415", "temp": "20.5 °C", "stirred": "well", "instrument": "long hydrometer"},
    ),
    Told(
        "pitch",
        6,
        "19:00",
        {"yeast": "ale yeast sachet", "mass": "11 g", "kind": "ale", "how": "rehydrated", "temp": "20 °C"},
    ),
    Told("temperature", 5, "07:30", {"temp": "20.5 °C", "of": "beer"}),
    Told(
        "reading", 3, "19:00", {"gravity": "1.018", "temp": "21 °C", "fizz": "fizzy", "instrument": "long hydrometer"}
    ),
    Told("temperature", 1, "07:30", {"temp": "20 °C", "of": "beer"}),
)

# Planned for the winter.
_WINTER = (
    Told(
        "plan",
        2,
        "20:00",
        {
            "kit": "Cinder Yard stout",
            "volume": "20 L",
            "place": "spare room",
            "start_on": "+9 d",
            "drink_on": "+75 d",
            "vessel": "old bin",
            "name": "Midwinter stout",
            "co2_wanted": "2.0 vol",
            "intent": "for the long evenings",
        },
    ),
)

BREWS: dict[str, tuple[Told, ...]] = {
    "hedge": HEDGE_BITTER,
    "harvest": HARVEST_SUPPER,
    "dune": DUNE_WHEAT,
    "lapwing": _PIPIT,
    "shed": _SHED,
    "coal_hole": _STOUT,
    "table": _TABLE,
    "midwinter": _WINTER,
}
