from __future__ import annotations

import builtins
import importlib.util
import json
import re
from datetime import UTC, date, datetime
from io import BytesIO

import hypothesis
import pypdf
import pypdfium2
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st

from brewing import ONE_CAN_MALT, brewed, q, setting
from gylebook.errors import InputError, NotFound, Refused
from gylebook.journal import events as ev
from gylebook.outputs.label_grids import CAPS, LABELS, PAGES, grid_named
from gylebook.outputs.label_sheet import cap_sheet, gift_lines, label_sheet, plain_lines
from gylebook.outputs.measures import Measures
from gylebook.outputs.paper import HOW_TO_GET_IT, plain_text
from gylebook.outputs.qr import base_address, code_of, is_for_others
from gylebook.outputs.sheets import sheet
from gylebook.steps.answers import Working
from gylebook.steps.brew_day import advice, brew_day, danger
from gylebook.steps.label import Label

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
POINT_MM = 25.4 / 72
HOUSE = "https://book.home:8484"


def a_label(**more):
    told = {
        "name": "Invented ale", "number": "No. 12", "code": "HS", "maker": "A. Maltby", "bottled": date(2026, 9, 23),
        "best_from": date(2026, 10, 21), "best_to": date(2027, 3, 24), "strength": "about 4.1 % vol", "volume": "500 mL",
        "contains": ("BARLEY (gluten)", "MILK (lactose)"), "fit": True, "abv": None, "working": Working(""),
        "hazard": "Under pressure: keep it below 25 °C; open it away from faces.",
    }  # fmt: skip
    return Label(**(told | more))


def text_of(pdf, page=0):
    """The page's text in the order of its content, without what a screen reader skips."""
    shown = pypdfium2.PdfDocument(pdf)[page].get_textpage().get_text_range()
    shown = re.sub(r"(\w)\uFFFE?-?\r\n(?=[a-z])", r"\1\n", shown.replace("\u00ad", ""))
    return " ".join(shown.replace("\ufffe", "").split())


def places_of(pdf, words, page=0):
    """Where these words begin and on which line they stand, in mm from the left and upper edge."""
    opened = pypdfium2.PdfDocument(pdf)[page]
    text = opened.get_textpage()
    found, search = [], text.search(words)
    while (hit := search.get_next()) is not None:
        left, bottom, _, _ = text.get_charbox(hit[0], loose=False)
        found.append((left * POINT_MM, (opened.get_height() - bottom) * POINT_MM))
    return found


def tags_of(pdf):
    """The kinds of the structure tree, from its top."""
    reader = pypdf.PdfReader(BytesIO(pdf))
    found = []

    def walk(node):
        node = node.get_object()
        if isinstance(node, list):
            for each in node:
                walk(each)
        elif isinstance(node, dict):
            if "/S" in node:
                found.append((str(node["/S"]), node.get("/Alt")))
            if "/K" in node:
                walk(node["/K"])

    walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])
    return found


