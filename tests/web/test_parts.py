"""Each piece of a page, drawn from an invented brew."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest
from django.template import engines

from gylebook.errors import InputError
from gylebook.outputs.measures import Measures
from gylebook.steps import fields
from gylebook.steps.answers import Answer, Finding, Urgency
from gylebook.steps.fields import Field
from gylebook.web.asked import Asked
from gylebook.web.drawn import drawn
from web import sample

VOID = {"input", "meta", "link", "br"}


class Tree(HTMLParser):
    """Refuses elements that are not closed in order, and doubled ids."""

    def __init__(self):
        super().__init__()
        self.open = []
        self.ids = set()

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        assert len(given) == len(attrs), f"an attribute stands twice in {self.get_starttag_text()}"
        if "id" in given:
            assert given["id"] not in self.ids, given["id"]
            self.ids.add(given["id"])
        if tag in ("div", "ul", "ol", "table", "section", "details", "dl", "figure"):
            assert "p" not in self.open, f"{tag} inside a paragraph"
        if tag not in VOID and not (self.get_starttag_text() or "").endswith("/>"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in VOID and self.open[-1:] == [tag]:
            self.open.pop()
        elif tag not in VOID:
            assert self.get_starttag_text().endswith("/>"), f"{tag} closes {self.open}"


def part(name, **context):
    context.setdefault("measures", Measures(zone=sample.ZONE))
    text = engines["django"].get_template(f"parts/{name}.html").render(context)
    tree = Tree()
    tree.feed(text)
    assert tree.open == []
    return text


def inline(template, **context):
    return engines["django"].from_string(template).render({"measures": Measures(zone=sample.ZONE), **context})


def test_an_answer_says_what_to_do_then_why_then_all_the_rest():
    text = part("answer", answer=sample.ANSWER, acts=[("/one/", "Write a reading"), ("/two/", "Something changed")])
    order = [
        "Measure", "Leave it. Read again on Thursday evening.", "It is slowing, not stuck", "Would help most:",
        "Write a reading", "Something changed", "Eleven bottles", "Gravity now", "Spray malt, 1 kg",
        "A rule of the trade:", "Assumed:</strong> the hydrometer was made for 20 °C; the sample was flat.", "Take care",
    ]  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_a_bare_answer_has_no_empty_boxes():
    text = part("answer", answer=Answer("Nothing is due.", "", Urgency.NOTHING))
    for words in ("Take care", "Assumed", "<dl", "<ul", "rule of the trade", "Would help", "acts"):
        assert words not in text


@pytest.mark.parametrize("urgency", list(Urgency))
def test_urgency_is_told_in_words(urgency):
    text = part("answer", answer=Answer("Headline.", "", urgency))
    told = f'<p class="urgency">{urgency.value}</p>' in text
    assert told is (urgency is not Urgency.NOTHING)  # an answer that asks for nothing is its own headline
    assert f"u-{urgency.name.lower()}" in text


def test_a_figure_opens_its_working_with_where_each_input_came_from():
    text = inline("{% pencil figure %}", figure=sample.GRAVITY)
    assert text.startswith('<details class="fig"><summary><span class="value">1.0137</span> <small>± 0.0008</small>')
    for words in (
        "Reading, moved to 20 °C", "measured</span>, entry 9, Tue 10 Nov", "assumed</span>, none is written down",
        "1.0135 + 0.0002 for 1 °C", "Holds nine times in ten", "Mind:", "Sugar Technologists Manual", "read where others",
    ):  # fmt: skip
        assert words in text
    assert " open" not in text.partition(">")[0]


def test_a_comma_may_follow_a_figure_in_running_text():
    assert inline("It is {% pencil figure %}, so wait.", figure=sample.GRAVITY).endswith("</details>, so wait.")


def test_a_working_without_a_source_says_so():
    figure = replace(sample.GRAVITY, working=replace(sample.WORKING, sources=()))
    assert "No published source stands behind this one." in inline("{% pencil figure %}", figure=figure)


def test_figures_come_in_the_brewers_units_and_zone():
    text = part("figures", figures=[sample.SUGAR, sample.DONE_ON], measures=Measures(mass="oz", zone=sample.ZONE))
    assert "4.16 oz" in text
    assert "Wed 11 Nov to Mon 16 Nov" in text


def test_the_log_keeps_a_struck_entry_readable_beside_its_correction():
    text = part("log", lines=sample.log_lines())
    assert '<s>Reading 1.034</s> <span class="unseen">(struck out)</span>' in text
    assert "1.043: not stirred" in text
    assert text.index("Tue 10 Nov") < text.index("Sun 8 Nov")
    assert 'id="entry-9"' in text
    assert '<time datetime="2026-11-10T18:30:00+00:00">Tue 10 Nov</time>' in text
    assert text.count('class="fig"') == 1


def test_the_stage_of_now_is_marked_for_eye_and_ear():
    text = part("stages", stages=sample.STAGES)
    assert '<li class="now" aria-current="step">fermenting, day 7</li>' in text
    assert text.count("(done)") == 2


def test_a_chart_comes_drawn_twice_in_words_and_as_a_table():
    text = part("chart", drawn=drawn(sample.chart()))
    assert text.count("<svg") == 2
    assert "<figcaption>Four readings: 1.0433 on Tue 3 Nov" in text
    assert '<th scope="col">Gravity (SG), reckoned</th>' in text
    assert "Reading 1.034 (struck out)" in text


def test_one_caution_is_a_sentence_and_several_are_a_list():
    assert "<ul>" not in part("cautions", cautions=["Boiling water: mind your hands."])
    assert part("cautions", cautions=["One.", "Two."]).count("<li>") == 2


def test_a_wrong_field_has_its_fault_beside_it_and_offers_the_likely_reading():
    text = part("form", asked=sample.ASKED)
    assert '<label for="f-gravity">Gravity <small>needed</small></label>' in text
    assert 'aria-describedby="h-gravity e-gravity" aria-invalid="true"' in text
    assert "<strong>Gravity:</strong> 1062 SG cannot be; write a value from 0.98 to 1.2 SG." in text
    assert '<button class="button" name="use-gravity" value="1.062">Use 1.062</button>' in text
    assert 'value="gravity"' not in text  # what cannot be is not to be confirmed


def test_an_unusual_value_can_be_confirmed():
    text = part("form", asked=sample.ASKED)
    assert '<input type="checkbox" name="confirm" value="temp"><span>It is true: write 68</span>' in text
    assert "Left empty, the book takes 20 °C: most samples cool to the room." in text
    confirmed = part("form", asked=[Asked.of(Field("temp", "Temperature", fields.QUANTITY), "68", confirmed=True)])
    assert 'value="temp" checked' in confirmed


def test_enter_presses_the_plain_button_and_not_a_suggestion():
    text = part("form", asked=sample.ASKED)
    assert text.lstrip().startswith('<button class="enter" tabindex="-1" aria-hidden="true"></button>')


def test_units_are_chosen_beside_the_number():
    text = part("form", asked=sample.ASKED)
    assert '<select name="gravity-unit" class="unit" aria-label="Unit of Gravity">' in text
    assert '<option value="SG" selected>SG</option><option value="°P">°P</option>' in text
    chosen = part("form", asked=[Asked.of(sample.GRAVITY_FIELD, "10.8", "°P")])
    assert '<option value="°P" selected>' in chosen


def test_each_field_opens_the_keypad_that_fits():
    def keypad(kind, **further):
        return Asked.of(Field("f", "F", kind, **further)).keypad

    assert keypad(fields.QUANTITY, dimensions=("volume",), possible=(0, 100)) == "decimal"
    assert keypad(fields.QUANTITY, dimensions=("temperature",), possible=(-20, 100)) == "text"  # it has a minus sign
    assert keypad(fields.COUNT) == "numeric"
    assert keypad(fields.TEXT) == "text"


def test_few_choices_stand_open_and_many_fold_into_a_list():
    text = part("form", asked=sample.ASKED)
    assert '<input type="radio" name="fizz" value="flat" checked>' in text
    assert '<input type="radio" name="stirred" value="" checked><span>not written down</span>' in text
    assert '<select id="f-from" name="from">' in text


def test_a_needed_choice_does_not_offer_to_leave_it_open():
    asked = Asked.of(
        Field("of", "Of", fields.CHOICE, required=True, choices=(("beer", "the beer"), ("room", "the room")))
    )
    assert "not written down" not in part("form", asked=[asked])


def test_what_a_brewer_wrote_is_shown_and_never_run():
    nasty = '"><script>alert(1)</script>'
    error = InputError("Gravity", f"“{nasty}” is not a number", "write digits", nasty)
    answer = Answer(nasty, nasty, Urgency.ACT, missing=nasty, cautions=(nasty,), rule_of_thumb=nasty, assumed=(nasty,))
    lines = [sample.log_lines()[0]]
    lines[0].ink = lines[0].instead = nasty
    lines[0].note = SimpleNamespace(figures=((nasty, sample.GRAVITY),), findings=(Finding(Urgency.ACT, nasty),))
    for text in (
        part("form", asked=[Asked.of(sample.GRAVITY_FIELD, nasty, error=error)]),
        part("answer", answer=answer),
        part("log", lines=lines),
        part("chart", drawn=drawn(sample.chart(title=nasty))),
        inline(
            "{% pencil f %}", f=replace(sample.GRAVITY, words=nasty, working=replace(sample.WORKING, relation=nasty))
        ),
    ):
        assert "<script" not in text
        assert "&lt;script&gt;" in text
