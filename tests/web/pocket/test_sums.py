"""The sums on the phone give the book's own answers: every sentence, figure, interval and working, in a real browser.

Nothing listens: the browser asks for the modules and is given the files. Four thousand random questions go through both;
GYLEBOOK_SUM_QUESTIONS asks for more or fewer of them, GYLEBOOK_SUM_SEED for others.
"""

from __future__ import annotations

import importlib.util
import json
import os
import zlib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from random import Random
from urllib.parse import urlparse

import pytest

from gylebook.errors import InputError
from gylebook.outputs import voices
from gylebook.outputs.wording import Preferences
from gylebook.phrases import tell
from gylebook.steps.asked import tens
from gylebook.steps.sums import SUMS
from gylebook.units import show
from gylebook.web.pocket import scripts

ROOT = Path(__file__).parents[3]
FOLDER = ROOT / "src" / "gylebook" / "web" / "static" / "pocket" / "sums"
ADDRESS = "http://127.0.0.1/sums/"
QUESTIONS = int(os.environ.get("GYLEBOOK_SUM_QUESTIONS", "4000"))
CHOSEN = os.environ.get("GYLEBOOK_SUM_SEED", "a garage in March")
AT_ONCE = 500
MOST_GZIP = 34_000  # of the sums together: they are fetched when Reckon is first opened, not with the page

# Every word that is shown, in the order in which `told` and `print_of` of the script write it.
LISTENER = """() => {
window.booked = async (cases, whole) => {
  const { SUMS } = await import('/sums/index.js');
  const of = Object.fromEntries(SUMS.map((sum) => [sum.word, sum]));
  const figure = (f) => [f.key, f.label, f.text, f.interval, f.unit, f.digits, [f.working.relation,
    f.working.inputs.map((i) => [i.name, i.value, i.basis, i.where]), f.working.sources, f.working.steps, f.working.cautions]];
  const told = (a) => a.errors ? { errors: a.errors.map((e) => e.message) } : {
    headline: a.headline, why: a.why, urgency: a.urgency, figures: a.figures.map(figure),
    findings: a.findings.map((f) => [f.urgency, f.key, f.text, f.check]),
    options: a.options.map((o) => [o.name, o.words, o.chosen, o.figures.map(figure)]),
    missing: a.missing, assumed: a.assumed, cautions: a.cautions, rule_of_thumb: a.rule_of_thumb };
  const print = async (found) => [...new Uint8Array(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(JSON.stringify(found))))]
    .map((byte) => byte.toString(16).padStart(2, '0')).join('').slice(0, 16);
  return Promise.all(cases.map(([word, asked]) => told(of[word].reckon(asked))).map((found) => whole ? found : print(found)));
};
}"""


