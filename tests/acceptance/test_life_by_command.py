"""Seven kits, typed in from their leaflets and brewed by command to the last bottle; every answer held to a leaflet."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest

from acceptance.command_line import options, process, told
from acceptance.conftest import books_open
from acceptance.leaflets import BY_WORD, LEAFLETS
from acceptance.lives import BOTTLES, CO2, PLACE, Ask, life

pytestmark = pytest.mark.xdist_group("acceptance_life_by_command")


class Lived:
    """All that the command line answered in one life, by the name of the question."""

    def __init__(self, leaflet):
        self.leaflet = leaflet
        self.answers = {}
        self.written = []
        self.texts = []
        self.exported = b""
        self.again = b""

    def figure(self, called, key):
        return next(f for f in self.answers[called]["figures"] if f["key"] == key)

    def value(self, called, key):
        return self.figure(called, key)["value"]


def filled(answer):
    """How many bottles the answer fills."""
    return int(answer["options"][0]["name"].split(" × ")[0])


def _shelve(leaflet):
    for act, texts in (("keep_kit", leaflet.kit), ("keep_place", PLACE), ("keep_bottles", BOTTLES)):
        assert told("shelf", act, *options(texts), "--json", day=-1).plain["entries"], act


def _filled(lived, texts):
    """The act's texts with what the book answered earlier."""
    known = {}
    if "priming" in lived.answers:
        known["sugar"] = f"{lived.value('priming', 'sugar'):.0f}"
    if "bottling" in lived.answers:
        known["bottles"] = f"{filled(lived.answers['bottling'])}"
        known["left"] = f"{filled(lived.answers['bottling']) - 1}"
    return {name: text.format(**known) for name, text in texts.items()}


@pytest.fixture(scope="module", params=LEAFLETS, ids=lambda leaflet: leaflet.word)
def lived(request, library, tmp_path_factory):
    """One kit's whole life, by command."""
    home = tmp_path_factory.mktemp("life")
    found = Lived(request.param)
    with books_open(library, home):
        _shelve(found.leaflet)
        for each in life(found.leaflet):
            if isinstance(each, Ask):
                answer = told("ask", "1", each.step, *options(each.supposed), "--json", day=each.day)
                found.answers[each.called] = answer.plain
                found.texts.append(told("ask", "1", each.step, *options(each.supposed), day=each.day).out)
                continue
            brew = "new" if each.act == "plan" else "1"
            found.written.append(
                told("log", brew, each.act, *options(_filled(found, each.texts)), "--json", day=each.day).plain
            )
        found.last = told("brews", "1", "--json", day=100).plain
        found.due = told("next", "--json", day=100).plain
        found.checked = told("check-book", "--json").plain
        assert told("export", str(home / "book.jsonl")).code == 0
        found.exported = (home / "book.jsonl").read_bytes()
    with books_open(library, home / "second"):
        found.imported = told("import", str(home / "book.jsonl"), "--json").plain
        assert told("export", str(home / "again.jsonl")).code == 0
        found.again = (home / "again.jsonl").read_bytes()
        found.checked_again = told("check-book", "--json").plain
    return found


def points(gravity):
    return 1000 * (gravity - 1)


def overlaps(figure, low, high, slack):
    """Whether the figure lies within the expectation, give or take, and its interval reaches into it."""
    value, bottom, top = (points(figure[each]) for each in ("value", "low", "high"))
    return low - slack <= value <= high + slack and bottom <= high and top >= low


def test_the_plan_starts_where_the_leaflet_does(lived):
    leaflet, og = lived.leaflet, lived.figure("plan", "og")
    # one point for solids of 78 to 82 %, as leaflets of one kit differ among themselves
    assert points(og["value"]) == pytest.approx(leaflet.og, abs=1.0)
    assert points(og["low"]) <= leaflet.og <= points(og["high"])


def test_the_plan_ends_where_such_kits_end(lived):
    assert overlaps(lived.figure("plan", "fg"), *lived.leaflet.fg, slack=1.0)


