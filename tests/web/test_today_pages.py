"""Today and the list of brews: from cards alone, the most pressing first, a page at a time. All brews are invented."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from gylebook.journal import events as ev
from gylebook.steps.decision import Decision
from gylebook.store import brew_list, brew_log, cards, demo
from gylebook.units import Quantity
from web.demo_filled import NOW
from web.sent_forms import controls, form_on, has_class, words
from web.walking import is_working, tree


def headings(html):
    return [" ".join(words(node).split()) for node in tree(html).below() if node.tag in ("h1", "h2")]


def start(name, number, **plan):
    event = ev.Planned(name=name, **plan)
    brew_log.start_brew(
        lambda _brew: Decision(((NOW - timedelta(days=30), event),)),
        actor="owner", source="page", command_id=f"start-{number}", now=NOW - timedelta(days=30),
    )  # fmt: skip


# --- today ----------------------------------------------------------------------------------------------------


def test_today_follows_the_order_of_the_hands(filled_book, reader):
    page = reader.get("/").content.decode()
    parts = headings(page)
    assert parts[0] == "Today"
    assert parts.index("With dry hands") < parts.index("The round of readings") < parts.index("Can wait")
    for item in (
        node for node in tree(page).below() if node.tag == "li" and any("what" in c.classes for c in node.below())
    ):
        assert has_urgency(item)


def has_urgency(item):
    return any("urgency" in node.classes and words(node).strip() for node in item.below())


def test_danger_comes_before_everything(filled_book, reader):
    burst = ev.Burst(note="one in the night")
    brew_log.change(
        "3", lambda _brew: Decision(((NOW - timedelta(hours=1), burst),)),
        actor="owner", source="page", command_id="burst", now=NOW,
    )  # fmt: skip
    page = reader.get("/").content.decode()
    assert headings(page)[1] == "Danger"
    assert "Danger first." in words(has_class(page, "verdict")[0])
    acts = words(has_class(reader.get("/brews/3/").content.decode(), "acts")[0])
    assert "Bottles that may burst" in acts
    assert "Bottles that may burst" not in words(has_class(reader.get("/brews/4/").content.decode(), "acts")[0])


def test_each_thing_to_do_leads_to_the_form_that_writes_it_down(filled_book, reader):
    page = reader.get("/").content.decode()
    goals = [
        node.attrs["href"]
        for each in has_class(page, "what")
        for node in each.below()
        if node.tag == "a" and not node.classes
    ]
    assert goals
    for goal in goals:
        form_on(reader.get(goal).content.decode(), act=re.search(r"act=(\w+)", goal)[1])


def test_today_reads_cards_and_folds_nothing(filled_book, reader, monkeypatch):
    reader.get("/")  # cards are fresh from here on
    monkeypatch.setattr(cards, "load", lambda *_: pytest.fail("a brew was folded"))
    monkeypatch.setattr(brew_list.cards, "make_card", lambda *_: pytest.fail("a card was made"))
    assert reader.get("/").status_code == 200
    assert reader.get("/brews/").status_code == 200


def test_a_long_day_is_told_a_page_at_a_time(books, reader, monkeypatch):
    from web.demo_filled import clock

    clock(monkeypatch)
    for number in range(45):
        start(f"Gyle {number}", number, start_on=(NOW - timedelta(days=1)).date())
    first, second = reader.get("/").content.decode(), reader.get("/?page=2").content.decode()
    assert (len(has_class(first, "whose")), len(has_class(second, "whose"))) == (40, 5)
    assert "The rest of the day" in first
    assert "Earlier in the day" in second
    assert reader.get("/?page=x").status_code == 200


def test_nothing_due_is_said_plainly(books, reader, monkeypatch):
    from web.demo_filled import clock

    clock(monkeypatch)
    start("Later", 1, start_on=date(2027, 12, 5))
    assert "Nothing is due." in words(has_class(reader.get("/").content.decode(), "verdict")[0])


def test_a_plan_without_a_day_leads_to_how_it_is_mixed(books, reader, monkeypatch):
    from web.demo_filled import clock

    clock(monkeypatch)
    start("First", 1)
    page = reader.get("/").content.decode()
    assert "mix it when you are ready" in words(has_class(page, "verdict")[0])
    link = next(node for node in tree(page).below() if words(node) == "Mix it when you are ready" and node.tag == "a")
    assert link.attrs["href"] == "/brews/1/mixing/"
    for address in ("/brews/", "/brews/1/"):
        page = reader.get(address).content.decode()
        assert "Planned. Mix it when you are ready." in " ".join(words(tree(page)).split())
        assert "Nothing to do" not in words(tree(page))
    way = next(node for node in tree(page).below() if "main" in node.classes and node.tag == "a")
    assert way.attrs["href"] == "/brews/1/mixing/"
    assert "boiling water" in reader.get("/brews/1/mixing/").content.decode()


def test_a_brew_whose_card_cannot_be_reckoned_is_not_lost(filled_book, reader, monkeypatch):
    def fail(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(cards, "make_card", fail)
    cards.refresh("default", ["7"])
    page = reader.get("/").content.decode()
    assert "Look at these yourself" in headings(page)
    assert 'href="/brews/7/"' in page
    assert "could not be worked out" in reader.get("/brews/").content.decode()


def test_an_empty_book_offers_two_ways_in(books, reader):
    page = reader.get("/").content.decode()
    assert 'href="/brews/new/"' in page
    form = next(node for node in tree(page).below() if node.attrs.get("action") == "/demo/afresh/")
    response = reader.post("/demo/afresh/", controls(form))
    assert response["Location"] == "/demo/"
    assert not demo.is_empty()
    assert len(has_class(reader.get("/demo/").content.decode(), "whose")) > 3
    assert demo.is_empty("default")
    assert 'href="/demo/"' in reader.get("/").content.decode()  # the second time it is a link: nothing tried is lost


def test_what_is_tried_in_the_demo_stays_there(filled_book, reader):
    demo.fill(now=NOW)
    form = controls(form_on(reader.get("/demo/brews/7/readings/?act=reading").content.decode(), act="reading"))
    own, there = brew_log.read("7").head_seq, brew_log.read("7", book="demo").head_seq
    response = reader.post("/demo/brews/7/readings/", {**form, "gravity": "1.012"})
    assert response["Location"] == "/demo/brews/7/"
    assert brew_log.read("7").head_seq == own
    assert brew_log.read("7", book="demo").head_seq == there + 1
    assert not has_class(reader.get("/brews/7/").content.decode(), "said")
    assert has_class(reader.get("/demo/brews/7/").content.decode(), "said")


# --- the list -------------------------------------------------------------------------------------------------


def test_the_list_goes_by_stage_with_the_closed_apart(filled_book, reader):
    page = reader.get("/brews/").content.decode()
    stages = [words(node) for node in tree(page).below() if node.tag == "h2"]
    assert stages == ["Planned", "Fermenting", "Bottled", "Drinking"]
    assert "Hedge bitter" not in page
    closed = reader.get("/brews/?closed=1").content.decode()
    assert "Hedge bitter" in closed
    assert "Lapwing" not in closed


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("lapwing", "Lapwing pale"),
        ("4", "Lapwing pale"),
        ("No. 4", "Lapwing pale"),
        ("hedge", "Hedge bitter"),
        ("h1", "Hedge bitter"),
    ],
)
def test_a_brew_is_found_by_name_number_or_cap_code(filled_book, reader, asked, found):
    page = reader.get("/brews/", {"q": asked}).content.decode()
    assert [words(node).strip() for node in has_class(page, "open")] == [f"No. {number(found)} {found}"]


def number(name):
    return next(each.number for each in brew_log.brews(limit=500).brews if each.name == name)


def test_looking_for_what_is_not_there_says_so(filled_book, reader):
    assert "No brew is like that." in reader.get("/brews/?q=no+such").content.decode()


def test_a_long_list_has_pages(books, reader, monkeypatch):
    from web.demo_filled import clock

    clock(monkeypatch)
    for each in range(60):
        start(f"Gyle {each}", each)
    first = reader.get("/brews/").content.decode()
    older = re.search(r'href="(\?before=\d+)"', first)[1]
    second = reader.get(f"/brews/{older}").content.decode()
    assert (len(has_class(first, "open")), len(has_class(second, "open"))) == (50, 10)


# --- a brew's page --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("brew", range(1, 9))
def test_the_answer_stands_first_and_the_two_ways_to_write_are_at_hand(filled_book, reader, brew):
    page = reader.get(f"/brews/{brew}/").content.decode()
    order = [page.index(mark) for mark in ('class="stages"', 'id="next"', 'id="rests"', 'id="steps"', 'id="log"')]
    assert order == sorted(order)
    assert f'href="/brews/{brew}/readings/?act=reading"' in page
    assert f'href="/brews/{brew}/something/"' in page
    steps = [node.attrs["href"] for each in has_class(page, "steps") for node in each.below() if node.tag == "a"]
    assert len(set(steps)) == 12


def test_the_chart_shows_struck_readings_hollow(filled_book, reader):
    form = controls(form_on(reader.get("/brews/7/readings/?act=reading").content.decode(), act="reading"))
    reader.post("/brews/7/readings/", {**form, "gravity": "1.0305"})
    seq = brew_log.read("7").head_seq
    page = reader.get(f"/brews/7/log/{seq}/").content.decode()
    reader.post(f"/brews/7/log/{seq}/", controls(form_on(page, do="withdraw")))
    page = reader.get("/brews/7/").content.decode()
    assert "dot struck" in page
    assert "struck out" in words(has_class(page, "chart-figure")[0])


def test_figures_are_in_the_brewers_units(filled_book, reader):
    brew_log.change_shelf(
        lambda _shelf: Decision(((NOW, ev.SettingsKept(gravity="°P", volume="imp gal", mass="oz")),)),
        actor="owner", source="page", command_id="units", now=NOW,
    )  # fmt: skip
    page = reader.get("/brews/4/").content.decode()
    figures = words(has_class(page, "figures")[0])
    assert "°P" in figures
    assert "Extract (°P)" in page
    assert "imp" in words(has_class(reader.get("/brews/8/plan/").content.decode(), "figures")[0])


def test_a_brew_with_a_reading_from_another_world_still_opens(filled_book, reader):
    for gravity in ("950", "0", "-40", "0.5"):
        event = ev.Measured(gravity=Quantity(gravity, "SG"))
        brew_log.change(
            "7", lambda _brew, event=event: Decision(((NOW, event),)),
            actor="owner", source="page", command_id=f"odd{gravity}", now=NOW,
        )  # fmt: skip
        for word in ("", "readings/", "finishing/", "priming/", "log/"):
            assert reader.get(f"/brews/7/{word}").status_code == 200, (gravity, word)


def test_everything_that_can_be_written_is_in_the_chooser(filled_book, reader):
    from gylebook.steps.catalogue import acts

    for number in ("3", "7"):
        brew = brew_log.read(number)
        page = reader.get(f"/brews/{number}/something/").content.decode()
        for name, act in acts().items():
            assert f'href="/brews/{number}/{act.of(brew).step}/?act={name}"' in page
            assert act.of(brew).words in page


def test_bottles_are_moved_on_the_page_of_conditioning_wherever_the_way_there_began(filled_book, reader):
    bottled = next(str(n) for n in range(1, 12) if brew_log.read(str(n)).stage == "drinking")
    for word in ("conditioning", "pitching"):
        page = reader.get(f"/brews/{bottled}/{word}/?act=move").content.decode()
        assert "<h1>Conditioning</h1>" in page
        assert "Move the bottles" in page
        assert "24 kg" not in page
    assert 'act=move"' in reader.get(f"/brews/{bottled}/conditioning/").content.decode()
    assert 'act=move"' not in reader.get(f"/brews/{bottled}/pitching/").content.decode()


def test_a_brew_that_is_not_there_is_not_found(filled_book, reader):
    for address in (
        "/brews/99/",
        "/brews/99/plan/",
        "/brews/0/",
        "/brews/99/something/",
        "/brews/99999999999999999999/",
    ):
        assert reader.get(address).status_code == 404, address


# --- steps ----------------------------------------------------------------------------------------------------


def test_what_is_supposed_changes_the_answer_and_nothing_else(filled_book, reader):
    before = brew_log.read("7").head_seq
    plain = reader.get("/brews/7/priming/").content.decode()
    supposed = reader.get("/brews/7/priming/?co2=3.0&co2-unit=vol").content.decode()
    assert headline(plain) != headline(supposed)
    assert "As it really is" in supposed
    assert brew_log.read("7").head_seq == before


def headline(html):
    return " ".join(words(has_class(html, "headline")[0]).split())


def test_a_slip_in_what_is_supposed_stands_beside_its_field_and_the_true_answer_stays(filled_book, reader):
    response = reader.get("/brews/7/priming/?co2=fizzy")
    assert response.status_code == 422
    page = response.content.decode()
    assert "“fizzy”" in words(has_class(page, "wrong")[0])
    assert headline(page) == headline(reader.get("/brews/7/priming/").content.decode())


def test_the_form_comes_first_where_it_was_asked_for(filled_book, reader):
    asked = reader.get("/brews/7/readings/?act=reading").content.decode()
    assert asked.index('id="write"') < asked.index('id="answer-headline"')
    assert "autofocus" in asked
    looked = reader.get("/brews/7/readings/").content.decode()
    assert looked.index('id="write"') > looked.index('id="answer-headline"')
    assert "autofocus" not in looked  # or the page would open at its end


def test_cautions_stand_where_the_hand_is_and_only_once(filled_book, reader):
    page = reader.get("/brews/7/bottling/?act=bottle").content.decode()
    told = [
        " ".join(words(node).split())
        for each in has_class(page, "cautions")
        for node in each.below()
        if node.tag in ("li", "p")
    ]
    told = [each for each in told if each != "Take care"]
    assert told
    assert len(told) == len(set(told))


# --- starting a brew ------------------------------------------------------------------------------------------


def test_a_brew_is_started_from_a_kit_with_its_choices_side_by_side(filled_book, reader):
    page = reader.get("/brews/new/").content.decode()
    assert 'href="?kit=Tansy%20Row%20bitter"' in page
    assert 'href="?own=1"' in page
    page = reader.get("/brews/new/", {"kit": "Tansy Row bitter"}).content.decode()
    cases = [node for each in has_class(page, "compare") for node in each.below() if node.tag == "h3"]
    assert [words(case).split()[0] for case in cases] == ["sugar", "malt"]
    form = form_on(page, act="plan", kit="Tansy Row bitter")
    response = reader.post("/brews/new/", {**controls(form), "choice": "malt", "start_on": "2026-11-28"})
    assert response["Location"] == "/brews/9/"
    plan = brew_log.read("9").plan
    assert (plan.kit.name, plan.choice, plan.start_on.isoformat()) == ("Tansy Row bitter", "malt", "2026-11-28")
    assert plan.name == "Tansy Row bitter with malt"


def test_five_things_are_asked_at_once_each_with_what_is_taken_when_it_is_left_empty(filled_book, reader):
    for query in ({"kit": "Tansy Row bitter"}, {"own": "1"}):
        form = form_on(reader.get("/brews/new/", query).content.decode(), act="plan")
        folded = {id(node) for each in form.below() if each.tag == "details" for node in each.below()}
        asked = [node for node in form.below() if "field" in node.classes and id(node) not in folded]
        assert 1 <= len(asked) <= 5
        for field in asked:
            assert any("hint" in node.classes for node in field.below()), words(field)


def test_working_it_out_first_writes_nothing(filled_book, reader):
    form = form_on(reader.get("/brews/new/", {"own": "1"}).content.decode(), act="plan")
    sent = {**controls(form), "ingredients": "3 kg liquid malt extract", "volume": "20", "do": "reckon"}
    response = reader.post("/brews/new/", sent)
    assert response.status_code == 200
    page = response.content.decode()
    assert "% vol" in headline(page)
    assert any(map(is_working, tree(page).below()))
    assert controls(form_on(page, act="plan"))["ingredients"] == "3 kg liquid malt extract"
    with pytest.raises(Exception, match="no brew 9"):
        brew_log.read("9")


def test_a_slip_in_a_plan_keeps_every_word(filled_book, reader):
    form = form_on(reader.get("/brews/new/", {"own": "1"}).content.decode(), act="plan")
    response = reader.post(
        "/brews/new/", {**controls(form), "ingredients": "3 kg gravel", "volume": "20", "name": "Path"}
    )
    assert response.status_code == 422
    page = response.content.decode()
    assert "“gravel” is no material" in words(has_class(page, "wrong")[0])
    assert controls(form_on(page, act="plan"))["name"] == "Path"


def test_a_plan_sent_twice_starts_one_brew(filled_book, reader):
    form = controls(form_on(reader.get("/brews/new/", {"kit": "Tansy Row bitter"}).content.decode(), act="plan"))
    for _ in range(2):
        assert reader.post("/brews/new/", form)["Location"] == "/brews/9/"
    assert brew_log.count()["open"] == 8


# --- by the way -----------------------------------------------------------------------------------------------


def test_bottles_that_may_burst_are_one_step_from_every_page(filled_book, reader):
    for address in ("/", "/brews/", "/brews/3/", "/brews/3/readings/", "/no-such-page/"):
        assert 'href="/dangerous-bottles/"' in reader.get(address).content.decode()
    page = reader.get("/dangerous-bottles/").content.decode()
    assert headings(page)[1].startswith("Stop.")


def test_no_page_has_two_keys_of_one_letter_for_different_goals(filled_book, reader):
    from gylebook.web.keys.views import KEYS

    told = {key.strip() for keys, _ in KEYS for key in keys.split(",")}
    for address in (
        "/",
        "/brews/",
        "/brews/4/",
        "/brews/4/log/",
        "/brews/4/readings/",
        "/brews/4/log/1/",
        "/brews/new/",
    ):
        goals: dict[str, set[str]] = {}
        for node in tree(reader.get(address).content.decode()).below():
            if "data-key" in node.attrs:
                goals.setdefault(node.attrs["data-key"], set()).add(node.attrs.get("href", node.tag))
        assert all(len(each) == 1 for each in goals.values()), goals
        assert set(goals) <= told
