"""Sums on yeast and hops."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gylebook.phrases import say, say_amount, say_count, say_number, say_range
from gylebook.science import hops, yeast
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.science.extract import plato_from_sg
from gylebook.science.interval import Interval
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Figure, Finding, Urgency, Working
from gylebook.steps.asked import (
    COUNT,
    GRAMS,
    LITRES_2,
    PER_CENT,
    VOLUMES,
    Asked,
    Shown,
    figure,
    within,
)
from gylebook.steps.decision import Sum
from gylebook.steps.fields import CHOICE, QUANTITY, Field
from gylebook.units import show

_DOSE = Shown("g/L", "concentration", 2)
MOST_YEAST_G_PER_L = 3.0
DOGS = say("Hops are poisonous to dogs: spent ones too. Bin them sealed, never on the compost.")


def _span(key: str, label: str, found: Interval, shown: Shown, working: Working) -> Figure:
    return figure(key, label, float(found.best), shown, working, low=float(found.low), high=float(found.high))


# --- yeast ----------------------------------------------------------------------------------------------------

_YEAST = (
    sums_fields.volume("volume", say("Wort"), default="23 L", reason=say("the commonest leaflet volume")),
    sums_fields.gravity("original", say("Original gravity"), default="1.045", reason=say("an ordinary beer")),
    Field(
        "kind",
        say("Kind of yeast"),
        CHOICE,
        choices=(("ale", say("ale")), ("lager", say("lager"))),
        default="ale",
        reason=say("most kits hold ale yeast"),
    ),
    sums_fields.mass(
        "sachet", say("Sachet"), default="11 g", reason=say("the commonest sachet"), possible=(0.5, 1000.0)
    ),
    sums_fields.mass("have", say("Yeast at hand"), possible=(0.0, 1000.0)),
    Field("age", say("Its age"), QUANTITY, ("time",), possible=(0.0, 87_600.0), hint="60 d"),
)
_STRONG_SG = 1.065


def _yeast(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_YEAST, values)
    volume, sg, kind = asked.need("volume"), asked.need_gravity("original"), asked.word("kind")
    needed = yeast.yeast_needed_g(volume, kind)
    within(needed.best, say("Wort"), say("no dose for that volume"), say("write the litres of wort"))
    double = 2.0 if sg > _STRONG_SG else 1.0
    needed = Interval(*(double * part for part in needed))
    months = (asked.number("age") or 0.0) / 24 / 30.4
    alive = yeast.viability(months, 20.0)
    working = Working(
        say("litres × the dose that instruction sheets print for dry yeast; twice that above 1.065"),
        asked.given("volume", "original", "kind"),
        ("dry_yeast_sheets", "pitching_rule", "common_practice"),
        (say("{dose} g/L", dose=show(float(needed.best) / volume, 2)),),
    )
    packed = Working(
        say("the yeast wanted ÷ (a sachet × its living share), whole sachets, a twentieth less being enough"),
        (*working.inputs, *asked.given("sachet", "age")),
        working.sources,
    )
    sachets = within(
        # The least that sheets print will do: a second sachet is not wanted for a tenth of a gram.
        yeast.sachets_needed(0.95 * float(needed.low), asked.need("sachet"), float(alive.best)),
        say("Sachet"),
        say("no number of sachets comes out"),
        say("check its grams"),
    )
    figures = [
        _span("needed", say("Dry yeast, live"), needed, GRAMS, working),
        figure("sachets", say("Sachets"), sachets, COUNT, packed),
        _alive_figure(asked, alive, months),
    ]
    findings = []
    have = asked.number("have")
    if have is not None:
        figures += _at_hand(asked, have / volume, sg, float(alive.best))
        findings += _yeast_findings(have / volume)
    return Answer(
        say(
            "About {best} of dry yeast ({span}): {sachets} of {sachet}.{short}",
            best=say_amount(float(needed.best), 0, "g"),
            span=say_range(float(needed.low), float(needed.high), 0, "g"),
            sachets=say_count(round(sachets), "{n} sachet", "{n} sachets"),
            sachet=asked.quantity("sachet"),
            short=_short_words(float(needed.best) - sachets * asked.need("sachet")),
        ),
        say("Fewer grams work too, only later and with more of the fruity tastes of tired yeast."),
        Urgency.NOTHING,
        tuple(figures),
        tuple(findings),
        rule_of_thumb=say("Doses are those printed on dry yeast; how sachets age has not been measured in public."),
        assumed=asked.assumed,
    )


def _alive_figure(asked: Asked, alive: Interval, months: float) -> Figure:
    working = Working(
        say("the share of dry yeast that is as good as fresh, by its time in a room"),
        asked.given("age"),
        ("common_practice",),
        (say("stored {months} months at room temperature", months=show(months, 0)),),
        (say("How dry yeast ages has not been measured in public; the interval is wide."),),
    )
    return _span("alive", say("Alive after that age"), Interval(*(100 * part for part in alive)), PER_CENT, working)


def _at_hand(asked: Asked, dose: float, sg: float, alive: float) -> list[Figure]:
    """The dose with the yeast at hand, by grams and by cells."""
    weighed = Working(say("grams at hand ÷ litres"), asked.given("have", "volume"), ("by_definition",))
    cells = yeast.cells_million_per_ml_plato(dose * alive, float(plato_from_sg(sg)))
    counted = Working(
        say("living grams × cells in a gram ÷ (mL × °P)"),
        asked.given("have", "volume", "original", "age"),
        ("dry_yeast_sheets", "common_practice"),
    )
    return [
        figure("dose", say("Dose with what is at hand"), dose, _DOSE, weighed),
        _span("cells", say("Million cells per mL and °P"), cells, Shown("", "", 2), counted),
    ]


def _short_words(short_g: float) -> str:
    """What it means that whole sachets fall short of the sheets' rate; "" where they do not."""
    if short_g < 0.5:
        return ""
    return say(
        " That is {short} short of the sheets' usual rate: it works, but starts later.",
        short=say_amount(short_g, 0, "g"),
    )


