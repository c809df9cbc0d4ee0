from __future__ import annotations

import json
import re
import shlex

import pytest

from gylebook.cli.examples import ACT_EXAMPLES, SHELF_EXAMPLES
from gylebook.cli.options import by_option, read_all
from gylebook.errors import InputError, InputErrors, Refused
from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain
from gylebook.outputs.wording import Preferences
from gylebook.steps.catalogue import acts
from gylebook.steps.correcting import ACT_OF, correct, texts_of
from gylebook.steps.decision import Setting
from gylebook.store import brew_log, rows


@pytest.fixture
def brewing(told, own_book):
    """A book with one invented brew, planned and pitched."""
    for line in (
        "log new plan --name 'Autumn bitter' --volume '21 L' --when '2026-09-05 10:00'",
        "log 1 mix --ingredients '1.7 kg liquid malt extract' --volume '21 L' --when '2026-09-06 11:00'",
        "log 1 pitch --mass '11 g' --when '2026-09-06 11:30'",
    ):
        assert told(*shlex.split(line)).code == 0
    return own_book


def test_an_entry_is_told_back_as_written_with_what_it_means(told, brewing) -> None:
    answer = told("log", "1", "reading", "--gravity", "1,014", "--temp", "68F", "--when", "2026-09-14 18:30")
    assert answer.code == 0
    assert answer.out.startswith("Written in brew 1 as entry 4: Read 1,014 SG at 68 °F.")
    assert re.search(r"^Now: True gravity 1\.01\d\d", answer.out, re.MULTILINE)
    kept = brew_log.read("1").last(ev.Measured)
    assert kept is not None
    assert (kept.event.gravity.text, str(kept.event.temp)) == ("1,014", "68 °F")
    assert kept.at.isoformat() == "2026-09-14T17:30:00+00:00"  # London in summer


def test_a_refusal_names_the_option_and_not_the_pages_label(told, brewing) -> None:
    answer = told("log", "1", "prime", "--mass", "300 g")
    assert answer.code == 3
    assert "write the reason under --against-advice and it will be kept" in " ".join(answer.err.split())
    assert "“" not in answer.err


def test_every_word_of_a_refusal_that_labels_a_field_becomes_its_option() -> None:
    fields = acts()["prime"].fields
    one = InputError("Sugar", "it says “Into”", "mend “How many bottles, where each got its own”", "honey")
    by = by_option(one, fields)
    assert (by.problem, by.remedy, by.suggestion) == ("it says --how", "mend --bottles", "honey")
    both = by_option(InputErrors([one, one]), fields)
    assert isinstance(both, InputErrors)
    assert str(both).count("--bottles") == 2
    assert str(by_option(Refused("Write “Sugar”."), fields)) == "Write --sugar."


def test_what_comes_next_is_said_once(told, brewing) -> None:
    answer = told("log", "1", "reading", "--gravity", "1.014", "--temp", "20", "--fizz", "flat")
    assert len(re.findall(r"\bNext\b", answer.out)) == 1
    due = told("log", "new", "plan", "--name", "Second")
    assert due.out.count("Next") <= 1
    assert "Next: Planned" not in due.out  # how it stands is not what is to be done


def test_moved_bottles_are_answered_by_conditioning_with_their_own_cautions(told, brewing) -> None:
    for line in (
        "shelf keep_place --name garage --low 5 --high 12",
        "log 1 prime --mass '60 g' --against-advice 'it is in' --when '2026-10-01 10:00'",
        "log 1 bottle --lots '40 x 500 mL brown returnable' --when '2026-10-01 11:00'",
    ):
        assert told(*shlex.split(line)).code == 0, line
    answer = told("log", "1", "move", "--place", "garage", "--when", "2026-10-20 10:00")
    assert answer.code == 0
    spoken = " ".join(answer.out.split())
    assert "Moved to the garage." in spoken
    assert "“gylebook ask 1 conditioning” shows why." in spoken
    assert "In the garage, up to 12 °C in its warmest month, they hold " in spoken
    assert "caps away from faces" in spoken
    assert "24 kg" not in spoken
    assert "Long past" not in spoken


def test_a_program_gets_the_entry_and_the_findings(told, brewing) -> None:
    plain = told("log", "1", "reading", "--gravity", "1.014", "--json").plain
    assert (plain["shape"], plain["brew"], plain["repeated"]) == ("written", "1", False)
    (entry,) = plain["entries"]
    assert (entry["seq"], entry["kind"], entry["source"]) == (4, "measured", "command")
    assert entry["body"]["gravity"] == {"text": "1.014", "unit": "SG"}
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", entry["happened_at"])


