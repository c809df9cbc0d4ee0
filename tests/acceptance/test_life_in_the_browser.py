"""Two kits brewed in a real browser, against a server started as a brewer starts it.

One by phone with scripts switched off, one at a desk in the dark with scripts; both from an empty book, or nearly.
The brewers write down afterwards what they did in the last two months, so every entry has its own "when".
"""

from __future__ import annotations

import subprocess
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from acceptance.browsing import SHUT_WORKINGS, Reader, Served, chromium
from acceptance.leaflets import BY_WORD, ONE_CAN
from acceptance.lives import BOTTLES, PLACE, Ask, life
from gylebook.steps.catalogue import WORDS

pytestmark = pytest.mark.xdist_group("acceptance_life_in_the_browser")

LONDON = ZoneInfo("Europe/London")
ASKED = {"original", "finished", "hops", "hopped", "finished after hops", "priming", "bottling", "tasting"}
SMALL_TARGETS = """() => [...document.querySelectorAll('.write a, .write button, .write summary, .write select, .write input,'
    + '.write textarea, .write label:has(input)')]
    .filter(e => e.checkVisibility() && !e.closest('.unseen') && !e.matches('.enter, label > input, [type=hidden]'))
    .map(e => [e.outerHTML.slice(0, 60), ...Object.values((r => [r.width, r.height])(e.getBoundingClientRect()))])
    .filter(([, wide, high]) => high < 47.9 || wide < 47.9)"""


class Lived:
    """What stood on the pages along the way, and the reader whose pages they were."""

    def __init__(self, reader, leaflet, number):
        self.reader = reader
        self.leaflet = leaflet
        self.number = number
        self.pages = {}
        self.begin = datetime.now(LONDON) - timedelta(days=95)

    def keep(self, called):
        self.pages[called] = self.reader.text

    def when(self, day):
        return f"{self.begin + timedelta(days=day):%Y-%m-%dT%H:%M}"

    def live(self, *, until=99.0, since=-1.0, but=("plan", 0)):
        """Write and ask whatever lies in these days, but for one act."""
        for each in life(self.leaflet):
            if not since < each.day <= until or (getattr(each, "act", ""), each.day) == but:
                continue
            if not isinstance(each, Ask):
                self.write(each)
            elif each.called in ASKED:
                self.ask(each)

    def ask(self, each):
        reader = self.reader
        reader.open(f"/brews/{self.number}/{each.step}/")
        if each.supposed:
            if not reader.page.locator("details.suppose[open]").count():
                reader.page.locator("details.suppose > summary").click()
            reader.fill(each.supposed, "details.suppose form")
            reader.follow("Reckon with this")
        self.keep(each.called)

    def write(self, each):
        texts = {name: text.format(**self.answered()) for name, text in each.texts.items()}
        self.reader.write(self.number, each.act, {**texts, "when": self.when(each.day)})
        assert self.reader.path == f"/brews/{self.number}/", (each, self.reader.text[:400])
        self.keep(f"wrote {each.act}")

    def look_round(self):
        """The brew's own page and every step's, once it is all over."""
        for word in WORDS:
            self.reader.open(f"/brews/{self.number}/{word}/")
        self.reader.open(f"/brews/{self.number}/")
        self.keep("at the end")

    def answered(self):
        """Grams and bottles, read off the book's own sentences."""
        found = {"sugar": "0", "bottles": "0", "left": "0"}
        if "priming" in self.pages:
            found["sugar"] = self.pages["priming"].split("Weigh ")[1].split(" g of")[0].split(" ")[0]
        if "bottling" in self.pages:
            count = self.pages["bottling"].split(" × 500 mL")[0].split()[-1]
            found |= {"bottles": count, "left": str(int(count) - 1)}
        return found


@pytest.fixture(scope="module")
def browser():
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    server = Served(tmp_path_factory.mktemp("served") / "home")
    yield server.address
    server.stop()


