"""`gylebook print` and `gylebook calendar`: files that are written, never over another one, and what they say of themselves."""

from __future__ import annotations

import shlex

import icalendar
import pypdfium2
import pytest
import vobject
import zxingcpp

from gylebook.cli.print_cmd import CAP_SHEETS, LABEL_SHEETS, PAPERS
from gylebook.outputs.label_grids import CAPS, LABELS, PAGES


@pytest.fixture
def brew(told, own_book, tmp_path, monkeypatch):
    """A brew in bottles, and an empty folder to write in."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("GYLEBOOK_URL", raising=False)
    for line in (
        "new plan --name Übermut",
        "1 mix --ingredients '1.7 kg liquid malt extract' --ingredients '1 kg dried malt extract' --volume '20 L'",
        "1 pitch --mass '11 g'",
        "1 reading --gravity 1.010 --temp 20",
        "1 prime --sugar sucrose --mass '90 g' --volume '20 L' --against-advice 'a test' --confirm mass",
        "1 bottle --lots '40 x 500 mL brown returnable' --cap-code UM",
    ):
        answer = told("log", *shlex.split(line))
        assert answer.code == 0, answer.err
    return "1"


def words_in(path):
    return pypdfium2.PdfDocument(path)[0].get_textpage().get_text_range()


def codes_in(path):
    pixels = pypdfium2.PdfDocument(path)[0].render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
    return {found.text for found in zxingcpp.read_barcodes(pixels)}


def test_the_sheets_to_choose_from_are_those_that_can_be_printed():
    assert tuple(grid.key for grid in LABELS) == LABEL_SHEETS
    assert tuple(grid.key for grid in CAPS) == CAP_SHEETS
    assert tuple(PAGES) == PAPERS


def test_labels_are_written_beside_and_never_over_a_file(told, brew, tmp_path):
    first = told("print", "label", brew)
    assert first.code == 0, first.err
    assert first.out.startswith("Wrote brew-1-labels.pdf. Print it at 100 %.\n")
    assert "The code holds “Brew 1” alone; --url gives it the address of the book." in first.out
    assert "Übermut" in words_in(tmp_path / "brew-1-labels.pdf")
    before = (tmp_path / "brew-1-labels.pdf").read_bytes()
    again = told("print", "label", brew, "--name", "Other")
    assert (again.code, "is there already: choose another name with --output, or add --replace" in again.err) == (
        3,
        True,
    )
    assert (tmp_path / "brew-1-labels.pdf").read_bytes() == before
    for flag in ("--replace", "--force"):
        assert told("print", "label", brew, "--name", f"Other {flag}", flag).code == 0
        assert f"Other {flag}" in words_in(tmp_path / "brew-1-labels.pdf")


def test_the_address_comes_from_the_option_or_from_the_environment(told, brew, tmp_path, monkeypatch):
    assert told("print", "label", brew, "--url", "https://book.home", "--output", "a.pdf").code == 0
    assert codes_in(tmp_path / "a.pdf") == {"https://book.home/brews/1/"}
    monkeypatch.setenv("GYLEBOOK_URL", "https://gyle.home:8484/")
    assert told("print", "slip", brew, "--output", "b.pdf").code == 0
    assert codes_in(tmp_path / "b.pdf") == {"https://gyle.home:8484/brews/1/"}


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (["caps", "1", "--count", "3"], "UM"),
        (["sheet", "1"], "brew day"),
        (["slip", "1", "--paper", "Letter"], "What is next"),
        (["danger"], "Stop. Keep away"),
    ],
)
def test_every_paper_is_written_and_a_program_is_told_where(told, brew, tmp_path, line, words):
    answer = told("print", *line, "--output", "paper.pdf", "--json")
    assert answer.code == 0, answer.err
    assert answer.plain["file"] == str(tmp_path / "paper.pdf")
    assert words in words_in(tmp_path / "paper.pdf")


@pytest.mark.parametrize(
    ("line", "refused"),
    [
        (["label", "99"], (2, "There is no brew 99")),
        (["label", "1", "--start", "22"], (2, "First label: 22 is not on the sheet")),
        (["label", "1", "--sheet", "a9-1x1"], (2, "a4-3x7")),
        (["label", "1", "--url", "book.home"], (2, "Address of the book: “book.home” is no web address")),
        (["label", "1", "--name", "ビール"], (2, "is in none of the fonts for print")),
        (["label", "1", "--sheet", "a4-4x10"], (2, "the words do not fit on it; choose larger labels")),
        (["danger", "--output", "no/such/folder.pdf"], (1, "cannot be written")),
    ],
)
def test_what_cannot_be_printed_is_refused_in_a_sentence_and_leaves_no_file(told, brew, tmp_path, line, refused):
    answer, (code, words) = told("print", *line), refused
    assert (answer.code, words in answer.err) == (code, True), answer.err
    assert answer.err.count("\n") == 1
    assert list(tmp_path.glob("*.pdf")) == []


def test_the_calendar_goes_to_the_standard_output_or_to_a_file(told, brew, tmp_path):
    shown = told("calendar")
    assert shown.code == 0, shown.err
    told("calendar", "--output", "due.ics", "--url", "https://book.home")
    made = (tmp_path / "due.ics").read_bytes()
    vobject.readOne(made.decode()).validate(raiseException=True)
    events = icalendar.Calendar.from_ical(made).walk("VEVENT")
    assert [event["UID"] for event in events] == [
        e["UID"] for e in icalendar.Calendar.from_ical(shown.out).walk("VEVENT")
    ]
    assert events
    assert all(event["SUMMARY"].startswith("No. 1 Übermut: ") for event in events)
    assert {event["URL"] for event in events} == {"https://book.home/brews/1/"}
    refused = told("calendar", "--output", "due.ics")
    assert (refused.code, "is there already" in refused.err) == (3, True)
    assert told("calendar", "--output", "due.ics", "--replace", "--json").plain["events"] == len(events)
    assert told("calendar", "--json").code == 2


def test_twice_the_same_calendar_is_the_same_to_the_byte(told, brew):
    assert told("calendar").out == told("calendar").out


def test_the_working_of_a_label_is_told_when_it_is_asked_for(told, brew):
    shown = told("print", "label", brew, "--working")
    assert shown.code == 0, shown.err
    assert "Strength on the label: about" in shown.out
    assert "allergens from what went in" in " ".join(shown.out.split())
    assert "BARLEY (gluten)" in shown.out
    assert "rounded" in shown.out
