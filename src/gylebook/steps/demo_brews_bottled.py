"""The demo book's brews that are in bottles, or drunk. All of it is invented."""

from __future__ import annotations

from gylebook.steps.demo_told import Told

# Drunk and closed: the same kit as the harvest supper's, made warmer and thinner.
HEDGE_BITTER = (
    Told(
        "plan",
        128,
        "18:00",
        {
            "kit": "Tansy Row bitter",
            "choice": "sugar",
            "volume": "23 L",
            "place": "airing cupboard",
            "name": "Hedge bitter",
            "intent": "the first one, as the leaflet says",
        },
    ),
    Told(
        "mix",
        128,
        "19:00",
        {
            "volume": "24 L",
            "volume_from": "bucket mark",
            "temp": "29 °C",
            "stirred": "well",
            "vessel": "old bin",
            "boiling_water": "3.5 L",
        },
    ),
    Told("reading", 128, "19:10", {"gravity": "1.037", "temp": "29 °C", "stirred": "well"}),
    Told(
        "pitch",
        128,
        "19:20",
        {"yeast": "Tansy Row ale yeast", "mass": "6 g", "kind": "ale", "how": "sprinkled", "temp": "29 °C"},
    ),
    Told("temperature", 127, "08:00", {"temp": "27 °C", "of": "beer"}),
    Told("reading", 121, "19:00", {"gravity": "1.005", "temp": "25 °C", "fizz": "some", "sample_from": "tap"}),
    Told("reading", 119, "19:00", {"gravity": "1.004", "temp": "24 °C", "fizz": "flat", "sample_from": "tap"}),
    Told("reading", 116, "19:00", {"gravity": "1.004", "temp": "24 °C", "fizz": "flat", "sample_from": "tap"}),
    Told("rack", 115, "18:30", {"vessel": "tapped bucket", "volume": "21 L"}),
    Told("prime", 115, "18:45", {"sugar": "sucrose", "mass": "115 g", "volume": "21 L"}),
    Told("bottle", 115, "19:30", {"lots": "40 x 500 mL brown halves", "place": "airing cupboard", "cap_code": "H1"}),
    Told("open_bottle", 100, "20:00", {"fizz": "3", "bottle": "brown halves", "note": "lively, a bit of pear"}),
    Told("move", 100, "20:15", {"place": "under the stairs"}),
    Told(
        "taste",
        88,
        "20:00",
        {
            "score": "5",
            "faults": "pear, thin",
            "words": "Drinkable. Hot and thin behind it.",
            "again": "yes",
            "change": "cooler, and malt for half of the sugar",
        },
    ),
    Told("take_out", 80, "19:00", {"count": "18", "to": "drunk"}),
    Told("take_out", 60, "19:00", {"count": "21", "to": "drunk"}),
    Told("close", 59, "19:00", {"lesson": "3.5 L of boiling water land at 29 °C: use 1.5 L, and pitch at 20."}),
)

