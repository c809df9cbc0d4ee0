"""What an answer on priming rests on: asked for, else from the brew, else assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.science.interval import Span
from gylebook.steps import sums_fields, volumes
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import CELSIUS, LITRES, VOLUMES, Asked, figure
from gylebook.steps.bottle_kinds import HINT, Bottle, bottles_of, weakest, words_to_keys
from gylebook.steps.bottle_stock import count_for
from gylebook.steps.bottle_store import bottles_in_use, store_c
from gylebook.steps.decision import Setting
from gylebook.steps.fields import CHOICE, LONG_TEXT, Field
from gylebook.steps.fizz import (
    DONE,
    filled_bottles,
    later_of,
    span_of,
    to_come_of,
    wanted_vol,
    warmest_of,
)
from gylebook.steps.gas_parts import USUAL_VOL, residual_of
from gylebook.steps.lines import read_bottle_lots
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.priming_by_hand import Bench, each_g
from gylebook.steps.priming_dose import SUGAR_CHOICES, Base, Outcome, outcome
from gylebook.steps.priming_litres import litres_of
from gylebook.steps.priming_measure import BY_BOTTLE, MEASURED, dosed, scale_step_g
from gylebook.units import Quantity, show

_SIZES_L = (0.5, 0.33, 0.568)
INTO = (("whole batch", say("the whole batch")), ("each bottle", say("each bottle")))

ASK = (
    sums_fields.co2("co2", say("Fizz wanted")),
    Field(
        "sugar", say("Sugar"), CHOICE, choices=SUGAR_CHOICES, default="sucrose", reason=say("what every kitchen has")
    ),
    sums_fields.volume("volume", say("Beer really in the bucket"), possible=(0.1, 1000.0)),
    sums_fields.temperature("warmest", say("Warmest since it finished"), possible=(0.0, 35.0)),
    Field("bottles", say("Bottles, one kind on a line"), LONG_TEXT, hint=HINT),
    sums_fields.temperature("store", say("Warmest the bottles will stand"), possible=(0.0, 50.0)),
    sums_fields.mass("mass", say("What if I gave this much sugar"), possible=(0.0, 5000.0)),
    Field(
        "how",
        say("It goes into"),
        CHOICE,
        choices=INTO,
        hint=say("left out: the batch, and bottles by spoon or syringe"),
    ),
    MEASURED,
)


class Case:
    """Everything an answer on priming rests on: asked for, else from the brew, else assumed."""

    def __init__(self, brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> None:
        self.asked = Asked(ASK, asked)
        shelf = setting.shelf
        self.outlook: Outlook = outlook(brew, setting)
        self.assumed = list(self.asked.assumed)
        self.sugar = self.asked.word("sugar")
        self.shelf = shelf
        self.measured = self.asked.word("measured")
        by_bottle = self.measured in BY_BOTTLE
        self.how = self.asked.word("how") or ("each bottle" if by_bottle else "whole batch")
        self.log_warmest = warmest_of(brew, setting, self.outlook)
        self.litres, litres_given = self._part("volume", volumes.in_vessel_l(brew, shelf), 0.02)
        self.warmest, warmest_given = self._part("warmest", self.log_warmest, 0.0)
        self.store, store_given = self._part("store", store_c(brew, shelf), 0.0)
        self.target = self._target(brew)
        text = self.asked.word("bottles")
        self.bottles_known = True
        if text.strip():
            self.bottles = bottles_of(read_bottle_lots(text, say("Bottles"), words_to_keys(shelf)), shelf)
        else:
            self.bottles, _ = bottles_in_use(brew, shelf, self.litres.best, setting.full_bottles())
            self.bottles_known = bool(self.bottles)
        come = self.outlook.co2_to_come
        self.base = Base(
            self.litres,
            residual_of(self.warmest),
            to_come_of(self.outlook),
            (
                litres_given,
                warmest_given,
                Given(say("still to ferment"), come.text(), Basis.RECKONED, say("the outlook")),
                store_given,
            ),
            later_of(self.outlook),
            filled_bottles(brew) or count_for(self.litres.best, self.bottles),
        )

    def _part(self, name: str, known: Figure, error: float) -> tuple[Span, Given]:
        written = self.asked.number(name)
        label = self.asked.label(name)
        if written is not None:
            half = max(error * written, 0.2 if name == "volume" else 0.0)
            where = str(self.asked.quantity(name))
            return Span(written - half, written, written + half), Given(label, where, Basis.ASKED)
        basis = next((g.basis for g in known.working.inputs), Basis.RECKONED)
        if basis is Basis.ASSUMED:
            self.assumed.append(
                say("{label}: {known} {unit}", label=label, known=show(known.value, known.digits), unit=known.unit)
            )
        span = litres_of(known) if name == "volume" else span_of(known)
        return span, Given(label, known.text(), Basis.RECKONED, known.working.relation)

    def _target(self, brew: Brew) -> float:
        written = self.asked.number("co2")
        if written is not None:
            return written
        planned = wanted_vol(brew)
        if planned is not None:
            return planned
        self.assumed.append(say("Fizz wanted: {volumes} vol (an ordinary ale)", volumes=show(USUAL_VOL, 1)))
        return USUAL_VOL

    @property
    def when_done(self) -> Base:
        """The base as it will be once fermentation is over."""
        if self.outlook.finished is True:
            return self.base
        return replace(self.base, to_come=DONE, later=None)

    @property
    def weak(self) -> Bottle:
        """The bottle fit for the least pressure."""
        return weakest(self.bottles)

    def given_by(self, base: Base, grams: float) -> Outcome:
        """What so much of the sugar gives, measured and shared out as it was asked."""
        each = each_g(base, grams, self.sizes()[0]) if self.how == "each bottle" else grams
        mass = Quantity(show(max(each, 0.01), 0 if self.how == "whole batch" else 1), "g")
        if scale_step_g(self.shelf) is None:  # written to tenths, but weighed on a kitchen scale
            mass = Quantity(show(max(each, 1.0), 0), "g")
        dose = dosed(self.measured, self.sugar, self.how, mass, self.shelf)
        return outcome(base, grams, self.sugar, self.how, dose)

    def bench(self, base: Base, given: Outcome) -> Bench:
        """The dose as it is about to be measured."""
        return Bench(base, given, self.sizes(), self.shelf, self.store.best, self.how, self.measured)

    def sizes(self) -> tuple[float, ...]:
        """Sizes of the bottles in use, the commonest first; the usual three where none are known."""
        known = sorted({b.size_l: b.count for b in self.bottles}.items(), key=lambda pair: -pair[1])
        return tuple(size for size, _ in known) or _SIZES_L

    def figures(self) -> tuple[Figure, ...]:
        """The parts that the dose starts from: warmest, litres, gas to come, gas dissolved."""
        found = []
        warmest = self.log_warmest
        if "warmest" in self.asked:
            working = Working(say("asked for"), self.asked.given("warmest"), ("draper_hibberd_1996",))
            warmest = figure("warmest", say("Warmest since it finished"), self.warmest.best, CELSIUS, working)
        found.append(warmest)
        working = Working(say("as asked for, else as reckoned from the log"), self.base.givens[:1], ("mass_balance",))
        span = self.litres
        found.append(figure("volume", say("Beer to prime"), span.best, LITRES, working, low=span.low, high=span.high))
        working = Working(
            say("what beer keeps after fermentation, by the warmest it has been since; cooling later changes nothing"),
            self.base.givens[1:2],
            ("draper_hibberd_1996", "delange_2011"),
        )
        held = self.base.residual
        dissolved = figure(
            "residual", say("Gas in it already"), held.best, VOLUMES, working, low=held.low, high=held.high
        )
        return (*found, self.outlook.co2_to_come, dissolved)
