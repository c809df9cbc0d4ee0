"""Writing things down on the pages: every act, its slips, and what pressing twice does. All brews are invented."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gylebook.journal import events as ev
from gylebook.journal.codec import kind_of
from gylebook.journal.events import KIND_OF
from gylebook.outputs.entries import entry_words
from gylebook.steps.catalogue import acts, step
from gylebook.steps.correcting import ACT_OF
from gylebook.store import brew_log, rows
from web.demo_filled import NOW
from web.sent_forms import controls, form_on, has_class, words

# What is written with each act; every act of the catalogue has one.
WRITTEN = {
    "plan": {"name": "Old lantern", "volume": "20", "volume-unit": "L"},
    "note": {"text": "The airlock is still.\nThe lid leaks."},
    "close": {"lesson": "Stir harder."},
    "dump": {"because": "vinegar"},
    "clean": {"what": "bucket", "agent": "acid_sanitiser", "contact": "5", "contact-unit": "min", "rinsed": "no"},
    "mix": {
        "ingredients": "1.7 kg liquid malt extract\r\n1 kg sugar",
        "volume": "21,5",
        "temp": "22",
        "stirred": "well",
    },
    "top_up": {"water": "0.5", "stirred": "a little"},
    "reading": {"gravity": "1.012", "temp": "19", "fizz": "flat"},
    "temperature": {"temp": "19.5", "of": "beer"},
    "pitch": {"yeast": "house ale", "mass": "11", "kind": "ale", "best_before": "2027-03-01"},
    "rouse": {"how": "swirled, lid closed"},
    "move": {"place": "spare room", "temp": "18"},
    "add": {"what": "orange peel", "mass": "20", "purpose": "flavour"},
    "hop": {"hop": "Marl", "mass": "40", "form": "pellets", "bagged": "yes", "planned_days": "3"},
    "hops_out": {"hop": "Marl"},
    "judge": {"verdict": "not finished", "because": "it still falls"},
    "rack": {"vessel": "tapped bucket", "volume": "20"},
    "prime": {"sugar": "sucrose", "mass": "60", "volume": "20", "against_advice": "to see"},
    "bottle": {"lots": "24 x 500 mL brown halves\n12 x 330 mL clear", "cap_code": "OL"},
    "filling": {"what": "paused", "volume": "20", "cap_code": "OL"},
    "fill": {"bottle": "brown halves", "count": "10"},
    "open_bottle": {"fizz": "3", "gushed": "no"},
    "vent": {"temp": "4", "count": "10"},
    "burst": {"note": "one, in the night"},
    "take_out": {"count": "2", "to": "drunk"},
    "taste": {"score": "7", "words": "Malty.", "faults": "thin", "again": "yes"},
}
BEFORE = {"hops_out": ("hop",), "top_up": ("mix",)}
EVENT_OF = {name: kind for kind, name in ACT_OF.items()}


# Brew 7 of the demo book ferments; what belongs to another stage is written in brew 8, which is only planned.
BREW = {"mix": "8", "top_up": "8"}


def brew_of(name):
    return BREW.get(name, "7")


def page_of(name):
    return f"/brews/{brew_of(name)}/{acts()[name].step}/"


def latest(brew="7"):
    return brew_log.latest_entries(brew, limit=1)[0]


@pytest.fixture
def write(filled_book, reader):
    """Send an act's form as it stands on its page, changed by what was typed."""

    def send(name, /, **typed):
        address = page_of(name)
        form = form_on(reader.get(address, {"act": name}).content.decode(), act=name)
        return reader.post(
            address, {**controls(form), **{key.replace("__", "-"): value for key, value in typed.items()}}
        )

    return send


def test_every_act_has_a_sample_here():
    assert set(WRITTEN) == set(acts())


@pytest.mark.parametrize("name", sorted(WRITTEN))
def test_every_act_is_written_from_its_page(write, reader, name):
    for earlier in BEFORE.get(name, ()):
        write(earlier, **WRITTEN[earlier])
    brew, home = brew_of(name), f"/brews/{brew_of(name)}/"
    reader.get(home)
    before = brew_log.read(brew).head_seq
    response = write(name, **WRITTEN[name])
    assert response.status_code == 302, [words(node) for node in has_class(response.content.decode(), "error")]
    assert response["Location"] == home
    entry = brew_log.entries(brew, after=before)[0]
    assert isinstance(entry.body, EVENT_OF[name])
    assert (entry.source, entry.recorded_by) == ("page", "owner")
    assert entry.happened_at == NOW
    [said] = has_class(reader.get(home).content.decode(), "said")
    told = f"Written as entry {entry.seq}: {entry_words(entry.body)}"
    assert " ".join(told.split()) in " ".join(words(said).split())
    assert not has_class(reader.get(home).content.decode(), "said")  # it is said once


def test_numbers_are_kept_as_they_were_typed(write):
    write("mix", **WRITTEN["mix"])
    mixed = latest("8").body
    assert (mixed.volume.text, mixed.volume.unit) == ("21,5", "L")
    assert [str(each.mass) for each in mixed.ingredients] == ["1.7 kg", "1 kg"]


