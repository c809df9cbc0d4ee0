"""What may be going on, side by side with its chance; the cheapest experiment that tells; and the customary rules."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.forecast.answers import Story
from gylebook.phrases import say, say_amount, say_count
from gylebook.science.attenuation import apparent_attenuation
from gylebook.steps.answers import Option
from gylebook.steps.chances import chance_figure
from gylebook.steps.outlook_evidence import Told
from gylebook.steps.outlook_facts import DAY, Facts, gate_sg
from gylebook.steps.outlook_figures import working_of
from gylebook.steps.outlook_gates import (
    Lack,
    Seen,
    is_above,
    is_cold,
    is_flat,
    limit_points,
    warm_days,
)
from gylebook.units import show

FORCED_SAMPLE = say(
    "Forced sample: draw 150 mL into a clean jar, stir in a pinch of fresh dried yeast, cover loosely, keep it at "
    "25 to 28 °C for three days, swirl it twice a day, let it go flat, read it and write it down as a forced sample. "
    "Where it stops, the brew should stop. Do not pour it back."
)
_ALL_MALT_ATTENUATION = 0.72
_LIKE_POINTS = 1.0
_NEAR_END_CHANCE = 0.5
_WORTH_READING = 0.3  # chance of settling it, below which a forced sample is the cheaper way
DONE, GOING_ON, SLOW, STALLED = say("Done"), say("Going on"), say("Slow"), say("Stalled")
HIGH, BELOW, WOKEN = say("Finished high"), say("Something else"), say("Woken by hops")


@dataclass(frozen=True, slots=True)
class Experiment:
    """The cheapest thing that would tell the possibilities apart; `key` is stable, for tests and machines."""

    key: str
    words: str


def possibilities(seen: Seen | None, told: Told | None, lacking: tuple[Lack, ...]) -> tuple[Option, ...]:
    """Every story with its chance and what speaks for and against it, the likeliest first and marked."""
    if seen is None or told is None or not seen.facts.readings:
        return ()
    keys = {lack.key for lack in lacking}
    if "below_possible" in keys:  # by the make-up, whatever the sums make of the reading: no chance is told
        return (Option(BELOW, (), _told(seen, Story.BELOW, keys)[1], chosen=True),)
    chances = _chances(seen)
    working = working_of(seen, told)
    options: list[Option] = []
    for story, chance in sorted(chances.items(), key=lambda pair: -pair[1]):
        name, words = _told(seen, story, keys)
        figure = chance_figure(f"chance_{story.value}", say("Chance"), chance, working)
        options.append(Option(name, (figure,), words, chosen=not options))
    return tuple(options)


def _chances(seen: Seen) -> dict[Story, float]:
    """The chance of each story that can be told here."""
    stories = dict(seen.forecast.stories)
    if not seen.facts.hops_g:
        stories.pop(Story.WOKEN, None)
    return stories


def _told(seen: Seen, story: Story, keys: set[str]) -> tuple[str, str]:
    facts = seen.facts
    now = facts.now_points
    assert now is not None
    match story:
        case Story.HEALTHY:
            level = is_flat(facts) or seen.forecast.left_under[1] >= _NEAR_END_CHANCE
            near = level and "falls" not in keys
            return (DONE, _for_done(facts, now[0], keys)) if near else (GOING_ON, _for_slow(facts, keys))
        case Story.FADING:
            return SLOW, say("The yeast tires: slower and slower. {for_slow}", for_slow=_for_slow(facts, keys))
        case Story.HALTED:
            return STALLED, _for_stalled(facts, now[0], keys)
        case Story.HIGH:
            words = say(
                "The wort ferments less far than its make-up says. By the hydrometer this looks like a halt; a forced "
                "sample tells the two apart."
            )
            if facts.forced and not is_above(facts):
                words = say("{words} The forced sample speaks for it.", words=words)
            return HIGH, words
        case Story.WOKEN:
            still = seen.forecast.hop_points
            return WOKEN, (
                say(
                    "Hops free sugar and the yeast takes it: likely {likely}, at most {most} points of that are still "
                    "to come.",
                    likely=show(still.q50, 1),
                    most=show(still.q95, 1),
                )
            )
        case Story.BELOW:
            words = (
                say("{sg} is lower than brewing yeast takes this make-up.", sg=_sg(now[0]))
                if "below_possible" in keys
                else (say("It may go on below what brewing yeast takes such a wort."))
            )
            return BELOW, say("{words} Another yeast, or a slip in an entry.", words=words)
    raise AssertionError(story)


def _for_done(facts: Facts, now: float, keys: set[str]) -> str:
    level = _beside_the_end(facts, now)
    line = facts.line
    if line is None:
        return say("{level}; one reading says nothing about its slope.", level=level)
    if line.falls:
        return say("{level}; but it still falls by {points} points a day.", level=level, points=show(-line.slope, 1))
    within = show(1.645 * line.slope_se, 1)
    if "hops" in keys:
        return say(
            "{level}; level within ±{within} points a day; but hops went in, and can wake it.",
            level=level,
            within=within,
        )
    return say("{level}; level within ±{within} points a day.", level=level, within=within)


def _beside_the_end(facts: Facts, now: float) -> str:
    """How the gravity stands beside the highest that counts as its end, and what tells that end."""
    limit, sg = limit_points(facts), _sg(now)
    if now > limit:
        highest = _sg(limit)
        if facts.forced:
            return say("{sg} is above {highest}, the highest end by the forced sample", sg=sg, highest=highest)
        return say("{sg} is above {highest}, the highest end by the make-up", sg=sg, highest=highest)
    if facts.forced:
        return say("{sg} lies where the forced sample says it should end", sg=sg)
    return say("{sg} lies where the make-up says it should end", sg=sg)


def _for_slow(facts: Facts, keys: set[str]) -> str:
    end = facts.readings[-1].at
    assert facts.pitched_at is not None
    mean = facts.track.mean_c(max(facts.pitched_at, end - 3 * DAY), end)
    about = say("read or known") if facts.track.known else say("assumed")
    pace = facts.track.pace(mean)
    words = say(
        "{days} warm days so far; about {mean} lately ({about})",
        days=show(warm_days(facts), 1),
        mean=say_amount(mean, 0, "°C"),
        about=about,
    )
    if pace < 0.7:
        words += say(
            ", where a day does about {pace} % of a day at {works_c}",
            pace=show(100 * pace, 0),
            works_c=say_amount(facts.track.works_c, 0, "°C"),
        )
    return words + (say("; it still falls.") if "falls" in keys else ".")


def _for_stalled(facts: Facts, now: float, keys: set[str]) -> str:
    over = now - facts.end_points[0]
    if is_above(facts):
        cold = (
            say(" The cold can have put the yeast to sleep; bottles in the warm would wake it.")
            if "cold" in keys
            else ""
        )
        return say_count(
            int(f"{over:.0f}"),
            "{n} point above where it should end.{cold}",
            "{n} points above where it should end.{cold}",
            cold=cold,
        )
    return (
        say("Possible where the readings were cold.")
        if "cold" in keys
        else say("Nothing points to it at this gravity.")
    )


def experiment(seen: Seen | None, found: tuple[Option, ...], lacking: tuple[Lack, ...]) -> Experiment | None:
    """The cheapest step that separates the two likeliest possibilities; None where nothing is open."""
    keys = {lack.key for lack in lacking}
    if seen is None or seen.facts.last is None or not lacking or keys == {"bottles"}:
        return None
    facts = seen.facts
    if keys & {"below_possible", "unexplained"}:
        return Experiment("water", _WATER)
    if "doubtful" in keys or (facts.last is not None and facts.last.lightly):
        return Experiment("degas", _DEGAS)
    if is_cold(facts):
        return Experiment("warm", _warm(facts.track.works_c))
    two = {option.name for option in found[:2]}
    if keys & {"falls", "early"} or (GOING_ON in two and not is_above(facts)):
        return Experiment("wait", say("Leave it in the warm and read again; time is the cheapest experiment."))
    if two & {BELOW}:
        return Experiment("water", _WATER)
    if is_above(facts) and facts.forced is not None:
        return Experiment("repitch", _REPITCH)
    if is_above(facts) and not is_flat(facts):
        return Experiment("degas", _DEGAS)
    if two <= {STALLED, HIGH} or is_above(facts):
        return Experiment("forced", FORCED_SAMPLE)
    if "pair" not in keys and "hops" not in keys and seen.forecast.next_reading().chance < _WORTH_READING:
        return Experiment("forced", FORCED_SAMPLE)
    return Experiment("read", say("One more flat, degassed reading; nothing else is needed."))


_WATER = say(
    "Put the hydrometer in plain water at its scale's temperature: it must show 1.000. Then repeat the reading on a "
    "degassed sample, and check the entries of what went in."
)
_DEGAS = say(
    "Degas and repeat: pour the sample between two glasses until it stops foaming, bring it to about 20 °C, spin the "
    "hydrometer and read at eye level. Bubbles lift it by one to four points."
)
_REPITCH = say(
    "The forced sample went lower than the brew: there is food and the yeast is not taking it. Warm and rouse it; if "
    "it has not moved by two points in three days, add fresh yeast that is already foaming."
)


def _warm(works_c: float) -> str:
    return say(
        "Warm it to {works}, swirl the closed vessel to stir the yeast up, do not open it, and read again after three "
        "days. A sleeping yeast moves by two points or more; a finished beer does not.",
        works=say_amount(works_c, 0, "°C"),
    )


def customary(facts: Facts, lacking: tuple[Lack, ...]) -> tuple[Option, ...]:
    """The rules that brewers go by: what each would say here, why it is weak, and where the forecast differs."""
    rules = (_two_equal(facts), _leaflet(facts), _attenuation(facts))
    return tuple(_beside(option, lacking) for option in rules if option is not None)


def _beside(option: Option, lacking: tuple[Lack, ...]) -> Option:
    """A rule with the place where the forecast says otherwise."""
    if "Cannot tell" in option.words or option.chosen == (not lacking):
        return option
    if option.chosen:
        text = say("The forecast does not agree: {lacking}.", lacking=lacking[0].text)
    else:
        text = say("The forecast does not wait for it: by the readings together, less than two points are left.")
    return Option(option.name, option.figures, say("{words} {text}", words=option.words, text=text), option.chosen)


def _two_equal(facts: Facts) -> Option | None:
    name = say("Two equal readings")
    weak = say(
        "Weak: a day apart, two readings leave the slope open by one point a day either way; and a halt is level too."
    )
    if len(facts.readings) < 2:
        return Option(name, (), say("Cannot tell yet. {weak}", weak=weak))
    one, two = facts.readings[-2:]
    apart = (two.at - one.at) / DAY
    like = abs(one.gravity_sg - two.gravity_sg) * 1000 <= _LIKE_POINTS and apart >= 0.75
    if facts.reopened is not None and one.at <= facts.reopened.at < two.at:
        weak = say("Weak: the {what} went in between them. ", what=facts.reopened.words) + weak
    return Option(
        name,
        (),
        say("Says {verdict}. {weak}", verdict=say("finished") if like else say("not finished"), weak=weak),
        chosen=like,
    )


def _leaflet(facts: Facts) -> Option | None:
    gate, now = gate_sg(facts.gates), facts.now_points
    if gate is None:
        return None
    name = say("The leaflet's gravity")
    if gate < facts.fg.low:
        weak = say(
            "Weak: {gate} belongs to another make-up; this one should end at {fg}.",
            gate=show(gate, 4),
            fg=show(facts.fg.value, 4),
        )
    else:
        weak = say(
            "Weak: it is one number for every brewer's volume, sugar and yeast, and says nothing about movement."
        )
    if now is None:
        return Option(name, (), say("Cannot tell yet: at or below {gate}. {weak}", gate=show(gate, 4), weak=weak))
    below = now[0] <= 1000 * (gate - 1) + 0.05
    return Option(
        name,
        (),
        say(
            "Says {verdict}: at or below {gate}. {weak}",
            verdict=say("finished") if below else say("not finished"),
            gate=show(gate, 4),
            weak=weak,
        ),
        chosen=below,
    )


def _attenuation(facts: Facts) -> Option | None:
    now = facts.now_points
    name = say("Attenuation of 72 %")
    if now is None:
        return None
    found = float(apparent_attenuation(facts.og.value, 1 + now[0] / 1000))
    if found != found:  # noqa: PLR0124 - NaN: outside the relation's range
        return None
    enough = found >= _ALL_MALT_ATTENUATION
    weak = say(
        "Weak: sugar raises it, dark kits, maltodextrin and lactose lower it, and a wrong original gravity shifts it."
    )
    return Option(
        name,
        (),
        say(
            "Says {verdict}: {found} %. {weak}",
            verdict=say("finished") if enough else say("not finished"),
            found=show(100 * found, 0),
            weak=weak,
        ),
        chosen=enough,
    )


def _sg(points: float) -> str:
    return show(1 + points / 1000, 4)
