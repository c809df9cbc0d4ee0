from __future__ import annotations

import re

from gylebook.store import brew_log


def sections(text):
    return dict(re.findall(r"<section[^>]*><h2[^>]*>(.*?)</h2>(.*?)</section>", text, re.DOTALL))


def test_an_empty_cellar_says_so_and_how_a_brew_comes_there(reader, books):
    text = reader.get("/cellar/").text

    assert "No bottles stand in the cellar." in text
    assert "/settings/places/" in text


def test_dangerous_bottles_come_first_with_what_to_do(stocked_book, reader):
    text = reader.get("/cellar/").text
    first = sections(text)["Look at these first"]

    assert text.index("Garage wheat") < text.index("Cellar bitter")
    assert "Garage wheat" in first
    assert "Danger" in first
    assert "/dangerous-bottles/" in first
    assert "not fit for it" in first


def test_beside_dangerous_bottles_stand_no_date_to_drink_by_and_no_button_to_open_one(stocked_book, reader):
    found = reader.get("/cellar/").text
    wild, tame = (
        re.search(rf"<li class=[^>]*>\s*<h3>(?:(?!</h3>).)*{name}.*?class=\"acts\">.*?</div>", found, re.DOTALL).group()
        for name in ("Garage wheat", "Cellar bitter")
    )

    assert "Drink by" not in wild
    assert "Open one to see" not in wild
    assert "Take some out" in wild
    assert "Open one to see" in tame


def test_a_bottle_that_is_not_known_is_looked_for_by_its_cap_and_treated_as_the_liveliest(stocked_book, reader):
    text = reader.get("/cellar/").text

    assert "Which brew is this bottle?" in text
    assert "treat it as the liveliest" in text


def test_the_headline_counts_brews_in_words(stocked_book, reader):
    text = " ".join(re.sub(r"<[^>]*>", " ", reader.get("/cellar/").text).split())

    assert re.search(r"of 2 brews; look at (one brew|2 brews) first\b", text)
    assert "of them first" not in text


def test_the_book_says_what_it_does_not_cover(reader, books):
    text = reader.get("/about/").text

    assert "fermenting beer makes no dangerous amount of it" in text
    assert "does not cover it" in text


def test_each_kind_of_bottle_is_told_with_what_it_has_to_bear_and_is_fit_for(stocked_book, reader):
    text = reader.get("/cellar/").text
    lots = [part.split('<div class="acts">')[0] for part in text.split('<ul class="lots">')[1:]]

    assert len(lots) == 2
    assert "330 mL clear" in lots[0]
    assert "500 mL brown halves" in lots[0]
    for lot in lots:
        assert "<dt>Has to bear when warmest</dt>" in lot
        assert "<dt>Habit fills them to</dt>" in lot
        assert "bar</span>" in lot


def test_bottles_that_were_taken_out_are_off_the_count(stocked_book, reader):
    text = reader.get("/cellar/").text

    assert re.search(r"Cellar bitter.*?<dt>Bottles left</dt><dd>.*?class=\"value\">37<", text, re.DOTALL)


def test_the_acts_lead_to_their_forms(stocked_book, reader):
    text = reader.get("/cellar/").text

    for act in ("open_bottle", "take_out"):
        link = re.search(rf'href="([^"]*act={act})#write"', text)[1]
        page = reader.get(link)
        assert page.status_code == 200
        assert f'name="act" value="{act}"' in page.text


def test_the_page_is_made_from_cards_alone(stocked_book, reader, monkeypatch):
    reader.get("/cellar/")  # cards that are out of date are made anew once

    def read(*_args, **_kwargs):
        raise AssertionError("a log was read")

    monkeypatch.setattr(brew_log, "read", read)
    assert "Garage wheat" in reader.get("/cellar/").text


def test_every_number_leads_to_its_working(stocked_book, reader):
    main = reader.get("/cellar/").text.split("<main", 1)[1].split("</main>", 1)[0]
    bare = re.sub(
        r'<a class="p".*?</a>|<details class="fig">.*?</details>|<span class="ink">.*?</span>|<small class="ink">.*?</small>|<span class="no">.*?</span>',
        "",
        main,
        flags=re.DOTALL,
    )

    assert not re.search(r">[^<]*\d[^<]*<", bare), re.findall(r">[^<]*\d[^<]*<", bare)


