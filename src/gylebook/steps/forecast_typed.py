"""What was typed for a forecast without a brew, read into the forecaster's evidence: days and numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from typing import Any

from gylebook.errors import InputError
from gylebook.forecast import evidence as fe
from gylebook.journal import events as ev
from gylebook.phrases import say
from gylebook.science import hydrometer
from gylebook.steps import sums_fields
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import NORMAL_90, SG, Asked, figure, within
from gylebook.steps.fields import CHOICE, LONG_TEXT, QUANTITY, Field
from gylebook.steps.forecast_lines import MOST_DAYS, DayReading, read_readings, read_warmth
from gylebook.steps.gravity import FIZZ_SD
from gylebook.steps.makeup import final_gravity_expected, sg_of
from gylebook.units import Quantity, show

_SCALE_SD_SG = 0.0007  # reading the scale, meniscus included
_UNKNOWN_TEMP_C = 2.0  # a sample whose temperature was not written
_BY_TEMP_SG = 0.00025  # of one degree near 20 °C
_WORKS_C = {"ale": 20.0, "lager": 13.0}
_LEAST_ATTENUATION_SD = 0.02
_GIVEN_ATTENUATION_SD = 0.03  # what a brewer's own figure may be out by

FIELDS = (
    sums_fields.gravity("original", say("Original gravity"), required=True),
    Field(
        "original_error",
        say("Which may be wrong by, in gravity points"),
        QUANTITY,
        ("number",),
        possible=(0.2, 15.0),
        default="2",
        reason=say("wort that was stirred well, or weights and volume"),
        hint="2",
    ),
    Field(
        "readings",
        say("Readings of the beer by day"),
        LONG_TEXT,
        hint=say("One to a line, the day counted from the yeast: day 4: 1.020. May go on: at 21 °C, and: , fizzy"),
    ),
    Field(
        "now",
        say("Today is day"),
        QUANTITY,
        ("number",),
        possible=(0.0, MOST_DAYS),
        reason=say("the day of the last reading is taken"),
        hint="7",
    ),
    Field(
        "temp",
        say("The beer's temperature"),
        LONG_TEXT,
        default="20 °C",
        reason=say("an ordinary room"),
        hint=say("20 °C; where it changed, one to a line: day 3: 18 °C"),
    ),
    Field(
        "sugar",
        say("Share of plain sugar in the extract"),
        QUANTITY,
        ("share",),
        possible=(0.0, 100.0),
        default="0 %",
        reason=say("all malt"),
        hint=say("40 % for a can with its kilogram of sugar"),
    ),
    Field(
        "attenuation",
        say("Apparent attenuation expected"),
        QUANTITY,
        ("share",),
        possible=(30.0, 110.0),
        reason=say("it follows from malt and sugar"),
        hint="75 %",
    ),
    Field(
        "yeast",
        say("Kind of yeast"),
        CHOICE,
        choices=(("ale", say("ale")), ("lager", say("lager"))),
        default="ale",
        reason=say("most kits hold ale yeast"),
    ),
    Field("hops", say("Dry hops"), QUANTITY, ("concentration",), possible=(0.0, 30.0), hint="4 g/L"),
    Field("hops_day", say("They went in on day"), QUANTITY, ("number",), possible=(0.0, MOST_DAYS), hint="6"),
    sums_fields.gravity("forced", say("A forced sample came to rest at")),
)


def day_words(day: float) -> str:
    """A day's number: "4", or "4.5"."""
    return show(day, 1).removesuffix(".0")


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed, read: evidence for the forecaster, and where the wort should end before any reading."""

    asked: Asked
    read: tuple[DayReading, ...]
    evidence: fe.Evidence
    expected: Figure

    @property
    def givens(self) -> tuple[Given, ...]:
        """Everything that went in."""
        said = "now" in self.asked
        where = "" if said else say("the last reading") if self.read else say("nothing was read")
        day = say("day {day}", day=day_words(self.evidence.now_day))
        now = Given(say("today"), day, Basis.ASKED if said else Basis.ASSUMED, where)
        expected = Given(say("end by the make-up"), self.expected.text(), Basis.RECKONED)
        return (*(g for g in self.asked.givens if g.name != "Today is day"), now, expected)


def typed_of(values: Mapping[str, Any]) -> Typed:
    """Read what was typed.

    Raises
    ------
    InputError
        For what cannot be, naming the field and the line.
    """
    asked = Asked(FIELDS, values)
    og, og_sd = asked.need_gravity("original"), asked.need("original_error") / 1000 / NORMAL_90
    if og < 1.002:
        raise InputError(
            say("Original gravity"),
            say("{og} is hardly wort", og=show(og, 4)),
            say("write the gravity before the yeast"),
        )
    read = read_readings(asked.word("readings"), say("Readings"))
    now = _now(asked, read)
    expected, attenuation, attenuation_sd = _expected(asked, og, og_sd)
    evidence = fe.Evidence(
        tuple(_reading(one, og) for one in read),
        now,
        fe.Known(og_sg=og, og_sd_sg=og_sd, attenuation=attenuation, attenuation_sd=attenuation_sd),
        _warmth(asked),
        _hops(asked, now),
        (),
        _forced(asked),
    )
    return Typed(asked, read, evidence, expected)


def _now(asked: Asked, read: tuple[DayReading, ...]) -> float:
    now = asked.number("now")
    if now is None:
        return read[-1].day if read else 0.0
    late = next((one for one in read if one.day > now), None)
    if late is not None:
        problem = say(
            "day {day} is still to come on day {today}",
            day=day_words(late.day),
            today=day_words(now),
        )
        raise InputError(say("Readings, line {number}", number=_line_of(asked, late)), problem, say("check both days"))
    return now


def _line_of(asked: Asked, reading: DayReading) -> int:
    lines = [line.strip() for line in asked.word("readings").splitlines()]
    return lines.index(reading.line) + 1


def _expected(asked: Asked, og: float, og_sd: float) -> tuple[Figure, float, float]:
    """Where it should end before any reading, and the share of the points that go, with its standard deviation."""
    given = asked.number("attenuation")
    if given is not None:
        share, sd = given / 100, _GIVEN_ATTENUATION_SD
        spread = NORMAL_90 * hypot(sd * (og - 1), og_sd * (1 - share))
        working = Working(
            say("original gravity − attenuation × points"), asked.given("attenuation"), ("by_definition",)
        )
        value = og - share * (og - 1)
        return figure("expected", say("End by the make-up"), value, SG, working, spread=spread), share, sd
    sugar = asked.need("sugar") / 100
    parts = (("dried_malt_extract", 1 - sugar), ("sucrose", sugar))
    made = tuple(
        ev.Ingredient(material=key, mass=Quantity(f"{share:.6f}", "kg"), solids=Quantity("100", "%"))
        for key, share in parts
        if share > 0
    )
    end = final_gravity_expected(made, og, og_sd)
    within(end.value, say("Original gravity"), say("no beer is made of that"), say("check the original gravity"))
    alone = final_gravity_expected(made, og)
    sd = (alone.high - alone.low) / 2 / NORMAL_90 / (og - 1)
    return end, (og - end.value) / (og - 1), max(sd, _LEAST_ATTENUATION_SD)


def _reading(one: DayReading, og: float) -> fe.Reading:
    read = _as_read_sg(one)
    temp = one.temp.to("°C", "temperature") if one.temp is not None else 20.0
    wort = one.day <= 0
    true = hydrometer.true_sg(read, temp, 20.0, 0.0) if wort else hydrometer.true_sg_beer(read, temp, og, 20.0, 0.0)
    sg = within(
        true,
        say("Readings"),
        say("“{line}” cannot be corrected", line=one.line),
        say("write 0.98 to 1.15 SG, at 0 to 40 °C"),
    )
    step = one.gravity.resolution() / 2 * (1.0 if one.gravity.unit == "SG" else 0.004)
    unknown = _UNKNOWN_TEMP_C * _BY_TEMP_SG if one.temp is None else 0.0
    return fe.Reading(one.day, sg, hypot(_SCALE_SD_SG, step / NORMAL_90, unknown), 0.0 if wort else FIZZ_SD[one.fizz])


def _as_read_sg(one: DayReading) -> float:
    """What was read, in SG."""
    return within(
        sg_of(one.gravity),
        say("Readings"),
        say("“{line}” is beyond the sugar tables", line=one.line),
        say("write 0.98 to 1.15 SG"),
    )


def _warmth(asked: Asked) -> fe.Warmth:
    steps = read_warmth(asked.word("temp"), say("The beer's temperature"))
    return fe.Warmth(
        tuple(day for day, _ in steps), tuple(temp for _, temp in steps), _WORKS_C[asked.word("yeast") or "ale"]
    )


def _hops(asked: Asked, now: float) -> fe.Hops | None:
    dose, day = asked.number("hops"), asked.number("hops_day")
    if not dose:
        return None
    if day is None:
        raise InputError(
            say("They went in on day"), say("nothing was written"), say("write the day on which the hops went in")
        )
    if day > now:
        raise InputError(
            say("They went in on day"),
            say(
                "day {day} is still to come on day {today}",
                day=day_words(day),
                today=day_words(now),
            ),
            say("leave out hops not yet in"),
        )
    return fe.Hops(day, dose)


def _forced(asked: Asked) -> fe.Forced | None:
    rest = asked.gravity("forced")
    return fe.Forced(rest) if rest is not None else None
