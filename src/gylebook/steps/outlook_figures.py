"""The figures of an outlook, each with its working: what the forecast says, in a brewer's words and units."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Spread
from gylebook.phrases import joined, say, say_amount
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import NORMAL_90, Shown
from gylebook.steps.chances import chance_figure, chance_words
from gylebook.steps.outlook_evidence import Told
from gylebook.steps.outlook_facts import DAY, Facts
from gylebook.steps.outlook_gates import RULE, UNTRUSTED, Seen, warm_days
from gylebook.steps.strength_sum import nearest_pair, strength_figure
from gylebook.steps.volumes import Z90
from gylebook.units import show

MOST_HELD_VOL = 5.0  # more than even heavy glass is filled with
_LEAST_UPPER_POINTS = 1.0
_CO2_PER_POINT, _CO2_PER_POINT_HIGH = 0.97, 1.05  # [g/L]
_RELATION = say("every course of fermentation that explains the readings, each weighed by how well it does")
_NORMAL_50, _NORMAL_95 = 0.6745, 1.95996
_COUNTS = (say("half a point"), say("one point"), say("two points"))
_CHANCES = ("left_half", "left_one", "left_two")


def working_of(seen: Seen, told: Told, *steps: str) -> Working:
    """What every figure of the forecast rests on, with the lines of this one."""
    facts, evidence = seen.facts, told.evidence
    known = evidence.known
    beer = [r for r in facts.readings if r.at <= told.seen_at]
    givens = [
        Given(say("original gravity by weight"), _plus_minus(known.og_sg, known.og_sd_sg, 4), Basis.RECKONED),
        Given(
            say("attenuation of the make-up"),
            say(
                "{attenuation} ± {spread} % of the points",
                attenuation=show(100 * known.attenuation, 0),
                spread=show(100 * Z90 * known.attenuation_sd, 0),
            ),
            Basis.LEARNED if told.learned else Basis.RECKONED,
            joined("; ", told.learned),
        ),
        *(
            Given(say("true gravity"), r.figure().text(), Basis.RECKONED, say("entry {seq}", seq=r.seq), r.seq)
            for r in beer[-6:]
        ),
        _warmth(facts, told),
    ]
    sources = ["error_propagation", "common_practice"]
    if evidence.hops is not None:
        hops = say(
            "{dose} g/L, on day {day}",
            dose=show(evidence.hops.dose_g_per_l, 1),
            day=show(evidence.hops.day, 0),
        )
        givens.append(Given(say("dry hops"), hops, Basis.MEASURED))
        sources += ["kirkpatrick_shellhammer_2018", "hop_creep_curve"]
    if facts.forced is not None:
        forced = show(1 + facts.forced.points / 1000, 4)
        givens.append(
            Given(
                say("forced sample"), forced, Basis.MEASURED, say("entry {seq}", seq=facts.forced.seq), facts.forced.seq
            )
        )
        sources.append("stokholm_2020")
    cautions = [RULE] if seen.is_explained else [RULE, say("Nothing in the model explains these readings well.")]
    return Working(_RELATION, tuple(givens), tuple(sources), (*steps, *_how(seen, told)), tuple(cautions))


def _warmth(facts: Facts, told: Told) -> Given:
    basis = Basis.MEASURED if facts.track.known else Basis.ASSUMED
    days = show(warm_days(facts, told.seen_at), 1)
    words = say(
        "{days} days in the warmth, {temp} then",
        days=days,
        temp=say_amount(facts.track.at_moment(told.seen_at), 0, "°C"),
    )
    return Given(say("temperature"), words, basis, say("the log") if facts.track.known else say("an ordinary room"))


def _how(seen: Seen, told: Told) -> tuple[str, ...]:
    done = seen.forecast.diagnostics
    day = show((told.seen_at - told.pitched_at) / DAY, 1)
    lines = [say("as of day {day}, the last that is known of", day=day), *told.notes]
    lines.append(say("{draws} courses weighed, worth {ess} equally good ones", draws=done.draws, ess=show(done.ess, 0)))
    return tuple(lines)


def _plus_minus(value: float, sd: float, digits: int) -> str:
    return say("{value} ± {spread} SG", value=show(value, digits), spread=show(Z90 * sd, digits))


_SG, _POINTS = Shown("SG", "gravity", 4), Shown("points", "", 1)


def _figure(key: str, label: str, spread: Spread, shown: Shown, working: Working) -> Figure:
    low, value, high = spread.q05, spread.q50, spread.q95
    half = (spread.q25, spread.q75)
    return Figure(key, label, value, low, high, shown.unit, shown.dimension, shown.digits, working, half=half)


def expected(seen: Seen, told: Told) -> Figure:
    """Where it should end."""
    working = working_of(
        seen,
        told,
        say("by the make-up alone {text}", text=seen.facts.fg.text()),
        *((say("a small sample and its brew differ by about a point"),) if seen.facts.forced is not None else ()),
    )
    return _figure("fg", say("Final gravity expected"), seen.forecast.final_sg, _SG, working)


def now(seen: Seen, told: Told, keys: frozenset[str]) -> Figure | None:
    """Where it is at the last thing known of; None without a reading since the yeast went in."""
    if not seen.facts.readings:
        return None
    if "below_possible" in keys:
        return seen.facts.readings[-1].figure(
            "now", say("Gravity now")
        )  # what no forecast expects is told as it was read
    raw = joined(", ", (r.raw.said() for r in seen.facts.readings[-4:]))
    working = working_of(seen, told, say("read as {raw}", raw=raw))
    return _figure("now", say("Gravity now"), seen.forecast.now_sg, _SG, working)


def expected_in_cold(facts: Facts) -> Figure:
    """By the make-up alone: a reading in the cold says nothing of the end."""
    steps = (*facts.fg.working.steps, say("readings in the cold say nothing of the end: the make-up's stands"))
    return replace(facts.fg, working=replace(facts.fg.working, steps=steps))


def points_left(seen: Seen, told: Told, keys: frozenset[str]) -> Figure:
    """Points still to fall."""
    forecast = seen.forecast
    if "below_possible" in keys:
        return _left_when_wild(seen, told)
    if "cold" in keys:
        return _left_in_cold(seen, told)
    steps = [
        say("chance of less than {words}: {chance_words}", words=words, chance_words=chance_words(p))
        for words, p in zip(_COUNTS, forecast.left_under, strict=True)
    ]
    if seen.facts.hops_g:
        hops = forecast.hop_points
        steps.append(
            say(
                "of these, hops may still wake {q50} (up to {q95}) points", q50=show(hops.q50, 1), q95=show(hops.q95, 1)
            )
        )
    working = working_of(seen, told, *steps)
    return _promised(_figure("points_left", say("Points left"), forecast.points_left, _POINTS, working))


def _left_when_wild(seen: Seen, told: Told) -> Figure:
    now_points = 1000 * (seen.facts.readings[-1].gravity_sg - 1)
    words = say("below what brewing yeast can reach: something else may go on down to 0.998")
    middle, high = max(0.0, (now_points + 1.0) / 2), max(2.0, now_points + 2.0)
    working = replace(
        working_of(seen, told, words), relation=say("from the last reading half-way to 0.999, and to 0.998")
    )
    return Figure("points_left", say("Points left"), middle, 0.0, high, "points", "", 1, working)


def _left_in_cold(seen: Seen, told: Told) -> Figure:
    here, end = seen.facts.readings[-1].figure(), seen.facts.fg
    value = 1000 * (here.value - end.value)
    half = hypot(500 * (here.high - here.low), 500 * (end.high - end.low))
    words = say(
        "{here} − {end}, the make-up's end: a reading in the cold says nothing of it",
        here=show(here.value, 4),
        end=show(end.value, 4),
    )
    working = replace(working_of(seen, told, words), relation=say("last reading − expected end by the make-up"))
    return _promised(
        Figure("points_left", say("Points left"), value, value - half, value + half, "points", "", 1, working)
    )


def co2_to_come(seen: Seen, told: Told, left: Figure, keys: frozenset[str]) -> Figure:
    """The gas that would come of them [vol]; the upper end as in a bottle, where hardly any yeast grows."""
    limit = show(UNSAFE_CO2_G_PER_L, 0)
    half_low, value, half_high = (_volumes(end) for end in _half(left))
    low, high = _volumes(left.low), _CO2_PER_POINT_HIGH * left.high / CO2_G_PER_L_PER_VOLUME
    working = replace(
        working_of(
            seen,
            told,
            say(
                "{left} points × {each} g/L, at most {most} × {most_each} g/L, ÷ {volume} g/L in a volume",
                left=show(left.value, 1),
                each=show(_CO2_PER_POINT, 2),
                most=show(left.high, 1),
                most_each=show(_CO2_PER_POINT_HIGH, 2),
                volume=show(CO2_G_PER_L_PER_VOLUME, 3),
            ),
            *(
                []
                if keys & UNTRUSTED
                else [
                    say(
                        "chance of more than {limit} g/L: {chance_words}",
                        limit=limit,
                        chance_words=chance_words(seen.forecast.unsafe),
                    )
                ]
            ),
        ),
        sources=("balling_nielsen_2007", "co2_stoichiometry", "density_closure", "error_propagation"),
    )
    half = (half_low, half_high) if left.half else None
    words = gas_range_words(value, high)
    return Figure(
        "co2_to_come", say("Gas still to come"), value, low, high, "vol", "co2", 1, working, words=words, half=half
    )


def _volumes(points: float) -> float:
    return _CO2_PER_POINT * points / CO2_G_PER_L_PER_VOLUME


def _half(figure: Figure) -> tuple[float, float, float]:
    """Ends and middle of a figure's middle half."""
    low, high = figure.half or (figure.low, figure.high)
    return low, figure.value, high


