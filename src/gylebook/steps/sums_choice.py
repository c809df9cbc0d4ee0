"""The sum that chooses bottles for a beer from a stock that is typed in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gylebook.journal.state import Shelf
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
    sums_fields.volume("volume", "Beer to fill", required=True, possible=(0.1, 1000.0)),
    Field("bottles", "Bottles at hand, one kind on a line", LONG_TEXT, required=True, hint=HINT),
    sums_fields.co2("co2", "Fizz wanted", default="2.3 vol", reason="an ordinary ale"),
    sums_fields.temperature(
        "store", "Warmest they will stand", default="25 °C", reason="a room in summer", possible=(0.0, 50.0)
    ),
    sums_fields.temperature(
        "warmest", "Warmest since it finished", default="20 °C", reason="an ordinary room", possible=(0.0, 35.0)
    ),
    sums_fields.volume(
        "unsure", "The litres may be out by", default="0.5 L", reason="a bucket's mark", possible=(0.0, 100.0)
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
        f"{found.headline()}.",
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
    texts = [f"{b.words}: never for beer that works in the bottle." for b in found.bottles if b.never]
    return tuple(Finding(Urgency.DANGER, text, "Leave them out.", key="never_bottle") for text in texts)


def _options(found: Chosen) -> tuple[Option, ...]:
    rows = []
    working = found.working()
    for bottle, sort, full in zip(found.bottles, found.sorts, found.full, strict=True):
        shown = [figure("full", "Filled", full, COUNT, working)]
        if sort.bears:
            shown.append(figure("bears", "Bears up to", sort.bears / 10, VOLUMES, working))
        wanted = f"the {show(found.beer.wanted, 1)} that are wanted"
        enough = "bears" if sort.bears >= round(found.beer.wanted * 10) else "does not bear"
        words = "never" if bottle.never else f"{enough} {wanted}" if sort.bears else "not fit at the warmest"
        rows.append(Option(bottle.words, tuple(shown), f"{words}. {bottle.kind.note}", chosen=full > 0))
    return tuple(rows)


SUMS = (
    Sum(
        "bottle_choice",
        "Which bottles",
        "Which bottles for this beer, and with which fizz?",
        _FIELDS,
        _choose,
        {
            "volume": "20 L",
            "co2": "2.8 vol",
            "bottles": "16 x 500 mL heavy\n40 x 500 mL one-way\n6 x 330 mL wine\n2 x 500 mL PET",
        },
    ),
)
