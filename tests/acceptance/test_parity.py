"""One book, two ways in: every act, every question and every sum is on the page and on the command line, alike.

What the command answers a program is held against the library's own answer, and the page shows the same figures.
"""

from __future__ import annotations

import json
import re
from datetime import UTC, timedelta
from html import unescape
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.test import Client

from acceptance.command_line import BEGIN, options, told
from acceptance.leaflets import BY_WORD
from acceptance.lives import BOTTLES, PLACE, Ask, life
from gylebook.cli.manual import contexts
from gylebook.outputs.outlook_shape import course_shape
from gylebook.outputs.shapes import answer_shape
from gylebook.outputs.wording import Preferences, bare_unit
from gylebook.steps.catalogue import WORDS, acts, step
from gylebook.steps.decision import Setting
from gylebook.steps.fields import CHOICE, DATE, LONG_TEXT, QUANTITY
from gylebook.steps.shelf import SHELF_ACTS
from gylebook.steps.sums import SUMS
from gylebook.store import brew_log

pytestmark = pytest.mark.xdist_group("acceptance_parity")

COMMANDS = {ctx.command_path: ctx.command for ctx in contexts()}
NOW = 45.0  # days after the begin
PREFS = Preferences(zone=ZoneInfo("Europe/London"), this_year=2026)
# Brew 1 is planned, 2 ferments with hops in it, 3 stands in bottles.
BREWS = (("K1", 0.0), ("K4", 17.5), ("K3s", 33.0))
SHELF_PAGES = {
    "keep_kit": "/stores/kits/new/",
    "keep_instrument": "/settings/instruments/?new=1",
    "keep_vessel": "/settings/vessels/?new=1",
    "keep_place": "/settings/places/?new=1",
    "keep_bottles": "/stores/bottles/?new=1",
    "keep_stock": "/stores/stock/?new=1",
    "keep_settings": "/settings/",
    "keep_lessons": "/settings/learned/",
    "warm_spell": "/cellar/?write=1",
    "forget": "/settings/places/",
}
# What is supposed at each step, field by field; every field of every step is here.
SUPPOSED = {
    "plan": {"kit": "Ember Row brown", "choice": "malt", "volume": "21 L", "place": "larder", "start_on": "2026-11-01",
             "ingredients": "3 kg liquid malt extract\n0.5 kg sugar", "drink_on": "2026-12-20"},
    "cleaning": {"agent": "bleach", "water": "10 L", "strength": "4.5 %"},
    "mixing": {"volume": "22 L", "target": "19 °C", "tap_temp": "8 °C", "extract_temp": "30 °C",
               "least_boiling": "2 L", "most_boiling": "4 L", "chilled": "5 L", "ice": "1 kg"},
    "readings": {"expected": "1.050"},
    "pitching": {"temp": "27 °C", "room": "15 °C", "mass": "7 g", "kind": "ale", "best_before": "2026-12-01"},
    "dry_hopping": {"mass": "60 g", "days": "4", "volume": "19 L"},
    "finishing": {"gravity": "1.0125"},
    "racking": {"reason": "clear", "cold": "3 °C"},
    "priming": {"co2": "2.6 vol", "sugar": "glucose_monohydrate", "volume": "19 L", "warmest": "22 °C",
                "bottles": "24 x 500 mL brown returnable\n20 x 330 mL one-way", "store": "28 °C", "mass": "120 g",
                "how": "each bottle", "measured": "level teaspoon"},
    "bottling": {"co2": "2.6 vol", "volume": "19 L", "bottles": "30 x 500 mL swing-top\n24 x 330 mL PET", "store": "28 °C"},
    "conditioning": {"temp": "30 °C", "altitude": "1900", "from_altitude": "250"},
    "tasting": {"faults": "green apple, butter"},
}  # fmt: skip
_FIGURE = re.compile(
    r"<dt>(?P<label>[^<]*)</dt><dd>\s*<details class=\"fig\">\s*<summary>\s*"
    r"<span class=\"value(?: long)?\">(?P<value>[^<]*)</span>"
)


@pytest.fixture(scope="module", autouse=True)
def brews(module_book):
    """Three brews at three stages, written by command."""
    for texts in (BY_WORD["K1"].kit, BY_WORD["K4"].kit, BY_WORD["K3s"].kit):
        assert told("shelf", "keep_kit", *options(texts), day=-2).code == 0
    assert told("shelf", "keep_place", *options(PLACE), day=-2).code == 0
    assert told("shelf", "keep_bottles", *options(BOTTLES), day=-2).code == 0
    for number, (word, until) in enumerate(BREWS, 1):
        for each in life(BY_WORD[word]):
            if isinstance(each, Ask) or each.day > until:
                continue
            texts = {name: text.format(sugar="112", bottles="36", left="35") for name, text in each.texts.items()}
            brew = "new" if each.act == "plan" else str(number)
            answer = told("log", brew, each.act, *options(texts), day=each.day)
            assert answer.code == 0, (each, answer.err)
    return module_book