@pytest.fixture(scope="module")
def by_phone(browser, address):
    """The leaflet's two cans, from the first visit to the tasting, on a phone without scripts."""
    reader = Reader(browser, address, 390, 844, java_script_enabled=False, color_scheme="light", has_touch=True)
    lived = Lived(reader, BY_WORD["K3s"], 1)
    reader.open("/")
    lived.keep("first visit")
    reader.follow("Look round the demo book")
    lived.keep("demo")
    reader.follow("Leave the demo", inside=".demo")
    reader.follow("Start a brew")
    reader.follow("Enter a kit's leaflet instead")
    reader.follow("Enter a kit's leaflet")
    reader.fill(lived.leaflet.kit)
    reader.press()
    lived.keep("kit")
    reader.follow("Brew it")
    reader.fill({"volume": "20,5", "name": "Ember brown", "when": lived.when(0)})
    reader.follow("Work it out first")
    lived.keep("reckoned first")
    reader.press()
    lived.keep("planned")
    lived.live(until=0.1)
    _a_slip_at_the_first_reading(lived)
    lived.live(since=0.1, until=1)
    _a_slip_taken_as_offered(lived)
    lived.live(since=1, until=9, but=("reading", 4))
    _a_wrong_entry_corrected(lived)
    lived.live(since=9)
    for place in ("", "brews/", "cellar/", "reckon/", "settings/", "book/", "keys/", "dangerous-bottles/"):
        reader.open(f"/{place}")
    lived.look_round()
    yield lived
    reader.close()


def _a_slip_at_the_first_reading(lived):
    """1062 for 1.062, and it was 1.045 all along; the comma is the brewer's own."""
    reader = lived.reader
    reader.go_to(1, "reading")
    reader.fill({"gravity": "1062", "temp": "20", "looks": "brown, clear", "when": lived.when(0.15)})
    reader.press()
    lived.keep("slip")
    lived.typed = {
        name: reader.page.locator(f'.write [name="{name}"]').input_value()
        for name in ("gravity", "temp", "looks", "when")
    }
    lived.offered = reader.page.locator(".write .error button").all_inner_texts()
    reader.open("/brews/1/log/")
    lived.keep("log after the slip")


def _a_slip_taken_as_offered(lived):
    """The same slip four days on; the offered button is pressed."""
    reader = lived.reader
    reader.go_to(1, "reading")
    reader.fill({"gravity": "1020", "temp": "20", "fizz": "flat", "when": lived.when(4)})
    reader.press()
    lived.keep("slip four days on")
    reader.follow("Use 1.020", inside=".write")
    lived.keep("wrote the offered one")


def _a_wrong_entry_corrected(lived):
    """The reading of day 9 was typed as 1.013, and was 1.014."""
    reader = lived.reader
    reader.open("/brews/1/log/")
    reader.page.locator(".log li", has_text="Read 1.013 SG").first.locator("a.at").click()
    reader.page.locator("#correct > summary").click()
    reader.fill({"gravity": "1.014", "because_wrong": "read at the top of the curve"}, "#correct form")
    reader.follow("Correct it", inside="#correct .acts")
    lived.keep("corrected entry")
    reader.open("/brews/1/log/")
    lived.keep("corrected log")
    lived.struck = reader.page.locator(".log s").all_inner_texts()


@pytest.fixture(scope="module")
def at_the_desk(browser, address, by_phone):
    """The hoppy kit, at a desk in the dark, with scripts."""
    reader = Reader(browser, address, 1280, 900, color_scheme="dark")
    lived = Lived(reader, BY_WORD["K4"], 2)
    reader.open("/stores/")
    reader.follow("Enter a kit's leaflet")
    reader.fill(ONE_CAN)
    reader.press()
    reader.follow("Brew it")
    lived.keep("choices")
    reader.fill({"choice": "malt"})
    reader.follow("Work it out first")
    lived.keep("chosen")
    for page, texts in (("/settings/places/?new=1", PLACE), ("/stores/bottles/?new=1", BOTTLES)):
        reader.open(page)
        reader.fill(texts)
        reader.press()
    reader.open("/stores/kits/new/")
    reader.fill(lived.leaflet.kit)
    reader.press()
    reader.follow("Brew it")
    reader.fill({"place": "larder", "when": lived.when(0)})
    reader.press()
    lived.live(until=14)
    _a_reading_by_keyboard_alone(lived)
    lived.live(since=14, but=("reading", 15))
    lived.look_round()
    yield lived
    reader.close()