def script(name):
    spec = importlib.util.spec_from_file_location(name, ROOT / "scripts" / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


vectors = script("write_sum_vectors")
tables = script("write_pocket_tables")
KEPT = json.loads(vectors.FILE.read_text(encoding="utf-8"))


class Phone:
    """A page with nothing but the sums; it keeps what was asked of the network."""

    def __init__(self, page):
        self.page = page
        self.requests = []
        page.route("**/*", self._answer)
        page.goto("http://127.0.0.1/")
        page.evaluate(LISTENER)
        assert page.evaluate("booked([], true)") == []

    def _answer(self, route):
        path = urlparse(route.request.url).path
        self.requests.append(path)
        folder = {"/sums": FOLDER, "/modules": FOLDER.parents[1] / "modules"}.get(str(Path(path).parent))
        if folder is not None:
            content = (folder / Path(path).name).read_text(encoding="utf-8")
            route.fulfill(body=content, content_type="text/javascript; charset=utf-8")
        else:
            route.fulfill(body="<!doctype html><title>sums</title>", content_type="text/html; charset=utf-8")

    def whole(self, cases):
        return self.page.evaluate("(cases) => booked(cases, true)", cases)

    def prints(self, cases):
        return self.page.evaluate("(cases) => booked(cases, false)", cases)

    def of(self, module, expression, given):
        return self.page.evaluate(f"(given) => import('/sums/{module}').then((its) => given.map({expression}))", given)


@pytest.fixture(scope="module")
def phone(browser):
    context = browser.new_context()
    yield Phone(context.new_page())
    context.close()


# --- what is made by the scripts ------------------------------------------------------------------------------


def test_the_tables_are_made_from_the_constants_of_the_book():
    assert tables.FILE.read_text(encoding="utf-8") == tables.text(), "run: python scripts/write_pocket_tables.py"


def test_the_vectors_are_what_the_book_answers():
    assert vectors.FILE.read_text(encoding="utf-8") == vectors.text(), "run: python scripts/write_sum_vectors.py"


def test_the_phone_offers_the_sums_of_a_garage_as_the_book_describes_them(phone):
    told = phone.page.evaluate("import('/sums/index.js').then(({ SUMS }) => JSON.parse(JSON.stringify(SUMS)))")
    assert tuple(each["word"] for each in told) == tables.WORDS == vectors.WORDS
    for each in told:
        of = SUMS[each["word"]]
        assert (each["title"], each["question"]) == (of.title, of.question)
        for field, own in zip(each["fields"], of.fields, strict=True):
            for name in ("name", "label", "kind", "required", "default", "reason", "hint"):
                assert field[name] == getattr(own, name), (of.word, own.name, name)
            assert [(c["value"], c["words"]) for c in field["choices"]] == list(own.choices)
            assert field["possible"] == (list(own.possible) if own.possible else None)


# --- the same answers -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", vectors.WORDS)
def test_the_phone_answers_every_vector_as_the_book_does(phone, word):
    own = [each for each in KEPT if each["sum"] == word]
    found = phone.whole([[word, each["asked"]] for each in own])
    assert len(own) == vectors.EACH
    assert sum("errors" in each["answer"] for each in own) >= 3
    for vector, answer in zip(own, found, strict=True):
        assert vectors.kept(answer) == vector["answer"], vector["asked"]


def _share(word):
    """Priming draws eight thousand bottles several times over, in Python as on the phone: fewer of it."""
    return QUESTIONS // 25 if word == "priming" else (QUESTIONS - QUESTIONS // 25) // (len(vectors.WORDS) - 1) + 1


def test_random_questions_are_answered_alike_to_the_last_digit_shown(phone):
    cases = [[word, asked] for word in vectors.WORDS for asked in vectors.questions(word, CHOSEN, _share(word))]
    assert len(cases) >= QUESTIONS
    differ = []
    for start in range(0, len(cases), AT_ONCE):
        part = cases[start : start + AT_ONCE]
        own = [vectors.print_of(vectors.answered(word, asked)) for word, asked in part]
        found = phone.prints(part)
        differ += [case for case, mine, theirs in zip(part, own, found, strict=True) if mine != theirs]
    for (word, asked), theirs in zip(differ[:3], phone.whole(differ[:3]), strict=True):
        assert theirs == json.loads(json.dumps(vectors.answered(word, asked))), (len(differ), word, asked)


def test_a_difference_of_one_digit_is_noticed(phone):
    case = ["gravity", {"gravity": "1.0403"}]
    own = vectors.answered(*case)
    assert phone.prints([case]) == [vectors.print_of(own)]
    own["figures"][1][2] = own["figures"][1][2].replace("10.07", "10.08")
    assert phone.prints([case]) != [vectors.print_of(own)]


def test_reckoning_asks_nothing_of_the_network(phone):
    before = list(phone.requests)
    assert phone.whole([["priming", {"volume": "20,6 L"}]])[0]["headline"].startswith("Weigh ")
    assert phone.requests == before


# --- in the brewer's units --------------------------------------------------------------------------------------

CHOSEN = [
    {"volume": "US gal", "mass": "oz", "temperature": "°F", "pressure": "psi"},
    {"volume": "imp pt", "mass": "g", "temperature": "°C", "pressure": "kPa", "gravity": "°P"},
]
PREFERRED = """async ([measures, cases]) => {
  const { SUMS, prefer } = await import('/sums/index.js');
  const of = Object.fromEntries(SUMS.map((sum) => [sum.word, sum]));
  prefer(measures);
  try {
    return cases.map(([word, asked]) => of[word].reckon(asked)).map((a) => a.errors ? null : [a.headline, a.why, a.figures.map((f) => f.short)]);
  } finally { prefer({}); }
}"""


@pytest.mark.parametrize("chosen", CHOSEN, ids=["american", "british"])
def test_figures_and_sentences_are_in_the_units_that_the_brewer_reads(phone, chosen):
    measures = Preferences(**chosen)
    voice = voices.voice("en-GB", lambda: measures)
    cases = [[word, asked] for word in vectors.WORDS for asked in vectors.questions(word, "units", 12)]
    compared = 0
    for (word, texts), found in zip(cases, phone.page.evaluate(PREFERRED, [chosen, cases]), strict=True):
        try:
            of = SUMS[word]
            own = of.reckon({field.name: field.read(texts.get(field.name, "")) for field in of.fields})
        except InputError:
            assert found is None, (word, texts)
            continue
        # Alone, without its interval, a figure has the decimals that belong to it.
        alone = [measures.figure(replace(each, low=each.value, high=each.value)).value for each in own.figures]
        if chosen.get("gravity") or "SG" not in {each.unit for each in own.figures}:
            assert found[2] == [tell(each) for each in alone], (word, texts)
        assert found[:2] == [tell(own.headline, voice), tell(own.why, voice)], (word, texts)
        compared += 1
    assert compared > 80
    assert phone.whole([["priming", {"volume": "20 L"}]])[0]["headline"].endswith("for 20.0 L.")


# --- numbers as they are written ------------------------------------------------------------------------------


def halves(count):
    """Numbers that lie exactly between two that can be shown, and their neighbours."""
    chance = Random(7)
    for _ in range(count):
        digits = chance.randint(0, 4)
        value = (2 * chance.randint(-60_000, 60_000) + 1) * 5 / 2 ** (digits + 1) / chance.choice((1, 5, 625))
        yield chance.choice((value, -value, value * (1 + 2**-52))), digits


def test_halves_are_shown_alike_and_go_to_the_even_digit(phone):
    cases = [list(case) for case in halves(3000)] + [[2.5, 0], [0.125, 2], [-0.5, 0], [1e22, 1], [-0.04, 1], [1e300, 0]]
    exact = [c for c in cases if (Fraction(c[0]) * 10 ** c[1] * 2).denominator == 1 and Fraction(c[0]) * 10 ** c[1] % 1]
    assert len(exact) > 300
    assert phone.of("amounts.js", "([value, digits]) => its.show(value, digits)", cases) == [show(*c) for c in cases]


def test_six_figures_and_tens_are_shown_alike(phone):
    chance = Random(8)
    values = [chance.uniform(-1, 1) * 10.0 ** chance.randint(-7, 9) for _ in range(2000)]
    values += [100000.5, 12.03125, 999999.5, 0.0001, 1e-5, 0.0, 45.0, 1e6, 123456.5]
    assert phone.of("amounts.js", "(value) => its.general(value)", values) == [f"{value:g}" for value in values]
    grams = [each for each in (abs(value) for value in values) if each < 1e6] + [
        5.0,
        15.0,
        25.0,
        35.0,
        14.999999999999998,
    ]
    assert phone.of("amounts.js", "(value) => its.tens(value)", grams) == [tens(value) for value in grams]


# --- weight ---------------------------------------------------------------------------------------------------


def test_the_sums_are_light():
    assert len(zlib.compress(scripts.scripts()["sums"].content, 9)) <= MOST_GZIP
