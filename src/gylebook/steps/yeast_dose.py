"""Yeast by the litre: what is at hand, how much of it is alive, and whether a second sachet is worth its price."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import isfinite

from gylebook.journal import events as ev
from gylebook.phrases import say, say_amount
from gylebook.science.interval import Interval
from gylebook.science.yeast import lag_h, viability, yeast_needed_g
from gylebook.steps.answers import Basis, Figure, Finding, Given, Option, Urgency, Working
from gylebook.steps.asked import GRAMS, HOURS, Shown, figure
from gylebook.units import Quantity, show

DOSE = Shown("g/L", "concentration", 2)
LID_SACHET_G = 6.0  # what lies under most kits' lids, 5 to 7 g
PLAIN_SACHET_G = 11.0
STRONG_SG = 1.065  # above it sheets ask for twice the yeast
WORTH_A_SECOND_SG = 1.060
TENFOLD_G_PER_L = 3.0
_LITTLE_G_PER_L = 0.15  # live; below it a second sachet is worth its price in any wort
_SHELF_MONTHS = 24  # from packing to the date on the sachet
_STORE_C = 20.0
_MONTH_DAYS = 30.44


@dataclass(frozen=True, slots=True)
class Yeast:
    """Dry yeast for a wort. `mass_g` is assumed where `known` is False."""

    mass_g: float
    known: bool
    kind: str
    volume: Figure
    age_months: float
    best_before: date | None
    on: date

    @property
    def alive(self) -> Interval:
        """Share as good as fresh."""
        return viability(min(max(self.age_months, 0.0), 120.0), _STORE_C)

    @property
    def dose(self) -> float:
        """Grams in a litre."""
        return self.mass_g / self.volume.value if self.volume.value > 0 else float("nan")

    @property
    def live_dose(self) -> float:
        """Grams in a litre that are as good as fresh."""
        return self.dose * float(self.alive.best)

    @property
    def months_past(self) -> float:
        """Months past the date on the sachet; negative before it, 0 where it is not known."""
        return (self.on - self.best_before).days / _MONTH_DAYS if self.best_before else 0.0


def yeast_for(mass: Quantity | None, kind: str, best_before: date | None, volume: Figure, on: date) -> Yeast:
    """The yeast as far as it is known; a sachet without its grams is taken as one from under a kit's lid."""
    grams = mass.to("g", "mass") if mass is not None else LID_SACHET_G
    # Without a date it is taken as half-way through its time on the shelf.
    age = _SHELF_MONTHS / 2.0 if best_before is None else _SHELF_MONTHS + (on - best_before).days / _MONTH_DAYS
    return Yeast(grams, mass is not None, kind or "ale", volume, max(0.0, age), best_before, on)


def yeast_of_kit(kit: ev.Kit | None, volume: Figure, on: date) -> Yeast:
    """The yeast that comes with a kit."""
    if kit is None:
        return yeast_for(None, "ale", None, volume, on)
    return yeast_for(kit.yeast_mass, kit.yeast_kind, kit.best_before, volume, on)


def givens(yeast: Yeast) -> tuple[Given, ...]:
    """The yeast in the lines of a working."""
    mass_basis, mass_where = (
        (Basis.MEASURED, "") if yeast.known else (Basis.ASSUMED, say("a sachet from under a kit's lid"))
    )
    dated = (
        say("best before {best_before}", best_before=yeast.best_before) if yeast.best_before else say("no date written")
    )
    return (
        Given(say("dry yeast"), say_amount(yeast.mass_g, 0, "g"), mass_basis, mass_where),
        Given(say("its age"), say("about {months} months", months=show(yeast.age_months, 0)), Basis.ASSUMED, dated),
        Given(say("wort"), yeast.volume.text(), Basis.RECKONED),
    )


def _sheet_kind(kind: str) -> str:
    return "lager" if kind == "lager" else "ale"


def dose_figures(yeast: Yeast, factor: float = 1.0) -> tuple[Figure, ...]:
    """Dose of so many times the yeast at hand, and what instruction sheets ask for."""
    mass = factor * yeast.mass_g
    alive = yeast.alive
    dose_g_per_l = factor * yeast.dose
    needed = yeast_needed_g(yeast.volume.value, _sheet_kind(yeast.kind))
    working = Working(
        say("grams of dry yeast ÷ litres, beside the rates that instruction sheets of dry yeast print"),
        givens(yeast),
        ("dry_yeast_sheets", "common_practice", "by_definition"),
        (
            say(
                "{mass} ÷ {volume} = {dose} g/L",
                mass=say_amount(mass, 0, "g"),
                volume=say_amount(yeast.volume.value, 1, "L"),
                dose=show(dose_g_per_l, 2),
            ),
            (
                say(
                    "as good as fresh: {best} % ({low} to {high} %)",
                    best=show(100 * float(alive.best), 0),
                    low=show(100 * float(alive.low), 0),
                    high=show(100 * float(alive.high), 0),
                )
            ),
        ),
        (say("How dry yeast ages has not been measured in public; the interval is wide."),),
    )
    dose = figure(
        "dose",
        say("Yeast dose"),
        dose_g_per_l,
        DOSE,
        working,
        low=mass / max(yeast.volume.high, 0.1),
        high=mass / max(yeast.volume.low, 0.1),
    )
    wanted = figure(
        "needed",
        say("Sheets ask for"),
        float(needed.best),
        GRAMS,
        working,
        low=float(needed.low),
        high=float(needed.high),
        interval=say("lowest and highest printed"),
    )
    return dose, wanted


