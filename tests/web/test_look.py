"""The look: contrast of every pair of colours, the remembered choice, and the weight of a first visit."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest
from django.template import engines
from django.test import RequestFactory

from gylebook.outputs.chart import STANDALONE
from gylebook.web import settings as given
from gylebook.web.drawn import drawn
from web import sample

STATIC = Path(given.__file__).parent / "static"
CSS = (STATIC / "gylebook.css").read_text(encoding="utf-8")

# WCAG 2.2, success criteria 1.4.3 (text, 4.5) and 1.4.11 (what must be seen to use or understand the page, 3).
TEXT, SHAPE = 4.5, 3.0
PAIRS = [
    *((colour, ground, TEXT) for colour in ("ink", "soft", "pencil", "act", "done") for ground in ("paper", "sheet")),
    ("paper", "ink", TEXT),  # the main button, the link that skips
    *((colour, "wash", TEXT) for colour in ("ink", "soft", "pencil", "done")),  # on the demo's strip and on the bands
    *((colour, ground, SHAPE) for colour in ("soft", "act", "done", "pencil") for ground in ("paper", "sheet")),
]


def tokens(css):
    found = {}
    for name, light, dark in re.findall(r"--([\w-]+):\s*light-dark\((#\w+),\s*(#\w+)\)", css):
        found.setdefault(name, (light, dark))
    return found


def channels(colour):
    digits = colour.lstrip("#")
    values = [int(digits[i : i + 2], 16) / 255 for i in range(0, len(digits), 2)]
    return values[:3], values[3] if len(values) == 4 else 1.0


def over(colour, ground):
    (front, alpha), (back, _) = channels(colour), channels(ground)
    return [alpha * f + (1 - alpha) * b for f, b in zip(front, back, strict=True)]


def luminance(rgb):
    """Relative luminance as WCAG 2.2 defines it."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in rgb]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first, second):
    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_contrast_sum_agrees_with_its_definition():
    assert contrast([0, 0, 0], [1, 1, 1]) == pytest.approx(21)
    assert contrast(*(channels(c)[0] for c in ("#767676", "#ffffff"))) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize(("colour", "ground", "least"), PAIRS)
def test_every_pair_of_colours_can_be_told_apart(look, colour, ground, least):
    which = ("light", "dark").index(look)
    found = {name: pair[which] for name, pair in tokens(CSS).items()}
    behind = over(found[ground], found["paper"])
    assert contrast(over(found[colour], found["paper"]), behind) >= least


@pytest.mark.parametrize("look", ["light", "dark"])
def test_more_contrast_is_given_where_it_is_asked_for(look):
    which = ("light", "dark").index(look)
    usual = {name: pair[which] for name, pair in tokens(CSS).items()}
    more = {name: pair[which] for name, pair in tokens(CSS.partition("prefers-contrast: more")[2]).items()}
    paper = channels(usual["paper"])[0]
    assert contrast(channels(more["pencil"])[0], paper) >= 10
    assert contrast(channels(more["rule"])[0], paper) >= 4.5


def test_every_colour_is_a_token_with_a_light_and_a_dark_side():
    rules = CSS.partition("@layer base {")[2].partition("@layer modes {")[0]
    assert not re.search(r"#[0-9a-f]{3,8}\b|rgb|hsl|color-mix", rules)
    used = set(re.findall(r"var\(--([\w-]+)", CSS))
    declared = set(re.findall(r"--([\w-]+):", CSS))
    assert used == declared


def test_a_file_of_a_chart_wears_the_same_light_colours():
    light = {pair[0][:7] for pair in tokens(CSS).values()}
    assert set(re.findall(r"#[0-9a-f]{6}", STANDALONE)) <= light


def test_every_class_of_the_chart_has_its_style():
    text = drawn(sample.chart()).phone
    classes = {name for names in re.findall(r'class="([^"]+)"', text) for name in names.split()}
    assert classes - {"phone"} <= set(re.findall(r"\.([\w-]+)", CSS.partition("@layer chart {")[2]))
    assert classes - {"phone", "chart"} <= set(re.findall(r"\.([\w-]+)", STANDALONE))


def test_the_look_is_remembered_and_drawn_by_the_server(reader, post):
    assert '<html lang="en-GB">' in reader.get("/").content.decode()
    response = post("/look/", {"look": "dark", "next": "/cellar/"})
    assert response["Location"] == "/cellar/"
    page = reader.get("/").content.decode()
    assert '<html lang="en-GB" data-look="dark">' in page
    assert '<meta name="color-scheme" content="dark">' in page
    assert 'value="dark" aria-pressed="true"' in page
    assert 'data-look="dark"' in reader.get("/demo/").content.decode()


def test_the_look_of_the_device_comes_back(reader, post):
    post("/look/", {"look": "light"})
    post("/look/", {"look": ""})
    assert '<html lang="en-GB">' in reader.get("/").content.decode()


@pytest.mark.parametrize("look", ['dark" onload="x', "blue"])
def test_a_look_that_is_none_changes_nothing(reader, post, look):
    post("/look/", {"look": look})
    assert '<html lang="en-GB">' in reader.get("/").content.decode()


def test_choosing_a_look_never_leads_to_another_site(post):
    assert post("/look/", {"look": "dark", "next": "https://evil.example/"})["Location"] == "/"


def test_a_first_visit_to_a_full_page_transfers_less_than_60_kb(reader):
    template = """{% extends "base.html" %}{% block content %}{% include "parts/answer.html" %}
        {% include "parts/chart.html" %}{% include "parts/log.html" %}{% endblock %}"""
    context = {"answer": sample.ANSWER, "drawn": drawn(sample.chart()), "lines": sample.log_lines() * 5}
    page = engines["django"].from_string(template).render(context, RequestFactory().get("/"))
    transferred = len(gzip.compress(page.encode(), 6))
    addresses = re.findall(r'(?:href|src)="(/static/[^"]+)"', page)
    assert len(addresses) == 3  # the mark, the style sheet, the keys
    for address in addresses:
        response = reader.get(address, headers={"accept-encoding": "gzip"})
        assert response["Content-Encoding"] == "gzip"
        transferred += len(b"".join(response.streaming_content))
        response.close()
    assert transferred <= 60_000


def test_pages_travel_packed(reader):
    response = reader.get("/", headers={"accept-encoding": "gzip"})
    assert response["Content-Encoding"] == "gzip"
    assert b"Gylebook" in gzip.decompress(response.content)