def test_a_number_may_bring_its_own_unit(write):
    write("reading", gravity="1.012", temp="66 F")
    assert str(latest().body.temp) == "66 °F"


def test_the_brewers_own_units_are_chosen_beforehand(write, reader):
    choose_settings(temperature="°F", mass="oz", gravity="°P")
    form = controls(form_on(reader.get("/brews/7/readings/?act=reading").content.decode(), act="reading"))
    assert (form["temp-unit"], form["gravity-unit"]) == ("°F", "°P")
    write("reading", gravity="3.1", temp="66")
    assert (str(latest().body.gravity), str(latest().body.temp)) == ("3.1 °P", "66 °F")


def choose_settings(**chosen):
    from gylebook.steps.decision import Decision

    brew_log.change_shelf(
        lambda _shelf: Decision(((NOW, ev.SettingsKept(**chosen)),)),
        actor="owner", source="page", command_id="settings", now=NOW,
    )  # fmt: skip


def test_pressing_twice_writes_once(filled_book, reader):
    form = controls(form_on(reader.get(page_of("reading"), {"act": "reading"}).content.decode(), act="reading"))
    before = brew_log.read("7").head_seq
    sent = {**form, "gravity": "1.012"}
    assert reader.post(page_of("reading"), sent).status_code == 302
    assert reader.post(page_of("reading"), sent).status_code == 302
    assert brew_log.read("7").head_seq == before + 1
    said = has_class(reader.get("/brews/7/").content.decode(), "said")
    assert len(said) == 1
    assert "Written as" in words(said[0])
    reader.post(page_of("reading"), {**sent, "gravity": "1.010"})  # gone back and changed: said, not swallowed
    assert brew_log.read("7").head_seq == before + 1
    said = has_class(reader.get("/brews/7/").content.decode(), "said")
    assert "had been sent before and is in the book as" in " ".join(words(said[0]).split())


@pytest.mark.parametrize("odd", ["", "a b", "x" * 101, "½", "\0"])
def test_an_id_that_cannot_be_one_gives_way_to_a_new_one(write, odd):
    assert write("reading", gravity="1.012", command_id=odd).status_code == 302


def test_an_id_used_for_another_brew_is_told_and_the_next_press_writes(write, reader):
    write("reading", gravity="1.012", command_id="once")
    form = controls(form_on(reader.get("/brews/4/readings/?act=reading").content.decode(), act="reading"))
    response = reader.post("/brews/4/readings/", {**form, "gravity": "1.010", "command_id": "once"})
    assert response.status_code == 409
    again = controls(form_on(response.content.decode(), act="reading"))
    assert again["gravity"] == "1.010"
    assert reader.post("/brews/4/readings/", again).status_code == 302


def test_each_form_has_an_id_of_its_own(filled_book, reader):
    ids = {controls(form_on(reader.get(page_of("note")).content.decode(), act="plan"))["command_id"] for _ in range(3)}
    assert len(ids) == 3


def test_a_form_without_the_mark_against_forgery_writes_nothing(filled_book, reader):
    before = brew_log.read("7").head_seq
    form = controls(form_on(reader.get(page_of("reading"), {"act": "reading"}).content.decode(), act="reading"))
    form.pop("csrfmiddlewaretoken")
    assert reader.post(page_of("reading"), {**form, "gravity": "1.012"}).status_code == 403
    assert reader.post("/brews/7/log/1/", {"do": "withdraw", "seen": "1"}).status_code == 403
    assert reader.post("/brews/new/", {"own": "1", "name": "X"}).status_code == 403
    assert brew_log.read("7").head_seq == before


# --- slips ----------------------------------------------------------------------------------------------------


def test_a_slip_keeps_every_word_and_stands_beside_its_field(write):
    before = brew_log.read("7").head_seq
    response = write("reading", gravity="a lot", temp="19,5", looks="a ring of <foam>", taste="dry")
    assert response.status_code == 422
    page = response.content.decode()
    form = controls(form_on(page, act="reading"))
    assert (form["gravity"], form["temp"], form["taste"]) == ("a lot", "19,5", "dry")
    assert form["looks"] == "a ring of <foam>"
    wrong = has_class(page, "wrong")
    assert len(wrong) == 1
    assert "“a lot” was not understood" in words(wrong[0]) or "“a lot” is not a number" in words(wrong[0])
    assert 'aria-invalid="true"' in page
    assert brew_log.read("7").head_seq == before


def test_every_slip_of_a_form_is_told_at_once(write):
    page = write("hop", mass="plenty", planned_days="2.5").content.decode()
    assert len(has_class(page, "wrong")) == 2


