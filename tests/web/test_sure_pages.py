"""How sure a brew's answer is, on its page, and the forecast at Reckon. All brews are invented."""

from __future__ import annotations

import re

import pytest

from web.sent_forms import has_class, words
from web.walking import tree

RUNNING = (4, 5, 6, 7)


def page(reader, address):
    response = reader.get(address)
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.parametrize("brew", RUNNING)
def test_a_running_brew_tells_its_chances_and_what_stands_beside_them(filled_book, reader, brew):
    text = page(reader, f"/brews/{brew}/")
    figures = [words(node) for node in tree(text).below() if node.tag == "dt"]
    assert "Final gravity expected" in figures
    # Brew 5 stands in the cold: there no sum can be trusted, and no chance that it is over is told.
    assert ("Chance of more than 2 g/L of gas to come" in figures) == (brew != 5)
    assert ("no chance that it is over is told" in text) == (brew == 5)
    assert "The next reading" in figures
    assert any(label.startswith("A rule of the trade: ") for label in figures)
    assert 'class="tally"' in text
    assert "<b>half</b>" in text


def test_stories_stand_as_lines_with_their_tally_and_lead_to_their_working(filled_book, reader):
    text = page(reader, "/brews/4/")
    [stories] = has_class(text, "stories")
    lines = [node for node in stories.below() if (node.attrs.get("id") or "").startswith("case-")]
    assert len(lines) >= 2
    for line in lines:
        assert any("fig" in node.classes for node in line.below())
        assert sum(node.tag == "line" for node in line.below()) == 20
    assert "likeliest" in words(lines[0])
    assert "likeliest" not in words(lines[1])


def test_the_chart_has_its_fan_its_sentence_and_both_tables(filled_book, reader):
    text = page(reader, "/brews/4/")
    [figure] = has_class(text, "chart-figure")
    assert sum("band" in node.classes for node in figure.below()) == 4  # two bands, drawn for phone and desk
    assert "The forecast comes to 1.01" in words(next(node for node in figure.below() if node.tag == "figcaption"))
    [fan] = [node for node in figure.below() if node.tag == "table" and "fan" in node.classes]
    rows = [[words(cell) for cell in row.below() if cell.tag == "td"] for row in fan.below() if row.tag == "tr"][1:]
    assert len(rows) > 10
    for row in rows:
        assert row == sorted(row)
        assert len(row) == 5


@pytest.mark.parametrize("brew", [1, 2, 3, 8])
def test_a_brew_that_does_not_ferment_has_no_such_section(filled_book, reader, brew):
    text = page(reader, f"/brews/{brew}/")
    assert not has_class(text, "stories")
    assert not has_class(text, "beside")


FORECAST = {"original": "1.042", "readings": "day 4: 1.018\n7 1.0125", "now": "8", "temp": "20"}


def test_the_forecast_at_reckon_has_answer_chart_figures_and_stories(reader, books):
    text = reader.get("/reckon/forecast/", FORECAST).content.decode()
    order = ['id="answer-headline"', 'class="chart-figure"', 'id="w-fg"', 'class="options"', 'class="write"']
    places = [text.index(mark) for mark in order]
    assert places == sorted(places)
    for said in ("day 0", "end by the make-up", "The forecast, a day to a row", "<small>likeliest</small>"):
        assert said in text


def test_it_counts_days_and_names_no_date(reader, books):
    text = reader.get("/reckon/forecast/", FORECAST).content.decode()
    [figure] = has_class(text, "chart-figure")
    assert not re.search(r"\b(Jan|2000|noon)\b", words(figure))
    assert "day 4" in words(figure)


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        ("day 4: 1.018\nfroth", "Line 2: “froth” does not begin with a day; write such as day 4: 1.020."),
        ("day 4: 1.018\nday 20: 1.012", "Line 2: day 20 is still to come on day 8; check both days."),
    ],
)
def test_a_bad_line_is_told_beside_the_readings_and_nothing_typed_is_lost(reader, books, readings, told):
    response = reader.get("/reckon/forecast/", {**FORECAST, "readings": readings})
    assert response.status_code == 422
    text = response.content.decode()
    [error] = [node for node in tree(text).below() if node.attrs.get("id") == "e-readings"]
    assert told in words(error)
    assert readings.splitlines()[1] in text


def test_degrees_plato_are_drawn_for_who_reads_them(stocked_book, reader):
    from gylebook.outputs.chart import draw
    from gylebook.outputs.course_chart import course_chart
    from gylebook.steps.sums import SUMS

    fields = {field.name: field for field in SUMS["forecast"].fields}
    values = {name: fields[name].read(text) for name, text in FORECAST.items()}
    course = SUMS["forecast"].reckon(values).course
    assert "10.0" in draw(course_chart(course, scale="°P"))