def _promised(figure: Figure) -> Figure:
    """What is left is never below nothing, and no hydrometer can promise less than a point."""
    working = figure.working
    if figure.high < _LEAST_UPPER_POINTS:
        line = say(
            "by the courses at most {most}; no hydrometer can promise less than a point",
            most=show(max(figure.high, 0.0), 1),
        )
        working = replace(working, steps=(line, *working.steps))
    low, value, high = _half(figure)
    return replace(
        figure,
        value=max(value, 0.0),
        low=max(figure.low, 0.0),
        high=max(figure.high, _LEAST_UPPER_POINTS),
        half=(max(low, 0.0), max(high, 0.0)) if figure.half else None,
        working=working,
    )


def gas_words(volumes: float) -> str:
    """An upper end of gas, to stand in a sentence: beyond what any bottle holds its number says nothing."""
    return (
        say("more gas than any bottle holds")
        if volumes > MOST_HELD_VOL
        else say("up to {volumes} vol of gas", volumes=show(volumes, 1))
    )


def gas_range_words(volumes: float, high: float) -> str:
    """The words of a figure of gas that goes beyond what any bottle holds; "" where it does not."""
    if volumes > MOST_HELD_VOL:
        return say("more than any bottle holds")
    return (
        say("{volumes} vol, perhaps more than any bottle holds", volumes=show(volumes, 1))
        if high > MOST_HELD_VOL
        else ""
    )


