"""What every page needs around its content: where the reader is, which book lies open, which look was chosen."""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.http import HttpRequest
from django.urls import get_script_prefix, reverse

from gylebook.outputs.voices import BRITISH
from gylebook.phrases import say
from gylebook.steps.chosen import LANGUAGES
from gylebook.store.databases import DEFAULT, DEMO

DEMO_PREFIX = "/demo"

LOOK_COOKIE = "gylebook_look"
LOOKS = {"": say("As this device"), "light": say("Light"), "dark": say("Dark")}

# Address name and word of each top-level place, in the order of a brewer's day.
PLACES = (
    ("today", say("Today")),
    ("brews", say("Brews")),
    ("cellar", say("Cellar")),
    ("stores", say("Stores")),
    ("reckon", say("Reckon")),
)


@dataclass(frozen=True)
class Place:
    """One entry of the navigation; `current` is "page" here, "true" on a page below, else empty."""

    label: str
    url: str
    current: str

    @property
    def key(self) -> str:
        """The letter that leads there."""
        return self.label[0].lower()


@dataclass(frozen=True)
class Page:
    """The frame of a page, as the base template reads it."""

    places: tuple[Place, ...]
    look: str
    looks: tuple[tuple[str, str], ...]
    language: str
    languages: tuple[tuple[str, str], ...]
    is_demo: bool
    own_root: str
    here: str
    sign_in_required: bool
    person: str


def book_of(request: HttpRequest) -> str:
    """Alias of the database of the book that lies open: "default", or "demo" below /demo/."""
    return str(getattr(request, "book", DEFAULT))


def look_of(request: HttpRequest) -> str:
    """The look that this browser chose; empty follows the device."""
    look = request.COOKIES.get(LOOK_COOKIE, "")
    return look if look in LOOKS else ""


def frame(request: HttpRequest, *, with_person: bool = True) -> Page:
    """The frame for this request; without the person nothing is read from the database."""
    person = ""
    if with_person and settings.SIGN_IN_REQUIRED:
        user = getattr(request, "user", None)
        person = user.get_username() if user is not None and user.is_authenticated else ""
    return Page(
        places=_places(request.path),
        look=look_of(request),
        looks=tuple(LOOKS.items()),
        language=str(getattr(request, "language", BRITISH)),
        languages=LANGUAGES,
        is_demo=book_of(request) == DEMO,
        own_root=str(getattr(request, "own_root", get_script_prefix())),
        here=request.get_full_path() if request.method in ("GET", "HEAD") else request.path,
        sign_in_required=settings.SIGN_IN_REQUIRED,
        person=person,
    )


def book_context(request: HttpRequest) -> dict[str, Page]:
    """Context processor: `page` in every template."""
    return {"page": frame(request)}


def _places(path: str) -> tuple[Place, ...]:
    """The navigation, with the open place marked; Today is the root and is marked on its own page alone."""
    root = reverse(PLACES[0][0])
    places = []
    for name, label in PLACES:
        url = reverse(name)
        below = "true" if url != root and path.startswith(url) else ""
        places.append(Place(label, url, "page" if path == url else below))
    return tuple(places)
