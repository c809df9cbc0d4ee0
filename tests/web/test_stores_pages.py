from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gylebook.journal import events as ev
from gylebook.steps.shelf import SHELF_ACTS, act_for
from gylebook.store import brew_log
from web import stocked

PAGE_OF = {
    "keep_kit": "/stores/kits/new/",
    "keep_bottles": "/stores/bottles/",
    "keep_stock": "/stores/stock/",
    "keep_instrument": "/settings/instruments/",
    "keep_vessel": "/settings/vessels/",
    "keep_place": "/settings/places/",
    "keep_settings": "/settings/",
    "warm_spell": "/cellar/",
    "keep_lessons": "/settings/learned/",
    "forget": "/stores/bottles/",
}
KIT = {
    "act": "keep_kit",
    "name": "Fernside stout",
    "ingredients": "1.5 kg liquid malt extract",
    "volume": "20",
    "volume-unit": "L",
}
BOTTLES = {
    "act": "keep_bottles",
    "name": "green pints",
    "kind": "one_way",
    "size": "500",
    "size-unit": "mL",
    "count": "12",
}


def shelf():
    return brew_log.read_shelf()


def test_each_act_of_the_shelf_has_a_page():
    assert set(PAGE_OF) == {act.name for act in SHELF_ACTS}


@pytest.mark.parametrize(("name", "texts"), stocked.SHELF, ids=lambda each: each if isinstance(each, str) else "")
def test_each_act_is_written_from_its_page(books, post, reader, name, texts):
    response = post(PAGE_OF[name], {**texts, "act": name, "command_id": "one-press"})

    assert response.status_code == 302, response.text
    assert len(shelf().entries) == 1
    assert "Written as" in reader.get(response.url).text


def test_pressing_twice_writes_once(books, post):
    for _ in range(2):
        post("/stores/bottles/", {**BOTTLES, "command_id": "one-press"})

    assert len(shelf().entries) == 1


def test_what_was_typed_comes_back_with_the_fault_beside_it(books, post):
    response = post("/stores/bottles/", {**BOTTLES, "count": "a dozen"})

    assert response.status_code == 422
    assert "a dozen" in response.text
    assert "green pints" in response.text
    assert 'aria-invalid="true"' in response.text
    assert not shelf().entries


def test_a_thing_is_changed_under_its_name(stocked_book, post):
    response = post("/stores/bottles/", {**BOTTLES, "was": "clear", "name": "clear", "count": "20"})

    assert response.status_code == 302
    assert shelf().bottles["clear"].count == 20
    assert set(shelf().bottles) == {"clear", "brown halves"}


def test_a_thing_given_another_name_loses_the_old_one_in_one_go(stocked_book, post):
    before = len(shelf().entries)
    post("/stores/bottles/", {**BOTTLES, "was": "clear"})

    assert set(shelf().bottles) == {"green pints", "brown halves"}
    assert len(shelf().entries) == before + 2


def test_a_name_that_is_taken_is_asked_about_and_then_taken(stocked_book, post):
    data = {**BOTTLES, "name": "clear"}
    asked = post("/stores/bottles/", data)

    assert asked.status_code == 422
    assert "is on the shelf already" in asked.text
    assert 'name="confirm" value="name"' in asked.text
    assert shelf().bottles["clear"].size.text == "330"

    assert post("/stores/bottles/", {**data, "confirm": "name"}).status_code == 302
    assert shelf().bottles["clear"].size.text == "500"


def test_the_form_that_changes_a_thing_holds_what_is_kept(stocked_book, reader):
    text = reader.get("/settings/vessels/?name=white bucket").text

    assert "23 L holds 22.4 L" in text
    assert 'value="27"' in text
    assert '<input type="hidden" name="was" value="white bucket">' in text


def test_saving_a_form_unchanged_keeps_the_thing_as_it_is(stocked_book, reader, post):
    for thing, page in (("bottles", "/stores/bottles/"), ("vessels", "/settings/vessels/"), ("places", "/settings/places/"),
                        ("instruments", "/settings/instruments/"), ("stock", "/stores/stock/"), ("kits", "")):  # fmt: skip
        for name, before in getattr(shelf(), thing).items():
            url = f"{page}?name={name}" if page else f"/stores/kits/?name={name}&do=change"
            form = Sent(reader.get(url).text).found
            response = post(url if thing == "kits" else page, form)
            assert response.status_code == 302, (thing, name, response.text)
            assert getattr(shelf(), thing)[name] == before


