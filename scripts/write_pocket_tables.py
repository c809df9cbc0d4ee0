"""Write the tables of the sums on the phone from the constants of the book, so that no figure is kept in two places.

Texts that a person reads are written as `say("…")`, so that the phone tells them in its language.

python scripts/write_pocket_tables.py          writes src/gylebook/web/static/pocket/sums/tables.js
python scripts/write_pocket_tables.py --check  says whether that file is as it would be written
"""

# ruff: noqa: SLF001 - constants that only their own module reckons with are still the ones to be copied
from __future__ import annotations

import json
import re
import sys
from math import erfc, sqrt
from pathlib import Path
from typing import Any

from gylebook import sources, units
from gylebook.forecast import gas
from gylebook.outputs import voices
from gylebook.outputs.measures import FAMILIES, TOO_FINE
from gylebook.phrases import Joined
from gylebook.science import (
    _mixtures,
    alcohol,
    bottle_limits,
    carbon_dioxide,
    carbonation,
    constants,
    energy,
    extract,
    glass,
    heat,
    hops,
    priming,
)
from gylebook.science.materials import MATERIALS
from gylebook.steps import (
    bottle_kinds,
    gas_parts,
    priming_dose,
    strength,
    sums_bottle,
    sums_gravity,
    sums_heat,
    sums_strength,
    sums_yeast_hops,
)
from gylebook.steps.asked import NORMAL_90
from gylebook.steps.decision import Sum
from gylebook.steps.fields import Field
from gylebook.steps.lines import _MOST_BOTTLES, _MOST_LINES
from gylebook.steps.sums import SUMS

FILE = Path(__file__).parents[1] / "src" / "gylebook" / "web" / "static" / "pocket" / "sums" / "tables.js"
# The sums that are reckoned on the phone, in the order in which they are offered there.
WORDS = (
    "reading",
    "strength",
    "priming",
    "pressure",
    "boiling_water",
    "dilution",
    "bottles",
    "hop_dose",
    "gravity",
    "units",
)
_HEAD = """/* Made by scripts/write_pocket_tables.py from the book's own constants: change those and run it again. */
import { say } from "../../modules/words.js";

"""


class Read(str):
    """A text that a person reads."""

    __slots__ = ()


def text() -> str:
    """The file as it should be."""
    lines = [_HEAD]
    for name, value in _tables().items():
        lines.append(f"export const {name} = {_literal(value)};\n")
    return "".join(lines)


def _tables() -> dict[str, Any]:
    return {
        "UNITS": [[u.symbol, u.dimension, u.factor, u.offset, _read(u.label), list(u.spellings)] for u in units._UNITS],
        "COUNTRYLESS": {word: _read(plural) for word, plural in units._COUNTRYLESS.items()},
        "FAMILIES": FAMILIES,
        "TOO_FINE": TOO_FINE,
        "FINEST": voices._FINEST,
        "MATERIALS": {m.key: [_read(m.label), m.solids, m.specific_heat_j_per_kg_k.best] for m in MATERIALS.values()},
        "SUGARS": {s.key: [s.co2_g_per_g, s.level_teaspoon_g, _read(s.note)] for s in priming.PRIMING_SUGARS.values()},
        "BOTTLES": [
            [b.key, _read(b.label), b.never, b.glass, b.ceiling_volumes, _read(b.note)] for b in glass.BOTTLES.values()
        ],
        # The first is what a kind is called; all of them are read as they stand here, whatever the language.
        "NAMES": {key: [_read(names[0]), list(names)] for key, names in bottle_kinds.NAMES.items()},
        "WORDS": _words(),
        "MIX": _mixing(),
        "GAS": _gas(),
        "HOPS": _hops(),
        "REST": _rest(),
        "OFFERED": [_sum(SUMS[word]) for word in WORDS],
        "SOURCES": _sources(),
    }


def _words() -> dict[str, Any]:
    """Cautions and rules that stand as constants in the book."""
    return {
        "glass": [_read(each) for each in bottle_kinds.GLASS_CAUTIONS],
        "cool": _read(bottle_kinds.COOL_THEM),
        "published": _read(bottle_kinds.PUBLISHED_LIMIT),
        "priming": [_read(each) for each in priming_dose.CAUTIONS],
        "boiling": [_read(each) for each in sums_heat._BOILING_CAUTIONS],
        "alcohol": _read(strength.ALCOHOL_CAUTION),
        "dogs": _read(sums_yeast_hops.DOGS),
        "fountain": _read(sums_yeast_hops._FOUNTAIN),
        "ways": [
            [way.key, _read(way.label), _read(way.relation), way.source, list(way.shown), list(way.of)]
            for way in sums_strength._WAYS.values()
        ],
    }


