"""Measured fermentations from a folder outside the project, read as data files with the README beside them.

The folder is named by the environment variable GYLEBOOK_FERMENTATIONS. A file is called after its batch and holds
`time_h,value,unit,temp_c`. The README's tables say of every batch how it ended; a table may have any columns, these are
used: `id`, `status / noise`, `last two equal`, `pitch`, `chill h`.

Nothing after a batch was chilled counts. Only a batch that the README calls complete has a terminal gravity; one whose
last readings were merely level on a coarse scale is scored apart, and an unfinished one has none.
"""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gylebook.forecast.answers import NEAR_END_SG
from gylebook.science.attenuation import apparent_from_real_attenuation
from gylebook.science.constants import EXTRACT_PER_ALCOHOL
from gylebook.science.extract import sg_from_plato

FOLDER: Final = "GYLEBOOK_FERMENTATIONS"
CHILLED_BY_K: Final = 3.0  # this far below where it fermented, for good: the tank was chilled
COOL_C: Final = 16.0  # a lager yeast below this works at its own pace, above it at that of the others
LAGER_C: Final = 12.0  # assumed where no temperature was measured
LEVEL_PLATO: Final = 0.05  # the difference of two digitised points, each good to 0.035
LEVEL_HOURS: Final = 20.0
_DENSE: Final = 100  # files with more rows are from a sensor, and are read by medians

Floats = NDArray[np.float64]


class Status(StrEnum):
    """What is known of a batch's end."""

    COMPLETE = "complete"
    LEVEL = "level"  # its last readings agree, on a scale too coarse to be sure
    UNFINISHED = "unfinished"  # chilled, or left, while it was still falling
    STUCK = "stuck"
    UNSURE = "unsure"  # nobody can say


class Half(StrEnum):
    """What a batch may be used for."""

    CHOOSING = "choosing"
    REPORTING = "reporting"


class FolderError(Exception):
    """The folder does not hold what it should."""


@dataclass(frozen=True, slots=True)
class RealBatch:
    """One fermentation up to where it was left or chilled.

    `final_sg` is the natural terminal gravity, None unless complete or level; `finished_day` the first day from which
    it stayed within one point of it; `last_sg` the gravity it had come to by itself when it was left or chilled, which
    an unfinished one would have passed.
    """

    name: str
    group: str
    half: Half
    status: Status
    day: Floats
    gravity_sg: Floats
    temp_c: Floats
    works_c: float
    last_sg: float
    final_sg: float | None
    finished_day: float | None

    @property
    def end_day(self) -> float:
        return float(self.day[-1])

    def level_sg(self, day: float) -> float:
        """The gravity without a sensor's spikes: the median of two hours, or the line between two samples."""
        return _level(self.day, self.gravity_sg, day)


def folder() -> Path | None:
    """Where the data are, or None where nobody said."""
    named = os.environ.get(FOLDER)
    return Path(named) if named else None


def read_folder(place: Path, half: Half | None = None) -> list[RealBatch]:
    """All batches, or those of one half, by name."""
    described = read_tables((place / "README.md").read_text(encoding="utf-8"))
    files = sorted(place.glob("*.csv"))
    if not files:
        raise FolderError(f"{place} holds no .csv file")
    halves = halves_of([each.stem for each in files])
    wanted = [each for each in files if half is None or halves[each.stem] == half]
    return [_read(each, described, halves[each.stem]) for each in wanted]


def halves_of(names: Sequence[str]) -> dict[str, Half]:
    """Batches sorted within their group go to choosing and reporting in turn.

    Two files of one batch (`_real`, `_etoh`) go the same way.
    """
    batches = sorted({each.split("_")[0] for each in names})
    halves: dict[str, Half] = {}
    for group in sorted({_group(each) for each in batches}):
        for place, batch in enumerate(each for each in batches if _group(each) == group):
            halves[batch] = Half.CHOOSING if place % 2 == 0 else Half.REPORTING
    return {each: halves[each.split("_")[0]] for each in names}


def read_tables(text: str) -> dict[str, dict[str, str]]:
    """Every row of every table that has a column `id`, by that id."""
    found: dict[str, dict[str, str]] = {}
    header: list[str] = []
    for line in text.splitlines():
        if not line.startswith("|"):
            header = []
            continue
        cells = [each.strip() for each in line.strip().strip("|").split("|")]
        if not header:
            header = cells
        elif "id" in header and not set(line) <= set("|-: "):
            row = dict(zip(header, cells, strict=True))
            found[row["id"]] = row
    return found


def status_of(name: str, row: Mapping[str, str]) -> Status:
    """How it ended, in the words of its table."""
    if "status / noise" in row:
        words = row["status / noise"].lower()
        if words.startswith("complete"):
            return Status.COMPLETE
        if "stuck" in words:
            return Status.STUCK
        if "unfinished" in words or "still falling" in words:
            return Status.UNFINISHED
        raise FolderError(f"{name}: the status {words!r} is none of complete, unfinished, still falling, stuck")
    words = row.get("last two equal", "")
    if words.startswith("yes"):
        return Status.LEVEL
    if words.startswith(("no", "held")):
        return Status.UNSURE
    raise FolderError(f"{name}: its table says neither status nor whether the last two readings were equal")


def _group(name: str) -> str:
    return re.sub(r"\d.*$", "", name)


