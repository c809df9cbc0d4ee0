"""Kits as their leaflets describe them, and what a brewer must get from them.

The names are invented. Every expectation is DERIVED, by hand and by other relations than the book's own:

* original gravity: litre-degrees by the public tables of extract potentials, added up and divided by the litres.
  Liquid malt extract 308, dried 370, table sugar 384, dextrose monohydrate 350 litre-degrees a kilogram, so that
  1.7 kg of liquid extract and 1.0 kg of sugar in 23 L are (524 + 384) / 23 = 39.5 points.
* final gravity: malt leaves 30 % of its points (28 to 34), sugar takes 20 % of its own below water.
* strength: points fallen × 0.131.
* sugar for the bottles: litres × (volumes wanted − volumes already in it) × 4.0 g/L.
* pressure: the tables of carbon dioxide in beer; 2.4 volumes are 1.75 bar at 20 °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field

ONE_CAN = {
    "name": "Saltmarsh bitter",
    "ingredients": "1.7 kg liquid malt extract",
    "volume": "23 L",
    "alternatives": "sugar: 1 kg table sugar; bottle at 1.006; final 1.004 to 1.006; cost 1.20\n"
    "dextrose: 1 kg dextrose monohydrate; bottle at 1.006; final 1.004 to 1.006; cost 2.90\n"
    "malt: 1 kg dried malt extract; bottle at 1.013; final 1.010 to 1.013; cost 6.50\n"
    "boost: 0.5 kg dried malt extract + 0.3 kg dextrose monohydrate; bottle at 1.012; final 1.009 to 1.012",
    "yeast": "Saltmarsh ale yeast",
    "yeast_mass": "6 g",
    "yeast_kind": "ale",
    "temp_from": "18 °C",
    "temp_to": "24 °C",
    "days": "6",
    "priming_sugar": "sucrose",
    "priming_per_litre": "6 g/L",
}
TWO_CANS = {
    "name": "Ember Row brown",
    "ingredients": "1.5 kg liquid malt extract\n1.5 kg liquid malt extract",
    "volume": "20.5 L",
    "bottle_gate": "1.014",
    "final_from": "1.010",
    "final_to": "1.014",
    "yeast_mass": "7 g",
    "yeast_kind": "ale",
    "temp_from": "18 °C",
    "temp_to": "22 °C",
    "days": "7",
    "claimed_strength": "4.1",
}
HOPPY = {
    "name": "Windlestraw pale",
    "ingredients": "3.6 kg liquid malt extract",
    "volume": "20 L",
    "hop_gate": "1.018",
    "bottle_gate": "1.015",
    "final_from": "1.012",
    "final_to": "1.015",
    "yeast_mass": "11 g",
    "yeast_kind": "ale",
    "hops": "100 g Marl and Mere, day 10, for 3 days",
    "temp_from": "18 °C",
    "temp_to": "22 °C",
}


@dataclass(frozen=True)
class Leaflet:
    """One kit as it is made up, what the brewer reads, and what must come of it (gravities in points)."""

    word: str
    kit: dict[str, str]
    choice: str
    litres: float
    og: float
    fg: tuple[float, float]
    abv: tuple[float, float]
    reads: tuple[str, ...]  # original gravity, on day 4, then three of a finished beer
    to_bottles: float  # litres, less trub, samples and what hops keep
    hops_g: float = 0.0
    after_hops: tuple[str, ...] = field(default=())


LEAFLETS = (
    Leaflet("K1", ONE_CAN, "sugar", 23, 39.5, (4, 6), (4.4, 4.7), ("1.040", "1.012", "1.005", "1.005", "1.005"), 21),
    Leaflet("K1d", ONE_CAN, "dextrose", 23, 38, (4, 6), (4.2, 4.5), ("1.038", "1.011", "1.005", "1.005", "1.005"), 21),
    Leaflet("K2", ONE_CAN, "malt", 23, 39, (10, 13), (3.5, 3.9), ("1.039", "1.018", "1.012", "1.011", "1.011"), 21),
    Leaflet("K3", TWO_CANS, "", 23, 40, (10, 13), (3.6, 4.0), ("1.040", "1.019", "1.012", "1.012", "1.012"), 21),
    Leaflet("K3s", TWO_CANS, "", 20.5, 45, (11.5, 14), (4.0, 4.4), ("1,045", "1.020", "1.013", "1.013", "1.013"), 18.7),
    Leaflet(
        "K4", HOPPY, "", 20, 55, (12, 15), (5.2, 5.6), ("1.055", "1.024", "1.014", "1.014", "1.014"), 16.6,
        hops_g=100, after_hops=("1.013", "1.0125", "1.0125", "1.0125"),
    ),
    Leaflet("K5", ONE_CAN, "boost", 18, 45, (9, 12), (4.4, 4.7), ("1.045", "1.018", "1.011", "1.010", "1.010"), 16),
)  # fmt: skip
BY_WORD = {leaflet.word: leaflet for leaflet in LEAFLETS}
