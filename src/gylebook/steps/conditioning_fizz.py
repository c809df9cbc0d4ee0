"""What an opened bottle says: too flat, too wild, or uneven, and what that most likely comes from."""

from __future__ import annotations

from gylebook.forecast.opened import FLAT_FELT, WILD_FELT
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_count
from gylebook.steps.answers import Finding, Option, Urgency
from gylebook.steps.bottle_age import Age, age_at
from gylebook.steps.bottle_check import another_at, check_of
from gylebook.steps.bottle_times import bottle_times
from gylebook.steps.cellar import bottles_left
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz
from gylebook.steps.moments import coming_words
from gylebook.steps.warmth import beer_temp_c
from gylebook.units import show

_WARM_C = 18.0  # as warm as bottles are brought to: those that stand so are left there
_DONE = 0.9  # of the gas: a bottle that is flat by then will not become lively by itself


def opened_findings(brew: Brew, setting: Setting, age: Age, gas: Fizz) -> list[Finding]:
    """What the last opened bottle says, the pattern of all of them, and what most likely lies behind it."""
    last = brew.last(ev.Opened)
    if last is None:
        return causes_findings(gas)
    found = []
    then = age_at(brew, setting.shelf, last.at) or age
    felt = last.event.fizz
    # What was flat in the cold is no news once the gas has come.
    if (
        felt is not None
        and felt <= FLAT_FELT
        and not last.event.gushed
        and not then.share.best < _DONE <= age.share.best
    ):
        found.append(_flat(brew, then, last.seq) if then.share.best >= _DONE else _not_yet(brew, setting, gas, then))
    if felt is not None and felt >= WILD_FELT and not last.event.gushed:
        text = say("Wild, though it did not gush: chill the rest, and open each cold, over a sink.")
        found.append(Finding(Urgency.ACT, text, say("Is another bottle the same?"), last.seq, "wild"))
    return [*found, *pattern_findings(brew), *causes_findings(gas)]


def causes_findings(gas: Fizz) -> list[Finding]:
    """What lies behind flat or wild bottles, each cause with its chance; empty where none was opened flat or wild."""
    found = gas.opened.finding() if gas.opened is not None else None
    return [found] if found is not None else []


def _not_yet(brew: Brew, setting: Setting, gas: Fizz, then: Age) -> Finding:
    """Flat before its time: to the warm where they stand cold and may be warmed, else left where they are."""
    last, times = brew.last(ev.Opened), bottle_times(brew, setting.shelf, gas.outlook.original.value)
    assert last is not None
    assert times is not None
    flat = say("Flat for now: {age}, about {share} % done.", age=then.words, share=show(100 * then.share.best, 0))
    check = check_of(brew, setting, gas, times)
    if beer_temp_c(brew, setting.shelf, setting.now).value >= _WARM_C:
        day = another_at(brew, times, check) or times.open_at[1]
        later = day is not None and day > setting.now
        text = say("{flat} Leave them where they are, then open another. Add no sugar.", flat=flat)
        if day is not None and later:
            text = say(
                "{flat} Leave them where they are until {day}, then open another. Add no sugar.",
                flat=flat,
                day=coming_words(day, setting.now, setting.zone),
            )
        return Finding(Urgency.WAIT, text, say("Is a plastic bottle harder than last week?"), last.seq, "flat_early")
    if check.warming_is_danger:
        text = say("{flat} Leave them cold: warmed, a bottle may come to hold too much. Add no sugar.", flat=flat)
        return Finding(Urgency.MEASURE, text, say("Is another one flat too, opened cold?"), last.seq, "flat_cold")
    need = max(1.0, 14.0 - then.days_at_20c)
    text = say(
        "{flat} Bring them to 20 °C for {need} days, turn each once, then open one. Add no sugar.",
        flat=flat,
        need=show(need, 0),
    )
    return Finding(Urgency.ACT, text, say("Are the others cold too?"), last.seq, "flat_cold")


def _flat(brew: Brew, age: Age, seq: int) -> Finding:
    if not brew.all(ev.Primed):
        text = say("Flat, and no priming sugar is written; {age}.", age=age.words)
        return Finding(Urgency.MEASURE, text, say("Was sugar added?"), seq, "flat_no_sugar")
    text = say(
        "Flat after enough time ({age}). One bottle: its cap or washer. All of them: too little sugar, "
        "or yeast that is gone. Add no sugar before three more warm weeks.",
        age=age.words,
    )
    return Finding(
        Urgency.MEASURE, text, say("Is a plastic bottle hard while glass is flat? Then seals leak."), seq, "flat"
    )


def pattern_findings(brew: Brew) -> list[Finding]:
    """Some wild and some flat: what it says by which were filled first and last."""
    opened = brew.all(ev.Opened)
    wild = [k for k in opened if k.event.gushed or (k.event.fizz or 0) >= WILD_FELT]
    flat = [k for k in opened if k.event.fizz is not None and k.event.fizz <= FLAT_FELT and not k.event.gushed]
    if not (wild and flat):
        return []
    lots = {lot.bottle: lot for kept in brew.all(ev.Bottled) for lot in kept.event.lots}
    ends = {("first" if lots[k.event.bottle].first else "last") for k in wild if k.event.bottle in lots and (
        lots[k.event.bottle].first or lots[k.event.bottle].last)}  # fmt: skip
    if ends == {"first"}:
        text = say("Some wild, some flat, and the wild ones were filled first: syrup not stirred in.")
    elif ends == {"last"}:
        text = say("Some wild, some flat, and the wild ones were filled last: syrup not stirred in.")
    elif ends:
        text = say("Some wild, some flat, and the wild ones were filled first and last: syrup not stirred in.")
    else:
        text = say(
            "Some wild, some flat: syrup not stirred in where it goes by the order of filling, dirty bottles where it "
            "is at random."
        )
    check = say("Which were filled first and last? Chill those, and mark them.")
    return [Finding(Urgency.ACT, text, check, wild[-1].seq, "uneven")]


def diagnosis(brew: Brew, age: Age) -> tuple[Option, ...]:
    """What each felt fizz would mean at this age, for the next bottle opened."""
    if age.share.best < 0.9:
        flat = say("as it should be at this age ({share} % done): leave them warm", share=show(100 * age.share.best, 0))
    else:
        flat = say("leaky seals where it is one; too little sugar or tired yeast where it is all")
    wild = say("bottled early, too much sugar, or something wild: chill the rest at once")
    rest = bottles_left(brew)
    lively = say("as wanted: move them to the cool")
    if rest:
        lively = say_count(
            rest,
            "as wanted: move them to the cool; {n} bottle is left",
            "as wanted: move them to the cool; {n} bottles are left",
        )
    return (
        Option(say("Flat (1 or 2)"), (), flat),
        Option(say("Lively (3 or 4)"), (), lively),
        Option(say("Wild (5), or it gushes"), (), wild),
    )
