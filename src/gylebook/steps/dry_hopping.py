"""Dry hopping: how much, when, how long; the beer it costs; and the fermentation that hops can wake."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from gylebook.errors import InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.science.hops import (
    DOUBTFUL_DOSE_G_PER_L,
    SATURATING_DOSE_G_PER_L,
    beer_lost_l,
    hop_creep_co2_g_per_l,
    hop_creep_points,
)
from gylebook.science.interval import Interval
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Option, Urgency, Working
from gylebook.steps.asked import G_PER_L, GRAMS, LITRES, LITRES_2, POINTS, VOLUMES, Asked, Shown, figure, needed
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import CHOICE, COUNT, FLAG, QUANTITY, TEXT, Field
from gylebook.steps.hop_times import CONTACT_DAYS, DAY, hops_in, in_at, is_near_end, waiting
from gylebook.steps.moments import day_words, on_words
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.outlook_gates import HEAVY_HOPS_G_PER_L, HOP_DAYS_HEAVY, HOP_DAYS_LIGHT
from gylebook.steps.volumes import in_vessel_l
from gylebook.steps.warm_days import track
from gylebook.units import convert, show

CAUTIONS = (
    say("Hops are toxic to dogs, spent ones too: bin them sealed; never on the compost or in plant pots."),
    say("Beer holds gas: add pellets slowly to cool, still beer, with headroom, or it foams over. Do not splash."),
)
_USUAL_G_PER_L = 3.0
_FREED_DAYS = 3.0
_BOTTLE_L = 0.5
_G_PER_L_PER_VOL = convert(1.0, "vol", "g CO2/L", "co2")
_WORDS = (
    (1.0, say("hardly to be noticed")),
    (2.0, say("gentle")),
    (4.0, say("as for a pale ale")),
    (6.0, say("plainly hoppy")),
    (10.0, say("very hoppy")),
    (15.0, say("more than most beers gain from")),
)

ASK = (
    Field(
        "mass",
        say("Hops by weight"),
        QUANTITY,
        ("mass",),
        possible=(0.5, 5000),
        hint="60 g",
    ),
    Field("days", say("Days in the beer"), COUNT, possible=(0, 60), usual=(1, 14), hint="3"),
    Field("volume", say("Litres of beer"), QUANTITY, ("volume",), possible=(0.5, 500), hint="20 L"),
)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """How much, when, how long, and what it costs."""
    if brew.all(ev.Bottled):
        return Answer(
            say("It is in bottles; hops have no place any more."),
            say("What went in, and what it did, stands in the log."),
            Urgency.NOTHING,
            cautions=CAUTIONS[:1],
        )
    found = outlook(brew, setting)
    wanted = Asked(ASK, asked)
    figures, assumed, dose = _figures(brew, setting, wanted)
    headline, why, urgency = _say(brew, setting, found, dose)
    findings = [*_of_dose(dose), *[f for f in found.findings if f.key in {"hop_creep", "below_possible"}]]
    return Answer(
        headline,
        why,
        urgency,
        figures=figures,
        findings=tuple(findings),
        options=_options(brew, setting, wanted),
        missing=_question(brew, wanted),
        cautions=CAUTIONS,
        rule_of_thumb=say("Doses and days are the trade's; how far hops wake the yeast rests on one published hop."),
        assumed=assumed,
    )


def dose_words(dose: float) -> str:
    """A dose in plain words."""
    return next(
        (words for limit, words in _WORDS if dose <= limit), say("beyond what is usual: check grams and litres")
    )


def _litres(brew: Brew, setting: Setting, wanted: Asked) -> tuple[float, Given]:
    asked = wanted.number("volume")
    if asked is not None:
        return asked, wanted.given("volume")[0]
    found = in_vessel_l(brew, setting.shelf, with_sediment=True)
    return max(found.value, 0.5), Given(say("beer in the vessel"), found.text(), Basis.RECKONED)


def _grams(brew: Brew, wanted: Asked, litres: float) -> tuple[float, Given, tuple[str, ...]]:
    asked = wanted.number("mass")
    if asked is not None:
        return asked, wanted.given("mass")[0], ()
    hopped = sum(k.event.mass.to("g", "mass") for k in brew.all(ev.Hopped))
    planned = sum(plan.mass.to("g", "mass") for plan in waiting(brew))
    if hopped or planned:
        basis = Basis.MEASURED if hopped and not planned else Basis.LEAFLET
        words = say("went in") if hopped and not planned else say("what went in and the kit's hops that wait")
        return hopped + planned, Given(say("hops"), say_amount(hopped + planned, 0, "g"), basis, words), ()
    total = _USUAL_G_PER_L * litres
    told = say("{dose} g/L, a common dose: no hops are planned", dose=show(_USUAL_G_PER_L, 0))
    return total, Given(say("hops"), say_amount(total, 0, "g"), Basis.ASSUMED, told), (told,)


def _figures(brew: Brew, setting: Setting, wanted: Asked) -> tuple[tuple[Figure, ...], tuple[str, ...], float]:
    litres, litres_given = _litres(brew, setting, wanted)
    grams, grams_given, assumed = _grams(brew, wanted, litres)
    dose = grams / litres
    days, days_given = _days(brew, wanted)
    warmth = track(brew, setting.shelf)
    temp = min(max(warmth.at_moment(setting.now), 0.0), 35.0)
    givens = (grams_given, litres_given)
    lost = beer_lost_l(grams)
    bottles = Interval(*(part / _BOTTLE_L for part in lost))
    to_ferment = (min(dose, 30.0), days + _FREED_DAYS, temp)
    creep, gas = hop_creep_points(*to_ferment), hop_creep_co2_g_per_l(*to_ferment)
    woken = Working(
        say("real extract fermented through the hops' enzymes, by dose, days and warmth"),
        (
            *givens,
            days_given,
            Given(say("temperature"), say_amount(temp, 0, "°C"), Basis.RECKONED, say("the log and the place")),
        ),
        ("kirkpatrick_shellhammer_2018", "hop_creep_curve"),
        (
            say(
                "{days} days in the beer and {more} more for what was freed",
                days=show(days, 0),
                more=show(_FREED_DAYS, 0),
            ),
        ),
        (say("one published hop; others had a quarter of its effect"),),
    )
    held = Working(
        say("pellets keep 7 to 8.3 mL of beer a gram"), (grams_given,), ("hop_loss_trade_study", "hop_loss_rule")
    )
    shown = (
        figure("dose", say("Dose"), dose, G_PER_L, Working(say("hops ÷ beer"), givens, ("by_definition",))),
        _spread("beer_lost", say("Beer kept by the hops"), lost, LITRES_2, held),
        _spread("bottles_lost", say("That is bottles of 500 mL"), bottles, Shown("", "count", 1), held),
        _spread("creep_points", say("Points that hops may wake"), creep, POINTS, woken),
        _spread(
            "creep_co2",
            say("Gas that would come of it"),
            Interval(*(p / _G_PER_L_PER_VOL for p in gas)),
            VOLUMES,
            woken,
        ),
    )
    return shown, assumed, dose


def _spread(key: str, label: str, found: Interval, shown: Shown, working: Working) -> Figure:
    return figure(key, label, float(found.best), shown, working, low=float(found.low), high=float(found.high))


def _days(brew: Brew, wanted: Asked) -> tuple[float, Given]:
    asked = wanted.count("days")
    if asked is not None:
        return float(asked), wanted.given("days")[0]
    hopped, out = brew.last(ev.Hopped), brew.last(ev.HopsRemoved)
    if hopped is not None and out is not None and out.at >= hopped.at:
        days = (out.at - hopped.at) / DAY
        return days, Given(
            say("days in the beer"),
            show(days, 1),
            Basis.MEASURED,
            say("entries {first} and {second}", first=hopped.seq, second=out.seq),
        )
    if hopped is not None and hopped.event.planned_days is not None:
        days = float(hopped.event.planned_days)
        return days, Given(
            say("days in the beer"), show(days, 0), Basis.ASKED, say("planned in entry {entry}", entry=hopped.seq)
        )
    return float(CONTACT_DAYS), Given(
        say("days in the beer"), str(CONTACT_DAYS), Basis.ASSUMED, say("two to four are enough")
    )


def _say(brew: Brew, setting: Setting, found: Outlook, dose: float) -> tuple[str, str, Urgency]:
    inside = hops_in(brew)
    if inside:
        return _say_in(setting, inside[0].out_at, dose)
    if brew.all(ev.Hopped) and not waiting(brew):
        return _say_after(setting, found, dose)
    if found.now_sg is None:
        when = in_at(brew, found)
        words = (
            say("about {day}", day=day_words(when, setting.now, setting.zone)) if when else say("when it nears its end")
        )
        return say("Not yet: hops go in {when}.", when=words), _advice(dose), Urgency.WAIT
    if is_near_end(brew, found):
        return say("Hops can go in now, for two to four days."), _advice(dose), Urgency.NOTHING
    limit = show(found.expected_fg.value + 0.003, 3)
    return (
        say("Not yet: add them at {gravity} or below.", gravity=limit),
        say("Gas carries their aroma away before that. {advice}", advice=_advice(dose)),
        Urgency.WAIT,
    )


def _advice(dose: float) -> str:
    wait = HOP_DAYS_HEAVY if dose >= HEAVY_HOPS_G_PER_L else HOP_DAYS_LIGHT
    return say(
        "{dose} g/L is {words}. Three days at the beer's own warmth, then out or cold; longer gains "
        "little. Before priming: {wait} warm days from adding them and two fresh readings, at least two "
        "days apart.",
        dose=show(dose, 1),
        words=dose_words(dose),
        wait=show(wait, 0),
    )


def _say_in(setting: Setting, out_at: datetime, dose: float) -> tuple[str, str, Urgency]:
    day = day_words(out_at, setting.now, setting.zone)
    if out_at <= setting.now:
        return say("Take the hops out: they were due {day}.", day=day), _advice(dose), Urgency.ACT
    return (
        say("Leave the hops in; take them out {when}.", when=on_words(out_at, setting.now, setting.zone)),
        _advice(dose),
        (Urgency.ACT if day == "today" else Urgency.WAIT),
    )


def _say_after(setting: Setting, found: Outlook, dose: float) -> tuple[str, str, Urgency]:
    if found.finished:
        return say("The hops are done with, and the beer stands."), found.next_reading_why, Urgency.NOTHING
    at = found.next_reading_at
    later = at is not None and at > setting.now
    words = say(
        "Next reading {when}.", when=on_words(at, setting.now, setting.zone) if later and at is not None else say("now")
    )
    return (
        say("Do not prime yet: hops can wake the yeast. {words}", words=words),
        _advice(dose),
        Urgency.WAIT if later else Urgency.MEASURE,
    )


def _of_dose(dose: float) -> list[Finding]:
    if dose > DOUBTFUL_DOSE_G_PER_L:
        text = say(
            "{dose} g/L is far beyond what is usual (1 to 10 g/L). Figures ten times too high go round.",
            dose=show(dose, 1),
        )
        return [Finding(Urgency.MEASURE, text, say("Are the grams and the litres right?"), key="doubtful_dose")]
    if dose > SATURATING_DOSE_G_PER_L:
        text = say(
            "Above {dose} g/L the aroma hardly grows, but the beer lost does.",
            dose=show(SATURATING_DOSE_G_PER_L, 0),
        )
        return [Finding(Urgency.NOTHING, text, key="saturating_dose")]
    return []


def _options(brew: Brew, setting: Setting, wanted: Asked) -> tuple[Option, ...]:
    litres, given = _litres(brew, setting, wanted)
    found = []
    for dose in (2.0, 4.0, 6.0, 8.0):
        grams = dose * litres
        weigh = figure("mass", say("Weigh"), grams, GRAMS, Working(say("dose × beer"), (given,), ("by_definition",)))
        held = Working(say("7 to 8.3 mL of beer a gram"), (given,), ("hop_loss_trade_study", "hop_loss_rule"))
        lost = _spread("beer_lost", say("Beer lost"), beer_lost_l(grams), LITRES, held)
        found.append(Option(say("{dose} g/L", dose=show(dose, 0)), (weigh, lost), dose_words(dose)))
    return tuple(found)


def _question(brew: Brew, wanted: Asked) -> str:
    if wanted.number("mass") is None and not brew.all(ev.Hopped) and not waiting(brew):
        return say("How many grams of hops, and in how many litres?")
    return ""


def _hop(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write hops that went in."""
    mass = needed(values, HOP.fields[1])
    if any(k.at <= at for k in brew.all(ev.Bottled)):
        raise Refused(
            say("The beer is in bottles, so hops cannot go in; check which brew this is, or correct the date.")
        )
    litres = in_vessel_l(brew, setting.shelf, at, with_sediment=True).value
    dose = mass.to("g", "mass") / max(litres, 0.5)
    if dose > DOUBTFUL_DOSE_G_PER_L and "mass" not in setting.confirmed:
        problem = say(
            "{mass} in {litres} is {dose} g/L, which would be most unusual (1 to 10 g/L is usual)",
            mass=mass,
            litres=say_amount(litres, 1, "L"),
            dose=show(dose, 0),
        )
        raise InputError(ASK[0].label, problem, say("check the grams and the litres, and confirm it if it is true"))
    event = ev.Hopped(
        hop=str(values.get("hop") or "hops"),
        mass=mass,
        form=values.get("form") or "",
        bagged=values.get("bagged"),
        planned_days=values.get("planned_days"),
    )
    return Decision(((at, event),), tuple(_on_hopping(brew, event, dose, at, setting)))


