"""Sugar that was reckoned with the beer's cold, as if cooling had put gas into it: how it shows, and what is right."""

from __future__ import annotations

from datetime import datetime

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.science.interval import Span
from gylebook.science.priming import PRIMING_SUGARS
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import primed_of, warmest_of
from gylebook.steps.gas_parts import residual_of
from gylebook.steps.outlook import Outlook
from gylebook.steps.priming_dose import Base, dose_g, sugar_words
from gylebook.steps.warmth import BEER, log
from gylebook.units import show

_COLDER_C = 5.0  # so much colder than its warmest, a third of a volume is taken for gas that is not there
_MEANT_VOL = Span(2.0, 2.4, 3.0)  # what somebody who primes a beer means: less or more was meant otherwise
_FLAT_VOL = 2.0  # what it comes to, where somebody who wanted more is disappointed


def dose_of_the_cold(brew: Brew, setting: Setting, found: Outlook) -> list[Finding]:
    """That the sugar is what the beer's cold would want, with what was right; empty where it is not so.

    The fizz that was wanted is taken from the sugar itself: what it would have given, were the cold what counts.
    """
    primed, entries = primed_of(brew, setting), brew.all(ev.Primed)
    if primed is None or len(entries) != 1 or entries[0].event.how != "whole batch":
        return []
    event, warmest = entries[0].event, warmest_of(brew, setting, found)
    if event.sugar not in PRIMING_SUGARS:
        return []
    cold = _coldest_c(brew, setting, entries[0].at, found)
    if cold is None or cold > warmest.value - _COLDER_C:
        return []
    held, thought = residual_of(Span(warmest.low, warmest.value, warmest.high)), residual_of(Span(cold, cold, cold))
    meant, got = thought.best + primed.gas.best, held.best + primed.gas.best
    if not (_MEANT_VOL.low <= meant <= _MEANT_VOL.high and got < _FLAT_VOL):
        return []
    sugar = event.sugar
    base = Base(Span(primed.litres, primed.litres, primed.litres), held, Span(0.0, 0.0, 0.0))
    right = dose_g(base, meant, sugar).best
    text = say(
        "{mass} of {sugar} is what beer of {cold} would want for {meant} volumes. Its warmest "
        "since the end was {warmest}, and cold beer took up no gas by itself: it comes to {got}. {right} "
        "would have been right.",
        mass=event.mass,
        sugar=sugar_words(sugar),
        cold=say_amount(cold, 0, "°C"),
        meant=show(meant, 1),
        warmest=say_amount(warmest.value, 0, "°C"),
        got=show(got, 1),
        right=say_amount(right, 0, "g"),
    )
    check = say("Was the sugar reckoned with the cold? Next time, with the warmest.")
    return [Finding(Urgency.MEASURE, text, check, entries[0].seq, "primed_for_cold")]


def _coldest_c(brew: Brew, setting: Setting, until: datetime, found: Outlook) -> float | None:
    """The coldest that the beer was read since it came to its end, up to its priming; None where nobody read it."""
    since = found.level_since
    beer = [w for w in log(brew, setting.shelf) if w.of == BEER and w.at <= until]
    return min((w.low_c for w in beer if since is None or w.at >= since), default=None)
