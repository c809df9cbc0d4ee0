"""After the yeast: is it working, is it time to worry, and what a hot pitch means."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from math import erf, log, sqrt

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import say, say_amount
from gylebook.science.yeast import PITCH_KILL_C, PITCH_STRESS_C
from gylebook.steps.answers import Answer, Figure, Finding, MomentFigure, Urgency
from gylebook.steps.decision import Setting
from gylebook.steps.gravity import readings
from gylebook.steps.moments import day_words, span_words
from gylebook.steps.pitching_acts import CAUTIONS
from gylebook.steps.pitching_facts import Wort
from gylebook.steps.readings import latest_first
from gylebook.steps.room import place_findings
from gylebook.steps.warmth import celsius
from gylebook.steps.yeast_dose import dose_figures, lag_figure
from gylebook.units import show

_WORRY_H = (48.0, 72.0)  # the trade's own: nothing before, something after
_GIVE_UP_DAYS = 4.0
_FRESH_DAYS = 2.0  # of a hot pitch, in which cooling still helps
_STARTED_POINTS = 2.0
_Z90 = 1.645


def after_pitching(brew: Brew, setting: Setting, wort: Wort, pitched: Kept[ev.Pitched]) -> Answer:
    """Whether it is working, and if nothing shows, when worry becomes reasonable."""
    waited = setting.now - pitched.at
    hours = waited / timedelta(hours=1)
    at_c = wort.temp.value if wort.temp is not None else sum(wort.range_c) / 2
    lag = lag_figure(wort.yeast, at_c)
    findings = list(_hot_pitch(pitched, waited))
    started, seen = _has_started(brew, setting, pitched, wort.og_sg)
    shown: list[Figure | MomentFigure] = [*((wort.temp,) if wort.temp is not None else ()), *dose_figures(wort.yeast)]
    worry = None
    if lag is not None:
        worry = _worry(pitched.at, lag)
    late = brew.stage not in {"mixed", "fermenting"}
    if lag is not None and worry is not None and not late and not started and setting.now < worry.high:
        shown += [lag, worry]  # once it works, or the time for worry is past, they tell nothing
    if late or started:
        headline = say("It is working; nothing to do.") if not late else say("Long past: nothing to do here.")
        why, urgency = seen or say("It has left the fermenter since."), Urgency.NOTHING
    elif worry is not None and setting.now < worry.value:
        headline, why, urgency = _no_worry_yet(setting, hours, lag, worry, wort)
    else:
        headline, why, urgency = _time_to_look(setting, pitched, waited, seen, wort)
    ordered = latest_first(tuple(findings))
    if ordered and ordered[0].urgency is Urgency.ACT:
        headline, urgency = say("{check} Then leave it.", check=ordered[0].check), Urgency.ACT
    if not late:
        ordered = latest_first((*ordered, *place_findings(brew, setting.shelf, wort.volume.value)))
    return Answer(
        headline,
        why,
        urgency,
        figures=tuple(shown),
        findings=ordered,
        missing=_missing_after(seen, late),
        cautions=CAUTIONS,
        assumed=wort.assumed[wort.room_assumed :],
        rule_of_thumb=say("The airlock proves nothing, lids leak: a ring, foam or a falling gravity do."),
    )


def _missing_after(seen: str, late: bool) -> str:
    return "" if late or seen else say("Is there a ring or foam on the wort?")


def _has_started(brew: Brew, setting: Setting, pitched: Kept[ev.Pitched], og: float) -> tuple[bool, str]:
    """Whether a reading shows a fall, and the last reading in words."""
    after = [r for r in readings(brew, setting.shelf) if r.at > pitched.at]
    if not after:
        return False, ""
    fallen = [r for r in after if 1000 * (og - r.gravity_sg) > max(_STARTED_POINTS, 2.5 * 1000 * r.sd_sg)]
    last = after[-1]
    if fallen:
        low = min(fallen, key=lambda r: r.gravity_sg)
        return True, say(
            "The gravity has fallen from {og} to {gravity_sg} (entry {seq}).",
            og=show(og, 4),
            gravity_sg=show(low.gravity_sg, 4),
            seq=low.seq,
        )
    return False, say(
        "The reading of entry {seq}, {gravity_sg}, shows no fall from {og} yet.",
        seq=last.seq,
        gravity_sg=show(last.gravity_sg, 4),
        og=show(og, 4),
    )


def _worry(pitched_at: datetime, lag: Figure) -> MomentFigure:
    """When worry becomes reasonable: most such pitches have shown by then."""
    hours = min(max(lag.high, _WORRY_H[0]), _WORRY_H[1])
    moments = [pitched_at + timedelta(hours=h) for h in (hours, _WORRY_H[0], _WORRY_H[1])]
    working = replace(lag.working, relation=say("the longest usual wait, kept between two and three days"))
    return MomentFigure("worry", say("Worry becomes reasonable"), moments[0], moments[1], moments[2], working)


def _still_quiet(hours: float, lag: Figure) -> float:
    """Share of such pitches that show nothing by now: the wait is taken as log-normal."""
    if hours <= 0:
        return 1.0
    sigma = log(lag.high / lag.value) / _Z90
    return 0.5 * (1 - erf(log(hours / lag.value) / sigma / sqrt(2)))


def _no_worry_yet(
    setting: Setting, hours: float, lag: Figure | None, worry: MomentFigure, wort: Wort
) -> tuple[str, str, Urgency]:
    there = worry.value.astimezone(setting.zone)
    day = day_words(worry.value, setting.now, setting.zone)
    share = _still_quiet(hours, lag) if lag is not None else 0.5
    often = (
        say("nearly all")
        if share > 0.9
        else say("about {share} in 10", share=max(round(10 * share), 1))
        if share > 0.05
        else say("few")
    )
    return (
        say(
            "Leave it. Worry becomes reasonable {day} about {hour}:00; until then look, do not open.",
            day=day,
            hour=f"{there:%H}",
        ),
        (
            say(
                "{hours} h after {dose} g/L of yeast {often} such worts show nothing yet. A still airlock proves "
                "nothing: look for a ring or foam, press the lid, smell.",
                hours=show(hours, 0),
                dose=show(wort.yeast.dose, 2),
                often=often,
            )
        ),
        Urgency.WAIT,
    )


def _time_to_look(
    setting: Setting, pitched: Kept[ev.Pitched], waited: timedelta, seen: str, wort: Wort
) -> tuple[str, str, Urgency]:
    limit = show(wort.og_sg - 0.004, 3)
    if not seen:
        return (
            say("Take a reading: below {limit} it is working, whatever the airlock does.", limit=limit),
            say("{waited} have passed; by now nearly all show something.", waited=span_words(waited)),
            Urgency.MEASURE,
        )
    last = pitched.at + timedelta(days=_GIVE_UP_DAYS)
    day = day_words(last, setting.now, setting.zone)
    return (
        (
            say(
                "Warm it to {temperature}, swirl it once, and pitch 11 g of fresh yeast, at the latest {day}.",
                temperature=say_amount(sum(wort.range_c) / 2, 0, "°C"),
                day=day,
            )
        ),
        (
            say(
                "{seen} {waited} after pitching that is too long. Wake fresh dry yeast in lukewarm water for "
                "a quarter of an hour first.",
                seen=seen,
                waited=span_words(waited),
            )
        ),
        Urgency.ACT,
    )


def _hot_pitch(pitched: Kept[ev.Pitched], waited: timedelta) -> tuple[Finding, ...]:
    if pitched.event.temp is None:
        return ()
    temp = celsius(pitched.event.temp)
    if temp <= PITCH_STRESS_C:
        return ()
    fresh = waited <= timedelta(days=_FRESH_DAYS)
    cool = say("Cool it to 20 °C within half a day: a bath of cold water and a wet towel.") if fresh else ""
    if temp >= PITCH_KILL_C:
        text = say(
            "It was pitched at {temp}, where part or all of the yeast may have died. If nothing shows a day "
            "after it has cooled, pitch fresh yeast.",
            temp=say_amount(temp, 0, "°C"),
        )
    else:
        text = say(
            "It was pitched at {temp}. The yeast is not dead (that takes about 40 °C and more), but works "
            "fast: expect it done early and more fruity; the first one or two days set that. Next time use "
            "less boiling water.",
            temp=say_amount(temp, 0, "°C"),
        )
    return (Finding(Urgency.ACT if fresh else Urgency.NOTHING, text, cool, pitched.seq, "hot_pitch"),)
