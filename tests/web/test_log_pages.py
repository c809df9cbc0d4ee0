"""The log and its entries: nothing is lost, everything can be mended. All brews are invented."""

from __future__ import annotations

from urllib.parse import urlsplit

import pytest

from gylebook.journal import events as ev
from gylebook.steps.correcting import standing
from gylebook.store import brew_log
from web.demo_filled import NOW
from web.sent_forms import controls, form_on, has_class, words
from web.walking import tree


def entry_page(reader, brew, seq):
    response = reader.get(f"/brews/{brew}/log/{seq}/")
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def mend(filled_book, reader):
    """Send the form of an entry's page, changed by what was typed."""

    def send(brew, seq, /, do="correct", **typed):
        form = controls(form_on(entry_page(reader, brew, seq), do=do))
        return reader.post(f"/brews/{brew}/log/{seq}/", {**form, **typed})

    return send


@pytest.mark.parametrize("brew", range(1, 9))
def test_the_form_of_every_entry_says_again_what_the_entry_says(mend, brew):
    before = brew_log.read(str(brew))
    for kept in before.kept:
        response = mend(brew, kept.seq)
        assert response.status_code == 302, (
            kept.event,
            [words(node) for node in has_class(response.content.decode(), "error")],
        )
    after = brew_log.read(str(brew))
    assert after.head_seq == before.head_seq + len(before.kept)
    assert [(k.seq, k.at, k.event) for k in after.kept] == [(k.seq, k.at, k.event) for k in before.kept]


def test_a_correction_takes_the_place_of_an_entry_that_stays_readable(mend, reader):
    seq = brew_log.read("7").last(ev.Measured).seq
    raw = brew_log.read("7").last(ev.Measured).event.gravity.text
    response = mend(7, seq, gravity="1.0155", because_wrong="read from the top")
    assert response["Location"] == f"/brews/7/log/{seq}/"
    page = entry_page(reader, 7, seq)
    assert raw in words(has_class(page, "struck")[0])
    assert "read from the top" in page
    kept = standing(brew_log.read("7"), seq)
    assert kept.event.gravity.text == "1.0155"
    log = reader.get("/brews/7/log/").content.decode()
    [line] = [node for node in tree(log).below() if node.attrs.get("id") == f"entry-{seq}"]
    assert f"Read {raw}" in words(next(node for node in line.below() if node.tag == "s"))
    assert "Corrected: Read 1.0155" in " ".join(words(line).split())


def test_a_correction_can_be_corrected(mend, reader):
    seq = brew_log.read("7").last(ev.Measured).seq
    mend(7, seq, gravity="1.0155")
    mend(7, seq, gravity="1.0150")
    brew = brew_log.read("7")
    assert standing(brew, seq).event.gravity.text == "1.0150"
    assert {seq, brew.head_seq - 1} <= brew.struck
    struck = has_class(entry_page(reader, 7, seq), "struck")
    assert len(struck) == 2


def test_the_moment_of_an_entry_stays_unless_it_is_corrected(mend):
    kept = brew_log.read("7").last(ev.Measured)
    mend(7, kept.seq, gravity="1.0155")
    assert standing(brew_log.read("7"), kept.seq).at == kept.at
    mend(7, kept.seq, when="2026-11-18T07:30")
    assert standing(brew_log.read("7"), kept.seq).at.isoformat() == "2026-11-18T07:30:00+00:00"


def test_a_moment_to_come_is_asked_about_when_correcting_too(mend):
    kept = brew_log.read("7").last(ev.Measured)
    response = mend(7, kept.seq, when="2026-11-21T07:30")
    assert response.status_code == 422
    assert "it is still to come" in words(has_class(response.content.decode(), "wrong")[0])
    assert mend(7, kept.seq, when="2026-11-21T07:30", confirm="when").status_code == 302


def test_a_stale_correction_is_told_and_its_words_are_kept(filled_book, reader):
    seq = brew_log.read("7").last(ev.Measured).seq
    mine = controls(form_on(entry_page(reader, 7, seq), do="correct"))
    theirs = controls(form_on(entry_page(reader, 7, seq), do="correct"))
    assert reader.post(f"/brews/7/log/{seq}/", {**theirs, "gravity": "1.0150"}).status_code == 302
    response = reader.post(f"/brews/7/log/{seq}/", {**mine, "gravity": "1.0160", "because_wrong": "mine"})
    assert response.status_code == 409
    page = response.content.decode()
    assert "was corrected meanwhile" in page
    again = controls(form_on(page, do="correct"))
    assert (again["gravity"], again["because_wrong"]) == ("1.0160", "mine")
    assert standing(brew_log.read("7"), seq).event.gravity.text == "1.0150"
    assert reader.post(f"/brews/7/log/{seq}/", again).status_code == 302
    assert standing(brew_log.read("7"), seq).event.gravity.text == "1.0160"