def _a_reading_by_keyboard_alone(lived):
    """From the list to the written reading without a pointer; the keys of the page, then Tab, arrows and Enter."""
    reader, page = lived.reader, lived.reader.page
    reader.open("/brews/2/")
    page.keyboard.press("?")
    lived.pages["keys"] = page.locator("dialog.keys").inner_text()
    page.keyboard.press("Escape")
    with page.expect_navigation():
        page.keyboard.press("w")
    gravity, temp = lived.leaflet.reads[-1], "20"
    for name, keys in (("gravity", gravity), ("temp", temp)):
        _tab_to(page, f'[name="{name}"]')
        page.keyboard.type(keys)
    _tab_to(page, '[name="fizz"]')
    page.keyboard.press("ArrowDown")
    _tab_to(page, "details.more > summary", having="When")
    page.keyboard.press("Enter")
    _tab_to(page, '[name="when"]')
    page.evaluate("([e, text]) => { document.querySelector(e).value = text; }", ['[name="when"]', lived.when(15)])
    _tab_to(page, ".button.main")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    lived.keep("by keyboard")


def _tab_to(page, selector, having=""):
    for _ in range(60):
        if page.evaluate(
            "([e, words]) => document.activeElement.matches(e) && document.activeElement.textContent.includes(words)",
            [selector, having],
        ):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{selector} cannot be reached with the Tab key")


@pytest.fixture(params=["by_phone", "at_the_desk"])
def lived(request):
    return request.getfixturevalue(request.param)


# --- the first visit, the kit and the plan -------------------------------------------------------------------------


def test_an_empty_book_offers_to_start_or_to_look_round(by_phone):
    first = by_phone.pages["first visit"]
    assert "Start a brew" in first
    assert "Look round the demo book" in first
    assert "invented" in by_phone.pages["demo"] or "Today" in by_phone.pages["demo"]


def test_the_leaflet_stands_as_it_was_entered_and_is_reckoned_at_once(by_phone):
    kit = by_phone.pages["kit"]
    for text in ("1.5 kg liquid malt extract", "20.5 L", "1.010", "1.014"):
        assert text in kit, text
    assert "Original gravity by weight 1.0451" in kit


def test_what_the_plan_would_give_is_worked_out_before_it_is_written(by_phone):
    assert by_phone.pages["reckoned first"].startswith("Start a brew")
    assert "About 4.2 % vol" in by_phone.pages["reckoned first"]
    assert "Planned Ember brown from the kit Ember Row brown" in by_phone.pages["planned"]


def test_a_kits_choices_lie_side_by_side(at_the_desk):
    side = at_the_desk.pages["choices"].split("Side by side")[1]
    for name, gravity in (("sugar", "1.0396"), ("dextrose", "1.038"), ("malt", "1.039")):
        assert name in side
        assert f"Original gravity by weight {gravity}" in side, (name, side[:900])
    chosen = at_the_desk.pages["chosen"].split("Side by side")[1]
    assert "malt chosen" in chosen


# --- readings, slips and corrections -------------------------------------------------------------------------------


def test_a_slip_is_asked_about_and_nothing_that_was_typed_is_lost(by_phone):
    assert "Gravity: 1062 is no specific gravity; write it such as 1.012." in by_phone.pages["slip"]
    assert by_phone.offered == ["Use 1.062"]
    assert by_phone.typed == {"gravity": "1062", "temp": "20", "looks": "brown, clear", "when": by_phone.when(0.15)}
    assert "Read " not in by_phone.pages["log after the slip"]


def test_a_slip_taken_as_offered_is_written_so(by_phone):
    assert "Use 1.020" in by_phone.pages["slip four days on"]
    assert "Read 1.020 SG at 20 °C, flat." in by_phone.pages["wrote the offered one"]


def test_a_comma_stays_as_it_was_typed_and_is_reckoned_as_a_point(by_phone):
    assert "Read 1,045 SG at 20 °C, stirred well." in by_phone.pages["wrote reading"]
    assert "True gravity 1.0450" in by_phone.pages["original"]


def test_a_corrected_reading_stays_readable_struck_through(by_phone):
    assert by_phone.struck == ["Read 1.013 SG at 20 °C, flat."]
    assert "Read 1.014 SG at 20 °C, flat." in by_phone.pages["corrected log"]
    assert "read at the top of the curve" in by_phone.pages["corrected entry"]


def test_a_whole_reading_can_be_written_by_keyboard_alone(at_the_desk):
    assert "Write a reading" in at_the_desk.pages["keys"]
    assert "Read 1.014 SG at 20 °C, flat." in at_the_desk.pages["by keyboard"]


# --- the answers ---------------------------------------------------------------------------------------------------