def _yeast_findings(dose: float) -> list[Finding]:
    if dose > MOST_YEAST_G_PER_L:
        return [
            Finding(
                Urgency.MEASURE,
                say("{dose} g/L is some ten times what sheets print (0.5 to 1 g/L).", dose=say_number(f"{dose:.1f}")),
                say("Are the grams, or the litres, right?"),
                key="yeast_tenfold",
            )
        ]
    if dose < 0.35:
        return [
            Finding(
                Urgency.NOTHING,
                say(
                    "{dose} g/L is a small dose: expect a slow start. Usual for the sachet under a kit's lid.",
                    dose=say_number(f"{dose:.2f}"),
                ),
                say("Is it fresh?"),
                key="yeast_little",
            )
        ]
    return []


# --- hops -----------------------------------------------------------------------------------------------------

_HOPS = (
    sums_fields.mass("hops", say("Hops"), required=True, possible=(0.0, 20_000.0)),
    sums_fields.volume("volume", say("Beer"), default="20 L", reason=say("what most kits give")),
    Field(
        "days",
        say("Days warm with yeast, from the hops on"),
        QUANTITY,
        ("time",),
        possible=(0.0, 8760.0),
        default="40 d",
        reason=say("bottled soon after, and kept warm"),
        hint="5 d",
    ),
    sums_fields.temperature(
        "temp", say("Beer"), default="20 °C", reason=say("where the published case was measured"), possible=(0.0, 35.0)
    ),
)


_FOUNTAIN = say("Even still beer holds gas: put hops in slowly, with headroom; in fizzy beer they make a fountain.")