def lag_figure(yeast: Yeast, temp_c: float, factor: float = 1.0) -> Figure | None:
    """Hours until something shows; None where temperature or dose are outside what is known."""
    live = min(max(factor * yeast.live_dose, 0.02), 5.0)
    temp = min(max(temp_c, 8.0), 32.0)
    found = lag_h(temp, live)
    if not isfinite(float(found.best)):
        return None
    working = Working(
        say("twelve hours at 19 °C and 0.5 g/L of live yeast; longer when colder or with less"),
        (*givens(yeast), Given(say("temperature of the wort then"), say_amount(temp_c, 0, "°C"), Basis.RECKONED)),
        ("common_practice",),
        (
            say(
                "{live} g/L alive at {temp}: about {hours} h",
                live=show(live, 2),
                temp=say_amount(temp, 0, "°C"),
                hours=show(float(found.best), 0),
            ),
        ),
        (say("A habit of the trade, not a measurement."),),
    )
    return figure(
        "lag", say("Shows after"), float(found.best), HOURS, working, low=float(found.low), high=float(found.high)
    )


def sachet_options(yeast: Yeast, temp_c: float, og_sg: float) -> tuple[Option, ...]:
    """One sachet beside two."""
    second = second_worth_it(yeast, og_sg)
    found = []
    for factor, name in ((1.0, say("What is at hand")), (2.0, say("Twice that"))):
        lag = lag_figure(yeast, temp_c, factor)
        figures = (*dose_figures(yeast, factor), *((lag,) if lag is not None else ()))
        words = _dose_words(factor * yeast.live_dose, _sheet_kind(yeast.kind))
        found.append(Option(name, figures, words, chosen=(factor == 2.0) == bool(second)))
    return tuple(found)


def _dose_words(live: float, kind: str) -> str:
    low = 0.8 if kind == "lager" else 0.5
    if live >= low:
        return say("what sheets ask for")
    if live >= 0.6 * low:
        return say("a little under the sheets' rate: starts later, works as well")
    if live >= 0.3 * low:
        return say("about half the sheets' rate, as usual with the sachet under the lid: it works, but starts later")
    return say("little: a slow start, and the tastes of overworked yeast")


def second_worth_it(yeast: Yeast, og_sg: float) -> str:
    """Why a second sachet is worth it; "" where it is not."""
    if og_sg >= WORTH_A_SECOND_SG:
        return say(
            "a wort of {gravity} is strong (above {strong} sheets ask for twice the yeast)",
            gravity=show(og_sg, 3),
            strong=show(STRONG_SG, 3),
        )
    if yeast.months_past > 6:
        return say("the sachet is {months} months past its date", months=show(yeast.months_past, 0))
    if yeast.kind == "lager" and yeast.live_dose < 0.5:
        return say("lager yeast works cold and wants more")
    if yeast.live_dose < _LITTLE_G_PER_L:
        return say("{dose} g/L alive is little", dose=show(yeast.live_dose, 2))
    return ""


def dose_findings(yeast: Yeast, og_sg: float) -> tuple[Finding, ...]:
    """What is worth knowing about the dose."""
    found = []
    why = second_worth_it(yeast, og_sg)
    if why:
        fresh = (
            say(" A fresh {sachet} sachet does as well.", sachet=say_amount(PLAIN_SACHET_G, None, "g"))
            if yeast.mass_g < PLAIN_SACHET_G
            else ""
        )
        found.append(
            Finding(
                Urgency.WAIT,
                say("A second sachet is worth its price: {why}.{fresh}", why=why, fresh=fresh),
                say("Is another sachet at hand?"),
                key="second_sachet",
            )
        )
    else:
        found.append(Finding(Urgency.NOTHING, _one_words(yeast), key="one_sachet"))
    if yeast.months_past > 0:
        low, best, high = (show(100 * float(share), 0) for share in yeast.alive)
        found.append(
            Finding(
                Urgency.WAIT,
                say(
                    "The yeast is {months} months past its date: perhaps {best} % of it ({low} to {high} %) is "
                    "as good as fresh. A kit's yeast ages faster than its extract.",
                    months=show(yeast.months_past, 0),
                    best=best,
                    low=low,
                    high=high,
                ),
                say("Stir a pinch into lukewarm sugar water: does it foam within half an hour?"),
                key="old_yeast",
            )
        )
    return tuple(found)


def _one_words(yeast: Yeast) -> str:
    """What the yeast at hand does by itself, beside what sheets ask for."""
    needed = yeast_needed_g(yeast.volume.value, _sheet_kind(yeast.kind))
    if yeast.mass_g >= float(needed.low):
        return say("What is at hand will do: {dose} g/L is what sheets ask for.", dose=show(yeast.dose, 2))
    share = round(100 * yeast.mass_g / float(needed.best), -1)
    return say(
        "What is at hand works: {mass} ({dose} g/L) is about {share} % of the {wanted} that sheets ask "
        "for, so it starts later and tastes more of the yeast. A second sachet is worth it above about "
        "{gravity}, or where the first is old.",
        mass=say_amount(yeast.mass_g, 0, "g"),
        dose=show(yeast.dose, 2),
        share=show(share, 0),
        wanted=say_amount(float(needed.best), 0, "g"),
        gravity=show(WORTH_A_SECOND_SG, 3),
    )


def is_tenfold(mass_g: float, volume_l: float) -> bool:
    """Whether a dose is so large that grams or litres must be wrong."""
    return volume_l > 0 and mass_g / volume_l > TENFOLD_G_PER_L
