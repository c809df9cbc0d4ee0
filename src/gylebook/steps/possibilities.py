"""Done, slow or stalled, side by side; the cheapest experiment that tells them apart; and the customary rules."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.science.attenuation import apparent_attenuation
from gylebook.steps.answers import Option
from gylebook.steps.outlook_facts import DAY, Facts, gate_sg
from gylebook.steps.outlook_rule import (
    Lack,
    is_above,
    is_below_possible,
    is_cold,
    limit_points,
    warm_days,
)
from gylebook.units import show

FORCED_SAMPLE = (
    "Forced sample: draw 150 mL into a clean jar, stir in a pinch of fresh dried yeast, cover loosely, keep it at "
    "25 to 28 °C for three days, swirl it twice a day, let it go flat, read it and write it down as a forced sample. "
    "Where it stops, the brew should stop. Do not pour it back."
)
_ALL_MALT_ATTENUATION = 0.72
_LIKE_POINTS = 1.0


@dataclass(frozen=True, slots=True)
class Experiment:
    """The cheapest thing that would tell the possibilities apart; `key` is stable, for tests and machines."""

    key: str
    words: str


def possibilities(facts: Facts, lacking: tuple[Lack, ...]) -> tuple[Option, ...]:
    """What may be going on, each with what speaks for and against it; the likeliest is marked."""
    now = facts.now_points
    if now is None or facts.pitched_at is None:
        return ()
    keys = {lack.key for lack in lacking}
    if is_below_possible(facts):
        words = f"{_sg(now[0])} is lower than brewing yeast takes this make-up. Another yeast, or a slip in an entry."
        return (Option("Something else", (), words, chosen=True),)
    likely = _likeliest(facts, keys)
    return (
        Option("Done", (), _for_done(facts, now[0], keys), chosen=likely == "Done"),
        Option("Slow", (), _for_slow(facts, keys), chosen=likely == "Slow"),
        Option("Stalled", (), _for_stalled(facts, now[0], keys), chosen=likely == "Stalled"),
    )


def _likeliest(facts: Facts, keys: set[str]) -> str:
    if not is_above(facts):
        return "Slow" if "falls" in keys else "Done"
    flat = facts.line is not None and not facts.line.falls and facts.line.firm_span_days >= 2.0
    return "Stalled" if flat or ("cold" in keys and warm_days(facts) >= 4.0) else "Slow"


def _for_done(facts: Facts, now: float, keys: set[str]) -> str:
    limit = limit_points(facts)
    where = "the forced sample" if facts.forced else "the make-up"
    level = (
        f"{_sg(now)} is above {_sg(limit)}, the highest end by {where}"
        if now > limit
        else (f"{_sg(now)} lies where {where} says it should end")
    )
    line = facts.line
    if line is None:
        return f"{level}; one reading says nothing about its slope."
    if line.falls:
        return f"{level}; but it still falls by {show(-line.slope, 1)} points a day."
    hops = "; but hops went in, and can wake it" if "hops" in keys else ""
    return f"{level}; level within ±{show(1.645 * line.slope_se, 1)} points a day{hops}."


def _for_slow(facts: Facts, keys: set[str]) -> str:
    end = facts.readings[-1].at
    assert facts.pitched_at is not None
    mean = facts.track.mean_c(max(facts.pitched_at, end - 3 * DAY), end)
    about = "read or known" if facts.track.known else "assumed"
    pace = facts.track.pace(mean)
    words = f"{show(warm_days(facts), 1)} warm days so far; about {show(mean, 0)} °C lately ({about})"
    if pace < 0.7:
        words += f", where a day does about {show(100 * pace, 0)} % of a day at {show(facts.track.works_c, 0)} °C"
    return words + ("; it still falls." if "falls" in keys else ".")


def _for_stalled(facts: Facts, now: float, keys: set[str]) -> str:
    over = now - facts.end_points[0]
    if is_above(facts):
        cold = " The cold can have put the yeast to sleep; bottles in the warm would wake it." if "cold" in keys else ""
        points = "point" if show(over, 0) == "1" else "points"
        return f"{show(over, 0)} {points} above where it should end.{cold}"
    return "Possible where the readings were cold." if "cold" in keys else "Nothing points to it at this gravity."


def experiment(facts: Facts, lacking: tuple[Lack, ...]) -> Experiment | None:
    """The cheapest step that separates the possibilities; None where nothing is open."""
    keys = {lack.key for lack in lacking}
    last = facts.last
    if last is None or not lacking:
        return None
    if keys & {"below_possible"}:
        return Experiment("water", _WATER)
    if last.lightly:
        return Experiment("degas", _DEGAS)
    if is_cold(facts):
        return Experiment("warm", _WARM.format(works=show(facts.track.works_c, 0)))
    if keys & {"falls", "early"}:
        return Experiment("wait", "Leave it in the warm and read again; time is the cheapest experiment.")
    if not is_above(facts):
        if keys == {"gate"}:
            return Experiment("forced", FORCED_SAMPLE)
        return Experiment("read", "One more flat, degassed reading; nothing else is needed.")
    if facts.forced is None:
        flat = facts.line is not None and facts.line.firm_span_days >= 2.0
        return Experiment("forced", FORCED_SAMPLE) if flat else Experiment("degas", _DEGAS)
    return Experiment("repitch", _REPITCH)


_WATER = (
    "Put the hydrometer in plain water at its scale's temperature: it must show 1.000. Then repeat the reading on a "
    "degassed sample, and check the entries of what went in."
)
_DEGAS = (
    "Degas and repeat: pour the sample between two glasses until it stops foaming, bring it to about 20 °C, spin the "
    "hydrometer and read at eye level. Bubbles lift it by one to four points."
)
_WARM = (
    "Warm it to {works} °C, swirl the closed vessel to stir the yeast up, do not open it, and read again after three "
    "days. A sleeping yeast moves by two points or more; a finished beer does not."
)
_REPITCH = (
    "The forced sample went lower than the brew: there is food and the yeast is not taking it. Warm and rouse it; if "
    "it has not moved by two points in three days, add fresh yeast that is already foaming."
)


def customary(facts: Facts) -> tuple[Option, ...]:
    """The rules that brewers go by, what each would say here, and why each is weak."""
    return tuple(option for option in (_two_equal(facts), _leaflet(facts), _attenuation(facts)) if option is not None)


def _two_equal(facts: Facts) -> Option | None:
    name = "Two equal readings"
    weak = (
        "Weak: a day apart, two readings leave the slope open by one point a day either way; and a halt is level too."
    )
    if len(facts.readings) < 2:
        return Option(name, (), f"Cannot tell yet. {weak}")
    one, two = facts.readings[-2:]
    apart = (two.at - one.at) / DAY
    like = abs(one.gravity_sg - two.gravity_sg) * 1000 <= _LIKE_POINTS and apart >= 0.75
    if facts.reopened is not None and one.at <= facts.reopened.at < two.at:
        weak = f"Weak: the {facts.reopened.words} went in between them. " + weak
    return Option(name, (), f"Says {'finished' if like else 'not finished'}. {weak}", chosen=like)


def _leaflet(facts: Facts) -> Option | None:
    gate, now = gate_sg(facts.gates), facts.now_points
    if gate is None:
        return None
    name = "The leaflet's gravity"
    if gate < facts.fg.low:
        weak = f"Weak: {show(gate, 4)} belongs to another make-up; this one should end at {show(facts.fg.value, 4)}."
    else:
        weak = "Weak: it is one number for every brewer's volume, sugar and yeast, and says nothing about movement."
    if now is None:
        return Option(name, (), f"Cannot tell yet: at or below {show(gate, 4)}. {weak}")
    below = now[0] <= 1000 * (gate - 1) + 0.05
    return Option(
        name, (), f"Says {'finished' if below else 'not finished'}: at or below {show(gate, 4)}. {weak}", chosen=below
    )


def _attenuation(facts: Facts) -> Option | None:
    now = facts.now_points
    name = "Attenuation of 72 %"
    if now is None:
        return None
    found = float(apparent_attenuation(facts.og.value, 1 + now[0] / 1000))
    if found != found:  # noqa: PLR0124 - NaN: outside the relation's range
        return None
    enough = found >= _ALL_MALT_ATTENUATION
    weak = (
        "Weak: sugar raises it, dark kits, maltodextrin and lactose lower it, and a wrong original gravity shifts it."
    )
    return Option(
        name, (), f"Says {'finished' if enough else 'not finished'}: {show(100 * found, 0)} %. {weak}", chosen=enough
    )


def _sg(points: float) -> str:
    return show(1 + points / 1000, 4)
