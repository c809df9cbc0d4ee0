"""The forecast without a brew: readings typed in by day, and where they lead.

The forecaster stands on SciPy; it is imported when a forecast is asked for, so that no other sum waits for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from typing import TYPE_CHECKING, Any

from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.phrases import say
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import NORMAL_90
from gylebook.steps.chances import chance_figure, chance_words
from gylebook.steps.course import Course, Seen
from gylebook.steps.decision import Sum
from gylebook.steps.forecast_lines import MOST_DAYS
from gylebook.steps.forecast_typed import FIELDS, Typed, day_words, typed_of
from gylebook.steps.foretold import (
    GATE_CHANCE,
    MODEL,
    day_figure,
    diagnostics_words,
    gas_figure,
    gravity_figure,
    points_figure,
    share_figure,
    stories,
    story_name,
    told_apart,
)
from gylebook.units import show

if TYPE_CHECKING:
    from gylebook.forecast.answers import NextReading
    from gylebook.forecast.forecast import Forecast

_BEYOND_DAYS, _FAN_POINTS = 4.0, 49
_DOUBTED, _WRONG = 0.1, 0.3  # chances of a gross error that are told with the sum, and as a finding
_END = say("It should end at")
_RELATION = say("middle of the runs of a model of fermentation, each weighed by how well it explains the readings")
_CAUTION = say(
    "Beer bottled too early goes on making gas, half a volume for each point: glass under pressure injures eyes."
)


def _forecast(values: Mapping[str, Any]) -> Answer:
    typed = typed_of(values)
    from gylebook.forecast.forecast import forecast

    found = forecast(typed.evidence)
    sources, runs = _sources(typed), _runs(found)
    working = Working(_RELATION, typed.givens, sources, _steps(typed, found), MODEL)
    coming = found.next_reading()
    quiet = diagnostics_words(found.diagnostics)
    told = (
        told_apart(found, found.gross[-1], _settled(coming))
        if typed.read
        else say("A reading, once most of it has fermented.")
    )
    return Answer(
        _headline(typed, found, coming),
        _why(typed, found),
        Urgency.NOTHING,
        _figures(found, working, runs),
        findings=(
            *_wrong(typed, found),
            Finding(Urgency.NOTHING, _next_words(found, coming), key="next_reading"),
            *((Finding(Urgency.NOTHING, quiet, key="diagnostics"),) if quiet else ()),
        ),
        options=stories(found, runs, sources),
        missing=told,
        cautions=(_CAUTION,),
        assumed=typed.asked.assumed,
        course=_course(typed, found, coming),
    )


def _settled(coming: NextReading) -> float:
    return coming.chance if coming.day is not None else 0.0


def _headline(typed: Typed, found: Forecast, coming: NextReading) -> str:
    over = chance_words(found.unsafe)
    when = say(" Read again on day {day}.", day=day_words(coming.day)) if coming.day is not None and typed.read else ""
    if not typed.read:
        first = say(" Read first on day {day}.", day=day_words(coming.day)) if coming.day is not None else ""
        return say(
            "Nothing was read yet; it should end near {end}.{first}", end=show(found.final_sg.q50, 4), first=first
        )
    if found.unsafe < GATE_CHANCE:
        return say(
            "Finished, as far as these readings tell: {over} that more than 2 g/L of gas is still to come. "
            "It can be primed and bottled.",
            over=over,
        )
    return say("Not yet: {over} that more than 2 g/L of gas is still to come.{when}", over=over, when=when)


def _why(typed: Typed, found: Forecast) -> str:
    now, end = found.now_sg, found.final_sg
    likeliest = max(found.stories.items(), key=lambda pair: pair[1])
    parts = {
        "end": show(end.q50, 4),
        "low": show(end.q05, 4),
        "high": show(end.q95, 4),
        "story": story_name(found, likeliest[0]).lower(),
        "chance": chance_words(likeliest[1]),
    }
    if not typed.read:
        return say(
            "It should end at {end}, nine times in ten from {low} to {high}. Likeliest: {story}, {chance}.", **parts
        )
    return say(
        "It is at {now} and should end at {end}, nine times in ten from {low} to {high}. Likeliest: {story}, {chance}.",
        now=show(now.q50, 4),
        **parts,
    )


def _sources(typed: Typed) -> tuple[str, ...]:
    """What a forecast from these numbers rests on."""
    found = ["balling_nielsen_2007", "co2_stoichiometry", "error_propagation", "common_practice"]
    found += ["hydrometer_equilibrium", "density_closure"] if typed.read else []
    found += ["attenuation_make_up"] if "attenuation" not in typed.asked else []
    found += ["kirkpatrick_shellhammer_2018", "hop_creep_curve"] if typed.evidence.hops is not None else []
    found += ["stokholm_2020"] if typed.evidence.forced is not None else []
    return tuple(found)


def _runs(found: Forecast) -> tuple[Given, ...]:
    """What every figure but the first is taken from."""
    done = found.diagnostics
    value = say("{draws}, worth {ess} independent ones", draws=show(done.draws, 0), ess=show(done.ess, 0))
    return (Given(say("runs that explain the readings"), value, Basis.RECKONED, say("as for “{figure}”", figure=_END)),)


def _figures(found: Forecast, working: Working, runs: tuple[Given, ...]) -> tuple[Figure, ...]:
    half, one, two = found.left_under

    def of(relation: str, *steps: str, further: tuple[str, ...] = ()) -> Working:
        return Working(relation, runs, (*working.sources, *further), steps, MODEL)

    left = of(say("gravity now − where the sugar is gone, in each run"))
    gas = of(
        say("points left × the gas of a point, in each run"),
        say("a gravity point is {gas} g/L of gas", gas=show(CO2_G_PER_L_PER_SG / 1000, 2)),
    )
    day = of(say("the day on which less than one point is left, in each run"))
    share = of(say("(OG − FG) ÷ (OG − 1), in each run"), further=("by_definition",))
    chance = of(say("share of the runs in which it is so, each weighed by how well it explains the readings"))
    return (
        gravity_figure("fg", _END, found.final_sg, working),
        gravity_figure("now", say("It is now at"), found.now_sg, of(say("the gravity of each run on this day"))),
        points_figure(found.points_left, left),
        gas_figure(found.co2_left_g_per_l, gas),
        day_figure("end_day", say("Within a point of its end by day"), found.end_day, day),
        share_figure("attenuation", say("Apparent attenuation at its end"), found.attenuation, share),
        chance_figure("left_half", say("Less than half a point left"), half, chance),
        chance_figure("left_one", say("Less than one point left"), one, chance),
        chance_figure("left_two", say("Less than two points left"), two, chance),
        chance_figure("gas_over", say("More than 2 g/L of gas to come"), found.unsafe, chance),
    )


def _steps(typed: Typed, found: Forecast) -> tuple[str, ...]:
    steps = []
    for one, used, wrong in zip(typed.read, typed.evidence.readings, found.gross, strict=True):
        doubt = say("; {chance} that it is grossly wrong", chance=chance_words(wrong)) if wrong >= _DOUBTED else ""
        steps.append(
            say(
                "{line}: {gravity} ± {half} at 20 °C{doubt}",
                line=one.line,
                gravity=show(used.gravity_sg, 4),
                half=show(NORMAL_90 * used.sd_sg, 4),
                doubt=doubt,
            )
        )
    steps.append(say("by the make-up alone it would end at {end}", end=typed.expected.text()))
    steps += [say("runs of the model: {runs}", runs=given.value) for given in _runs(found)]
    return tuple(steps)


def _wrong(typed: Typed, found: Forecast) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            Urgency.MEASURE,
            say(
                "“{line}” does not fit the others: {chance} that it is grossly wrong.",
                line=one.line,
                chance=chance_words(wrong),
            ),
            say("Was it degassed, at about 20 °C, from this vessel?"),
            key="gross",
        )
        for one, wrong in zip(typed.read, found.gross, strict=True)
        if wrong >= _WRONG
    )


def _next_words(found: Forecast, coming: NextReading) -> str:
    if found.unsafe < GATE_CHANCE:
        return say("No further reading is needed: one more would hardly change that, costs beer and lets air in.")
    if coming.day is None:
        return say(
            "No reading of the next two weeks is likely to settle it by itself, and each costs beer and lets air in."
        )
    return say(
        "The next reading that would tell something is on day {day}: {chance} that it lets "
        "you bottle; before that it would mostly show what is known.",
        day=day_words(coming.day),
        chance=chance_words(coming.chance),
    )


def _course(typed: Typed, found: Forecast, coming: NextReading) -> Course:
    import numpy as np

    now, coming_day = typed.evidence.now_day, coming.day if found.unsafe >= GATE_CHANCE else None
    last = min(max(now, coming_day or now) + _BEYOND_DAYS, MOST_DAYS + _BEYOND_DAYS)
    fan = found.fan(np.linspace(0.0, last, _FAN_POINTS))
    low, half_low, middle, half_high, high = (
        tuple(float(v) for v in line) for line in (fan.q05, fan.q25, fan.q50, fan.q75, fan.q95)
    )
    seen = tuple(
        Seen(
            used.day,
            used.gravity_sg,
            used.gravity_sg - NORMAL_90 * hypot(used.sd_sg, used.lift_sg),
            used.gravity_sg + NORMAL_90 * used.sd_sg,
            one.line,
        )
        for one, used in zip(typed.read, typed.evidence.readings, strict=True)
    )
    end = typed.expected
    hops = typed.evidence.hops
    return Course(
        tuple(float(day) for day in fan.day),
        low,
        half_low,
        middle,
        half_high,
        high,
        seen,
        (end.value, end.low, end.high),
        now,
        coming_day,
        ((hops.day, say("hops in")),) if hops is not None else (),
    )


SUMS = (
    Sum(
        "forecast",
        say("Where a fermentation is going"),
        say("Is it finished? Where will it end, and when is a reading worth taking?"),
        FIELDS,
        _forecast,
        {
            "original": "1.042",
            "readings": "day 4: 1.018\nday 7: 1.0125\nday 9: 1.0115",
            "now": "9",
            "temp": "20 °C",
        },
    ),
)
