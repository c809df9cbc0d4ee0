"""Entries over the line: each exactly once, each by itself, and nothing taken that the pages would ask about."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from django.db import OperationalError

from gylebook.errors import StoreUnavailable
from gylebook.store import brew_log, cards
from gylebook.store.models import JournalEntry, SentPrint
from gylebook.store.people import set_password
from gylebook.web.api import entries as writing
from web.api.asking import fault_of, reading, script

FROZEN = sorted((Path(__file__).parent / "frozen").glob("*.json"))


def rows(**wanted):
    return JournalEntry.objects.filter(**wanted).count()


def test_an_entry_is_written_as_typed_and_told_in_words(owner):
    (found,) = owner.write(reading())
    assert (found["id"], found["status"], found["brew"], found["seqs"]) == ("r1", "written", "3", [5])
    assert "1.012" in found["message"]
    (entry,) = brew_log.entries("3", after=4)
    assert str(entry.body.gravity) == "1.012 SG"
    assert (entry.command_id, entry.recorded_by, entry.source) == ("r1", "owner", "program")
    assert entry.happened_at.isoformat() == "2026-11-20T17:30:00+00:00"


def test_an_entry_sent_again_is_written_once_and_says_so(owner):
    first = owner.write(reading())[0]
    again = owner.write(reading())[0]
    assert (first["status"], again["status"]) == ("written", "already")
    assert again["seqs"] == first["seqs"]
    assert rows(brew="3", command_id="r1") == 1


def test_the_same_id_twice_in_one_request_is_written_once(owner):
    assert [each["status"] for each in owner.write(reading(), reading())] == ["written", "already"]


@pytest.mark.parametrize(
    "other",
    [
        {"gravity": "1.013"},
        {"act": "temperature", "values": {"temp": "19 °C"}},
        {"happened_at": "2026-11-20T17:31:00+00:00"},
        {"brew": "2"},
        {"brew": "shelf", "act": "forget", "values": {"thing": "place", "name": "larder"}},
    ],
    ids=["value", "act", "moment", "brew", "shelf"],
)
def test_an_id_that_comes_again_with_other_content_is_refused_and_keeps_nothing(owner, other):
    owner.write(reading())
    before = JournalEntry.objects.count()
    (found,) = owner.write(reading(**other))
    assert found["status"] == "refused"
    assert "new id" in found["message"]
    assert JournalEntry.objects.count() == before


def test_the_same_words_at_another_act_are_another_entry(owner):
    cold = {"id": "t1", "brew": "1", "act": "temperature", "values": {"temp": "4 °C"}}
    assert owner.write(cold)[0]["status"] == "written"
    assert owner.write({**cold, "act": "vent"})[0]["status"] == "refused"


def test_the_same_moment_in_another_zone_is_the_same_entry(owner):
    owner.write(reading())
    assert owner.write(reading(happened_at="2026-11-20T18:30:00+01:00"))[0]["status"] == "already"


def test_an_entry_taken_once_is_still_the_same_when_it_would_be_read_otherwise_by_now(owner):
    bare = reading(values={"gravity": "1.012", "temp": "19"})
    assert owner.write(bare)[0]["status"] == "written"
    owner.write({"id": "s1", "brew": "shelf", "act": "keep_settings", "values": {"temperature": "°F"}})
    assert owner.write(bare)[0]["status"] == "already"


def test_an_id_whose_print_was_lost_is_still_taken_for_the_same(owner):
    owner.write(reading())
    SentPrint.objects.all().delete()  # as after a restore from plain entries
    assert owner.write(reading())[0]["status"] == "already"


def test_results_come_in_order_and_a_bad_entry_stops_no_other(owner):
    found = owner.write(
        reading("a"),
        reading("b", gravity="many"),
        reading("c", brew="99"),
        {"id": "d", "brew": "3", "act": "juggle"},
        {"brew": "3", "act": "note", "values": {"text": "no id"}},
        {"id": "f", "brew": "3", "act": "note", "values": {"text": 7}},
        {"id": "g", "brew": "3", "act": "note", "values": {"text": "x"}, "mood": "good"},
        {"id": "h i", "brew": "3", "act": "note", "values": {"text": "x"}},
        17,
        reading("z", gravity="1.0115"),
    )
    assert [each["id"] for each in found] == ["a", "b", "c", "d", "", "f", "g", "h i", "", "z"]
    assert [each["status"] for each in found] == ["written", *["refused"] * 8, "written"]
    assert [each["field"] for each in found[1:4]] == ["gravity", "brew", "act"]
    assert "mood" in found[6]["message"]
    assert all(each["message"] for each in found)
    assert [row.command_id for row in brew_log.entries("3", after=4)] == ["a", "z"]


@pytest.mark.parametrize(
    ("further", "field", "words"),
    [
        ({"values": {"gravity": "1.012", "mood": "good"}}, "mood", "it asks for gravity"),
        ({"happened_at": "2026-11-20T17:30:00"}, "happened_at", "with its zone"),
        ({"happened_at": "yesterday"}, "happened_at", "with its zone"),
        ({"confirmed": ["mood"]}, "confirmed", "mood"),
        ({"brew": "three"}, "brew", "is no brew"),
        ({"brew": "new"}, "act", "begins with its plan"),
        ({"values": {"gravity": "1.012", "temp": "500 °C"}}, "temp", "cannot be"),
        ({"values": {"gravity": "1.012", "temp": "500 °C"}, "confirmed": ["temp"]}, "temp", "cannot be"),
        ({"values": {"temp": "19 °C"}}, "gravity", "nothing was written"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(owner, further, field, words):
    (found,) = owner.write(reading(**further))
    assert found["status"] == "refused"
    assert found["field"] == field
    assert words in found["message"]
    assert rows(brew="3") == 4


def test_an_unlikely_value_is_asked_about_and_taken_once_it_is_confirmed(owner):
    (slip,) = owner.write(reading("slip", gravity="1062"))
    assert (slip["status"], slip["field"], slip["suggestion"]) == ("asks", "gravity", "1.062")
    unlikely = reading(values={"gravity": "1.012", "temp": "68"})
    (asked,) = owner.write(unlikely)
    assert (asked["status"], asked["field"]) == ("asks", "temp")
    assert rows(brew="3") == 4
    (sure,) = owner.write({**unlikely, "confirmed": ["temp"]})
    assert sure["status"] == "written"


def test_a_moment_still_to_come_is_asked_about(owner):
    ahead = reading(happened_at="2026-11-20T20:00:00+00:00")
    (asked,) = owner.write(ahead)
    assert (asked["status"], asked["field"]) == ("asks", "happened_at")
    assert owner.write({**ahead, "confirmed": ["happened_at"]})[0]["status"] == "written"


def test_what_others_wrote_meanwhile_stands_beside(owner):
    set_password("Seven gyles of stout", "jo")
    other = script(person="jo", name="another phone")
    other.write(reading("theirs", gravity="1.013"))
    (found,) = owner.write(reading("mine", seen_seq=4))
    assert found["status"] == "written"
    assert [(each["seq"], each["by"]) for each in found["beside"]] == [(5, "jo")]
    assert "1.013" in found["beside"][0]["words"]
    first, second = owner.write(
        reading("m1", gravity="1.0119", seen_seq=6), reading("m2", gravity="1.0118", seen_seq=6)
    )
    assert first["beside"] == second["beside"] == []


def test_what_the_book_notices_is_told(owner):
    (found,) = owner.write(reading(gravity="1.030"))
    assert found["status"] == "written"
    assert found["findings"]
    assert set(found["findings"][0]) == {"urgency", "text", "check"}


def test_a_brew_is_begun_and_its_number_comes_back(owner):
    plan = {"id": "p1", "brew": "new", "act": "plan", "values": {"name": "Shed stout", "kit": "Millpond bitter"}}
    (found,) = owner.write(plan)
    assert (found["status"], found["brew"], found["seqs"]) == ("written", "4", [1])
    assert brew_log.read("4").name == "Shed stout"
    assert owner.write(plan)[0]["brew"] == "4"
    assert owner.write({**plan, "values": {"name": "Other"}})[0]["status"] == "refused"


def test_the_shelf_takes_its_acts_and_the_next_entry_knows_them(owner):
    found = owner.write(
        {
            "id": "k1",
            "brew": "shelf",
            "act": "keep_instrument",
            "values": {"name": "short glass", "what": "hydrometer"},
        },
        reading("r9", values={"gravity": "1.012", "temp": "19 °C", "instrument": "short glass"}),
    )
    assert [each["status"] for each in found] == ["written", "written"]
    assert "short glass" in brew_log.read_shelf().instruments


def test_bottles_are_counted_and_opened_offline(owner):
    found = owner.write(
        {"id": "o1", "brew": "1", "act": "open_bottle", "values": {"fizz": "3"}},
        {"id": "t1", "brew": "1", "act": "take_out", "values": {"count": "2", "to": "drunk"}},
    )
    assert [each["status"] for each in found] == ["written", "written"], found


# --- what breaks off ----------------------------------------------------------------------------------------------


def test_a_batch_that_breaks_off_is_sent_again_and_every_entry_is_there_once(owner, monkeypatch):
    batch = [reading(f"b{n}", gravity=f"1.01{n}") for n in range(6)]
    real, seen = brew_log.change, []

    def breaks(*args, **named):
        seen.append(named["command_id"])
        if len(seen) == 4:
            raise StoreUnavailable("The book is busy: another writer holds it; try again in a moment.")
        return real(*args, **named)

    monkeypatch.setattr(brew_log, "change", breaks)
    broken = owner.post({"entries": batch})
    assert broken.status_code == 503
    assert "busy" in fault_of(broken)["message"]
    assert rows(brew="3") == 4 + 3
    monkeypatch.undo()
    assert [each["status"] for each in owner.write(*batch)] == ["already"] * 3 + ["written"] * 3
    assert rows(brew="3") == 4 + 6


def test_a_database_that_cannot_is_a_503_and_no_crash(owner, monkeypatch):
    def locked(*args, **named):
        raise OperationalError("database is locked")

    monkeypatch.setattr(brew_log, "change", locked)
    assert owner.post({"entries": [reading()]}).status_code == 503


def test_a_fault_of_the_books_own_stops_no_other_entry(owner, monkeypatch, caplog):
    real = writing._change

    def stumbles(sent, sheet, post):
        if sent.id == "bad":
            raise ZeroDivisionError
        return real(sent, sheet, post)

    monkeypatch.setattr(writing, "_change", stumbles)
    found = owner.write(reading("bad"), reading("good"))
    assert [each["status"] for each in found] == ["refused", "written"]
    assert "stumbled" in found[0]["message"]
    assert "bad" in caplog.text


# --- what is no batch ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "status", "field"),
    [
        ("not json", 400, ""),
        (b"\xff\xfe", 400, ""),
        (b'{"entries": [{"id": "\xff", "brew": "3", "act": "note"}]}', 400, ""),
        ('{"entries": [{"id": "\\ud800", "brew": "3", "act": "note"}]}', 400, ""),
        ('{"entries": [' + "[" * 5000 + "]" * 5000 + "]}", 400, ""),
        ("[]", 422, ""),
        ("{}", 422, "entries"),
        ('{"entries": [], "colour": "red"}', 422, "colour"),
        ('{"entries": [], "api": 2}', 422, "api"),
        ('{"entries": 3}', 422, "entries"),
        (json.dumps({"entries": [{}] * 201}), 422, "entries"),
        ("x" * (1024 * 1024 + 1), 413, ""),
    ],
)
def test_what_is_no_batch_is_refused_whole(owner, body, status, field):
    response = owner.post(body)
    assert response.status_code == status
    assert fault_of(response)["field"] == field
    assert fault_of(response)["message"].endswith(".")


def test_only_json_is_read(owner):
    response = owner.client.post("/api/entries", "entries=1", content_type="text/plain", headers=owner.headers)
    assert response.status_code == 415
    assert fault_of(response)["field"] == "Content-Type"


def test_an_empty_batch_is_no_fault(owner):
    assert owner.write() == []


# --- phones with an old page ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", FROZEN, ids=lambda path: path.stem)
def test_what_a_phone_of_an_earlier_release_sends_is_still_taken(owner, path):
    frozen = json.loads(path.read_text(encoding="utf-8"))
    response = owner.post(frozen["request"])
    assert response.status_code == 200
    found = json.loads(response.content)["results"]
    assert [[each["id"], each["status"]] for each in found] == frozen["results"], found


def test_something_of_every_release_is_frozen():
    assert FROZEN


def test_after_many_entries_of_a_brew_its_card_is_as_of_the_last(owner):
    owner.write(*(reading(f"m{n}", gravity=f"1.01{9 - n}") for n in range(5)))
    assert not cards.outdated("default")
    owner.write(reading("x1", gravity="1.0101"), reading("x2", gravity="nonsense"))  # what comes last is not written
    brew = next(each for each in owner.read("pocket")["brews"] if each["id"] == "3")
    assert "1.0101" in brew["entries"][0]["words"]
    assert brew["figures"]
    assert not cards.outdated("default")


def correction(seq, **further):
    return reading(**{"id": "c1", "gravity": "1.011", "corrects": seq, "because": "misread", **further})


def test_an_entry_is_corrected_with_its_reason_and_sent_again_it_is_once(owner):
    (seq,) = owner.write(reading())[0]["seqs"]
    first, again = owner.write(correction(seq))[0], owner.write(correction(seq))[0]
    assert (first["status"], again["status"], again["seqs"]) == ("written", "already", first["seqs"])
    brew = brew_log.read("3")
    standing = next(kept for kept in brew.kept if kept.seq == seq)
    assert (str(standing.event.gravity), standing.corrected_by) == ("1.011 SG", first["seqs"][0])
    (entry,) = brew_log.entries("3", after=seq)
    assert entry.body.because == "misread"


def test_an_entry_is_taken_back(owner):
    (seq,) = owner.write(reading())[0]["seqs"]
    (done,) = owner.write(
        {"id": "w1", "brew": "3", "act": "withdraw", "values": {}, "corrects": seq, "because": "another bucket"}
    )
    assert (done["status"], "Withdrew" in done["message"]) == ("written", True)
    assert seq not in {kept.seq for kept in brew_log.read("3").kept}


def test_a_correction_of_what_was_corrected_meanwhile_is_told_and_changes_nothing(owner):
    (seq,) = owner.write(reading())[0]["seqs"]
    owner.write(correction(seq))
    before = JournalEntry.objects.count()
    (late,) = owner.write(correction(seq, id="c2", gravity="1.010"))
    assert (late["status"], JournalEntry.objects.count()) == ("refused", before)
    assert "corrected meanwhile" in late["message"]


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"act": "withdraw", "values": {}}, "not said which entry"),
        ({"because": "misread"}, "not said which entry"),
        ({"brew": "shelf", "act": "forget", "values": {"thing": "place", "name": "larder"}, "corrects": 1}, "shelf"),
        ({"corrects": 99}, "corrected meanwhile"),
    ],
)
def test_a_correction_that_cannot_be_is_refused_with_its_reason(owner, sent, words):
    (done,) = owner.write({**reading(), **sent})
    assert done["status"] == "refused"
    assert words in done["message"]