def _on_hopping(brew: Brew, event: ev.Hopped, dose: float, at: datetime, setting: Setting) -> list[Finding]:
    found = outlook(brew, setting)
    findings: list[Finding] = []
    if not found.pitched:
        text = say("No yeast is written down yet: hops put in now steep in the wort and ferment along with it.")
        findings.append(Finding(Urgency.MEASURE, text, say("Has the yeast gone in?"), key="before_yeast"))
    elif found.now_sg is not None and not is_near_end(brew, found):
        text = say(
            "At {gravity} it is still some way from its end; its gas will carry aroma away.",
            gravity=show(found.now_sg.value, 4),
        )
        findings.append(Finding(Urgency.NOTHING, text, key="early_hops"))
    days = event.planned_days if event.planned_days is not None else CONTACT_DAYS
    out = day_words(at + days * DAY, setting.now, setting.zone)
    wait = HOP_DAYS_HEAVY if dose >= HEAVY_HOPS_G_PER_L else HOP_DAYS_LIGHT
    text = say(
        "Out again {day}. Hops can wake the yeast: the question “finished?” is open anew, for {wait} "
        "warm days and two fresh readings, at least two days apart.",
        day=out,
        wait=show(wait, 0),
    )
    findings.append(Finding(Urgency.MEASURE, text, key="hop_creep"))
    findings += _of_dose(dose)
    return findings