# Finished and tasted: made again with malt, cooler.
HARVEST_SUPPER = (
    Told(
        "plan",
        79,
        "18:00",
        {
            "kit": "Tansy Row bitter",
            "choice": "malt",
            "volume": "22 L",
            "place": "spare room",
            "vessel": "white bucket",
            "name": "Harvest supper bitter",
            "co2_wanted": "2.2 vol",
            "intent": "fuller than the last one",
        },
    ),
    Told(
        "clean",
        79,
        "18:20",
        {"what": "bucket, tap, spoon", "agent": "percarbonate", "contact": "20 min", "rinsed": "yes"},
    ),
    Told(
        "clean",
        79,
        "18:45",
        {"what": "bucket, tap, spoon", "agent": "acid_sanitiser", "contact": "2 min", "rinsed": "no"},
    ),
    Told(
        "mix",
        79,
        "19:30",
        {
            "volume": "22,5 L",
            "volume_from": "bucket mark",
            "temp": "21 °C",
            "stirred": "well",
            "vessel": "white bucket",
            "boiling_water": "1.5 L",
            "tap_temp": "13 °C",
        },
    ),
    Told(
        "reading",
        79,
        "19:40",
        {"gravity": "1.041", "temp": "21 °C", "stirred": "well", "instrument": "long hydrometer"},
    ),
    Told(
        "pitch",
        79,
        "19:50",
        {"yeast": "Tansy Row ale yeast", "mass": "6 g", "kind": "ale", "how": "sprinkled", "temp": "21 °C"},
    ),
    Told("note", 78, "18:00", {"text": "Nothing in the airlock, but foam and a ring under the lid."}),
    Told("temperature", 77, "07:30", {"temp": "21 °C", "of": "beer"}),
    Told(
        "reading", 71, "19:00", {"gravity": "1.014", "temp": "20 °C", "fizz": "some", "instrument": "long hydrometer"}
    ),
    Told(
        "reading", 68, "19:00", {"gravity": "1,0125", "temp": "20 °C", "fizz": "flat", "instrument": "long hydrometer"}
    ),
    Told(
        "reading",
        65,
        "19:00",
        {
            "gravity": "1.012",
            "temp": "19 °C",
            "fizz": "flat",
            "instrument": "long hydrometer",
            "taste": "dry enough, clean",
        },
    ),
    Told("rack", 63, "18:00", {"vessel": "tapped bucket", "volume": "20.5 L"}),
    Told("prime", 63, "18:10", {"sugar": "sucrose", "mass": "108 g", "volume": "20.5 L", "syrup_water": "250 mL"}),
    Told(
        "filling",
        63,
        "18:25",
        {"what": "begun", "volume": "20.5 L", "place": "spare room", "cap_code": "HS"},
    ),
    Told("fill", 63, "18:33", {"bottle": "brown halves", "count": "10"}),
    Told("fill", 63, "18:40", {"bottle": "brown halves", "count": "10"}),
    Told("filling", 63, "18:41", {"what": "paused", "note": "ran out of clean caps"}),
    Told("filling", 63, "18:49", {"what": "resumed", "note": "stirred again"}),
    Told("fill", 63, "18:52", {"bottle": "brown halves", "count": "10"}),
    Told("fill", 63, "18:56", {"bottle": "brown halves", "count": "8"}),
    Told("fill", 63, "18:58", {"bottle": "plastic litres", "count": "1", "indicator": "yes"}),
    Told("bottle", 63, "19:00", {}),
    Told("open_bottle", 49, "20:00", {"fizz": "3", "bottle": "brown halves"}),
    Told("move", 48, "18:00", {"place": "under the stairs"}),
    Told("taste", 30, "20:30", {"score": "8", "words": "Round, dry at the end. The one to repeat.", "again": "yes"}),
    Told("take_out", 26, "18:00", {"count": "12", "to": "given"}),
    Told("take_out", 12, "18:00", {"count": "9", "bottle": "brown halves", "to": "drunk"}),
)

# Bottled into a warm place, and fizzing up.
DUNE_WHEAT = (
    Told(
        "plan",
        34,
        "10:00",
        {
            "kit": "Marram wheat",
            "volume": "22 L",
            "place": "spare room",
            "vessel": "blue bucket",
            "name": "Dune wheat",
            "co2_wanted": "2.7 vol",
        },
    ),
    Told(
        "mix",
        34,
        "11:00",
        {"volume": "22 L", "volume_from": "bucket mark", "temp": "22 °C", "stirred": "well", "vessel": "blue bucket"},
    ),
    Told(
        "pitch",
        34,
        "11:20",
        {"yeast": "Marram wheat yeast", "mass": "11 g", "kind": "wheat", "how": "rehydrated", "temp": "22 °C"},
    ),
    Told("temperature", 33, "09:00", {"low": "19 °C", "high": "23 °C", "of": "beer"}),
    Told("reading", 24, "19:00", {"gravity": "1.0130", "temp": "20 °C", "fizz": "some"}),
    Told(
        "reading",
        21,
        "19:00",
        {"gravity": "1.051", "temp": "20 °C", "fizz": "flat"},
        label="slip",
        insist=frozenset({"gravity"}),
    ),
    Told(
        "reading",
        21,
        "19:00",
        {"gravity": "1.0125", "temp": "20 °C", "fizz": "flat"},
        corrects="slip",
        because="wrote another bucket's line: read it again at once",
    ),
    Told("reading", 18, "19:00", {"gravity": "1.0125", "temp": "20 °C", "fizz": "flat"}),
    Told("reading", 14, "19:00", {"gravity": "1.012", "temp": "19 °C", "fizz": "flat"}),
    Told("rack", 8, "17:30", {"vessel": "tapped bucket", "volume": "20 L"}),
    Told("prime", 8, "17:45", {"sugar": "sucrose", "mass": "152 g", "volume": "20 L"}, label="sugar"),
    Told(
        "bottle",
        8,
        "19:00",
        {
            "lots": "22 x 500 mL swing-tops, first\n24 x 330 mL thin clear\n1 x 1 L plastic litres, last",
            "place": "airing cupboard",
            "cap_code": "DW",
        },
    ),
    Told(
        "prime",
        8,
        "17:45",
        {"sugar": "sucrose", "mass": "146 g", "volume": "20 L"},
        corrects="sugar",
        because="six grams were left in the pan",
    ),
    Told("note", 3, "08:00", {"text": "The plastic litre is hard already."}),
)