class Sent(HTMLParser):
    """Gathers what a browser would send for the page's own form."""

    def __init__(self, text):
        super().__init__()
        self.found, self._choice, self._lines = {}, "", ""
        self.feed(text.split('<form class="entry" method="post"', 1)[1].split("</form>", 1)[0])
        self.found.pop("csrfmiddlewaretoken", None)

    def handle_starttag(self, tag, attrs):
        held = dict(attrs)
        name = held.get("name", "")
        if tag == "input" and (held.get("type") not in {"radio", "checkbox"} or "checked" in held):
            self.found[name] = held.get("value", "")
        elif tag == "select":
            self._choice = name
        elif tag == "option" and "selected" in held:
            self.found[self._choice] = held["value"]
        elif tag == "textarea":
            self._lines = name
            self.found[name] = ""

    def handle_data(self, data):
        if self._lines:
            self.found[self._lines] += data

    def handle_endtag(self, tag):
        if tag == "textarea":
            self._lines = ""


def test_a_thing_is_taken_off_the_shelf_and_put_back_by_taking_the_entry_back(stocked_book, post, reader):
    response = post("/stores/bottles/", {"act": "forget", "thing": "bottles", "name": "clear", "command_id": "gone"})

    assert response.status_code == 302
    assert "clear" not in shelf().bottles
    said = reader.get(response.url).text
    seq = shelf().head_seq
    assert f"/stores/log/{seq}/" in said

    assert post(f"/stores/log/{seq}/", {"do": "withdraw", "command_id": "undo"}).status_code == 302
    assert shelf().bottles["clear"].count == 24
    assert "It was taken back" in reader.get(f"/stores/log/{seq}/").text


def test_an_entry_that_was_taken_back_cannot_be_taken_back_again(stocked_book, post):
    post("/stores/log/1/", {"do": "withdraw", "command_id": "undo"})
    again = post("/stores/log/1/", {"do": "withdraw", "command_id": "undo-again"})

    assert again.status_code == 404
    assert len(shelf().entries) == len(stocked.SHELF) + 1


def test_an_entry_that_is_not_there_is_not_found(stocked_book, reader):
    assert reader.get("/stores/log/99/").status_code == 404
    assert reader.get("/stores/bottles/?name=nothing").status_code == 404
    assert reader.get("/stores/kits/nothing/").status_code == 404


def test_stores_show_what_must_be_used_first_at_the_top(stocked_book, reader):
    text = reader.get("/stores/").text.split("Use first", 1)[1].split("</section>", 1)[0]
    order = [text.index(name) for name in ("ale yeast", "Old lantern/brown", "Sedgeway", "Millpond bitter")]

    assert order == sorted(order)
    assert text.count("past its date") == 2


def test_empty_bottles_are_those_owned_less_those_that_stand_full(stocked_book, reader):
    text = reader.get("/stores/").text.split("Empty bottles", 2)[-1]

    assert re.search(r"brown halves.*?60 × 500 mL owned.*?<span class=\"value\">3</span>", text, re.DOTALL)
    assert re.search(r"clear.*?24 × 330 mL owned.*?<span class=\"value\">0</span>", text, re.DOTALL)
    assert "37 full" in text


def test_a_kit_shows_its_leaflet_and_its_choices_side_by_side(stocked_book, reader):
    text = reader.get("/stores/kits/Millpond bitter/").text

    assert "sugar: 1 kg sugar; bottle at 1.006 SG" in text
    options = re.findall(r"<h3>([a-z ]+)", text.split('<ul class="options">')[1])
    assert options == ["sugar ", "malt"]
    for label in ("Original gravity by weight", "Final gravity expected", "Strength", "Cost"):
        assert text.count(f"<dt>{label}</dt>") >= 2, label
    assert "bottle at or below" in text


def test_a_kit_is_reckoned_for_another_volume_without_being_changed(stocked_book, reader):
    as_is = reader.get("/stores/kits/Millpond bitter/").text
    less = reader.get("/stores/kits/Millpond bitter/", {"volume": "18", "volume-unit": "L"})

    assert less.status_code == 200
    assert "supposing another volume" in less.text
    assert first_gravity(less.text) > first_gravity(as_is) + 0.005
    assert shelf().kits["Millpond bitter"].volume.text == "23"


def first_gravity(text):
    return float(re.search(r'Original gravity by weight</dt><dd>.*?class="value">([\d.]+)<', text, re.DOTALL)[1])


def test_a_volume_that_cannot_be_is_refused_beside_its_field(stocked_book, reader):
    response = reader.get("/stores/kits/Millpond bitter/", {"volume": "soup"})

    assert response.status_code == 422
    assert "soup" in response.text
    assert "1.7 kg liquid malt extract" in response.text


@pytest.mark.parametrize("name", ["new", "Half/half", "..", "50 % & more?", "#1", "Ærø ☃"])
def test_a_kit_of_any_name_has_a_page(books, post, reader, name):
    response = post("/stores/kits/new/", {**KIT, "name": name})

    assert response.status_code == 302
    page = reader.get(response.url)
    assert page.status_code == 200
    assert "The leaflet, as entered" in page.text
    assert post(response.url, {"act": "forget", "thing": "kit", "name": name}).status_code == 302
    assert name not in shelf().kits