def test_a_new_brew_begins_with_its_plan(told, brewing) -> None:
    assert told("log", "new", "plan", "--name", "Second", "--json").plain["brew"] == "2"
    answer = told("log", "new", "reading", "--gravity", "1.040")
    assert answer.code == 3
    assert "begins with its plan" in answer.err


def test_the_same_id_is_written_once(told, brewing) -> None:
    args = ("log", "1", "reading", "--gravity", "1.014", "--once", "kitchen-1", "--json")
    first, again = told(*args).plain, told(*args).plain
    assert (first["repeated"], again["repeated"]) == (False, True)
    assert first["entries"] == again["entries"]
    assert brew_log.read("1").head_seq == 4


@pytest.mark.parametrize(
    ("line", "code", "told_so"),
    [
        ("log 1 reading --gravity 1062", 2, "Did you mean 1.062?"),
        ("log 1 reading --gravity 1062", 2, "--confirm gravity"),
        ("log 1 reading --gravity 1.012 --temp 68", 2, "Did you mean 68 °F?"),
        ("log 1 reading --gravity 1.012 --temp 68", 2, "by adding --confirm temp"),
        ("log 1 reading --gravity twelve", 2, "“twelve” is not a number"),
        ("log 1 reading", 2, "Gravity: nothing was written; add --gravity."),
        ("log 1 mix --volume '5 gal'", 2, "differ by a fifth"),
        ("log 1 judge --verdict perhaps", 2, "not one of the choices"),
        ("log 1 reading --gravity 1.012 --when yesterday", 2, "is not a date and time"),
        ("log 1 reading --gravity 1.012 --when 2087-01-01", 2, "is still to come"),
        ("log 1 froth", 2, "No such command"),
        ("log 9 reading --gravity 1.012", 2, "There is no brew 9"),
        ("log shelf reading --gravity 1.012", 2, "no brew"),
        ("log 1 reading --gravity 1.012 --confirm mood", 2, "“mood” is not asked for here"),
        ("log 1 reading --gravity 1.012 --once 'a b'", 2, "Command id"),
        ("log 1 correct 9 reading --gravity 1.012", 2, "has no entry 9"),
        ("log 1 correct 3", 2, "it is not said what is right"),
        ("log 1 correct 3 pitch", 2, "nothing is said to have been otherwise"),
        ("log 1 correct 3 --withdraw pitch --mass '7 g'", 2, "either corrected or withdrawn"),
        ("log 1 correct 1 --withdraw", 3, "The plan cannot be withdrawn"),
        ("log 1 correct 1 note --text no", 3, "is its plan"),
    ],
)
def test_what_cannot_be_taken_is_one_sentence_and_writes_nothing(told, brewing, line, code, told_so) -> None:
    before = rows.count(brewing)
    answer = told(*shlex.split(line))
    assert (answer.code, answer.out) == (code, "")
    assert told_so in answer.err
    assert answer.err.count("\n") == 1
    assert rows.count(brewing) == before


def test_several_faults_are_all_told_at_once(told, brewing) -> None:
    answer = told("log", "1", "reading", "--gravity", "abc", "--temp", "warm", "--fizz", "wild")
    assert answer.code == 2
    assert [line.split(":")[0] for line in answer.err.splitlines()] == [
        "Gravity",
        "Temperature of the sample",
        "Sample",
    ]


def test_a_value_insisted_on_is_taken(told, brewing) -> None:
    line = ("log", "1", "reading", "--gravity", "1.012", "--temp", "68")
    assert told(*line, "--confirm", "temp").code == 0
    kept = brew_log.read("1").last(ev.Measured)
    assert kept is not None
    assert str(kept.event.temp) == "68 °C"


def test_a_moment_to_come_can_be_insisted_on(told, brewing) -> None:
    line = ("log", "1", "reading", "--gravity", "1.012", "--when", "2087-01-01", "--confirm", "when")
    assert told(*line).code == 0


def test_a_bare_number_is_in_the_unit_of_the_settings(told, brewing) -> None:
    assert told("shelf", "keep_settings", "--temperature", "°F", "--gravity", "°P").code == 0
    assert told("log", "1", "reading", "--gravity", "3.6", "--temp", "70").code == 0
    kept = brew_log.read("1").last(ev.Measured)
    assert kept is not None
    assert (str(kept.event.gravity), str(kept.event.temp)) == ("3.6 °P", "70 °F")
    assert re.search(r"°P", told("ask", "1", "readings").out)