def test_the_plan_is_as_strong_as_such_kits_are(lived):
    low, high = lived.leaflet.abv
    assert low - 0.2 <= lived.value("plan", "abv") <= high + 0.2


def test_the_plan_fills_as_many_bottles_as_such_kits_do(lived):
    # the bucket's trub, three samples and the hops: within a litre, two bottles
    assert lived.value("plan", "yield") == pytest.approx(lived.leaflet.to_bottles, abs=1.0)
    assert lived.value("plan", "bottles") == pytest.approx(lived.leaflet.to_bottles / 0.5, abs=2.0)


def test_the_kits_choices_lie_side_by_side_and_the_chosen_one_is_marked(lived):
    options = lived.answers["plan"]["options"]
    wanted = [line.split(":")[0] for line in lived.leaflet.kit.get("alternatives", "").splitlines()]
    assert [option["name"] for option in options] == wanted
    assert [option["name"] for option in options if option["chosen"]] == ([lived.leaflet.choice] if wanted else [])
    for option in options:
        assert {"og", "fg", "abv"} <= {figure["key"] for figure in option["figures"]}


def test_boiling_and_tap_water_land_at_a_temperature_that_yeast_likes(lived):
    boiling, tap, total = (lived.value("mixing", key) for key in ("boiling", "tap", "water"))
    assert boiling + tap == pytest.approx(total, abs=0.1)
    # what a kilogram of extract or sugar displaces, between 0.6 L and 0.75 L
    masses = {"K1": 2.7, "K1d": 2.7, "K2": 2.7, "K3": 3.0, "K3s": 3.0, "K4": 3.6, "K5": 2.5}
    extract = masses[lived.leaflet.word]
    assert lived.leaflet.litres - 0.75 * extract <= total <= lived.leaflet.litres - 0.6 * extract
    landed = lived.value("mixing", "temp")
    # heat of the waters alone, by hand: the extract at room temperature moves it by a degree at most
    assert landed == pytest.approx((100 * boiling + 12 * tap) / total, abs=1.5)
    assert 18 <= landed <= 22


def test_weights_and_reading_agree_on_the_original_gravity(lived):
    og = lived.figure("original", "og")
    assert points(og["value"]) == pytest.approx(lived.leaflet.og, abs=1.0)
    by_weight = lived.figure("plan", "og")
    assert og["high"] - og["low"] < by_weight["high"] - by_weight["low"]  # two witnesses know more than one


def test_eleven_grams_of_yeast_are_reckoned_by_the_litre(lived):
    assert lived.value("pitching", "dose") == pytest.approx(11 / lived.leaflet.litres, abs=0.02)


def test_four_days_in_it_says_leave_it_and_when_to_read_again(lived):
    answer = lived.answers["fermenting"]
    assert answer["urgency"] == "Wait"
    assert answer["headline"].startswith("Not finished. Leave it; read again on ")
    left = lived.value("fermenting", "points_left")
    read = float(lived.leaflet.reads[1])
    # Four days in, a reading above the end is in part a slow brew, and in part one that ends a little higher.
    assert left == pytest.approx(points(read) - sum(lived.leaflet.fg) / 2, abs=3.0)
    assert lived.figure("fermenting", "points_left")["high"] > points(read) - sum(lived.leaflet.fg) / 2
    # half a volume of gas for each point of gravity
    assert lived.value("fermenting", "co2_to_come") == pytest.approx(0.5 * left, rel=0.1)


def test_three_level_readings_over_six_days_where_it_should_end_are_finished(lived):
    answer = lived.answers["finished"]
    assert answer["headline"] == "Finished, as far as readings can tell. It can be primed and bottled."
    assert lived.figure("finished", "points_left")["high"] <= 2.0
    assert not [finding for finding in answer["findings"] if finding["urgency"] in ("Danger", "Act today", "Measure")]