def test_a_slip_in_a_correction_keeps_every_word(mend):
    seq = brew_log.read("7").last(ev.Measured).seq
    head = brew_log.read("7").head_seq
    response = mend(7, seq, gravity="wet", because_wrong="why not")
    assert response.status_code == 422
    form = controls(form_on(response.content.decode(), do="correct"))
    assert (form["gravity"], form["because_wrong"]) == ("wet", "why not")
    assert brew_log.read("7").head_seq == head


def test_an_entry_is_taken_back_and_stays_readable(mend, reader):
    seq = brew_log.read("7").last(ev.Measured).seq
    mend(7, seq, do="withdraw", why_back="another brew's")
    brew = brew_log.read("7")
    assert seq in brew.struck
    assert seq not in {kept.seq for kept in brew.kept}
    page = entry_page(reader, 7, seq)
    assert "nothing stands in its place" in page
    assert "another brew's" in words(tree(page))
    assert not any(node.attrs.get("id") == "correct" for node in tree(page).below())


def test_taking_back_twice_is_told(filled_book, reader):
    seq = brew_log.read("7").last(ev.Measured).seq
    forms = [controls(form_on(entry_page(reader, 7, seq), do="withdraw")) for _ in range(2)]
    assert reader.post(f"/brews/7/log/{seq}/", forms[0]).status_code == 302
    assert reader.post(f"/brews/7/log/{seq}/", forms[1]).status_code == 404


def test_what_was_just_written_is_taken_back_with_one_press(filled_book, reader):
    form = controls(form_on(reader.get("/brews/7/readings/?act=reading").content.decode(), act="reading"))
    reader.post("/brews/7/readings/", {**form, "gravity": "1.002"})
    seq = brew_log.read("7").head_seq
    page = reader.get("/brews/7/").content.decode()
    [said] = has_class(page, "said")
    undo = next(node for node in said.below() if node.tag == "form")
    assert reader.post(undo.attrs["action"], controls(undo)).status_code == 302
    assert seq in brew_log.read("7").struck


def test_the_first_plan_is_not_taken_back_but_a_later_one_is(mend, filled_book, reader):
    assert 'id="withdraw"' not in entry_page(reader, 8, 1)
    form = controls(form_on(reader.get("/brews/8/plan/?act=plan").content.decode(), act="plan"))
    assert reader.post("/brews/8/plan/", {**form, "name": "Second thoughts"}).status_code == 302
    brew = brew_log.read("8")
    assert brew.name == "Second thoughts"
    mend(8, brew.head_seq, do="withdraw")
    assert brew_log.read("8").name != "Second thoughts"


def test_an_entry_shows_who_wrote_it_when_and_how(filled_book, reader):
    page = entry_page(reader, 7, 1)
    assert "by Wren, demo" in " ".join(words(tree(page)).split())
    assert reader.get("/brews/7/log/999/").status_code == 404
    assert reader.get("/brews/999/log/1/").status_code == 404


def test_the_number_of_a_correction_leads_to_the_entry(mend, reader):
    seq = brew_log.read("7").last(ev.Measured).seq
    mend(7, seq, gravity="1.0155")
    head = brew_log.read("7").head_seq
    response = reader.get(f"/brews/7/log/{head}/")
    assert urlsplit(response["Location"]).path == f"/brews/7/log/{seq}/"


def test_the_log_is_paged_newest_first(filled_book, reader):
    for number in range(30):
        brew_log.change(
            "7", lambda _brew, number=number: note(f"note {number}"), actor="owner", source="page",
            command_id=f"n-{number}", now=NOW,
        )  # fmt: skip
    entries = len(brew_log.read("7").entries)
    first, second = (reader.get(f"/brews/7/log/?page={n}").content.decode() for n in (1, 2))
    lines = [
        node.attrs["id"]
        for page in (first, second)
        for node in tree(page).below()
        if node.attrs.get("id", "").startswith("entry-")
    ]
    assert len(lines) == min(40, entries)
    assert "note 29" in first
    assert "note 29" not in second
    home = reader.get("/brews/7/").content.decode()
    assert 'href="/brews/7/log/?page=2"' in home
    for odd in ("0", "99999999", "x", "-1"):
        assert reader.get(f"/brews/7/log/?page={odd}").status_code == 200


def note(text):
    from gylebook.steps.decision import Decision

    return Decision(((NOW, ev.Noted(text=text)),))