def test_a_flag_alone_means_yes(told, brewing) -> None:
    assert told("log", "1", "hop", "--hop", "Sedgeway", "--mass", "40 g", "--bagged").code == 0
    assert told("log", "1", "hop", "--hop", "Sedgeway", "--mass", "40 g", "--bagged", "no", "--form", "leaf").code == 0
    assert [kept.event.bagged for kept in brew_log.read("1").all(ev.Hopped)] == [True, False]


def test_a_correction_keeps_what_is_left_out_and_the_old_entry_stays_readable(told, brewing) -> None:
    told("log", "1", "reading", "--gravity", "1.041", "--temp", "21", "--when", "2026-09-14 18:00")
    answer = told("log", "1", "correct", "4", "--because", "misread", "reading", "--gravity", "1.014")
    assert answer.code == 0
    assert "Corrected entry 4 to: Read 1.014 SG at 21 °C; because: misread." in " ".join(answer.out.split())
    brew = brew_log.read("1")
    (kept,) = brew.all(ev.Measured)
    assert (str(kept.event.gravity), str(kept.event.temp), kept.seq) == ("1.014 SG", "21 °C", 4)
    log = told("brews", "1").out
    assert "4. struck out, 2026-09-14 18:00: Read 1.041 SG at 21 °C." in log


def test_a_withdrawn_entry_counts_no_more(told, brewing) -> None:
    told("log", "1", "reading", "--gravity", "1.041")
    answer = told("log", "1", "correct", "4", "--withdraw", "--because", "another brew's")
    assert answer.out.startswith("Written in brew 1 as entry 5: Withdrew entry 4; because: another brew's.")
    assert brew_log.read("1").all(ev.Measured) == ()


def test_cautions_stand_where_the_hand_is(told, brewing) -> None:
    assert "Glass under pressure" in told("log", "1", "bottle", "--help").out
    answer = told("log", "1", "bottle", "--lots", "10 x 500 mL brown returnable")
    assert "Glass under pressure" in answer.out


def tell_the_story(told) -> None:
    lines = [e for each in SHELF_EXAMPLES.values() for e in each]
    lines += sorted((e for each in ACT_EXAMPLES.values() for e in each), key=lambda e: e.split("--when")[1])
    for line in lines:
        assert told(*shlex.split(line)[1:]).code == 0


def test_every_kind_of_entry_can_be_corrected_with_all_the_rest_of_it_kept(told, own_book) -> None:
    tell_the_story(told)
    checked = set()
    for number in ("1", "2"):
        brew = brew_log.read(number)
        setting = Setting(brew.entries[-1].happened_at, brew_log.read_shelf(), Preferences().zone)
        for entry in brew.entries:
            act = acts()[ACT_OF[type(entry.body)]]
            values = read_all(act.fields, texts_of(entry.body, act), Preferences(), confirmed=frozenset())
            (_, event), *_ = correct(brew, entry.seq, act, values, setting).events
            assert isinstance(event, ev.Corrected)
            assert decode_plain(event.kind, event.version, event.instead or {}) == entry.body
            checked.add(act.name)
    assert checked == set(acts())


def test_the_shelf_keeps_what_is_left_out(told, own_book) -> None:
    for line in SHELF_EXAMPLES["keep_kit"] + SHELF_EXAMPLES["keep_vessel"]:
        assert told(*shlex.split(line)[1:]).code == 0
    assert told("shelf", "keep_vessel", "--name", "white bucket", "--trub-loss", "0.5 L").code == 0
    assert told("shelf", "keep_kit", "--name", "Golden kit", "--days", "12").code == 0
    shelf = told("shelf", "--json").plain
    (vessel,) = shelf["vessels"]
    assert vessel["capacity"] == {"text": "30", "unit": "L"}
    assert vessel["trub_loss"] == {"text": "0.5", "unit": "L"}
    (kit,) = shelf["kits"]
    assert (len(kit["alternatives"]), kit["days"]) == (2, 12)


def test_the_shelf_is_listed_in_words(told, own_book) -> None:
    assert "Nothing yet." in told("shelf", "--only", "bottles").out
    for each in SHELF_EXAMPLES.values():
        for line in each:
            assert told(*shlex.split(line)[1:]).code == 0
    assert "brown halves: 60 × 500 mL brown returnable" in told("shelf").out
    assert json.loads(told("shelf", "--only", "stock", "--json").out)["stock"] == []
