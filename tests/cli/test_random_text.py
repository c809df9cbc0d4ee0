"""Whatever is typed: an exit code that says what happened, sentences, and nothing half-written."""

from __future__ import annotations

import shlex
from itertools import chain

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gylebook.cli.options import option_name
from gylebook.steps.catalogue import WORDS, acts, step
from gylebook.steps.fields import FLAG
from gylebook.steps.shelf import SHELF_ACTS
from gylebook.steps.sums import SUMS
from gylebook.store import rows
from gylebook.store.check_book import check_book

# What an operating system lets through: any text without NUL and without halves of characters.
ANY = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=24)
NUMBER = st.one_of(st.integers(-10, 3000), st.floats(-5, 2000, allow_nan=False).map(lambda v: round(v, 3))).map(str)
UNIT = st.sampled_from(
    ["", " L", "L", " g", "kg", " °C", "F", " SG", "°P", " mL", " US gal", " gal", " vol", " %", " min"]
)
LIKELY = st.one_of(
    st.tuples(NUMBER, UNIT).map("".join),
    st.sampled_from(
        ["1.040", "1,012", "yes", "no", "2026-11-03", "2026-11-03 18:30", "12 x 500 mL brown returnable",
         "1.7 kg liquid malt extract", "1 kg sugar, at 20 °C", "", " ", "-", "--", "0", "1e5", "½", "٣", "nan", "inf"]
    ),
)  # fmt: skip
TEXT = st.one_of(ANY, LIKELY, LIKELY)


def lines(fields) -> st.SearchStrategy[list[str]]:
    """Options of some of the fields, each with any text; likely choices too."""

    def one(field) -> st.SearchStrategy[list[str]]:
        text = TEXT
        if field.choices:
            text = st.one_of(TEXT, st.sampled_from([value for value, _ in field.choices]))
        written = st.tuples(st.just(option_name(field)), text).map(list)
        # An option that may stand alone takes what follows only with an equals sign.
        return written.map(lambda pair: [f"{pair[0]}={pair[1]}"]) if field.kind == FLAG else written

    return st.lists(st.sampled_from(list(fields)).flatmap(one), max_size=6).map(
        lambda parts: list(chain.from_iterable(parts))
    )


def ways() -> st.SearchStrategy[list[str]]:
    """Command lines of all sorts."""
    act = st.sampled_from(list(acts().values()))
    when = st.one_of(st.just([]), TEXT.map(lambda text: ["--when", text]))
    log = st.tuples(act, when).flatmap(
        lambda pair: lines(pair[0].fields).map(lambda found: ["log", "1", pair[0].name, *found, *pair[1]])
    )
    correct = st.tuples(act, st.integers(0, 9)).flatmap(
        lambda pair: lines(pair[0].fields).map(
            lambda found: ["log", "1", "correct", str(pair[1]), pair[0].name, *found]
        )
    )
    shelf = st.sampled_from(SHELF_ACTS).flatmap(lambda a: lines(a.fields).map(lambda found: ["shelf", a.name, *found]))
    asked = [word for word in WORDS if step(word).ask]
    ask = st.sampled_from(asked).flatmap(lambda w: lines(step(w).ask).map(lambda found: ["ask", "1", w, *found]))
    reckon = st.sampled_from(list(SUMS)).flatmap(
        lambda w: lines(SUMS[w].fields).map(lambda found: ["reckon", w, *found])
    )
    loose = st.lists(
        st.one_of(ANY, st.sampled_from(["log", "1", "brews", "ask", "next", "--json", "--entries"])), max_size=4
    )
    chaos = st.tuples(st.sampled_from(["log", "ask", "brews", "next", "shelf", "reckon", "sources"]), loose)
    return st.one_of(log, log, correct, shelf, ask, reckon, chaos.map(lambda pair: [pair[0], *pair[1]]))


@pytest.fixture
def brewing(told, own_book):
    for line in (
        "log new plan --name 'Autumn bitter' --volume '21 L' --when '2026-09-05 10:00'",
        "log 1 mix --ingredients '1.7 kg liquid malt extract' --volume '21 L' --when '2026-09-06 11:00'",
        "log 1 pitch --mass '11 g' --when '2026-09-06 11:30'",
        "log 1 reading --gravity 1.012 --temp 20 --when '2026-09-20 18:00'",
    ):
        assert told(*shlex.split(line)).code == 0
    return own_book


@settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
@given(args=ways())
def test_any_command_line_is_answered_or_refused_in_sentences_and_nothing_is_half_written(told, brewing, args) -> None:
    before = rows.count(brewing)
    answer = told(*args)
    assert answer.code in {0, 2, 3}, (args, answer.err)
    assert "Traceback" not in answer.out + answer.err
    written = rows.count(brewing) - before
    if answer.code:
        assert written == 0
        assert answer.out == ""
        assert answer.err.strip()
        if not answer.err.startswith(("Usage: ", "{")):
            assert all(line.endswith((".", "?")) for line in answer.err.splitlines()), answer.err
    elif args[0] not in {"log", "shelf"}:
        assert written == 0
    assert not check_book(book=brewing)
