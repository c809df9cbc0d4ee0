"""What stands on a bottle's label: name, code, date, about how strong, allergens, how to keep and to pour it.

What is not known is left out and asked for; nothing is made up to fill the label.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import isfinite

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount
from gylebook.science.label import round_down_one_decimal, tolerance_eu, tolerance_us
from gylebook.steps.answers import Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.bottle_kinds import bottle_of
from gylebook.steps.bottle_times import bottle_times
from gylebook.steps.cellar import counts
from gylebook.steps.chosen import label_rules
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import fizz_of
from gylebook.steps.label_allergens import Allergens, allergens
from gylebook.steps.outlook import outlook
from gylebook.steps.strength import strength_of
from gylebook.steps.tasks import due
from gylebook.units import show

STORE_WORDS = say("Bottle-conditioned: keep it cool and upright.")
POUR_WORDS = say("Open cold. Pour gently and leave the sediment in the bottle.")
HOME_WORDS = say("Made at home, not for sale. Alcohol: not for children, not before driving.")
MAY_BURST = say("MAY BURST: keep it cold, as in a fridge. Do not carry it warm, shake it or give it away.")
_LEAST_STATED = 1.2  # % vol above which European law wants the strength on a label
# Where the rounding and the tolerance come from.
_LAW = {"EU": ("eu_1169_2011",), "UK": ("uk_alcohol_guide", "eu_1169_2011"), "US": ("us_27_cfr",)}
_COOLEST_WARNED, _WARMEST_WARNED = 12, 25


@dataclass(frozen=True, slots=True)
class Label:
    """A label's words, and how they were reached.

    Parameters
    ----------
    name, number, code
        The beer, the number of its brew, and the code on its caps ("" where none is written).
    bottled, best_from, best_to
        Days; None where nothing is bottled.
    strength, volume
        In words: "about 4.2 % vol", "500 mL"; "" where they are not known.
    contains
        Allergens, those that must stand out in capitals.
    hazard
        The line about pressure; `fit` is False where the bottles must not be given away.
    abv, working
        The strength with its interval, and how the label's own number follows from it.
    missing, questions
        The one thing that matters most, and what else is open.
    """

    name: str
    number: str
    code: str
    maker: str
    bottled: date | None
    best_from: date | None
    best_to: date | None
    strength: str
    volume: str
    contains: tuple[str, ...]
    hazard: str
    fit: bool
    abv: Figure | None
    working: Working
    missing: str = ""
    questions: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    store: str = STORE_WORDS
    pour: str = POUR_WORDS
    home: str = HOME_WORDS

    @property
    def mark(self) -> str:
        """What is written on a cap: its code, else the brew's number."""
        return self.code or self.number

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The strength as the label has it, then as it is reckoned, each with its working."""
        if self.abv is None:
            return ()
        printed = replace(
            self.abv, key="label", label=say("Strength on the label"), words=self.strength, working=self.working
        )
        return printed, self.abv


def label(brew: Brew, setting: Setting, *, name: str = "", size: str = "") -> Label:
    """The label of a brew; `name` and `size` go before what the book would write."""
    bottled = brew.first(ev.Bottled)
    found = allergens(brew)
    abv, strength, rounding, steps, findings = _strength(brew, setting)
    hazard, fit, warning = _hazard(brew, setting)
    best_from, best_to = _best(brew, setting)
    volume, which = _volume(brew, size)
    questions = (*_bottling_questions(brew), *found.questions, *which)
    code = next((k.event.cap_code for k in reversed(brew.all(ev.Bottled)) if k.event.cap_code), "")
    return Label(
        name=name or brew.name,
        number=say("No. {id}", id=brew.id),
        code=code,
        maker=setting.shelf.settings.brewer or "",
        bottled=bottled.at.astimezone(setting.zone).date() if bottled else None,
        best_from=best_from,
        best_to=best_to,
        strength=strength,
        volume=volume,
        contains=found.words,
        hazard=hazard,
        fit=fit,
        abv=abv,
        working=_working(abv, found, rounding, steps, label_rules(setting.shelf.settings.country)),
        missing=questions[0] if questions else "",
        questions=questions[1:],
        assumed=found.assumed,
        findings=(*warning, *findings),
    )


def _strength(brew: Brew, setting: Setting) -> tuple[Figure | None, str, str, tuple[str, ...], tuple[Finding, ...]]:
    """The figure, the label's words, the rule of rounding, its lines, and what was noticed."""
    if not brew.all(ev.Pitched) and not brew.all(ev.Bottled):
        return None, "", say("not stated before the yeast is in"), (), ()
    try:
        abv = strength_of(brew, setting)
    except InputError:  # gravities that no beer has together: the readings' page says which
        return None, "", say("not stated: the gravities cannot both be right"), (), ()
    country = label_rules(setting.shelf.settings.country)
    if country == "UK":
        rounded = float(round_down_one_decimal(abv.value))
        rule = say("rounded down to one decimal, as United Kingdom duty counts")
    else:
        rounded, rule = round(abv.value, 1), say("rounded to one decimal")
    half = max(abv.high - abv.value, abv.value - abv.low)
    granted = tolerance_us(rounded) if country == "US" else tolerance_eu(rounded)
    tolerance = float(granted) if country in {"UK", "EU", "US"} else float("nan")
    steps: tuple[str, ...] = (say("{text}, {rule}: {rounded}", text=abv.text(), rule=rule, rounded=show(rounded, 1)),)
    findings: tuple[Finding, ...] = ()
    if isfinite(tolerance):
        steps += (
            say(
                "a beer for sale may differ from its label by {tolerance} in the {country}",
                tolerance=show(tolerance, 1),
                country=country,
            ),
        )
        if round(half, 1) > tolerance:
            text = say(
                "The strength is known to ±{half} only, wider than the ±{tolerance} granted to a beer for sale; "
                "the label says “about”.",
                half=show(half, 1),
                tolerance=show(tolerance, 1),
            )
            findings = (Finding(Urgency.NOTHING, text, say("A reading at the end narrows it."), key="wide_strength"),)
    if country == "US":
        words = say("about {rounded} % alcohol by volume", rounded=show(rounded, 1))
    else:
        words = say("about {rounded} % vol", rounded=show(rounded, 1))
    if rounded <= _LEAST_STATED and country in {"UK", "EU"}:
        words, steps = (
            say("up to {most} % vol", most=show(_LEAST_STATED, 1)),
            (*steps, say("no number is asked for up to 1.2 % vol")),
        )
    return abv, words, rule, steps, findings