def test_the_way_from_a_kit_to_a_brew_keeps_the_kit(stocked_book, reader):
    text = reader.get("/stores/kits/Millpond bitter/").text
    link = re.search(r'href="([^"]*brews/new/[^"]*)"', text)[1]

    assert 'value="Millpond bitter"' in reader.get(link).text


def test_places_and_marks_are_refused_by_the_line(books, post):
    response = post(
        "/settings/vessels/", {"act": "keep_vessel", "name": "bucket", "marks": "23 L holds 22.4 L\nnonsense"}
    )

    assert response.status_code == 422
    assert "line 2" in response.text.lower()


def test_settings_change_how_numbers_are_shown_and_asked_for(stocked_book, post, reader):
    metric = reader.get("/cellar/").text
    assert "33.0 °C" in metric
    assert re.search(r"\b[45]\.\d bar\b", metric)

    data = {"act": "keep_settings", "volume": "US gal", "temperature": "°F", "pressure": "psi", "co2": "g CO2/L", "gravity": "°P",
            "mass": "oz", "currency": "groats"}  # fmt: skip
    assert post("/settings/", data).status_code == 302

    own = reader.get("/cellar/").text
    assert "91.4 °F" in own
    assert "psi" in own
    assert "g CO2/L" in own
    kit = reader.get("/stores/kits/Millpond bitter/").text
    assert "°P" in kit
    assert "groats" in kit
    assert "US gal" in kit
    form = reader.get("/reckon/priming/").text
    assert '<option value="US gal" selected>' in form
    assert '<option value="°F" selected>' in form


def test_a_time_zone_that_is_none_is_refused(books, post):
    response = post("/settings/", {"act": "keep_settings", "time_zone": "Mars/Olympus"})

    assert response.status_code == 422
    assert "no time zone" in response.text
    assert not shelf().entries


def test_the_settings_form_shows_what_is_chosen(stocked_book, reader):
    text = reader.get("/settings/").text

    assert 'value="A. Maltby"' in text
    assert '<option value="UK" selected>' in text
    assert re.search(r'name="temperature" value="°C" checked', text)


TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=40),
    st.sampled_from(
        [
            "1.5",
            "-3 °C",
            "12 x 500 mL",
            "2026-13-40",
            "1e400",
            "NaN",
            "½",
            "23 L holds 9 L",
            "1 kg sugar; 1 kg",
            "yes",
            "\0",
            "¼ imp gal",
        ]
    ),
    st.from_regex(r"[-+]?\d{1,6}([.,]\d{1,3})? ?(kg|g|L|mL|°C|°F|SG|gal|%)?", fullmatch=True),
)


@pytest.mark.parametrize("name", list(PAGE_OF))
@given(data=st.data())
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_is_sent_is_written_whole_or_refused_whole(stocked_book, name, data):
    client = Client()
    fields = act_for(name).fields
    known = dict(next((texts for act, texts in stocked.SHELF if act == name), {"thing": "bottles", "name": "clear"}))
    spoilt = data.draw(st.lists(st.sampled_from([field.name for field in fields]), unique=True, max_size=4))
    sent = {**known, **{field: data.draw(TEXTS, label=field) for field in spoilt}, "act": name}
    sent |= {f"{field}-unit": data.draw(st.sampled_from(["", "g", "L", "vol", "nonsense"])) for field in spoilt}
    sent["was"] = data.draw(st.sampled_from(["", "clear", "Millpond bitter", "nothing at all"]))
    before = shelf()

    response = client.post(PAGE_OF[name], sent)

    after = shelf()
    refusals = (404, 422) if name == "forget" else (422,)  # what is not on the shelf is not found
    assert response.status_code in (302, *refusals), response.text
    if response.status_code != 302:
        assert after.head_seq == before.head_seq
    else:
        assert after.head_seq in (before.head_seq + 1, before.head_seq + 2)
    for page in ("/", "/stores/", "/stores/log/", "/settings/", "/cellar/", "/settings/places/", "/stores/stock/"):
        assert client.get(page).status_code == 200, (page, sent)
    for kit in after.kits:
        assert client.get("/stores/kits/", {"name": kit}).status_code == 200, (kit, sent)


def test_the_log_of_the_stores_goes_on_over_pages(books, post, reader):
    for number in range(45):
        post("/stores/stock/", {"act": "keep_stock", "item": f"thing {number}"})

    assert "thing 44" in reader.get("/stores/log/").text
    assert "thing 2." in reader.get("/stores/log/?page=2").text
    assert reader.get("/stores/log/?page=notanumber").status_code == 200


def test_only_kinds_of_the_shelf_are_written_there(stocked_book):
    assert all(not isinstance(entry.body, ev.Planned) for entry in shelf().entries)
