"""The sum that chooses bottles for a beer from a stock that is typed in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gylebook.journal.state import Shelf
from gylebook.phrases import say
from gylebook.science.interval import Span
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Finding, Option, Urgency
from gylebook.steps.asked import COUNT, VOLUMES, Asked, figure
from gylebook.steps.bottle_advice import Beer, Chosen, chosen, primed_gas
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS, HINT, PUBLISHED_LIMIT, bottles_of, words_to_keys
from gylebook.steps.decision import Sum
from gylebook.steps.fields import LONG_TEXT, Field
from gylebook.steps.gas_parts import residual_of
from gylebook.steps.lines import read_bottle_lots
from gylebook.steps.priming_dose import Base
from gylebook.units import show

_DONE = Span(0.0, 0.0, 0.53)  # level readings cannot promise less than one point
_EMPTY = Shelf()
_FIELDS = (
    sums_fields.volume("volume", say("Beer to fill"), required=True, possible=(0.1, 1000.0)),
    Field("bottles", say("Bottles at hand, one kind on a line"), LONG_TEXT, required=True, hint=HINT),
    sums_fields.co2("co2", say("Fizz wanted"), default="2.3 vol", reason=say("an ordinary ale")),
    sums_fields.temperature(
        "store", say("Warmest they will stand"), default="25 °C", reason=say("a room in summer"), possible=(0.0, 50.0)
    ),
    sums_fields.temperature(
        "warmest",
        say("Warmest since it finished"),
        default="20 °C",
        reason=say("an ordinary room"),
        possible=(0.0, 35.0),
    ),
    sums_fields.volume(
        "unsure", say("The litres may be out by"), default="0.5 L", reason=say("a bucket's mark"), possible=(0.0, 100.0)
    ),
)


def _choose(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_FIELDS, values)
    litres, store, warmest = asked.need("volume"), asked.need("store"), asked.need("warmest")
    lots = read_bottle_lots(asked.word("bottles"), asked.label("bottles"), words_to_keys(_EMPTY))
    if not lots:
        raise asked.lacking("bottles")
    residual = residual_of(Span(warmest, warmest, warmest))
    base = Base(Span(litres, litres, litres), residual, _DONE, asked.givens)
    most = litres + asked.need("unsure")
    by_itself = residual.best + _DONE.best
    beer = Beer(litres, litres, most, asked.need("co2"), by_itself, primed_gas(base), store, base, asked.givens)
    found = chosen(beer, bottles_of(lots, _EMPTY))
    return Answer(
        say("{headline}.", headline=found.headline()),
        found.why(),
        Urgency.NOTHING if found.choice.parts else Urgency.DANGER,
        tuple(found.figures()),
        (*found.findings(), *_never(found)),
        _options(found),
        cautions=GLASS_CAUTIONS,
        rule_of_thumb=PUBLISHED_LIMIT,
        assumed=asked.assumed,
    )


def _never(found: Chosen) -> tuple[Finding, ...]:
    texts = [
        say("{bottle}: never for beer that works in the bottle.", bottle=b.words) for b in found.bottles if b.never
    ]
    return tuple(Finding(Urgency.DANGER, text, say("Leave them out."), key="never_bottle") for text in texts)


def _options(found: Chosen) -> tuple[Option, ...]:
    rows = []
    working = found.working()
    for bottle, sort, full in zip(found.bottles, found.sorts, found.full, strict=True):
        shown = [figure("full", say("Filled"), full, COUNT, working)]
        if sort.bears:
            shown.append(figure("bears", say("Bears up to"), sort.bears / 10, VOLUMES, working))
        wanted = show(found.beer.wanted, 1)
        if bottle.never:
            words = say("never")
        elif not sort.bears:
            words = say("not fit at the warmest")
        elif sort.bears >= round(found.beer.wanted * 10):
            words = say("bears the {wanted} that are wanted", wanted=wanted)
        else:
            words = say("does not bear the {wanted} that are wanted", wanted=wanted)
        rows.append(
            Option(
                bottle.words, tuple(shown), say("{words}. {note}", words=words, note=bottle.kind.note), chosen=full > 0
            )
        )
    return tuple(rows)


SUMS = (
    Sum(
        "bottle_choice",
        say("Which bottles"),
        say("Which bottles for this beer, and with which fizz?"),
        _FIELDS,
        _choose,
        {
            "volume": "20 L",
            "co2": "2.8 vol",
            "bottles": "16 x 500 mL heavy\n40 x 500 mL one-way\n6 x 330 mL wine\n2 x 500 mL PET",
        },
    ),
)
