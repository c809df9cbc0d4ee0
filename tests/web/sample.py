"""An invented brew, as a step would answer about it. Nothing here was measured; the names are made up."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import exp
from types import SimpleNamespace
from zoneinfo import ZoneInfo

from gylebook.errors import InputError
from gylebook.outputs.chart import Ask, Band, Chart, EventMark, Gate, Line, Reading
from gylebook.steps import fields
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, MomentFigure, Option, Urgency, Working
from gylebook.steps.fields import Field
from gylebook.web.asked import Asked

ZONE = ZoneInfo("Europe/London")
START = datetime(2026, 11, 3, 18, 30, tzinfo=UTC)

WORKING = Working(
    relation="Reading, moved to 20 °C by the density of sugar water and the glass's expansion",
    inputs=(
        Given("reading", "1.0135 SG", Basis.MEASURED, "entry 9, Tue 10 Nov", 9),
        Given("sample's temperature", "21 °C", Basis.MEASURED, "entry 9, Tue 10 Nov", 9),
        Given("hydrometer's temperature", "20 °C", Basis.ASSUMED, "none is written down for this glass"),
    ),
    sources=("bubnik_1995", "hydrometer_equilibrium"),
    steps=(
        "1.0135 + 0.0002 for 1 °C over the mark",
        "half a scale step either side, once for reading and once for bubbles",
    ),
    cautions=("A glass with a slipped paper scale reads the same every time, and wrong every time.",),
)
GRAVITY = Figure("gravity", "Gravity now", 1.0137, 1.0129, 1.0145, "SG", "gravity", 4, WORKING)
FINAL = Figure("final", "Will finish at", 1.0121, 1.0102, 1.0139, "SG", "gravity", 4, WORKING)
STRENGTH = Figure("strength", "Strength", 4.1, 3.9, 4.35, "% vol", "strength", 1, WORKING)
LEFT = Figure("left", "Chance of a point left", 0.83, 0.7, 0.92, "", "number", 2, WORKING, words="17 in 100")
SUGAR = Figure("sugar", "Sugar for the batch", 118, 104, 131, "g", "mass", 0, WORKING)
DONE_ON = MomentFigure(
    "done",
    "Within a point by",
    START + timedelta(days=9),
    START + timedelta(days=8),
    START + timedelta(days=13),
    WORKING,
)
ANSWER = Answer(
    headline="Leave it. Read again on Thursday evening.",
    why="It is slowing, not stuck: two readings in five days still fell, and the room has been at 19 °C since Saturday. "
    "Bottling tonight could add 0.2 to 1.1 volumes in your swing-top bottles.",
    urgency=Urgency.MEASURE,
    figures=(GRAVITY, FINAL, DONE_ON, STRENGTH, SUGAR, LEFT),
    findings=(
        Finding(
            Urgency.DANGER, "Eleven bottles of batch 24 stand at 31 °C in the loft.", "Open one, cold, over a sink."
        ),
        Finding(Urgency.ACT, "The hops have been in for five days; take them out today."),
        Finding(Urgency.MEASURE, "One degassed reading on Thursday should settle it.", "a fall of less than 0.0005"),
        Finding(Urgency.WAIT, "Yeast is still clearing up; nothing to gain before the weekend."),
        Finding(Urgency.NOTHING, "The foam has dropped. That is as it should be."),
    ),
    options=(
        Option("Brewing sugar, 1 kg", (FINAL, STRENGTH), "thinner and drier", chosen=True),
        Option("Spray malt, 1 kg", (FINAL, STRENGTH), "rounder, ends higher"),
    ),
    missing="At which temperature was the reading of Friday taken?",
    cautions=(
        "Glass under pressure: bottles that hold at 18 °C may not hold at 30 °C. Keep them cool, boxed and covered.",
    ),
    rule_of_thumb="two like readings two days apart; with your hydrometer that leaves half a point unseen.",
    assumed=("the hydrometer was made for 20 °C", "the sample was flat"),
)
STAGES = [
    SimpleNamespace(words=words, state=state, days=None)
    for words, state in (
        ("planned", "past"),
        ("mixed", "past"),
        ("fermenting, day 7", "now"),
        ("racked", "next"),
        ("bottled", "next"),
        ("drinking", "next"),
    )
]


def log_lines() -> list[SimpleNamespace]:
    """The log of the invented brew, newest first."""

    def line(seq, days, ink, remark="", *, struck=False, instead="", figures=()):
        findings = (Finding(Urgency.NOTHING, remark),) if remark else ()
        return SimpleNamespace(
            seq=seq, at=START + timedelta(days=days), ink=ink, struck=struck, instead=instead,
            address=f"/brews/27/entries/{seq}/", note=SimpleNamespace(figures=figures, findings=findings),
        )  # fmt: skip

    return [
        line(9, 7, "Reading 1.0135 at 21 °C, from the tap, flat", figures=(("at 20 °C it is", GRAVITY),)),
        line(8, 5, "Reading 1.0155 at 20 °C, fizzy", "bubbles may lift it by 0.001 to 0.003; counted lightly"),
        line(7, 4, "Moved to the spare room, 19 °C"),
        line(5, 3, "Reading 1.027 at 22 °C", "half way, a little quicker than usual"),
        line(3, 0, "Reading 1.034", "by weight and volume 1.0425 to 1.0445", struck=True, instead="1.043: not stirred"),
        line(2, 0, "Mixed 3.0 kg liquid malt extract to 21.5 L; pitched 11 g at 21 °C", "0.5 g of yeast a litre"),
    ]


def chart(**changed) -> Chart:
    """The chart of the invented brew."""
    moments = tuple(START + timedelta(hours=6 * n) for n in range(60))
    days = [(at - START).total_seconds() / 86400 for at in moments]
    middle = tuple(1.0118 + 0.0315 / (1 + exp(1.05 * (day - 2.4))) for day in days)
    wide = [0.0009 + 0.0012 * abs(1 - exp(-day / 6)) + 0.004 * exp(-((day - 2.2) ** 2)) for day in days]
    bands = tuple(
        Band(
            level,
            moments,
            tuple(m - share * w for m, w in zip(middle, wide, strict=True)),
            tuple(m + share * w for m, w in zip(middle, wide, strict=True)),
        )
        for level, share in ((0.5, 0.5), (0.9, 1.5))
    )  # fmt: skip
    given = {
        "title": "Gravity of No. 27, Lantern brown",
        "readings": (
            Reading(START, 1.034, 1.0325, 1.0355, "Reading 1.034", struck=True),
            Reading(START + timedelta(hours=1), 1.0433, 1.0423, 1.0443, "Reading 1.043"),
            Reading(START + timedelta(days=3), 1.0275, 1.0266, 1.0284, "Reading 1.027"),
            Reading(START + timedelta(days=5), 1.0155, 1.0129, 1.0164, "Reading 1.0155"),
            Reading(START + timedelta(days=7), 1.0137, 1.0129, 1.0145, "Reading 1.0135"),
        ),
        "bands": bands,
        "middle": Line(moments, middle),
        "gates": (Gate(1.016, "hops below"), Gate(1.012, "leaflet: ready at")),
        "events": (
            EventMark(START + timedelta(hours=2), "pitched"),
            EventMark(START + timedelta(days=4), "moved, 19 °C"),
            EventMark(START + timedelta(days=5.2), "hops in"),
        ),
        "ask": Ask(START + timedelta(days=9), middle[36], "read on Thu"),
        "now": START + timedelta(days=7.1),
        "zone": ZONE,
        "key": "c27",
    }
    return Chart(**{**given, **changed})


GRAVITY_FIELD = Field(
    "gravity", "Gravity", fields.QUANTITY, ("gravity", "extract"), required=True, possible=(0.98, 1.2),
    usual=(0.995, 1.15), hint="As the glass shows it, bottom of the meniscus; the book moves it to 20 °C.",
)  # fmt: skip
ASKED = [
    Asked.of(
        GRAVITY_FIELD,
        "1062",
        error=InputError("Gravity", "1062 SG cannot be", "write a value from 0.98 to 1.2 SG", "1.062"),
    ),
    Asked.of(
        Field("temp", "Sample's temperature", fields.QUANTITY, ("temperature",), possible=(-2, 100), usual=(2, 40),
              default="20 °C", reason="most samples cool to the room"),
        "68",
        error=InputError("Sample's temperature", "68 °C would be most unusual", "check it, and confirm it if it is true", "68 °F"),
    ),
    Asked.of(Field("fizz", "Fizz", fields.CHOICE, choices=(("flat", "flat"), ("some", "some"), ("fizzy", "fizzy"))), "flat"),
    Asked.of(Field("stirred", "Stirred before?", fields.FLAG)),
    Asked.of(Field("bottles", "Bottles", fields.COUNT)),
    Asked.of(Field("when", "When", fields.MOMENT), "2026-11-10T18:30"),
    Asked.of(Field("best_before", "Best before", fields.DATE)),
    Asked.of(Field("from", "Taken from", fields.CHOICE, choices=tuple((w, w) for w in ("tap", "top", "thief", "jar", "sample", "other")))),
    Asked.of(Field("looks", "Looks", fields.LONG_TEXT, hint="Colour, clarity, foam; as you would tell a friend.")),
]  # fmt: skip
