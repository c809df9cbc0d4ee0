"""No bare number: on every page of a filled book each digit is ink, or one touch from its working.

Where a digit may stand:

- in a figure (`details.fig`), which holds its working;
- in a link whose goal shows a working: the figure itself, the place where a sentence's figures are laid out, or the
  page of the entry or the step;
- in ink (`.ink`, `time`): what was written down, as it was written, and when;
- as the number by which a thing is called (`.no`, `.entry-no`), which nobody reckoned;
- in a line of the law (`.law-line`): what a rule says, with its sources below it;
- in a form: what is asked for, its range and its hint;
- in the ways about the book (`nav`, `header`, `footer`, `title`, `.pages`, `.which`);
- in a chart, whose table says of its columns that they are reckoned;
- in a caution, a rule of the trade or an assumption: constants that the step states as such, and inputs;
- on the pages about the book itself (/about/, /sources/): what prints say and how many there are; workings end there;
- in the name of a case that figures are reckoned for (`dt` over a figure, the `h3` over an option): what is supposed;
- in `code`: a path or a command, which nobody reckons.
"""

from __future__ import annotations

import re

import pytest

from web.sent_forms import words
from web.walking import Walk, is_working

TAGS = {"time", "code", "form", "nav", "header", "footer", "title", "svg", "dt", "h3"}
CLASSES = {"ink", "no", "entry-no", "pages", "which", "chart-figure", "cautions", "thumbrule", "assumed", "law-line"}
BREWS = range(1, 9)
NUMBER = re.compile(r"(?<![A-Za-z])\d")  # a digit behind a letter belongs to a name: CO2, the caps marked H1


@pytest.fixture
def walk(filled_book, client):
    return Walk(client)


def bare_numbers(walk, url):
    page = walk.page(url)
    for text, node in page.texts():
        if NUMBER.search(text) and not has_its_place(walk, url, page, node):
            yield f"{url}: {' '.join(text.split())[:90]!r} in {' < '.join(n.tag + '.' + '.'.join(n.classes) for n in list(node.above())[:4])}"


def has_its_place(walk, url, page, node):
    for above in node.above():
        if is_working(above) or above.tag in TAGS or CLASSES & set(above.classes):
            return True
        if above.tag == "a" and "href" in above.attrs and shows_a_working(walk, url, page, above.attrs["href"]):
            return True
    return False


def columns(page):
    """The heads of every chart's table."""
    for figure in (node for node in page.below() if "chart-figure" in node.classes):
        yield [words(node) for node in figure.below() if node.tag == "th" and node.attrs.get("scope") == "col"]


def shows_a_working(walk, url, page, href):
    if not href.startswith("#"):
        goal = walk.page(href)
        return goal is not None and any(map(is_working, goal.below()))
    goal = next((node for node in page.below() if node.attrs.get("id") == href[1:]), None)
    return goal is not None and (any(map(is_working, goal.below())) or any(map(is_working, goal.above())))


@pytest.mark.parametrize("brew", BREWS)
def test_on_every_page_of_a_brew(walk, brew):
    pages = list(walk.reached(f"/brews/{brew}/", rf"/brews/{brew}/"))
    assert len(pages) > 30
    bare = [found for url in pages for found in bare_numbers(walk, url)]
    assert not bare, "\n".join(bare)


def test_a_charts_table_says_which_columns_are_reckoned(walk):
    tables = [heads for brew in BREWS for heads in columns(walk.page(f"/brews/{brew}/"))]
    assert len(tables) > 5
    assert {tuple(heads[:4]) for heads in tables} == {("When", "What", "Gravity (SG), reckoned", "Between, reckoned")}
    # What is forecast has a second table, and the line above it says that all of it is reckoned.
    assert {tuple(heads[4:]) for heads in tables} == {(), ("Day", "5 %", "25 %", "50 %", "75 %", "95 %")}


def test_every_line_of_the_law_names_its_sources(walk):
    pages = [walk.page(url) for url in walk.reached("/law/", r"/law/")]
    assert len(pages) > 8
    for page in pages:
        lines = [node for node in page.below() if "law-line" in node.classes]
        assert len(lines) > 6
        assert all(any("cited" in node.classes for node in line.below()) for line in lines)


def test_on_every_other_page(walk):
    pages = list(walk.reached("/", r"(?!/brews/\d|/about/|/sources/)"))
    assert {"/", "/brews/", "/brews/new/", "/dangerous-bottles/", "/keys/"} <= set(pages)
    bare = [found for url in pages for found in bare_numbers(walk, url)]
    assert not bare, "\n".join(bare)