def test_a_brew_whose_bottles_are_all_gone_is_not_in_the_cellar(stocked_book, reader, post):
    post("/brews/1/conditioning/", {"act": "take_out", "count": "37", "to": "drunk"})

    assert "Cellar bitter" not in reader.get("/cellar/").text


def test_a_large_cellar_goes_on_over_pages(stocked_book, reader, monkeypatch):
    monkeypatch.setattr("gylebook.web.cellar.views._PAGE", 1)
    first, second = (reader.get("/cellar/", {"page": number}).text for number in (1, 2))

    assert "Garage wheat" in first
    assert "Cellar bitter" not in first
    assert "Cellar bitter" in second
    assert "81</a> bottles" in first
    assert "81</a> bottles" in second
    assert 'href="?page=2"' in first
    assert "?page=3" not in second
    assert reader.get("/cellar/?page=99").status_code == 200
    assert reader.get("/cellar/?page=all").status_code == 200


# --- warm weather -----------------------------------------------------------------------------------------------------


SPELL = {"act": "warm_spell", "place": "larder", "high": "42", "from_on": "2026-11-23", "to_on": "2026-11-24"}


def weather(text):
    return text[text.index('<section id="warm"') :]


def words(text):
    return " ".join(re.sub(r"<[^>]*>", " ", text).split())


def test_without_weather_the_page_says_what_writing_it_is_good_for(stocked_book, reader):
    text = weather(reader.get("/cellar/").text)

    assert "None is written." in text
    assert ">Warm weather is coming</a>" in text


def test_warm_weather_is_written_down_and_lists_what_has_to_leave(stocked_book, post, reader):
    assert '<section class="write" id="write"' in reader.get("/cellar/?write=1").text
    answer = post("/cellar/", SPELL, page="/cellar/")
    assert (answer.status_code, answer["Location"]) == (302, "/cellar/#warm")
    text = weather(reader.get("/cellar/").text)

    assert "In the larder, Monday to Tuesday: up to 42 °C" in text
    assert "Carry one brew out of the larder before Monday." in words(text)
    assert "Cellar bitter" in text
    assert "Garage wheat" not in text
    for label in ("Chance that one is past its ceiling", "Worst bottle at 42 °C"):
        assert f"<dt>{label}</dt>" in text


def test_it_is_one_thing_on_today_and_leads_to_the_cellar(stocked_book, post, reader):
    post("/cellar/", SPELL, page="/cellar/")
    text = reader.get("/").text

    assert text.count("Carry one brew out of the larder before Monday") == 1
    assert '<a href="/cellar/#warm">Carry one brew out of the larder before Monday</a>' in text


def test_what_is_a_danger_already_stays_where_it_is_and_is_no_second_task(stocked_book, post, reader):
    post("/cellar/", {**SPELL, "place": "garage"}, page="/cellar/")
    text = weather(reader.get("/cellar/").text)

    assert "Cool one brew in the garage where they stand, now." in words(text)
    assert "They are a danger already." in text
    assert "/dangerous-bottles/" in text
    assert "cellar/#warm" not in reader.get("/").text


def test_it_is_in_the_calendar_once_with_its_date(stocked_book, post, reader):
    post("/cellar/", SPELL, page="/cellar/")
    text = re.sub(r"\r\n ", "", reader.get("/calendar/").content.decode())

    assert text.count("SUMMARY:Carry one brew out of the larder before Monday 23 Nov 2026") == 1


def test_it_is_changed_under_another_day_and_taken_back(stocked_book, post, reader):
    post("/cellar/", SPELL, page="/cellar/")
    form = reader.get("/cellar/?spell=larder+2026-11-23").text
    assert 'value="larder 2026-11-23"' in form
    post("/cellar/", {**SPELL, "from_on": "2026-11-24", "was": "larder 2026-11-23"}, page="/cellar/")
    assert list(brew_log.read_shelf().spells) == ["larder 2026-11-24"]
    gone = {"act": "forget", "thing": "warm weather", "name": "larder 2026-11-24"}
    assert post("/cellar/", gone, page="/cellar/").status_code == 302
    assert brew_log.read_shelf().spells == {}
    assert post("/cellar/", {**gone, "command_id": "page-again"}, page="/cellar/").status_code == 404