def is_accessible(pdf, title):
    reader = pypdf.PdfReader(BytesIO(pdf))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert str(root["/Lang"]).lower() == "en-gb"
    assert reader.metadata.title == title
    assert "pdfuaid" in root["/Metadata"].get_data().decode()
    fonts = [font for page in reader.pages for font in page["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        inner = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(inner), "a font is not inside the file"


def codes_in(pdf, dpi=300, page=0):
    pixels = pypdfium2.PdfDocument(pdf)[page].render(scale=dpi / 72, grayscale=True).to_numpy()
    return [found.text for found in zxingcpp.read_barcodes(pixels.squeeze())]


@pytest.mark.parametrize("grid", [*LABELS, *CAPS], ids=lambda grid: grid.key)
def test_a_grid_lies_in_the_middle_of_its_page(grid):
    width, height = PAGES[grid.page]
    left, top = grid.spot(0)
    right, bottom = grid.spot(grid.count - 1)
    assert left >= -1e-9
    assert top >= -1e-9
    assert right + grid.width + left == pytest.approx(width)
    assert bottom + grid.height + top == pytest.approx(height)


def test_the_common_grids_have_the_margins_that_their_geometry_gives():
    a4, letter = grid_named("a4-3x7", LABELS), grid_named("letter-3x10", LABELS)
    assert (a4.left, a4.top) == (pytest.approx(7.21, abs=0.005), pytest.approx(15.15))
    assert (letter.left, letter.top) == (pytest.approx(4.7625), pytest.approx(12.7))
    assert a4.spot(4) == (pytest.approx(7.21 + 66.04), pytest.approx(15.15 + 38.1))


@pytest.mark.parametrize("grid", LABELS, ids=lambda grid: grid.key)
def test_each_label_is_printed_where_the_sheet_has_it(grid):
    made = label_sheet(a_label(), "plain", grid, code_of("12", ""), NOW)
    page = pypdfium2.PdfDocument(made)[0]
    size = page.get_width() * POINT_MM, page.get_height() * POINT_MM
    assert size == (pytest.approx(PAGES[grid.page][0], abs=0.1), pytest.approx(PAGES[grid.page][1], abs=0.1))
    found = places_of(made, "Invented ale")
    assert len(found) == grid.count
    first = found[0][0] - grid.spot(0)[0], found[0][1] - grid.spot(0)[1]
    assert 1.5 < first[0] < 7
    assert 2 < first[1] < 12
    for place, (left, base) in enumerate(found):
        at = grid.spot(place)
        assert (left - at[0], base - at[1]) == (pytest.approx(first[0], abs=0.15), pytest.approx(first[1], abs=0.15))


def test_labels_begin_where_the_sheet_is_still_whole_and_go_on_to_the_next():
    grid = grid_named("a4-3x7", LABELS)
    made = label_sheet(a_label(), "plain", grid, None, NOW, count=5, start=20)
    assert len(pypdfium2.PdfDocument(made)) == 2
    assert len(places_of(made, "Invented ale")) == 2
    left, base = places_of(made, "Invented ale")[0]
    assert (left, base) > (grid.spot(19)[0], grid.spot(19)[1])
    assert len(places_of(made, "Invented ale", page=1)) == 3


@pytest.mark.parametrize(("more", "words"), [
    ({"start": 0}, "First label: 0 is not on the sheet; count from 1 to 21"),
    ({"start": 22}, "First label: 22 is not on the sheet"),
    ({"count": 0}, "How many: 0 is not possible; ask for 1 to 2000"),
    ({"count": 2001}, "How many: 2001 is not possible"),
])  # fmt: skip
def test_a_place_or_count_that_cannot_be_is_refused(more, words):
    with pytest.raises(InputError, match=words):
        label_sheet(a_label(), "plain", LABELS[0], None, NOW, **more)


def test_an_unknown_sheet_kind_or_page_is_refused_in_a_sentence():
    with pytest.raises(NotFound, match="a4-3x7"):
        grid_named("a5-1x1", LABELS)
    with pytest.raises(InputError, match="use gift or plain"):
        label_sheet(a_label(), "fancy", LABELS[0], None, NOW)
    with pytest.raises(NotFound, match="A4 or Letter"):
        sheet(danger(), Measures(), NOW, page="B5")


def test_the_gift_label_reads_in_the_order_of_its_words():
    made = label_sheet(a_label(), "gift", grid_named("a4-2x4", LABELS), code_of("12", HOUSE), NOW, count=1)
    assert text_of(made).replace("100 mm: print at 100 % ", "") == (
        "Invented ale about 4.1 % vol, 500 mL No. 12, cap HS, bottled 23 Sep 2026 Best from 21 Oct 2026 to 24 Mar 2027 "
        "Contains BARLEY (gluten), MILK (lactose) Under pressure: keep it below 25 °C; open it away from faces. "
        "Bottle-conditioned: keep it cool and upright. Open cold. Pour gently and leave the sediment in the bottle. "
        "Made at home by A. Maltby, not for sale. Alcohol: not for children, not before driving."
    )


def test_allergens_stand_out_and_the_rest_of_the_line_does_not():
    (line,) = [line for line in gift_lines(a_label()) if line["runs"][0]["text"] == "Contains "]
    assert [run["text"] for run in line["runs"] if run["bold"]] == ["BARLEY", ", MILK"]


def test_what_is_not_known_is_left_out_of_a_label():
    bare = a_label(bottled=None, best_from=None, best_to=None, strength="", volume="", code="", maker="", contains=())
    words = " ".join(run["text"] for line in gift_lines(bare) for run in line["runs"])
    assert words.startswith("Invented ale No. 12 Under pressure")
    assert "Contains" not in words
    assert "bottled" not in words
    assert [line["runs"][0]["text"] for line in plain_lines(bare)] == ["Invented ale", "No. 12"]


def test_bottles_that_may_burst_say_so_on_either_label():
    risky = a_label(fit=False, hazard="MAY BURST: keep it cold.")
    for kind in ("gift", "plain"):
        assert "MAY BURST" in text_of(label_sheet(risky, kind, LABELS[2], None, NOW, count=1))


@pytest.mark.parametrize("kind", ["gift", "plain"])
def test_a_label_sheet_is_tagged_and_holds_its_fonts(kind):
    made = label_sheet(a_label(), kind, LABELS[1], code_of("12", HOUSE), NOW)
    is_accessible(made, "Labels of No. 12 Invented ale")
    kinds = tags_of(made)
    assert ("/Figure", f"Code with the address {HOUSE}/brews/12/") in kinds
    assert sum(1 for name, _ in kinds if name == "/Figure") == LABELS[1].count


def test_sheets_are_tagged_with_headings_and_hold_their_fonts():
    made = sheet(danger(), Measures(), NOW)
    is_accessible(made, "Bottles that may burst")
    kinds = [name for name, _ in tags_of(made)]
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") == 4
    assert kinds.count("/LI") == 7


@pytest.mark.parametrize("grid", LABELS, ids=lambda grid: grid.key)
def test_every_code_is_read_back_from_the_page_at_300_dots_an_inch(grid):
    code = code_of("12", HOUSE)
    made = label_sheet(a_label(), "plain", grid, code, NOW, count=min(grid.count, 6))
    assert codes_in(made) == [f"{HOUSE}/brews/12/"] * min(grid.count, 6)


def test_a_code_is_15_mm_wide_with_its_quiet_border():
    made = label_sheet(a_label(), "plain", LABELS[0], code_of("12", HOUSE), NOW, count=1)
    pixels = pypdfium2.PdfDocument(made)[0].render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
    (found,) = zxingcpp.read_barcodes(pixels)
    wide = (found.position.top_right.x - found.position.top_left.x) / 300 * 25.4
    # 34 letters want 29 squares a side; four more of border stand on either side of them.
    assert wide == pytest.approx(15 * 29 / 37, abs=0.25)


def test_a_long_address_is_still_read_and_a_longer_one_is_refused():
    address = "https://" + "a" * 90 + ".example"
    made = label_sheet(a_label(), "plain", LABELS[0], code_of("4321", address), NOW, count=1)
    assert codes_in(made) == [f"{address}/brews/4321/"]
    with pytest.raises(InputError, match="too long for a code of 15 mm"):
        code_of("4321", "https://" + "a" * 160 + ".example")


def test_without_an_address_the_code_holds_the_brews_number_and_says_so():
    code = code_of("12", "")
    assert not code.is_address
    made = label_sheet(a_label(), "plain", LABELS[0], code, NOW, count=1)
    assert codes_in(made) == ["Brew 12"]
    assert ("/Figure", "Code with the words Brew 12") in tags_of(made)


@pytest.mark.parametrize(
    "text", ["book.home", "ftp://book.home", "https://", "https://book.home:99999", "https://x/?a=1"]
)
def test_what_is_no_address_is_refused(text):
    with pytest.raises(InputError, match="Address of the book: “"):
        base_address(text)


def test_this_computers_own_name_is_no_address_for_a_phone():
    assert not is_for_others("http://localhost:8484/")
    assert not is_for_others("http://127.0.0.1:8484/")
    assert is_for_others("http://192.168.1.20:8484/")
    assert base_address(" https://book.home/gyle/ ") == "https://book.home/gyle/"


@pytest.mark.parametrize(
    "name", ["Weißbier für Jörg", "Œuf d’été", "Blåbærøl № 5 ½", "Пиво", "Μπίρα", "#[x] $y$ \\ *b* @a"]
)
def test_names_of_many_lands_and_signs_come_out_as_written(name):
    assert name in text_of(label_sheet(a_label(name=name), "plain", LABELS[0], None, NOW, count=1))


def test_letters_in_two_pieces_are_put_together():
    made = label_sheet(a_label(name="Fu\u0308r Jo\u0308rg\n\x07"), "plain", LABELS[0], None, NOW, count=1)
    assert "Für Jörg" in text_of(made)
    assert plain_text({"a": ["x\ty", 1, None]}) == {"a": ["x y", 1, None]}


@pytest.mark.parametrize("name", ["日本のビール", "🍺 ale"])
def test_letters_that_no_font_has_are_refused_and_never_printed_as_boxes(name):
    with pytest.raises(InputError, match="is in none of the fonts for print; give another name"):
        label_sheet(a_label(name=name), "plain", LABELS[0], None, NOW)


def test_a_long_name_is_set_smaller_until_it_fits():
    name = "The very long name of a beer that was brewed on the first Sunday of the coldest November"
    made = label_sheet(a_label(name=name), "gift", LABELS[1], code_of("12", HOUSE), NOW, count=1)
    assert name in text_of(made)
    assert len(pypdfium2.PdfDocument(made)) == 1


@pytest.mark.parametrize("name", ["x" * 120, "word " * 120])
def test_a_name_that_cannot_fit_is_refused_in_a_sentence(name):
    with pytest.raises(InputError, match="the words do not fit on it; choose larger labels, or give a shorter name"):
        label_sheet(a_label(name=name), "plain", LABELS[0], code_of("12", ""), NOW)


def test_a_label_too_small_for_a_gifts_words_is_refused():
    with pytest.raises(InputError, match="choose larger labels"):
        label_sheet(a_label(), "gift", grid_named("a4-4x10", LABELS), code_of("12", ""), NOW)


def test_nothing_of_a_label_is_printed_outside_of_it():
    name = "Harvest supper bitter, the last"
    for grid in LABELS:
        made = label_sheet(a_label(name=name), "plain", grid, code_of("12", HOUSE), NOW, count=1)
        page = pypdfium2.PdfDocument(made)[0].render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
        left, top = (round(edge / 25.4 * 300) for edge in grid.spot(0))
        right, bottom = left + round(grid.width / 25.4 * 300), top + round(grid.height / 25.4 * 300)
        page[top:bottom, left:right] = 255
        if grid.top >= 9:
            page[: round(grid.top / 25.4 * 300)] = 255  # the ruler stands there
        assert page.min() == 255


@pytest.mark.parametrize("grid", CAPS, ids=lambda grid: grid.key)
def test_cap_dots_are_circles_of_19_mm_with_the_code_in_the_middle(grid):
    made = cap_sheet(a_label(), grid, NOW)
    found = places_of(made, "HS")
    assert len(found) == grid.count
    for place, (left, base) in enumerate(found):
        x, y = grid.spot(place)
        assert x + 4 < left < x + 9.5
        assert y + 5 < base < y + 13
    dark = pypdfium2.PdfDocument(made)[0].render(scale=300 / 72, grayscale=True).to_numpy().squeeze() < 200
    x, y = (edge / 25.4 * 300 for edge in grid.spot(0))
    row = dark[round(y + 9.5 / 25.4 * 300), round(x) - 10 : round(x + 19 / 25.4 * 300) + 10].nonzero()[0]
    assert (row[-1] - row[0]) / 300 * 25.4 == pytest.approx(19.0, abs=0.25)


def test_a_cap_without_a_code_has_the_brews_number_and_too_long_a_code_is_refused():
    assert "No. 12" in text_of(cap_sheet(a_label(code="", bottled=None), CAPS[0], NOW, count=1))
    with pytest.raises(InputError, match="do not fit"):
        cap_sheet(a_label(code="AUTUMNBITTER2026"), CAPS[0], NOW)


def ruler_mm(pdf, page=0):
    """The length of the longest level line on the page."""
    pixels = pypdfium2.PdfDocument(pdf)[page].render(scale=300 / 72, grayscale=True).to_numpy().squeeze() < 160
    best = 0
    for row in pixels[(pixels.sum(axis=1) > 900)]:
        runs = "".join("1" if dark else "0" for dark in row).split("0")
        best = max(best, *(len(run) for run in runs if 1000 < len(run) < 1300), 0) if runs else best
    return best / 300 * 25.4


@pytest.mark.parametrize("page", list(PAGES))
def test_the_ruler_is_100_mm_long_on_every_sheet(page):
    sheets = (
        sheet(danger(), Measures(), NOW, page=page),
        label_sheet(a_label(), "plain", next(g for g in LABELS if g.page == page), None, NOW, count=1),
        cap_sheet(a_label(), next(g for g in CAPS if g.page == page), NOW, count=1),
    )
    for made in sheets:
        assert ruler_mm(made) == pytest.approx(100.0, abs=0.3)
        assert "100 mm: print at 100 %" in text_of(made)


def test_the_danger_slip_says_what_to_do_in_order():
    told = text_of(sheet(danger(), Measures(), NOW))
    assert (
        told.index("Stop. Keep away") < told.index("1. People and animals out") < told.index("7. Look at other brews")
    )
    assert "Printed 25 Nov 2026, 18:00" in told


def test_the_brew_day_sheet_has_the_ingredients_the_reckoning_and_blanks():
    kit = ev.Kit(name="Invented kit", ingredients=ONE_CAN_MALT, volume=q("21", "L"), yeast="house ale")
    brew = brewed(plan=ev.Planned(name="Sunday ale", kit=kit, place="larder"))
    told = brew_day(brew, setting(hours=1))
    made = sheet(told, Measures(), NOW, code=code_of("3", HOUSE))
    words = text_of(made)
    for part in ("No. b1 Sunday ale: brew day", "1.7 kg liquid malt extract", "Yeast: house ale", "To make 21 L",
                 "Never mix bleach", "boiling water", "Original gravity by weight: 1.0", "Pitched at (day, time)"):  # fmt: skip
        assert part in words
    assert words.index("Have ready") < words.index("Clean, then sanitise") < words.index("Mix the wort")
    assert codes_in(made) == [f"{HOUSE}/brews/3/"]
    assert len(pypdfium2.PdfDocument(made)) == 1


def test_a_brew_of_which_nothing_is_known_gets_a_sheet_of_blanks():
    words = text_of(sheet(brew_day(brewed(), setting(hours=1)), Measures(), NOW))
    assert "Ingredients, each with its weight" in words
    assert "Litres to make" in words


def test_the_slip_of_advice_keeps_to_half_a_page():
    brew = brewed((1.0, ev.Mixed(ingredients=ONE_CAN_MALT, volume=q("21", "L"))), (2.0, ev.Pitched()))
    made = sheet(advice(brew, setting(hours=60)), Measures(), NOW, half=True, code=code_of("3", ""))
    assert len(pypdfium2.PdfDocument(made)) == 1
    page = pypdfium2.PdfDocument(made)[0].render(scale=100 / 72, grayscale=True).to_numpy().squeeze()
    assert page[round(page.shape[0] / 2) + 4 :].min() == 255
    words = text_of(made)
    assert "Look whether it has started" in words
    assert words.index("How it stands") < words.index("What is next") < words.index("Mind")


def test_a_slip_that_is_too_long_is_refused():
    told = advice(brewed(plan=ev.Planned(name="x " * 1500)), setting(hours=1))
    with pytest.raises(InputError, match="do not fit"):
        sheet(told, Measures(), NOW, half=True)


def test_the_same_words_at_the_same_moment_give_the_same_bytes():
    first, second = (label_sheet(a_label(), "gift", LABELS[1], code_of("12", HOUSE), NOW) for _ in range(2))
    assert first == second


def test_everything_on_paper_is_black_on_white():
    made = label_sheet(a_label(), "gift", LABELS[1], code_of("12", HOUSE), NOW, outline=True)
    red, green, blue = pypdfium2.PdfDocument(made)[0].render(scale=1).to_numpy().transpose(2, 0, 1)[:3].astype(int)
    assert abs(red - green).max() <= 1
    assert abs(green - blue).max() <= 1


def test_without_the_typesetter_one_sentence_says_how_to_get_it(monkeypatch):
    find = importlib.util.find_spec
    monkeypatch.setattr("gylebook.outputs.paper.find_spec", lambda name: None if name == "typst" else find(name))
    imported = builtins.__import__

    def without(name, *args, **more):
        assert name != "typst"
        return imported(name, *args, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(Refused, match="pip install 'gylebook"):
        sheet(danger(), Measures(), NOW)
    assert HOW_TO_GET_IT.endswith("then print again.")


def test_what_a_brewer_writes_reaches_the_typesetter_as_data_alone(monkeypatch):
    import typst

    seen, compiler = [], typst.Compiler

    class Watched:
        def __init__(self, *args, **more):
            self.real = compiler(*args, **more)

        def compile(self, *args, **more):
            seen.append((args, more))
            return self.real.compile(*args, **more)

    monkeypatch.setattr(typst, "Compiler", Watched)
    label_sheet(a_label(name='#panic("x")'), "plain", LABELS[0], None, NOW, count=1)
    ((args, more),) = seen
    assert args == ()
    assert json.loads(more["sys_inputs"]["data"])["lines"][0]["runs"][0]["text"] == '#panic("x")'


@given(name=st.text(min_size=1, max_size=60), mark=st.text(max_size=12))
@hypothesis.settings(max_examples=60, deadline=None)
def test_any_name_is_printed_or_refused_in_a_sentence(name, mark):
    try:
        told = label_sheet(a_label(name=name, code=mark), "gift", LABELS[2], code_of("12", ""), NOW, count=1)[:4]
    except InputError as refused:
        told = str(refused)
    assert told == b"%PDF" or (told.startswith("Paper: ") and told.endswith("."))