def _hop_dose(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_HOPS, values)
    grams, volume, days = asked.need("hops"), asked.need("volume"), asked.need("days") / 24
    if volume <= 0:
        raise asked.lacking("volume")
    dose = grams / volume
    of_dose = asked.given("hops", "volume")
    loss = hops.beer_lost_l(grams)
    held = Working(
        say("7 to 8.3 mL of beer for each gram"), asked.given("hops"), ("hop_loss_trade_study", "hop_loss_rule")
    )
    figures = [
        figure("dose", say("Dose"), dose, _DOSE, Working(say("grams ÷ litres"), of_dose, ("by_definition",))),
        _span("lost", say("Beer that they keep"), loss, LITRES_2, held),
    ]
    creep = hops.hop_creep_co2_g_per_l(min(dose, 30.0), days, asked.need("temp"))
    within(creep.best, say("Beer"), say("hop creep is not known there"), say("write 0 to 35 °C"))
    volumes = Interval(*(part / CO2_G_PER_L_PER_VOLUME for part in creep))
    creep_working = Working(
        say("extract that the hops' enzymes open up × 0.46 g of gas for each gram; two published points carry it"),
        asked.givens,
        ("kirkpatrick_shellhammer_2018", "hop_creep_curve", "balling_nielsen_2007"),
        (
            say("{dose} g/L for {days} days", dose=show(dose, 1), days=show(days, 0)),
            say("an upper end, not a forecast: hops differ widely"),
        ),
        (say("Some pages print this as “5 % more fizz”; the paper's figure can only be 4.75 volumes."),),
    )
    figures.append(_span("creep", say("Gas that hop creep can add"), volumes, VOLUMES, creep_working))
    points = hops.hop_creep_points(min(dose, 30.0), days, asked.need("temp"))
    figures.append(_span("points", say("Gravity points"), points, Shown("points", "", 1), creep_working))
    return Answer(
        say(
            "{dose} g/L: {word}. They keep about {lost} of beer.",
            dose=show(dose, 1),
            word=dose_word(dose),
            lost=say_amount(float(loss.best), 1, "L"),
        ),
        say(
            "Hops wake the yeast: up to {volumes} volumes more in the bottle if it is filled at once. "
            "Wait for two level readings, at least two days apart and warm, after the hops.",
            volumes=show(float(volumes.high), 1),
        ),
        Urgency.NOTHING,
        tuple(figures),
        tuple(hop_findings(dose)),
        cautions=(DOGS, _FOUNTAIN),
        rule_of_thumb=say("Two to four days are enough; a week and more is tradition."),
        assumed=asked.assumed,
    )


def dose_word(dose: float) -> str:
    """A dose of dry hops in a word, as the trade speaks."""
    for limit, word in (
        (0.01, say("nothing")),
        (2, say("subtle")),
        (4, say("a pale ale's")),
        (6, say("hoppy")),
        (10, say("very hoppy")),
    ):
        if dose < limit:
            return word
    return say("beyond what aroma gains from")


def hop_findings(dose: float) -> list[Finding]:
    """A dose that breaks what beer can hold, or gains little."""
    if dose > hops.DOUBTFUL_DOSE_G_PER_L:
        return [
            Finding(
                Urgency.MEASURE,
                say(
                    "{dose} g/L cannot be meant: 1 to 10 g/L is the whole range, and pellets of {dose} g/L would "
                    "keep {share} % of the beer. “50 to 100 g a litre” is a tenfold slip.",
                    dose=say_number(f"{dose:.0f}"),
                    share=say_number(f"{100 * min(dose * 0.0075, 1.0):.0f}"),
                ),
                say("Is it grams in all, or ounces, or is the volume wrong?"),
                key="hops_tenfold",
            )
        ]
    if dose > hops.SATURATING_DOSE_G_PER_L:
        return [
            Finding(
                Urgency.NOTHING,
                say(
                    "Above {most} g/L aroma hardly grows; beer lost and hop creep do.",
                    most=say_number(f"{hops.SATURATING_DOSE_G_PER_L:g}"),
                ),
                "",
                key="hops_saturate",
            )
        ]
    return []


SUMS = (
    Sum(
        "yeast_dose",
        say("Yeast"),
        say("How much dry yeast?"),
        _YEAST,
        _yeast,
        {"volume": "23 L", "original": "1.045", "have": "7 g"},
    ),
    Sum(
        "hop_dose",
        say("Dry hops"),
        say("How strong is that dose, and what does it cost?"),
        _HOPS,
        _hop_dose,
        {"hops": "100 g", "volume": "20 L"},
    ),
)