def test_the_obvious_reading_is_offered_and_taken_with_one_press(write, reader):
    response = write("reading", gravity="1012", temp="19")
    page = response.content.decode()
    assert response.status_code == 422
    assert "Use 1.012" in page
    form = controls(form_on(page, act="reading"))
    done = reader.post(page_of("reading"), {**form, "use-gravity": "1.012"})
    assert done.status_code == 302
    assert (latest().body.gravity.text, latest().body.temp.text) == ("1.012", "19")


def test_an_unusual_value_is_asked_about_and_taken_when_it_is_insisted_on(write, reader):
    response = write("pitch", mass="400", temp="20")
    assert response.status_code == 422
    page = response.content.decode()
    [box] = has_class(page, "confirm")
    assert "It is true: write 400" in words(box)
    form = controls(form_on(page, act="pitch"))
    assert reader.post(page_of("pitch"), {**form, "confirm": "mass"}).status_code == 302
    assert str(latest().body.mass) == "400 g"


def test_what_cannot_be_is_not_offered_for_confirming(write):
    page = write("pitch", mass="-3").content.decode()
    assert has_class(page, "wrong")
    assert not has_class(page, "confirm")


def test_a_fault_that_the_step_finds_stands_beside_its_field_too(write):
    page = write("temperature", low="22", high="19").content.decode()
    assert "is above the highest" in words(has_class(page, "wrong")[0])


def test_a_fault_in_a_line_names_the_line(write):
    page = write("mix", ingredients="1.7 kg liquid malt extract\nsome sugar\n1 kg gravel").content.decode()
    [wrong] = has_class(page, "wrong")
    assert "Line 2: “some sugar” does not begin with an amount" in words(wrong)
    assert "Line 3: “gravel” is no material" in words(wrong)


def test_what_the_book_refuses_is_said_above_the_form(write):
    write("close", lesson="done")
    response = write("close", lesson="again")
    assert response.status_code == 422
    assert "is closed already" in words(has_class(response.content.decode(), "error")[0])


def test_an_act_of_another_step_is_not_written_here(filled_book, reader):
    form = controls(form_on(reader.get(page_of("reading")).content.decode(), act="reading"))
    response = reader.post(page_of("reading"), {**form, "act": "bottle", "lots": "3 x 500 mL"})
    assert response.status_code == 404
    assert "is not written down at readings" in response.content.decode()


# --- when -----------------------------------------------------------------------------------------------------


def test_an_entry_may_be_written_down_later(write):
    write("reading", gravity="1.012", when=f"{NOW - timedelta(days=1):%Y-%m-%dT%H:%M}")
    assert latest().happened_at == NOW - timedelta(days=1)
    assert latest().recorded_at == NOW


def test_a_moment_to_come_is_asked_about(write, reader):
    when = f"{NOW + timedelta(days=1):%Y-%m-%dT%H:%M}"
    response = write("reading", gravity="1.012", when=when)
    assert response.status_code == 422
    page = response.content.decode()
    assert "it is still to come" in page
    form = controls(form_on(page, act="reading"))
    assert form["when"] == when
    assert reader.post(page_of("reading"), {**form, "confirm": "when"}).status_code == 302


def test_the_moment_is_meant_in_the_brewers_zone(write):
    choose_settings(time_zone="America/New_York")
    write("reading", gravity="1.012", when="2026-11-19T08:00")
    assert latest().happened_at.isoformat() == "2026-11-19T13:00:00+00:00"


# --- whatever is sent -----------------------------------------------------------------------------------------

ODD = st.text(max_size=40) | st.sampled_from(
    [
        "",
        "0",
        "-1",
        "1e9",
        "1.0.0",
        "٣",
        "1,5",
        "999999999999",
        "½",
        "NaN",
        "inf",
        "2026-02-30",
        "<b>",
        "\r\n",
        "a" * 400,
    ]
)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
@pytest.mark.parametrize("name", sorted(WRITTEN))
def test_whatever_is_typed_is_written_whole_or_not_at_all(filled_book, client, name, data):
    fields = acts()[name].fields
    sent = {field.name: data.draw(ODD, label=field.name) for field in fields}
    sent |= {f"{field.name}-unit": data.draw(ODD) for field in fields if field.dimensions and data.draw(st.booleans())}
    sent |= {"act": name, "when": data.draw(st.sampled_from(["", "yesterday", "2026-11-01T10:00", "9999-12-31T23:59"]))}
    before = brew_log.read(brew_of(name)).head_seq
    response = client.post(page_of(name), sent)
    assert response.status_code in (302, 422)
    written = brew_log.entries(brew_of(name), after=before)
    assert bool(written) is (response.status_code == 302)
    assert all(KIND_OF[type(entry.body)] == kind_of(entry.body) for entry in written)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_supposed_is_answered_or_refused_beside_its_field(filled_book, client, data):
    word = data.draw(st.sampled_from([each.step for each in acts().values()]))
    asked = {field.name: data.draw(ODD) for field in step(word).ask}
    before = rows.count("default")
    response = client.get(f"/brews/{data.draw(st.integers(1, 8))}/{word}/", asked)
    assert response.status_code in (200, 422)
    assert rows.count("default") == before