def _mixing() -> dict[str, Any]:
    """Coefficients of extract, alcohol and density."""
    return {
        "plato": _mixtures._PLATO_TERMS,
        "slope": _mixtures._PLATO_SLOPE,
        "water": _mixtures._KELL_NUMERATOR,
        "waterBelow": _mixtures._KELL_DENOMINATOR,
        "sucrose": _mixtures._SUCROSE,
        "a": _mixtures._R22_A,
        "b": _mixtures._R22_B,
        "c": _mixtures._R22_C,
        "air": constants.AIR_DENSITY_KG_M3,
        "glass": constants.GLASS_EXPANSION_PER_C,
        "ethanol": constants.ETHANOL_DENSITY_20C_KG_M3,
        "perAlcohol": constants.EXTRACT_PER_ALCOHOL,
        "abvLimit": constants.ABV_FORMULA_LIMIT,
        "lowPlato": extract._LOWEST_PLATO,
        "highPlato": extract._HIGHEST_PLATO,
        "mostExtract": extract._MOST_G_PER_L,
        "bands": alcohol._DUTY_BANDS,
        "factors": alcohol._DUTY_FACTORS,
        "sd95": alcohol._SD_OF_95_PERCENT,
        "ash": energy._ASH_PERCENT,
    }


def _gas() -> dict[str, Any]:
    """Coefficients of gas in beer, in bottles, and of the worst bottle's lattice."""
    return {
        "atmosphere": carbon_dioxide.ATMOSPHERE_BAR,
        "perVolume": carbon_dioxide.CO2_G_PER_L_PER_VOLUME,
        "perMol": carbon_dioxide.CO2_G_PER_MOL,
        "r": carbon_dioxide.GAS_CONSTANT,
        "kelvin": carbon_dioxide.KELVIN,
        "virial": carbon_dioxide._VIRIAL,
        "perBar": carbonation._PSI_PER_BAR,
        "offset": carbonation._CHART_OFFSET_VOLUMES,
        "restTemp": carbonation._RESIDUAL_TEMP_C,
        "rest": carbonation._RESIDUAL_VOLUMES,
        "glassMost": glass.GLASS_CEILING_BAR,
        "glassLargest": glass.GLASS_LARGEST_L,
        "ceilingTemp": glass.CEILING_TEMP_C,
        "rounds": bottle_limits._ROUNDS,
        "customary": priming.CUSTOMARY_SUCROSE_G_PER_L_PER_VOLUME,
        "headspace": bottle_kinds.HEADSPACE,
        "plastic": bottle_kinds.PLASTIC_WARMEST_C,
        "uneven": gas_parts.UNEVEN,
        "bottles": gas_parts.USUAL_BOTTLES,
        "moreInBottle": gas_parts._MORE_IN_BOTTLE,
        "points": gas.POINTS,
        "levels": gas._LEVELS,
        "z90": gas._Z90,
        "perPoint": gas._CO2_PER_POINT,
        "heads": gas._HEADSPACE_SPAN,
        "headSd": gas.Charge.__dataclass_fields__["headspace_sd"].default,
        "headEnds": (gas._LEAST_HEADSPACE, gas._MOST_HEADSPACE),
        "volEnds": (gas._LEAST_VOL, gas._MOST_VOL),
        "reference": gas.REFERENCE_C,
        "columns": {
            "later": gas._LATER,
            "dissolved": gas._DISSOLVED,
            "litres": gas._LITRES,
            "headspace": gas._HEADSPACE,
            "solubility": gas._SOLUBILITY,
            "perPoint": gas._PER_POINT,
            "lots": gas._LOTS,
        },
        "tail": erfc(6.5 / sqrt(2.0)) / 2.0,  # of the normal law, where its table begins
        "perGravity": sums_bottle._PER_POINT,
        "strong": sorted(sums_bottle._STRONG),
        "mostUnknown": priming_dose.MOST_UNKNOWN_GLASS_VOL,
        "mostSugar": priming_dose.MOST_SUGAR_G_PER_L,
        "leastSugar": priming_dose.LEAST_SUGAR_G_PER_L,
        "flat": priming_dose.NEARLY_FLAT_VOL,
        "mostBar": priming_dose.MOST_PRESSURE_BAR,
        "slip": priming_dose.VOLUME_SLIP_L,
    }