def at(day=NOW):
    return time_machine.travel(BEGIN + timedelta(days=day), tick=False)


def page(address):
    with at():
        answer = Client().get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    return answer.content.decode()


def names_on(html):
    """Names of the fields that a page's form to write asks for."""
    form = html[html.index('<section class="write"') :]
    form = form[: form.index("</form>")]
    found = set(re.findall(r'<(?:input|select|textarea)[^>]* name="([\w-]+)"', form))
    return {
        name for name in found
        if not name.endswith("-unit")
        and name not in {"csrfmiddlewaretoken", "act", "command_id", "confirm", "kit_name", "was", "own"}
    }  # fmt: skip


def asked_by(path):
    """Names of the fields that a command asks for."""
    return {param.name.removeprefix("field_") for param in COMMANDS[path].params if param.name.startswith("field_")}


def figures_on(html):
    """Label and value of every figure in the lists of a page."""
    return [(unescape(each["label"]), unescape(each["value"])) for each in _FIGURE.finditer(html)]


def shown(figures):
    """The same as the wording has them."""
    return [(figure.label, PREFS.figure(figure).value) for figure in figures]


# --- the same things to write down ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(acts()))
def test_an_act_asks_for_the_same_on_the_page_and_by_command(name):
    act = acts()[name]
    wanted = {field.name for field in act.fields} | {"when"}
    html = page(f"/brews/2/{act.step}/?act={name}")
    assert names_on(html) == wanted
    assert asked_by(f"gylebook log BREW {name}") == wanted
    for caution in act.cautions:
        assert caution in unescape(html)


@pytest.mark.parametrize("act", SHELF_ACTS, ids=lambda act: act.name)
def test_an_act_of_the_shelf_asks_for_the_same_on_the_page_and_by_command(act):
    wanted = {field.name for field in act.fields}
    assert asked_by(f"gylebook shelf {act.name}") == wanted | {"when"}
    html = page(SHELF_PAGES[act.name])
    if act.name == "forget":
        forms = re.findall(r'<input type="hidden" name="(thing|name)" value="([^"]+)"', html)
        assert ("thing", "place") in forms
        assert ("name", "larder") in forms
    elif act.name == "keep_settings":
        assert names_on(html) == wanted
    else:
        assert names_on(html) == wanted | {"when"}


def test_everything_that_can_be_written_is_offered_by_its_words():
    html = page("/brews/2/something/")
    offered = [unescape(words) for words in re.findall(r'<a class="button" href="[^"]+">([^<]+)</a>', html)]
    assert sorted(offered) == sorted(act.words for act in acts().values())
    listed = told("log", "2", "--help").out
    for name in acts():
        assert f"\n  {name} " in listed, name


def test_an_entry_is_corrected_and_withdrawn_on_the_page_and_by_command():
    html = page("/brews/2/log/6/")
    assert 'name="do" value="correct"' in html
    assert 'name="do" value="withdraw"' in html
    assert {field.name for field in acts()["temperature"].fields} <= names_on(
        f'<section class="write"{html[html.index("<form class=") :]}'
    )
    helped = told("log", "2", "correct", "--help").out
    assert "--withdraw" in helped
    assert "\n  temperature " in helped


# --- the same answers ----------------------------------------------------------------------------------------------


def test_every_what_if_of_every_step_is_tried_here():
    assert {word: set(texts) for word, texts in SUPPOSED.items()} == {
        word: {field.name for field in step(word).ask} for word in WORDS
    }


CASES = [(word, texts) for word in WORDS for texts in ({}, *({name: text} for name, text in SUPPOSED[word].items()))]


def supposed_on_the_page(word, texts):
    """What the page's form would send."""
    fields = {field.name: field for field in step(word).ask}
    sent = {}
    for name, text in texts.items():
        sent[name] = text
        if fields[name].kind == QUANTITY:
            sent[f"{name}-unit"] = bare_unit(fields[name], PREFS) or ""
    return sent


