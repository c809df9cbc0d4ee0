"""Slips and nonsense, on the page, by command and in a table: told in one sentence that names the field, never half
taken, and no word of what was typed is lost.
"""

from __future__ import annotations

import re
from html import unescape

import pytest

from acceptance.both import ByPage, plain
from acceptance.command_line import options, told
from gylebook.steps.catalogue import act as act_named
from gylebook.store import brew_log
from gylebook.store.models import JournalEntry

pytestmark = pytest.mark.xdist_group("acceptance_bad_input")

NOW = 20.0
# act, what was typed, the field that is at fault, words of the fault, and the obvious reading where there is one.
SLIPS = [
    ("reading", {"gravity": "lots"}, "Gravity", "“lots” is not a number", ""),
    ("reading", {"gravity": "1062", "looks": "brown"}, "Gravity", "1062 is no specific gravity", "1.062"),
    ("reading", {"gravity": "1.0.1"}, "Gravity", "more than one decimal mark", ""),
    ("reading", {"gravity": "1.012", "temp": "68"}, "Temperature of the sample", "68 °C would be most unusual", "68 °F"),
    ("reading", {"gravity": "1.012", "temp": "500"}, "Temperature of the sample", "500 °C cannot be", ""),
    ("reading", {"gravity": "1.012", "temp": "20 L"}, "Temperature of the sample", "“L” is not a unit for this", ""),
    ("reading", {"temp": "20"}, "Gravity", "nothing was written", ""),
    ("mix", {"volume": "-5"}, "Made up to", "-5 L cannot be", ""),
    ("mix", {"volume": "5 gal"}, "Made up to", "differ by a fifth between the UK and the US", ""),
    ("mix", {"volume": "23 kg"}, "Made up to", "“kg” is not a unit for this", ""),
    ("mix", {"volume": "23", "ingredients": "1.7 kg liquid malt extract\nsome sugar"}, "What went in, line 2", "", ""),
    ("prime", {"mass": "5 L", "volume": "20"}, "How much (of the whole batch, or in each bottle)", "not a unit", ""),
    ("pitch", {"best_before": "31.12.2026"}, "Date on the sachet", "“31.12.2026” is not a date", ""),
    ("bottle", {"lots": "twenty bottles"}, "Bottles filled, one kind on a line, line 1", "", ""),
    ("open_bottle", {"fizz": "9"}, "Fizz felt, 1 flat to 5 wild", "9 cannot be", ""),
    ("open_bottle", {"fizz": "2.5"}, "Fizz felt, 1 flat to 5 wild", "not a whole number", ""),
    ("open_bottle", {"fizz": "3", "gushed": "perhaps"}, "It gushed", "neither yes nor no", ""),
    ("judge", {"verdict": "done", "because": "it looks so"}, "It is", "“done” is not one of the choices", ""),
    ("note", {"text": "x" * 30_000}, "Note", "too long to keep", ""),
    ("hop", {"mass": "-30 g", "hop": "Invented"}, "Hops by weight", "-30 g cannot be", ""),
    ("take_out", {"count": "0"}, "How many", "0 cannot be", ""),
    ("reading", {"gravity": "1.012", "when": "2125-01-01T10:00"}, "When it happened", "the year 2125 cannot be", ""),
    ("reading", {"gravity": "1.012", "when": "yesterday"}, "When it happened", "is not a date and time", ""),
    ("reading", {"gravity": "1.012", "when": "2026-02-31T10:00"}, "When it happened", "is not a date and time", ""),
    ("reading", {"gravity": "1.012", "when": "2027-09-05T10:00"}, "When it happened", "is still to come", ""),
]  # fmt: skip
IDS = [f"{act}-{next(iter(typed.values()))[:12]!r}-{fault[:20]}" for act, typed, fault, *_ in SLIPS]
SHELF_SLIPS = [
    ("keep_place", "/settings/places/", {"name": "loft", "low": "25", "high": "5"}),
    ("keep_place", "/settings/places/", {"name": "loft", "months": "13: 4 to 9 °C"}),
    ("keep_bottles", "/stores/bottles/", {"name": "odd", "kind": "returnable_500", "size": "500 mL", "count": "-3"}),
    ("keep_vessel", "/settings/vessels/", {"name": "bin", "capacity": "25", "marks": "twenty litres"}),
    ("keep_kit", "/stores/kits/new/", {"name": "odd", "ingredients": "2 tins", "volume": "23"}),
    ("keep_instrument", "/settings/instruments/", {"name": "glass", "shows_in_water": "1002"}),
]