def chances(seen: Seen, told: Told) -> tuple[Figure, ...]:
    """How likely it is that less than half a point, one and two points are left [%]."""
    working = working_of(seen, told)
    return tuple(
        chance_figure(key, say("Chance of less than {words} left", words=words), p, working)
        for key, words, p in zip(_CHANCES, _COUNTS, seen.forecast.left_under, strict=True)
    )


def strength(seen: Seen) -> Figure:
    """Alcohol at the end, without priming, key "strength": nine times in ten, and the middle half."""
    facts, final = seen.facts, seen.forecast.final_sg
    og, fg = nearest_pair(facts.og.value, final.q50)
    inputs = (
        Given(say("original gravity"), facts.og.text(), Basis.RECKONED, facts.og.working.relation),
        Given(
            say("final gravity expected"), say("{q50} SG", q50=show(final.q50, 4)), Basis.RECKONED, say("the forecast")
        ),
    )
    og_sd = min(max(facts.og.high - facts.og.low, 0.0) / 2 / Z90, 0.02)
    found = strength_figure(og, fg, inputs, og_sd=og_sd, fg_sd=min(final.sd, 0.02), priming_g_per_l=0.0)
    down, up = found.value - found.low, found.high - found.value
    nine, half = NORMAL_90 / _NORMAL_95, _NORMAL_50 / _NORMAL_95
    return replace(
        found,
        key="strength",
        label=say("Strength expected, without priming"),
        low=found.value - nine * down,
        high=found.value + nine * up,
        half=(found.value - half * down, found.value + half * up),
        interval=say("nine times in ten"),
    )


def slope(facts: Facts) -> Figure | None:
    """The fall over the last stretch of readings; None for fewer than two."""
    line = facts.line
    if line is None:
        return None
    half = Z90 * line.slope_se
    working = Working(
        say("weighted least squares through the last stretch of readings"),
        (
            Given(
                say("readings"),
                say("{count} over {span_days} days", count=line.count, span_days=show(line.span_days, 1)),
                Basis.MEASURED,
            ),
        ),
        ("error_propagation",),
        (
            say(
                "standard error {slope_se} points a day: spacing lessens it more than counting does",
                slope_se=show(line.slope_se, 2),
            ),
        ),
    )
    value = line.slope
    return Figure("slope", say("Slope"), value, value - half, value + half, "points/day", "", 2, working)