def _hops() -> dict[str, Any]:
    return {
        "lost": hops.BEER_LOST_ML_PER_G,
        "saturating": hops.SATURATING_DOSE_G_PER_L,
        "doubtful": hops.DOUBTFUL_DOSE_G_PER_L,
        "creep": hops._CREEP_PLATO,
        "perDay": hops._CREEP_PER_DAY,
        "dose": hops._CREEP_DOSE_G_PER_L,
        "pace": hops._PACE_PER_10C,
        "weak": hops._WEAK_HOP,
        "strong": hops._STRONG_HOP,
        "co2": hops._CO2_PER_EXTRACT,
        "perPlato": hops._EXTRACT_G_PER_L_PER_PLATO,
        "points": hops._POINTS_PER_REAL_PLATO,
    }


def _rest() -> dict[str, Any]:
    return {
        "normal90": NORMAL_90,
        "readingSd": sums_gravity._READING_SD,
        "thermometerSd": sums_gravity._THERMOMETER_SD_C,
        "platoFit": sums_gravity._PLATO_FIT,
        "ogSd": sums_strength._OG_SD,
        "fgSd": sums_strength._FG_SD,
        "kettle": sums_heat._KETTLE_C,
        "heat": heat.WATER_SPECIFIC_HEAT_J_PER_KG_K,
        "kgPerL": heat._WATER_KG_PER_L,
        "lines": _MOST_LINES,
        "bottles": _MOST_BOTTLES,
    }


def _sum(of: Sum) -> dict[str, Any]:
    told = {"word": of.word, "title": _read(of.title), "question": _read(of.question)}
    return {**told, "fields": [_field(field) for field in of.fields]}


def _field(field: Field) -> dict[str, Any]:
    """What is told of a field; what it leaves at its usual is filled in on the phone."""
    if field.usual is not None:
        raise ValueError(f"{field.name} asks about unusual values, which the phone's sums cannot do yet")
    told = {
        "name": field.name,
        "label": _read(field.label),
        "kind": field.kind,
        "dimensions": field.dimensions,
        "required": field.required,
        "possible": field.possible,
        "default": field.default,
        "reason": _read(field.reason),
        "hint": _read(field.hint),
        "choices": [[value, _read(words)] for value, words in field.choices],
    }
    return {name: value for name, value in told.items() if value}


def _sources() -> dict[str, str]:
    """What the sources are called that the sums name: their titles as far as the first colon."""
    written = "".join(path.read_text(encoding="utf-8") for path in FILE.parent.glob("*.js") if path != FILE)
    named = {*re.findall(r'"([a-z0-9_]+)"', written), *(way.source for way in sums_strength._WAYS.values())}
    return {key: source.title.partition(": ")[0] for key, source in sources.all().items() if key in named}


def _read(text: str) -> str:
    """A text that a person reads, or its pieces one after another; "" stays as it is."""
    if isinstance(text, Joined) and not text.mark:
        return _Pieces([_read(piece) for piece in text.items])
    return Read(text) if text else ""


class _Pieces(list[str]):
    """Texts that are read as one."""


def _literal(value: Any) -> str:
    """As JavaScript; each part of a table on a line of its own."""
    if isinstance(value, list):
        return "[\n" + ",\n".join(_short(part) for part in value) + "\n]"
    return "{\n" + ",\n".join(f"{_key(key)}:{_short(part)}" for key, part in value.items()) + "\n}"


def _short(part: Any) -> str:
    """As JSON has it, but for texts that are read and for keys that need no marks."""
    if isinstance(part, _Pieces):
        return "+".join(_short(piece) for piece in part)
    if isinstance(part, Read):
        return f"say({json.dumps(part, ensure_ascii=False)})"
    if isinstance(part, dict):
        return "{" + ",".join(f"{_key(key)}:{_short(each)}" for key, each in part.items()) + "}"
    if isinstance(part, list | tuple):
        return "[" + ",".join(_short(each) for each in part) + "]"
    if isinstance(part, float):
        return f"{part:g}" if float(f"{part:g}") == part else repr(part)
    return json.dumps(part, ensure_ascii=False)


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", key) else json.dumps(key, ensure_ascii=False)


def main() -> int:
    if "--check" in sys.argv[1:]:
        fresh = FILE.exists() and FILE.read_text(encoding="utf-8") == text()
        print("fresh" if fresh else "stale: run python scripts/write_pocket_tables.py")
        return 0 if fresh else 1
    FILE.write_text(text(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