@pytest.fixture(scope="module", autouse=True)
def brew(module_book):
    """One brew, fermenting."""
    for day, act, texts in (
        (0, "plan", {"name": "Slips"}),
        (0.1, "mix", {"ingredients": "3 kg liquid malt extract", "volume": "23", "stirred": "well"}),
        (0.2, "pitch", {"mass": "11", "temp": "20"}),
        (9, "reading", {"gravity": "1,012", "temp": "20,5", "fizz": "flat"}),
    ):
        answer = told("log", "new" if act == "plan" else "1", act, *options(texts), day=day)
        assert answer.code == 0, answer.err
    assert told("log", "new", "plan", "--name", "Not mixed yet", day=1).code == 0
    return module_book


def brew_for(act):
    """The second brew is not mixed yet."""
    return "2" if act == "mix" else "1"


@pytest.fixture(autouse=True)
def rows(brew):
    """Not one row more or fewer when the test is over."""
    before = JournalEntry.objects.count()
    yield before
    assert JournalEntry.objects.count() == before


def sentences(text):
    """Roughly: marks that end a sentence and are followed by a new one, or by nothing."""
    return len(re.findall(r"[.?!](?=\s+[A-Z“]|\s*$)", text))


@pytest.mark.parametrize(("act", "typed", "field", "words", "suggestion"), SLIPS, ids=IDS)
def test_a_slip_on_the_page_is_told_beside_its_field_and_nothing_typed_is_lost(act, typed, field, words, suggestion):
    answer = ByPage().post(NOW, f"/brews/{brew_for(act)}/{act_named(act).step}/", {"act": act, **typed})
    assert answer.status_code == 422
    html = answer.content.decode()
    errors = [unescape(plain(each)) for each in re.findall(r'<(?:div|p) class="error".*?</(?:div|p)>', html, re.DOTALL)]
    assert len(errors) == 1, errors
    label, _, _line = field.partition(", line ")
    assert errors[0].startswith(f"{label}"), errors
    assert words in errors[0]
    assert sentences(errors[0].replace(f"Use {suggestion}", "")) == 1, errors
    offered = re.findall(r'name="use-\w+" value="([^"]*)"', html)
    assert offered == ([suggestion] if suggestion else [])
    for name, text in typed.items():
        assert still_there(html, name, text), (name, text)


def still_there(html, name, text):
    """Whether what was typed stands in its field again."""
    if re.search(rf'<textarea[^>]* name="{name}"', html):
        found = re.search(rf'<textarea[^>]* name="{name}"[^>]*>(.*?)</textarea>', html, re.DOTALL)
        return unescape(found[1]) == text
    if re.search(rf'type="radio" name="{name}"', html):
        # A choice that is not among those offered cannot be ticked again; only a program could have sent it.
        return text in {"perhaps", "done"} or f'name="{name}" value="{text}" checked' in html
    found = re.search(rf'<input[^>]* name="{name}"[^>]* value="([^"]*)"', html)
    return found is not None and unescape(found[1]) == text


@pytest.mark.parametrize(("act", "typed", "field", "words", "suggestion"), SLIPS, ids=IDS)
def test_a_slip_on_the_command_line_is_one_line_that_names_the_field(act, typed, field, words, suggestion):
    line = ("log", brew_for(act), act, *options(typed))
    refused = told(*line, day=NOW)
    field = field.replace("What went in", "Ingredients")  # lists are named by their option
    assert refused.code == 2
    assert refused.out == ""
    assert refused.err.count("\n") == 1
    assert refused.err.startswith(f"{field}: ")
    assert words in refused.err
    assert (f"Did you mean {suggestion}?" in refused.err) is bool(suggestion)
    (fault,) = told(*line, "--json", day=NOW).fault["faults"]
    assert fault["field"] == field
    assert fault["suggestion"] == (suggestion or None)
    assert fault["problem"]
    assert fault["remedy"]


@pytest.mark.parametrize(
    ("act", "address", "typed"), SHELF_SLIPS, ids=[f"{a}-{list(t)[-1]}" for a, _, t in SHELF_SLIPS]
)
def test_a_slip_on_the_shelf_is_told_and_kept_in_the_form(act, address, typed):
    answer = ByPage().post(NOW, address, {"act": act, **typed})
    assert answer.status_code == 422
    html = answer.content.decode()
    assert len(re.findall(r'<(?:div|p) class="error"', html)) == 1
    for name, text in typed.items():
        if name != "kind":
            assert still_there(html, name, text), name
    refused = told("shelf", act, *options(typed), day=NOW)
    assert refused.code == 2
    assert refused.err.count("\n") == 1


def test_several_slips_are_all_told_at_once():
    typed = {"gravity": "lots", "temp": "500", "when": "yesterday"}
    html = ByPage().post(NOW, "/brews/1/readings/", {"act": "reading", **typed}).content.decode()
    assert len(re.findall(r'<div class="error"', html)) == 3
    refused = told("log", "1", "reading", *options({name: typed[name] for name in ("gravity", "temp")}), day=NOW)
    assert refused.err.count("\n") == 2