def test_it_is_finished_when_the_readings_say_so(lived):
    assert lived.pages["finished"].startswith(("No. 1", "No. 2"))
    assert "Finished, as far as readings can tell. It can be primed and bottled." in lived.pages["finished"]


def test_hops_open_the_question_and_dogs_are_thought_of(at_the_desk):
    assert "Hops are toxic to dogs" in at_the_desk.pages["hops"]
    assert "Open again since the hops went in" in at_the_desk.pages["hopped"]
    assert "Finished, as far as readings can tell." in at_the_desk.pages["finished after hops"]


def test_sugar_is_weighed_for_the_litres_that_are_left(lived):
    litres = lived.leaflet.to_bottles
    grams = float(lived.answered()["sugar"])
    # litres × (2.4 − 0.88 to 0.83 volumes) × 4.0 g, less what may still come
    assert litres * 1.25 * 4 <= grams <= litres * 1.6 * 4
    assert f"for {litres:g} L" in lived.pages["priming"]
    assert "Weigh the sugar. Never sugar the batch and the bottles too." in lived.pages["priming"]


def test_bottled_opened_and_tasted_it_is_good_to_drink(lived):
    count = lived.answered()["bottles"]
    assert int(count) == pytest.approx(lived.leaflet.to_bottles / 0.5, abs=2)
    assert f"Bottled as {count} × 500 mL brown returnable" in lived.pages["wrote bottle"]
    assert "8 of 10; round, dry at the end" in lived.pages["wrote taste"]
    low, high = lived.leaflet.abv
    strength = float(lived.pages["tasting"].split("Strength ")[1].split(" ")[0])
    assert low <= strength <= high + 0.6  # the sugar of the bottles adds up to half a per cent


def test_the_end_of_it_is_told_in_the_log(lived):
    assert "Closed the brew" in lived.pages["wrote close"]
    assert lived.pages["at the end"].count("entry ") >= 15


# --- every page ----------------------------------------------------------------------------------------------------


def test_the_browser_had_nothing_to_complain_of(lived):
    assert lived.reader.complaints == []


def test_only_slips_were_refused(by_phone, at_the_desk):
    assert [url.rpartition("/brews/")[2] for url in by_phone.reader.refusals] == ["1/readings/"] * 2
    assert at_the_desk.reader.refusals == []


def test_no_page_reaches_over_the_edge_of_the_smallest_phone(lived):
    assert len(lived.reader.seen) > 20
    assert lived.reader.edges(320) == {}


def test_the_form_of_a_reading_is_made_for_wet_thumbs(by_phone):
    page = by_phone.reader.page
    page.set_viewport_size({"width": 390, "height": 844})
    for path in ("/brews/1/readings/?act=reading", "/brews/1/dry_hopping/?act=hop", "/brews/1/bottling/?act=bottle"):
        by_phone.reader.open(path)
        assert page.evaluate(SMALL_TARGETS) == []
        assert page.locator(".write .button.main").bounding_box()["height"] >= 56


def test_the_answer_comes_first_when_a_step_is_opened(lived):
    for step in ("plan", "readings", "finishing", "priming", "conditioning", "tasting"):
        lived.reader.open(f"/brews/{lived.number}/{step}/")
        lived.reader.page.wait_for_timeout(100)
        assert lived.reader.page.evaluate("() => scrollY") == 0, step


def test_every_page_prints_with_its_working_open(at_the_desk, tmp_path):
    page = at_the_desk.reader.page
    page.set_viewport_size({"width": 794, "height": 1123})
    page.emulate_media(media="print")
    for path in at_the_desk.reader.seen:
        page.goto(at_the_desk.reader.address + path)
        assert page.evaluate(SHUT_WORKINGS) == 0, path
        assert page.pdf().startswith(b"%PDF"), path
    page.emulate_media(media="null")


@pytest.mark.parametrize("step", ["finishing", "priming"])
def test_the_sheet_of_paper_shows_how_each_figure_was_reached(at_the_desk, tmp_path, step):
    page, file = at_the_desk.reader.page, tmp_path / "page.pdf"
    page.goto(f"{at_the_desk.reader.address}/brews/2/{step}/")
    file.write_bytes(page.pdf())
    told = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True).stdout
    paper = " ".join(told.split())
    relations = page.locator("#rests > .figures .working .relation").all_text_contents()
    assert len(relations) >= 2
    for relation in relations:
        assert " ".join(relation.split())[:40] in paper, relation
