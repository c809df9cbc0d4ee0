"""What a program can ask: every answer is of the type that the description promises."""

from __future__ import annotations

import json

import msgspec
import pytest
from django.test import Client, RequestFactory

from gylebook.outputs.shapes import answer_shape
from gylebook.steps.catalogue import WORDS, act, step
from gylebook.steps.correcting import correct
from gylebook.steps.decision import Setting
from gylebook.steps.sums import SUMS
from gylebook.store import brew_log
from gylebook.web.api import shapes
from gylebook.web.api.pocket import QUICK, Pocket
from gylebook.web.desk import desk
from web import stocked
from web.api.asking import fault_of

ADDRESSES = (
    ("hello", shapes.Hello),
    ("brews", shapes.Brews),
    ("brews?open=1&limit=2", shapes.Brews),
    ("brews/1", shapes.OneBrew),
    ("brews/2", shapes.OneBrew),
    ("brews/3", shapes.OneBrew),
    ("brews/1/entries", shapes.Entries),
    ("today", shapes.Today),
    ("cellar", shapes.Cellar),
    ("pocket", Pocket),
)


def strictly(answer, kind):
    """The answer as that type, and nothing in it besides."""
    found = msgspec.convert(answer, kind)
    assert set(answer) <= set(kind.__struct_fields__)
    assert answer["api"] == 1
    return found


@pytest.mark.parametrize(("path", "kind"), ADDRESSES, ids=lambda each: each if isinstance(each, str) else "")
def test_an_answer_is_of_the_type_that_the_description_promises(owner, path, kind):
    strictly(owner.read(path), kind)


# What programs compare; everything else that differs between languages is read by people.
KEYS = {
    "urgency", "basis", "key", "unit", "dimension", "standing", "step", "act", "stage", "kind", "scale", "field",
    "brew", "place", "vessel",
}  # fmt: skip


def differing(one, other, key=""):
    """The names under which two answers differ."""
    if isinstance(one, dict):
        assert one.keys() == other.keys()
        return {found for each in one for found in differing(one[each], other[each], each)}
    if isinstance(one, list):
        assert len(one) == len(other)
        return {found for pair in zip(one, other, strict=True) for found in differing(*pair, key)}
    return {key} if one != other else set()


def told_in(owner, path, language):
    response = owner.get(path, **{"accept-language": language})
    assert response["Content-Language"] == language
    return json.loads(response.content)


@pytest.mark.parametrize("path", [*(path for path, _ in ADDRESSES[1:]), "steps/readings?brew=3"])
def test_what_programs_compare_is_the_same_in_every_language(owner, path):
    found = differing(told_in(owner, path, "en-GB"), told_in(owner, path, "de"))
    assert path == "brews/1/entries" or "headline" in found  # the sentences are told in the reader's language
    assert not found & KEYS


def test_what_a_program_sends_back_and_the_field_of_a_fault_are_the_same_in_every_language(owner):
    english, german = (told_in(owner, "sums/reading?gravity=1062", each) for each in ("en-GB", "de"))
    assert english["error"]["field"] == german["error"]["field"] != ""
    assert english["error"]["message"] != german["error"]["message"]


def test_the_gravest_urgency_reaches_a_phone_that_reads_german(owner):
    told = told_in(owner, "pocket", "de")
    assert "Danger" in {each["urgency"] for each in told["today"]["tasks"]}
    assert "Danger" in {each["urgency"] for each in told["brews"]}


def test_the_book_says_who_speaks_with_whom_and_keeps_its_mark(owner):
    first, again = owner.read("hello"), owner.read("hello")
    assert first["book"] == again["book"]
    assert len(first["book"]) == 32
    assert (first["person"], first["signed_in"], first["csrf"], first["may"]) == ("owner", True, "", ["read", "write"])
    assert first["now"] == "2026-11-20T18:00:00Z"


def test_brews_come_newest_first_and_a_page_at_a_time(owner):
    first = owner.read("brews?limit=2")
    assert [each["brew"] for each in first["brews"]] == ["3", "2"]
    rest = owner.read(f"brews?limit=2&after={first['after']}")
    assert [each["brew"] for each in rest["brews"]] == ["1"]
    assert rest["after"] is None
    assert owner.read("brews?open=0")["brews"] == []


def test_a_brew_tells_its_answer_and_what_its_chart_draws(owner):
    found = owner.read("brews/3")
    assert found["step"] == "finishing"
    assert found["head_seq"] == 4
    assert [each["words"] for each in found["course"]["readings"]]
    fan = found["outlook"]["fan"]
    assert {len(line) for line in fan.values()} == {len(fan["at"])}
    for figure in (*found["answer"]["figures"], *found["outlook"]["figures"]):
        assert figure["text"]
        assert figure["working"]["relation"]