def test_a_number_with_a_comma_is_no_slip_and_is_kept_as_typed():
    (read,) = (entry.body for entry in brew_log.read("1").entries if entry.kind == "measured")
    assert (read.gravity.text, read.temp.text) == ("1,012", "20,5")
    assert "Read 1,012 SG at 20,5 °C, flat." in ByPage().ask(NOW, "readings") + plain(
        ByPage().client.get("/brews/1/log/").content.decode()
    )


def test_names_that_no_form_has_are_passed_over_and_unknown_options_are_refused():
    typed = {"act": "reading", "gravity": "lots", "strength_of_my_arm": "12", "seq": "1", "recorded_by": "somebody"}
    html = ByPage().post(NOW, "/brews/1/readings/", typed).content.decode()
    assert "strength_of_my_arm" not in html
    refused = told("log", "1", "reading", "--gravity", "1.012", "--strength-of-my-arm", "12", day=NOW)
    assert refused.code == 2
    assert refused.err.count("\n") == 1
    assert "strength-of-my-arm" in refused.err


def test_an_act_that_there_is_not_is_said_not_to_be():
    answer = ByPage().post(NOW, "/brews/1/readings/", {"act": "weigh", "gravity": "1.012"})
    assert answer.status_code == 404
    assert "“weigh” is not written down at readings" in plain(answer.content.decode())
    refused = told("log", "1", "weigh", day=NOW)
    assert refused.code == 2
    assert refused.err.count("\n") == 1


@pytest.mark.parametrize("brew", ["99", "0", "abc", "-1", "1.5"])
def test_a_brew_that_there_is_not_is_said_not_to_be(brew):
    for line in (("log", brew, "note", "--text", "x"), ("ask", brew, "finishing"), ("brews", brew)):
        refused = told(*line, day=NOW)
        assert refused.code == 2, line
        assert refused.err.count("\n") == 1
        assert brew in refused.err


def test_ten_megabytes_are_refused_whole_with_a_page():
    page = ByPage()
    body = b"act=note&text=" + b"x" * (10 * 1024 * 1024)
    kind = "application/x-www-form-urlencoded"
    answer = page.client.generic("POST", "/brews/1/plan/", body, kind)
    assert answer.status_code == 413
    assert "nothing was written" in plain(answer.content.decode())


TABLES = [
    ("date,gravity\n2026-09-20,lots\n", "Line 2, Gravity: “lots” is not a number"),
    ("date,gravity\n2026-09-20,1062\n", "Line 2, Gravity: 1062 is no specific gravity"),
    ("date,gravity\n20.09.2026,1.012\n", "Line 2, "),
    ("date,gravity\n2126-09-20,1.012\n", "Line 2, "),
    ("date,gravity,temperature\n2026-09-20,1.012,68\n", "Line 2, Temperature of the sample: 68 °C would be most unusual"),
    ("gravity\n1.012\n", "date"),
    ("", ""),
    ("\x00\x01\x02", ""),
    ("date,gravity\n" + "2026-09-20,1.012\n" * 501, "500"),
    ("x" * 6_000_000, "MB"),
]  # fmt: skip


@pytest.mark.parametrize(("table", "words"), TABLES, ids=[f"{words[:30]}-{n}" for n, (_, words) in enumerate(TABLES)])
def test_a_table_with_a_slip_is_told_by_its_line_and_nothing_of_it_is_written(table, words, tmp_path):
    good = table.replace("date,gravity\n", "date,gravity\n2026-09-15,1.013\n", 1) if "Line 2, G" in words else table
    told_of = words.replace("Line 2", "Line 3") if good is not table else words
    file = tmp_path / "readings.csv"
    file.write_text(good)
    refused = told("import", str(file), "--brew", "1", day=NOW)
    assert refused.code == 2, refused.out
    assert told_of in refused.err
    assert refused.err.count("\n") == 1
    page = ByPage()
    with file.open("rb") as data:
        answer = page.post(NOW, "/book/readings/", {"brew": "1", "file": data})
    html = plain(answer.content.decode())
    assert answer.status_code == 422
    if "Line" in told_of:
        assert told_of in html


def test_columns_of_a_table_that_nothing_is_done_with_are_named(tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text("date,gravity,mood\n2026-09-19 18:00,1.012,fine\n")
    answer = told("import", str(file), "--brew", "1", "--dry-run", day=NOW)
    assert answer.code == 0
    assert "Nothing was done with the columns mood." in answer.out


def test_ten_megabytes_of_noise_are_no_book(tmp_path):
    file = tmp_path / "book.jsonl"
    file.write_bytes(
        b'{"format":"gylebook-journal","format_version":1,"gylebook":"0.1.0","entries":2}\n' + b"z" * 10_000_000
    )
    refused = told("import", str(file), day=NOW)
    assert refused.code in {2, 5}
    assert refused.err.startswith("Line 2: it is longer than 1000000 bytes")