def test_the_shelfs_log_takes_it_back_too(stocked_book, post, reader):
    post("/cellar/", SPELL, page="/cellar/")
    seq = brew_log.read_shelf().head_seq
    assert (
        "Warm weather, larder, Mon 23 Nov 2026 to Tue 24 Nov 2026: up to 42 °C"
        in reader.get(f"/stores/log/{seq}/").text
    )
    post(f"/stores/log/{seq}/", {"do": "withdraw"}, page=f"/stores/log/{seq}/")
    assert brew_log.read_shelf().spells == {}


def test_a_spell_that_is_not_there_is_not_found(stocked_book, reader):
    assert reader.get("/cellar/?spell=nowhere").status_code == 404


def test_what_if_is_answered_and_nothing_is_written(stocked_book, reader):
    head = brew_log.read_shelf().head_seq
    text = weather(reader.get("/cellar/?place=&high=95&high-unit=°F&from_on=2026-11-23").text)

    assert "What if:" in text
    assert "Garage wheat" in text
    assert "Cellar bitter" in text
    assert text.index("Garage wheat") < text.index("Cellar bitter")
    assert "Lantern brown" in text  # it ferments in the larder, and would get too warm
    assert brew_log.read_shelf().head_seq == head


def test_what_was_asked_can_be_written_with_one_press_more(stocked_book, reader):
    text = reader.get("/cellar/?place=garage&high=34&high-unit=°C&from_on=2026-11-23").text
    link = re.search(r'class="button" href="(\?write=1[^"]*)"', text)[1].replace("&amp;", "&")
    form = reader.get(f"/cellar/{link}").text
    form = form[form.index('<section class="write" id="write"') :].split("</section>")[0]

    assert 'value="garage"' in form
    assert 'value="34"' in form


def test_a_slip_in_what_is_asked_stands_beside_its_field(stocked_book, reader):
    answer = reader.get("/cellar/?high=hot&high-unit=°C")
    assert answer.status_code == 422
    assert "Garage wheat" in answer.text
    turned = reader.get("/cellar/?high=20&high-unit=°C&low=25&low-unit=°C")
    assert turned.status_code == 422
    assert "change them round" in turned.text


def test_a_slip_in_what_is_written_keeps_every_word(stocked_book, post):
    answer = post("/cellar/", {**SPELL, "high": "", "note": "on the radio"}, page="/cellar/")
    assert answer.status_code == 422
    assert "on the radio" in answer.text
    assert brew_log.read_shelf().spells == {}


def test_the_weather_is_made_from_cards_alone(stocked_book, post, reader, monkeypatch):
    post("/cellar/", SPELL, page="/cellar/")
    reader.get("/cellar/")

    def read(*_args, **_kwargs):
        raise AssertionError("a log was read")

    monkeypatch.setattr(brew_log, "read", read)
    for address in ("/cellar/", "/cellar/?high=30&high-unit=°C", "/"):
        assert reader.get(address).status_code == 200


def test_more_weather_asks_the_database_no_more(stocked_book, post, reader, django_assert_max_num_queries):
    post("/cellar/", {**SPELL, "from_on": "2026-11-27", "to_on": "2026-11-28"}, page="/cellar/")
    reader.get("/cellar/")
    with django_assert_max_num_queries(40) as before:
        reader.get("/cellar/")
    asked = len(before)
    assert asked
    for number in range(5):
        post("/cellar/", {**SPELL, "from_on": f"2026-11-2{number}", "to_on": "2026-11-28"}, page="/cellar/")
    reader.get("/cellar/")
    with django_assert_max_num_queries(asked):
        reader.get("/cellar/")


def test_every_number_of_the_weather_leads_to_its_working(stocked_book, post, reader):
    post("/cellar/", {**SPELL, "place": "", "low": "-5"}, page="/cellar/")
    bare = re.sub(
        r'<a class="p".*?</a>|<details class="fig">.*?</details>|<span class="ink">.*?</span>|<small class="ink">.*?</small>'
        r'|<span class="no">.*?</span>|<span class="unseen">.*?</span>|<div class="said.*?</div>|<dt>Worst bottle at .*?</dt>',
        "",
        weather(reader.get("/cellar/").text).split("</main>", 1)[0],
        flags=re.DOTALL,
    )

    assert not re.search(r">[^<]*\d[^<]*<", bare), re.findall(r">[^<]*\d[^<]*<", bare)