def test_entries_come_in_order_from_behind_one(owner):
    found = owner.read("brews/1/entries?after=2&limit=3")
    assert [each["seq"] for each in found["entries"]] == [3, 4, 5]
    assert found["more"] is True
    assert owner.read("brews/1/entries?after=9")["more"] is False


@pytest.mark.parametrize("word", WORDS)
def test_a_step_answers_as_the_library_does(owner, word):
    own = step(word).answer(brew_log.read("3"), desk(RequestFactory().get("/")).setting(), {})
    found = owner.read(f"steps/{word}?brew=3")
    msgspec.convert(found, shapes.StepAnswer)
    said = json.loads(json.dumps(answer_shape(own)))
    assert found["headline"] == said["headline"]
    assert without_text(found["figures"]) == said["figures"]
    assert found["findings"] == said["findings"]


def _zone():
    from zoneinfo import ZoneInfo

    from django.conf import settings

    return ZoneInfo(settings.TIME_ZONE)


def without_text(figures):
    return [{name: value for name, value in figure.items() if name != "text"} for figure in figures]


@pytest.mark.parametrize("word", SUMS)
def test_a_sum_answers_its_example(owner, word):
    response = owner.client.get(f"/api/sums/{word}", SUMS[word].example, headers=owner.headers)
    assert response.status_code == 200, response.content
    found = json.loads(response.content)
    strictly(found, shapes.SumAnswer)
    assert found["headline"]
    assert found["asked"] == dict(SUMS[word].example)


def test_what_is_supposed_is_taken_and_a_slip_names_its_field(owner):
    supposed = owner.read("steps/priming?brew=3&co2=2.6 vol&warmest=22 °C")
    assert supposed["asked"] == {"co2": "2.6 vol", "warmest": "22 °C"}
    refused = owner.get("steps/priming?brew=3&co2=many")
    assert refused.status_code == 422
    assert fault_of(refused)["field"] == "co2"
    assert "many" in fault_of(refused)["message"]


def test_a_figure_is_told_in_the_brewers_own_units(owner):
    plain = owner.read("sums/pressure?co2=2.4 vol&temp=30 °C")
    assert any(" bar" in figure["text"] for figure in plain["figures"])
    owner.write({"id": "units-1", "brew": "shelf", "act": "keep_settings", "values": {"pressure": "psi"}})
    assert any(" psi" in figure["text"] for figure in owner.read("sums/pressure?co2=2.4 vol&temp=30 °C")["figures"])


