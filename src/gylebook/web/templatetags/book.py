"""Template tags of the book, built in: no template needs to load them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import datetime
from functools import cache
from pathlib import Path

from django import template
from django.conf import settings
from django.template.context import Context
from django.template.defaultfilters import linebreaksbr
from django.template.loader import render_to_string
from django.urls import get_script_prefix
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from gylebook import sources
from gylebook.outputs.measures import Measures
from gylebook.outputs.tally import tally as tally_of
from gylebook.phrases import capital, say, tell
from gylebook.phrases import joined as joined_by
from gylebook.steps.answers import Deed, Figure, MomentFigure, Option, Urgency
from gylebook.web.pencilled import Leads, anchor, pencilled
from gylebook.web.pocket.words import address, language_of_page

register = template.Library()

_LONG = 16  # letters of a figure that may break over lines

_WAYS_IN = {
    "page": say("page"),
    "command": say("command"),
    "program": say("program"),
    "device": say("device"),
    "import": say("import"),
    "demo": say("demo"),
}


@register.simple_tag
def asset(name: str) -> str:
    """Address of a static file, with its hash: a browser may keep it for a year and still sees each change."""
    return f"{settings.STATIC_URL}{name}?{_fingerprint(name)}"


@register.simple_tag
def words_of_scripts() -> SafeString:
    """An attribute that tells the page's scripts where their words in its language are; nothing for English."""
    at = address(language_of_page())
    return format_html(' data-words="{}"', at) if at else mark_safe("")


@cache
def _fingerprint(name: str) -> str:
    return hashlib.sha256(Path(f"{settings.STATIC_ROOT}/{name}").read_bytes()).hexdigest()[:12]


def measures_in(context: Context) -> Measures:
    """The page's `measures`, or metric units and the computer's zone where the view gave none."""
    given = context.get("measures")
    return given if isinstance(given, Measures) else Measures(zone=timezone.get_current_timezone())


@register.simple_tag(takes_context=True)
def pencil(context: Context, figure: Figure | MomentFigure, *, anchored: bool = False) -> SafeString:
    """A reckoned figure that opens its working; fit for running text (in a div) and for lists of figures.

    No space is left at its end, so that a comma may follow. An anchored one can be led to from a sentence; a page has
    at most one of each key.
    """
    words = measures_in(context).figure(figure)
    shown = {
        "anchor": anchor(figure.key) if anchored else "",
        "entries_at": str(context.get("entries_at") or ""),
        "figure": figure,
        "words": words,
        "long": len(tell(words.value)) > _LONG,
        "working": figure.working,
        "interval": figure.interval,
    }
    return mark_safe(render_to_string("parts/figure.html", shown).strip())  # noqa: S308 - the template escapes


@register.simple_tag(takes_context=True)
def told(
    context: Context, text: str, figures: tuple[Figure | MomentFigure, ...] = (), rests: str = "#rests"
) -> SafeString:
    """A sentence of a step: each number in it leads to its working, among these figures or at `rests`."""
    leads = Leads(tuple(figures or ()), rests, str(context.get("entries_at") or ""))
    return pencilled(text, leads, measures_in(context))


@register.simple_tag(takes_context=True)
def day(context: Context, at: datetime) -> str:
    """As “Tue 3 Nov”."""
    return measures_in(context).day(at)


@register.simple_tag(takes_context=True)
def moment(context: Context, at: datetime) -> str:
    """As “Tue 3 Nov, 18:30”."""
    return measures_in(context).moment(at)


@register.simple_tag
def tally(percent: float) -> SafeString:
    """A chance as tally strokes."""
    return mark_safe(tally_of(percent / 100))  # noqa: S308 - numbers only


@register.filter
def urgency_class(urgency: Urgency) -> str:
    """As “u-danger”, "u-act", "u-measure", "u-wait" or "u-nothing"."""
    return f"u-{urgency.name.lower()}"


@register.filter
def case_of(number: int, option: Option) -> str:
    """Where the words of the option of that number lead: to its own figures, else to all that the answer rests on."""
    return f"#case-{number}" if option.figures else "#rests"


@register.filter
def deed_of(number: int, deed: Deed) -> str:
    """Where the words of the deed of that number lead: to its own figures, else to all that the answer rests on."""
    return f"#deed-{number}" if deed.figures else "#rests"


@register.filter
def finding_words(urgency: Urgency) -> str:
    """The word before something noticed; what asks for nothing is told by the way."""
    return urgency.value if urgency is not Urgency.NOTHING else say("By the way")


@register.filter
def way_in(source: str) -> str:
    """By which way an entry came into the book, in a word."""
    return _WAYS_IN[source]


@register.filter
def begun(text: str) -> str:
    """Begun with a capital; Django's own `capfirst` forgets how a sentence was made."""
    return capital(text)


@register.filter
def joined(items: Iterable[str], mark: str) -> str:
    """One after another, still to be told; after Django's own `join` they are told and can be changed no more."""
    return joined_by(mark, items)


@register.filter(needs_autoescape=True)
def in_lines(text: str, autoescape: bool = True) -> SafeString:
    """A text of several lines; Django's own `linebreaksbr` forgets how a sentence was made."""
    return linebreaksbr(tell(text), autoescape=autoescape)


@register.simple_tag
def cited(keys: tuple[str, ...]) -> SafeString:
    """The sources behind a figure, each with the page that tells of it."""
    return _cited(tuple(keys), get_script_prefix(), get_language())


@cache
def _cited(keys: tuple[str, ...], _root: str, _language: str | None) -> SafeString:
    """Hundreds of figures rest on the same few sources, and those change with a release only.

    Kept for each root, since addresses begin with it, and for each language.
    """
    found = [(key, sources.get(key)) for key in keys]
    return mark_safe(render_to_string("parts/cited.html", {"cited": found}).strip())  # noqa: S308 - the template escapes
