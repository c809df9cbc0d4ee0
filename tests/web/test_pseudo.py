"""Every page in a made-up language: a word without its marks is one that no translator was shown."""

from __future__ import annotations

import re
from urllib.parse import unquote_plus, urlsplit

import msgspec
import pytest
from django.db import connections

from web import pseudo
from web.walking import Walk

# Never translated: units and signs, names of standards, of time zones and of this book, the name under which whoever
# keeps the book signs in, what is typed, and words of other languages.
KEPT = set(
    """
    Gylebook kg mg mL bar psi vol EBC IBU SG gal imp US oz lb fl pt qt min ABV UTC PDF CSV JSON HTTP HTTPS API QR PET
    CO2 degC English UK Deutsch Plato kPa pH UTF Ctrl iPhone Android USD EUR GBP SO2 OpenAPI kcal ppm SRM Letter ppm SRM kcal Letter
    Etc Europe London owner
    """.split()  # noqa: SIM905 - as a paragraph it reads better than as a list
)
WORD = re.compile(r"[A-Za-z]{3,}")
NOT_READ = {"script", "style", "code", "pre", "kbd", "svg", "textarea"}  # in a form stands what will be read back
READ_ATTRIBUTES = ("aria-label", "title", "placeholder", "alt")
# Sources are cited in the language in which they were published.
CITATIONS = re.compile(r"/sources/")


@pytest.fixture(scope="session")
def made_up(tmp_path_factory):
    return pseudo.write(tmp_path_factory.mktemp("made_up"))


@pytest.fixture
def walk(filled_book, client, made_up, monkeypatch):
    client.cookies["gylebook_language"] = "de"
    with pseudo.spoken(made_up, monkeypatch):
        yield Walk(client)


def own_words():
    """The words that the brewer wrote: every text of every entry of the book."""
    with connections["default"].cursor() as cursor:
        cursor.execute("SELECT body FROM journal_entry")
        found = set()
        for (body,) in cursor.fetchall():
            for text in texts_of(msgspec.json.decode(body)):
                found.update(WORD.findall(text.lower()))
        return found


def texts_of(plain):
    if isinstance(plain, str):
        yield plain
    elif isinstance(plain, dict):
        for value in plain.values():
            yield from texts_of(value)
    elif isinstance(plain, list):
        for value in plain:
            yield from texts_of(value)


def read_texts(page):
    """What a reader is told on a page, with the element that it stands in."""
    for text, node in page.texts():
        above = list(node.above())
        if not any(each.tag in NOT_READ or "cited" in each.classes for each in above):
            yield text, node
    for node in page.below():
        for name in READ_ATTRIBUTES:
            if node.attrs.get(name):
                yield node.attrs[name], node


def untold(walk, url, own):
    own = own | {
        word.lower() for word in WORD.findall(unquote_plus(urlsplit(url).query))
    }  # what was typed is told as typed
    for text, node in read_texts(walk.page(url)):
        if node.attrs.get("lang") in {"en-GB", "en-US"}:
            continue  # a language is offered by its own name
        if node.tag == "dd" and url.startswith("/stores/kits/"):
            continue  # a leaflet's lists stand as they are typed, a line at a time
        left = [word for word in WORD.findall(text) if word.lower() not in own and word not in KEPT]
        if left:
            yield f"{' '.join(text.split())[:110]!r} <{node.tag}.{'.'.join(node.classes)}>"


def test_no_page_tells_anything_that_cannot_be_translated(walk):
    own, found = own_words(), {}
    for url in walk.reached("/"):
        if CITATIONS.match(url):
            continue
        for fault in untold(walk, url, own):
            found.setdefault(fault, url)
    assert not found, f"{len(found)}:\n" + "\n".join(f"{url}: {fault}" for fault, url in list(found.items())[:400])