@pytest.mark.parametrize(
    ("path", "status", "field"),
    [
        ("brews/99", 404, ""),
        ("brews/nine", 404, ""),
        ("brews?open=2", 422, "open"),
        ("brews?after=x", 422, "after"),
        ("brews?colour=red", 422, "colour"),
        ("steps/juggling?brew=1", 404, ""),
        ("steps/plan", 422, "brew"),
        ("steps/plan?brew=1&wish=x", 422, "wish"),
        ("steps/plan?brew=1&confirm=wish", 422, "confirm"),
        ("sums/juggling", 404, ""),
        ("sums/strength?original=1.0395&final=%00", 422, "final"),
        ("sums/strength", 422, "original"),
        ("nowhere", 404, ""),
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_sentence_with_its_field(owner, path, status, field):
    response = owner.get(path)
    assert response.status_code == status
    assert response["Content-Type"] == "application/json"
    fault = fault_of(response)
    assert fault["field"] == field
    assert fault["message"].endswith(".")


# --- pocket -------------------------------------------------------------------------------------------------------


def test_pocket_holds_what_a_phone_needs_without_a_signal(owner):
    found = owner.read("pocket")
    assert found["book"] == owner.read("hello")["book"]
    assert [brew["id"] for brew in found["brews"]]
    brew = next(each for each in found["brews"] if each["id"] == "3")
    assert brew["stage"] == "fermenting"
    assert len(brew["entries"]) == 4
    assert brew["head_seq"] == 4
    bottled = next(each for each in found["brews"] if each["id"] == "1")
    assert bottled["bottles_left"] == 37
    assert len(bottled["entries"]) == 5
    assert len(bottled["figures"]) <= 6
    for each in found["brews"]:
        for figure in each["figures"]:
            assert figure["text"]
            assert len(figure["working"]) > 1
            assert figure["sources"]
            assert set(figure["sources"]) <= set(found["sources"])
    assert found["today"] == owner.read("today")
    assert found["danger"]["first"]
    assert found["danger"]["headline"].startswith("Stop.")


def test_the_acts_of_pocket_tell_their_fields_as_data(owner):
    acts = {act["name"]: act for act in owner.read("pocket")["acts"]}
    assert tuple(acts) == QUICK
    fields = {field["name"]: field for field in acts["reading"]["fields"]}
    gravity, temp = fields["gravity"], fields["temp"]
    assert gravity["kind"] == "quantity"
    assert "SG" in gravity["units"]
    assert gravity["possible"][0] < 1 < gravity["possible"][1]
    assert gravity["at_once"] is True
    assert temp["unit"] == "°C"
    assert fields["instrument"]["offers"] == ["long hydrometer"]
    assert {choice["value"] for choice in fields["fizz"]["choices"]}
    assert acts["vent"]["cautions"]


def test_a_phone_that_has_pocket_as_it_is_gets_no_second_one(owner):
    first = owner.get("pocket")
    tag = first["ETag"]
    again = owner.get("pocket", **{"if-none-match": tag})
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", tag)
    assert owner.get("pocket", **{"if-none-match": f"W/{tag}"}).status_code == 304
    owner.write({"id": "n1", "brew": "3", "act": "note", "values": {"text": "a thin ring of foam"}})
    changed = owner.get("pocket", **{"if-none-match": tag})
    assert changed.status_code == 200
    assert changed["ETag"] != tag
    newest = next(b for b in json.loads(changed.content)["brews"] if b["id"] == "3")["entries"][0]
    assert "a thin ring of foam" in newest["words"]


def test_an_entry_that_was_taken_back_is_struck_in_pocket(owner):
    from gylebook.steps.correcting import withdraw

    setting = Setting(stocked.NOW, brew_log.read_shelf(), _zone())
    brew_log.change(
        "3", lambda brew: withdraw(brew, 4, setting), actor="jo", source="page", command_id="back", now=stocked.NOW
    )
    entries = next(b for b in owner.read("pocket")["brews"] if b["id"] == "3")["entries"]
    assert [(e["seq"], e["struck"]) for e in entries] == [(5, False), (4, True), (3, False), (2, False), (1, False)]


def newest(owner):
    return next(brew for brew in owner.read("pocket")["brews"] if brew["id"] == "3")["entries"]


def test_the_newest_entries_of_pocket_come_with_what_it_takes_to_correct_them(owner):
    values = {"gravity": "1.012", "temp": "19 °C"}
    sent = {"id": "r1", "brew": "3", "act": "reading", "values": values, "happened_at": "2026-11-20T17:30:00+00:00"}
    owner.write(sent)
    first = newest(owner)[0]
    assert (first["act"], first["values"]) == ("reading", {"gravity": "1.012 SG", "temp": "19 °C"})
    assert "corrects" not in first
    # What is sent back just as it came reads as the same entry.
    again = {**sent, "id": "r2", "values": first["values"], "corrects": first["seq"], "happened_at": ""}
    assert owner.write(again)[0]["status"] == "written"
    second, was = newest(owner)[:2]
    assert (second["act"], second["values"], second["corrects"]) == ("reading", first["values"], first["seq"])
    assert was["struck"]
    assert not {"act", "values"} & set(was)
    owner.write({**again, "id": "r3", "act": "withdraw", "values": {}, "corrects": second["seq"]})
    last = newest(owner)[0]
    assert last["corrects"] == second["seq"]
    assert not {"act", "values"} & set(last)


def test_of_two_corrections_of_one_entry_the_later_one_stands_in_pocket(owner):
    setting = Setting(stocked.NOW, brew_log.read_shelf(), _zone())
    for text in ("first", "second"):
        brew_log.change(
            "3", lambda brew, text=text: correct(brew, 4, act("note"), {"text": text}, setting), actor="jo",
            source="command", command_id=text, now=stocked.NOW,
        )  # fmt: skip
    assert [each.get("values") for each in newest(owner)[:3]] == [{"text": "second"}, None, None]


def test_a_plan_and_a_long_text_are_not_kept_on_a_phone_for_correcting(owner):
    owner.write({"id": "long", "brew": "3", "act": "note", "values": {"text": "a line of a long note\n" * 100}})
    note, *_, plan = newest(owner)
    assert (note["act"], plan["act"]) == ("note", "plan")
    assert "values" not in note
    assert "values" not in plan


def test_the_page_for_people_shows_a_command_for_each_address(stocked_book):
    page = Client().get("/api/").content.decode()
    assert "curl -H" in page
    for word in (*WORDS, *SUMS):
        assert word in page