def test_hops_open_the_question_again_and_warm_days_with_level_readings_close_it(lived):
    if not lived.leaflet.hops_g:
        assert "hopped" not in lived.answers
        return
    beer = lived.leaflet.litres - 1.0  # less trub and samples
    assert lived.value("hops", "dose") == pytest.approx(100 / beer, abs=0.3)
    assert lived.value("hops", "beer_lost") == pytest.approx(0.75, abs=0.1)  # 7 to 8 mL a gram
    again = lived.answers["hopped"]
    assert again["urgency"] == "Wait"
    assert "hop_creep" in [finding["key"] for finding in again["findings"]]
    assert lived.answers["finished after hops"]["headline"].startswith("Finished")


def test_what_reaches_the_bottles_is_less_than_what_was_mixed(lived):
    volume = lived.figure("racking", "volume")
    assert volume["value"] == pytest.approx(lived.leaflet.to_bottles, abs=1.0)
    assert volume["low"] <= lived.leaflet.to_bottles <= volume["high"]


def test_the_sugar_is_for_the_litres_in_the_bucket_and_the_warmest_day(lived):
    priming = lived.answers["priming"]
    residual = lived.value("priming", "residual")
    # 20 °C read in the beer, up to 22 °C at its height: 0.88 to 0.83 volumes by the published table
    assert 0.80 <= residual <= 0.90
    to_come = lived.value("priming", "co2_to_come")
    litres = lived.value("priming", "volume")
    by_hand = litres * (float(CO2) - residual) * 4.0
    sugar = lived.value("priming", "sugar")
    # gas that is still to come is taken off where it is more than a whisker
    assert by_hand - litres * to_come * 4.0 - 2 <= sugar <= by_hand + 2
    assert priming["headline"].startswith(f"Weigh {sugar:.0f} g of table sugar")
    low, high = (lived.figure("priming", "co2")[end] for end in ("low", "high"))
    assert low <= float(CO2) <= high


def test_the_pressure_is_that_of_the_published_table(lived):
    pressure, co2 = lived.figure("bottling", "pressure_warm"), lived.value("bottling", "co2")
    # 2.4 volumes at 20 °C are 1.75 bar, 2.6 are 1.99: a straight line between them, and a little beyond
    assert pressure["value"] == pytest.approx(1.75 + (co2 - 2.4) * 1.2, abs=0.1)
    assert pressure["high"] < 4.7  # the glass makers' level, with the worst bottle of twenty


def test_the_bottles_are_counted_and_none_is_left_without_a_word(lived):
    count = filled(lived.answers["bottling"])
    assert count == pytest.approx(lived.leaflet.to_bottles / 0.5, abs=2)
    assert f"{count} × 500 mL brown returnable" in lived.answers["bottling"]["headline"]
    bottled = next(w for w in lived.written if w["entries"][0]["kind"] == "bottled")
    assert [f["urgency"] for f in bottled["findings"]] == ["Nothing to do"]


def test_after_six_days_it_waits_and_after_sixteen_it_may_go_to_the_cool(lived):
    assert lived.answers["carbonating"]["urgency"] == "Wait"
    early, late = (lived.value(called, "share") for called in ("carbonating", "conditioned"))
    # "two to three weeks at 18 to 24 °C": under way after one, nearly there after two and a bit
    assert 30 <= early <= 80
    assert 85 <= late <= 100
    assert lived.answers["conditioned"]["headline"].startswith("Move them to the cool")


def test_the_glass_is_as_strong_as_the_readings_and_the_sugar_make_it(lived):
    first, *_, last = (float(text.replace(",", ".")) for text in (*lived.leaflet.reads, *lived.leaflet.after_hops))
    sugar = lived.value("priming", "sugar") / lived.value("priming", "volume")
    # points fallen × 0.131, and 0.4 % for 6 g of sugar in a litre
    by_hand = (points(first) - points(last)) * 0.131 + sugar * 0.4 / 6
    abv = lived.figure("tasting", "abv")
    assert abv["value"] == pytest.approx(by_hand, abs=0.25)
    assert abv["low"] < abv["value"] < abv["high"]
    assert lived.value("tasting", "units") == pytest.approx(abv["value"] * 0.5, abs=0.1)


