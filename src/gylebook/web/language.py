"""The language of a page: the one that this browser chose, else the book's, else the one that the browser asks for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone, translation
from django.utils.cache import patch_vary_headers

from gylebook.errors import GylebookError
from gylebook.journal.events import SettingsKept
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import AMERICAN, BRITISH, GERMAN, best_language, voice
from gylebook.outputs.wording import preferences
from gylebook.phrases import speaking
from gylebook.store.brew_log import read_shelf
from gylebook.web.page import book_of

LANGUAGE_COOKIE = "gylebook_language"
# The names under which Django looks for the words of the templates; American ones are made from the British.
_NAMES = {BRITISH: "en-gb", AMERICAN: "en-us", GERMAN: "de"}
LANGUAGES = tuple(_NAMES)


@contextmanager
def in_language(language: str, measures: Callable[[], Measures]) -> Iterator[None]:
    """Speak one of `LANGUAGES` meanwhile, in templates and in sentences."""
    with translation.override(_NAMES[language]), speaking(voice(language, measures)):
        yield


class Speaks:
    """Let everything behind it speak the reader's language, in the reader's units."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        kept = cache(lambda: read_shelf(book=book_of(request)).settings)  # read once, and only where it is asked for
        language = language_of(request, kept)
        request.language = language  # type: ignore[attr-defined]
        with in_language(language, lambda: _measures(kept)):
            response = self.get_response(request)
        response.headers.setdefault("Content-Language", language)
        if "immutable" not in response.get("Cache-Control", ""):
            # What never changes under its address is the same for everybody; else the page's copy of a script would
            # be none for the worker, which asks without cookies.
            patch_vary_headers(response, ("Accept-Language", "Cookie"))
        return response


def _measures(own: Callable[[], SettingsKept]) -> Measures:
    """The reader's units; metric ones on the page that tells of a book that cannot be read."""
    try:
        return preferences(own(), settings.TIME_ZONE, timezone.now())
    except GylebookError:
        return Measures()


def language_of(request: HttpRequest, own: Callable[[], SettingsKept]) -> str:
    """The language of this request's answer, as the settings name it; `own` reads those of the book."""
    chosen = request.COOKIES.get(LANGUAGE_COOKIE, "")
    if chosen in _NAMES:
        return chosen
    try:
        kept = own().language
    except GylebookError:
        kept = None  # the page that tells of the fault is told in the browser's language
    return kept if kept in _NAMES else best_language(request.headers.get("Accept-Language", ""))