def _read(file: Path, described: Mapping[str, Mapping[str, str]], half: Half) -> RealBatch:
    name = file.stem
    batch = name.split("_")[0]
    hours, plato, temp_c = _apparent(file)
    row = described.get(batch)
    end = _natural_end(hours, temp_c, row)
    status = status_of(name, row) if row is not None else _status_by_level(file)
    lager = row is None or "lager" in row.get("pitch", "")
    cool = bool(np.median(temp_c[: end + 1]) < COOL_C)
    day, gravity = hours[: end + 1] / 24.0, np.asarray(sg_from_plato(plato[: end + 1]), dtype=np.float64)
    reached = _level_at_end(day, gravity)
    ended = status in {Status.COMPLETE, Status.LEVEL}
    return RealBatch(
        name=name,
        group=_group(name),
        half=half,
        status=status,
        day=day,
        gravity_sg=gravity,
        temp_c=temp_c[: end + 1],
        works_c=13.0 if lager and cool else 20.0,
        last_sg=reached,
        final_sg=reached if ended else None,
        finished_day=_finished(day, gravity, reached) if ended else None,
    )


def _apparent(file: Path) -> tuple[Floats, Floats, Floats]:
    """Hours, apparent extract and temperature."""
    hours, values, units, temp_c = _columns(file)
    if units == "degP_apparent":
        plato = values
    elif units == "degP_real":
        plato = apparent_plato(values[0], values)
    elif units == "wt_pct_ethanol":
        original = float(_columns(_real_beside(file))[1][0])
        per_alcohol = EXTRACT_PER_ALCOHOL - (EXTRACT_PER_ALCOHOL - 1.0) / 100.0 * original
        plato = apparent_plato(original, original - np.maximum(values, 0.0) * per_alcohol)
    else:
        raise FolderError(f"{file.name}: the unit {units!r} is not known")
    return hours, plato, temp_c


def _real_beside(file: Path) -> Path:
    """The file with the real extract of the same batch."""
    beside = file.with_name(f"{file.stem.split('_')[0]}_real.csv")
    if not beside.exists():
        raise FolderError(
            f"{file.name}: the real extract of its batch should stand in {beside.name}, which is not there"
        )
    return beside


def apparent_plato(original: float, real: Floats) -> Floats:
    """What a hydrometer shows of this real extract [g/100 g], by Balling's balance and the density closure."""
    share = np.clip((original - real) / original, 0.0, 1.0)
    apparent = original * (1.0 - np.asarray(apparent_from_real_attenuation(sg_from_plato(original), share)))
    return np.asarray(apparent, dtype=np.float64)


def _columns(file: Path) -> tuple[Floats, Floats, str, Floats]:
    with file.open(encoding="utf-8", newline="") as opened:
        rows = list(csv.DictReader(opened))
    units = {each["unit"] for each in rows}
    if len(units) != 1:
        raise FolderError(f"{file.name}: one unit is wanted for the whole file, and there are {len(units)}")
    rows.sort(key=lambda each: float(each["time_h"]))
    temps = np.array([float(each["temp_c"]) if each["temp_c"] else np.nan for each in rows])
    if np.isnan(temps).all():
        temps = np.full(len(rows), LAGER_C)
    known = np.flatnonzero(~np.isnan(temps))
    return (
        np.array([float(each["time_h"]) for each in rows]),
        np.array([float(each["value"]) for each in rows]),
        units.pop(),
        np.interp(np.arange(len(rows)), known, temps[known]),
    )


def _natural_end(hours: Floats, temp_c: Floats, row: Mapping[str, str] | None) -> int:
    """Number of the last row before the chill: by the table's hour or by the thermometer, whichever is earlier."""
    stated = row.get("chill h", "") if row is not None else ""
    chill_h = float(stated) if stated else np.inf
    warm = float(np.median(temp_c[hours <= min(chill_h, 96.0)]))
    chilled = temp_c < warm - CHILLED_BY_K
    warm_rows = np.flatnonzero(~chilled & (hours < chill_h))
    return int(warm_rows[-1])


def _status_by_level(file: Path) -> Status:
    """Of a batch without a table: level where its real extract hardly fell over its last day."""
    hours, extract, _, _ = _columns(_real_beside(file))
    before = np.flatnonzero(hours <= hours[-1] - LEVEL_HOURS)
    if before.size == 0:
        raise FolderError(f"{file.name}: not in the README's tables, and too short to see whether it was level")
    return Status.LEVEL if extract[before[-1]] - extract[-1] <= LEVEL_PLATO else Status.UNSURE


def _level(day: Floats, gravity: Floats, at: float) -> float:
    if day.size > _DENSE:
        near = np.abs(day - at) <= 1.0 / 24.0 + 1e-6
        if near.any():
            return float(np.median(gravity[near]))
    return float(np.interp(at, day, gravity))


def _level_at_end(day: Floats, gravity: Floats) -> float:
    """Terminal gravity: of a sensor the median of its last twelve hours, of samples the last one."""
    if day.size > _DENSE:
        return float(np.median(gravity[day >= day[-1] - 0.5]))
    return float(gravity[-1])


def _finished(day: Floats, gravity: Floats, final: float) -> float:
    levels = np.array([_level(day, gravity, each) for each in day])
    above = np.flatnonzero(levels > final + NEAR_END_SG)
    if above.size == 0:
        return float(day[0])
    return float(day[min(above[-1] + 1, day.size - 1)])


def by_status(batches: Sequence[RealBatch], *wanted: Status) -> Iterator[RealBatch]:
    return (each for each in batches if each.status in wanted)