def _hops_out(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write that the hops came out."""
    if not any(k.at <= at for k in brew.all(ev.Hopped)):
        raise Refused(say("No hops were written down before that; write the hops first, or correct the date."))
    found = outlook(brew, setting)
    text = say("Bin them sealed, out of a dog's reach. The next reading: {when}.", when=_next_words(found, setting))
    return Decision(
        ((at, ev.HopsRemoved(hop=str(values.get("hop") or ""))),), (Finding(Urgency.NOTHING, text, key="hops_out"),)
    )


def _next_words(found: Outlook, setting: Setting) -> str:
    at = found.next_reading_at
    return day_words(max(at, setting.now), setting.now, setting.zone) if at is not None else say("none is wanted")


HOP = Act(
    "hop",
    say("Put hops in"),
    "dry_hopping",
    (
        Field("hop", say("Which hops"), TEXT, hint=say("name on the packet")),
        Field("mass", say("Hops by weight"), QUANTITY, ("mass",), required=True, possible=(0.5, 5000), hint="60 g"),
        Field("form", say("Form"), CHOICE, choices=(("pellets", say("pellets")), ("leaf", say("whole cones")))),
        Field("bagged", say("In a bag"), FLAG),
        Field("planned_days", say("Days they shall stay"), COUNT, possible=(0, 60), usual=(1, 14), hint="3"),
    ),
    _hop,
    CAUTIONS,
)
HOPS_OUT = Act(
    "hops_out",
    say("Take the hops out"),
    "dry_hopping",
    (Field("hop", say("Which hops"), TEXT, hint=say("leave empty for all")),),
    _hops_out,
    CAUTIONS[:1],
)

STEP = Step(
    "dry_hopping",
    say("Dry hopping"),
    say("How many hops, when, and for how long?"),
    answer,
    ASK,
    (HOP, HOPS_OUT),
    CAUTIONS,
)