def test_every_figure_has_a_working_and_every_source_a_standing(lived):
    for called, answer in lived.answers.items():
        for figure in answer["figures"]:
            assert figure["working"]["relation"], (called, figure["key"])
            assert figure["low"] <= figure["value"] <= figure["high"], (called, figure["key"])
            for source in figure["working"]["sources"]:
                assert source["standing"], (called, source["key"])


def test_no_answer_says_that_nothing_is_to_be_done_and_what_to_do_in_one_breath(lived):
    for text in lived.texts:
        lines = text.split("\n\n")[1].splitlines()
        acts = lines[0].startswith(("Weigh ", "Use ", "Take ", "Move ", "Pitch ", "Open one"))
        assert not (acts and any(line.startswith("Nothing to do") for line in lines)), text


def test_what_is_drunk_and_closed_asks_for_nothing_more(lived):
    assert lived.last["stage"] == "closed"
    assert lived.last["open"] is False
    assert lived.due["tasks"] == []


def test_the_book_checks_clean_and_reads_back_byte_for_byte(lived):
    assert lived.checked == {**lived.checked, "damaged": False, "findings": []}
    assert lived.checked_again == {**lived.checked_again, "damaged": False, "findings": []}
    assert lived.imported["written"] == lived.exported.count(b"\n") - 1  # the first line is about the file
    assert lived.exported == lived.again


def test_ending_at_the_leaflets_upper_end_is_an_end_and_no_halt(own_book):
    # 1.006 is the leaflet's own upper end for one can and a kilogram of sugar; weights alone say 1.003.
    leaflet = BY_WORD["K1"]
    _shelve(leaflet)
    begun = (w for w in life(leaflet) if not isinstance(w, Ask) and w.day < 4)
    for each in begun:
        assert told("log", "new" if each.act == "plan" else "1", each.act, *options(each.texts), day=each.day).code == 0
    for day, gravity in ((9, "1.0060"), (12, "1.0055"), (15, "1.0055")):
        texts = {"gravity": gravity, "temp": "20", "fizz": "flat"}
        assert told("log", "1", "reading", *options(texts), day=day).code == 0
    answer = told("ask", "1", "finishing", "--json", day=15).plain
    assert answer["headline"].startswith("Finished")
    assert "halted" not in [finding["key"] for finding in answer["findings"]]


def test_the_same_by_processes_of_their_own_in_a_data_folder_of_their_own(tmp_path):
    """A kit of today as the console script carries it out: nothing is shared but the folder."""
    home, second = tmp_path / "home", tmp_path / "second"
    leaflet = BY_WORD["K2"]
    begin = datetime.now(UTC) - timedelta(days=120)

    def run(*args, at=home):
        done = process(at, *args)
        assert done.returncode == 0, (args, done.stderr.decode())
        assert b"Traceback" not in done.stderr
        return done.stdout

    run("shelf", "keep_kit", *options(leaflet.kit))
    wanted = ("plan", "mix", "reading", "pitch", "judge")
    for each in life(leaflet):
        if isinstance(each, Ask) or each.act not in wanted or (each.act == "reading" and each.day > 1):
            continue
        when = f"{begin + timedelta(days=each.day):%Y-%m-%d %H:%M}"
        said = json.loads(
            run("log", "new" if each.act == "plan" else "1", each.act, *options(each.texts), "--when", when, "--json")
        )
        assert [entry["source"] for entry in said["entries"]] == ["command"], each
    assert json.loads(run("brews", "1", "--json"))["stage"] == "fermenting"
    book = run("export")
    (tmp_path / "book.jsonl").write_bytes(book)
    run("import", str(tmp_path / "book.jsonl"), at=second)
    assert run("export", at=second) == book
    assert run("check-book", at=second).decode() == "Every entry is there and reads back.\n"