def _hazard(brew: Brew, setting: Setting) -> tuple[str, bool, tuple[Finding, ...]]:
    """The line about pressure, whether the bottles may leave the house, and why not."""
    lots = [lot for lot, _ in counts(brew)]
    if not lots:
        return say("Under pressure: keep it cool; open it away from faces."), True, ()
    gas = fizz_of(brew, setting)
    warmest = min(
        bottle_of(lot.bottle, lot.size, lot.count, setting.shelf).warmest_c(gas.total.best, gas.worst) for lot in lots
    )
    danger = next((task for task in due(brew, setting) if task.urgency is Urgency.DANGER), None)
    if danger is None and warmest >= _COOLEST_WARNED:
        below = say_amount(min(int(warmest), _WARMEST_WARNED), 0, "°C")
        return say("Under pressure: keep it below {below}; open it away from faces.", below=below), True, ()
    why = danger.why if danger is not None else say("By the book they hold more gas than these bottles are fit for.")
    text = say("These bottles are not fit to be given away. {why}", why=why)
    return MAY_BURST, False, (Finding(Urgency.DANGER, text, say("Open the brew's page first."), key="may_burst"),)


def _best(brew: Brew, setting: Setting) -> tuple[date | None, date | None]:
    if not brew.all(ev.Bottled):
        return None, None
    times = bottle_times(brew, setting.shelf, outlook(brew, setting).original.value)
    if times is None or times.best_from[1] is None:
        return None, None
    return times.best_from[1].astimezone(setting.zone).date(), times.best_to.astimezone(setting.zone).date()


def _volume(brew: Brew, size: str) -> tuple[str, tuple[str, ...]]:
    """The bottle's volume where all are of one size, and the question where they are not."""
    sizes = list(dict.fromkeys(str(lot.size) for lot, _ in counts(brew)))
    if size or len(sizes) <= 1:
        return size or "".join(sizes), ()
    return "", (
        say("Bottles of {sizes} were filled: which of them are these labels for?", sizes=joined(say(" and "), sizes)),
    )


def _bottling_questions(brew: Brew) -> tuple[str, ...]:
    if brew.all(ev.Bottled):
        return ()
    return (say("It is not in bottles by the book: when was it bottled, and in which bottles?"),)


def _working(
    abv: Figure | None, found: Allergens, rounding: str, steps: tuple[str, ...], country: str | None
) -> Working:
    given = (Given(say("strength"), abv.text(), Basis.RECKONED, abv.working.relation),) if abv is not None else ()
    return Working(
        say("strength {rule}; allergens from what went in", rule=rounding),
        (*given, *found.inputs),
        _LAW.get(country or "", ("common_practice",)),
        steps,
        (
            say(
                "The law of labels is for beer that is sold; it differs by country and changes. On a gift it is "
                "courtesy."
            ),
            say("Allergens are those that were written down or that the materials bring by their nature."),
        ),
    )