@pytest.mark.parametrize(("word", "texts"), CASES, ids=lambda each: each if isinstance(each, str) else "-".join(each))
def test_a_step_answers_alike_on_the_page_by_command_and_in_the_library(word, texts):
    # Only the first kit has choices to choose from.
    for brew in ("1",) if "choice" in texts else ("1", "2", "3"):
        answer = told("ask", brew, word, *options(texts), "--json", day=NOW).plain
        fields = {field.name: field for field in step(word).ask}
        shelf = brew_log.read_shelf()
        setting = Setting(BEGIN + timedelta(days=NOW), shelf, PREFS.zone)
        values = {
            name: fields[name].read(text, unit=bare_unit(fields[name], PREFS), zone=PREFS.zone)
            for name, text in texts.items()
        }
        own = step(word).answer(brew_log.read(brew), setting, values)
        said = {
            key: value
            for key, value in answer.items()
            if key not in {"shape", "shape_version", "brew", "step", "asked"}
        }
        assert said == json.loads(json.dumps(answer_shape(own)))
        html = page(f"/brews/{brew}/{word}/?{urlencode(supposed_on_the_page(word, texts))}")
        wanted = shown([*own.figures, *(figure for option in own.options for figure in option.figures)])
        assert figures_on(html) == wanted
        assert [unescape(words) for words in re.findall(r"<li[^>]*><h3>([^<]+?)(?: <small>|</h3>)", html)] == [
            option.name for option in own.options
        ]


@pytest.mark.parametrize("word", list(SUMS))
def test_a_sum_answers_alike_on_the_page_by_command_and_in_the_library(word):
    of = SUMS[word]
    assert asked_by(f"gylebook reckon {word}") == {field.name for field in of.fields}
    assert names_on(page(f"/reckon/{word}/")) == {field.name for field in of.fields}
    answer = told("reckon", word, *options(of.example), "--json", day=NOW).plain
    fields = {field.name: field for field in of.fields}
    values = {
        name: field.read(of.example.get(name, ""), unit=bare_unit(field, PREFS), zone=UTC) if name in of.example else
        ("" if field.kind in {CHOICE, LONG_TEXT, "text"} else None)
        for name, field in fields.items()
    }  # fmt: skip
    own = of.reckon(values)
    said = {key: value for key, value in answer.items() if key not in {"shape", "shape_version", "sum", "asked"}}
    drawn = {} if own.course is None else {"fan": course_shape(own.course)}  # the page draws it
    assert said == json.loads(json.dumps({**answer_shape(own), **drawn}))
    html = page(f"/reckon/{word}/?{urlencode(of.example)}")
    assert figures_on(html) == shown([*own.figures, *(figure for option in own.options for figure in option.figures)])


def test_the_lists_are_the_same():
    reckon = page("/reckon/")
    for of in SUMS.values():
        assert f"<strong>{of.title}</strong>" in reckon
        assert f"\n  {of.word} " in told("reckon", "--help").out
    brew = page("/brews/2/")
    for word in WORDS:
        assert f'href="/brews/2/{word}/"' in brew
        assert f"\n  {word} " in told("ask", "2", "--help").out


def test_what_is_due_is_the_same_on_today_and_by_command():
    due = told("next", "--json", day=NOW).plain
    html = page("/")
    words = re.findall(r'<p class="what"><a href="[^"]+">([^<]+)</a>', html)
    assert [unescape(each) for each in words] == [task["words"] for task in due["tasks"]]
    with at():
        for address in re.findall(r'<p class="what"><a href="([^"]+)"', html):
            assert Client().get(unescape(address).partition("#")[0]).status_code == 200, address


def test_the_cellar_and_what_warm_weather_does_to_it_are_the_same_on_the_page_and_by_command():
    asked = {"place": "", "high": "38", "high-unit": "°C"}
    html = page(f"/cellar/?{urlencode(asked)}")
    answer = told("cellar", "--warm", "38 °C", "--json", day=NOW).plain
    wanted = [brew["name"] for brew in answer["what_if"]["brews"]]
    part = html[html.index('<section class="spell supposed"') :]
    assert wanted
    listed = re.findall(r'<h4><a [^>]*><span class="no">[^<]*</span> <span class="ink">([^<]+)</span>', part)
    assert [unescape(name) for name in listed] == wanted
    text = re.sub(r"<[^>]*>", "", part)
    plain = " ".join(unescape(text).split())
    assert answer["what_if"]["headline"].removesuffix(".") in plain


def test_what_a_brew_asks_for_leads_to_a_form_that_is_there():
    for number in (1, 2, 3):
        html = page(f"/brews/{number}/")
        ways = re.findall(r'<a class="(?:button main|button|p)" href="(/brews/[^"#]+)', html)
        assert ways
        for address in ways:
            page(unescape(address))


def test_dates_are_read_alike():
    assert DATE in {field.kind for field in step("plan").ask}
    for text in ("03/11/2026", "2026-13-01"):
        refused = told("ask", "1", "plan", "--start-on", text, "--json", day=NOW).fault["faults"]
        with at():
            html = Client().get(f"/brews/1/plan/?{urlencode({'start_on': text})}")
        assert html.status_code == 422
        assert unescape(html.content.decode()).count(refused[0]["problem"]) == 1
