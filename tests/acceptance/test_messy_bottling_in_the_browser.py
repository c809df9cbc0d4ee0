"""Bottling days that went wrong, clicked through in a real browser as a brewer does: forms filled, sentences read.

The dull weeks before them are in the book already; the bottling, and what comes of it, is written here. What is right
is DERIVED by hand: a point of gravity makes half a volume of gas, 4.0 g of table sugar in a litre make one, beer that
finished at 20 °C holds 0.88; pressures are those of the published chart, less the air's own bar.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from acceptance.browsing import Reader, Served, chromium
from acceptance.command_line import options, process, told
from acceptance.test_messy_bottling import BITTER, GRID, HELD_AT_20, POINT_VOL, THIRTY_EIGHT, gas_of

pytestmark = pytest.mark.xdist_group("acceptance_messy_bottling_in_the_browser")

LONDON = ZoneInfo("Europe/London")
NOW = datetime.now(LONDON)
PLACES = (
    {"name": "kitchen", "low": "19", "high": "22"},
    {"name": "garage", "low": "14", "high": "18"},
    {"name": "snow hole", "low": "3", "high": "6"},
)
LEVEL = ((32, "1.012"), (30, "1.012"), (28, "1.012"))
# name: (place, litres mixed, readings by days ago)
BREWS = {
    "Haste": ("kitchen", "21 L", ((30, "1.020"), (28, "1.016"), (27, "1.016"))),
    "Twice": ("kitchen", "21 L", LEVEL),
    "Chilled": ("kitchen", "23 L", LEVEL),
    "Gallons": ("kitchen", "5 US gal", LEVEL),
    "Weekend": ("garage", "21 L", LEVEL),
    "Hoppy": ("kitchen", "20 L", ((34, "1.013"), (32, "1.013"))),
    "Oddments": ("kitchen", "21 L", LEVEL),
    "Winter": ("kitchen", "21 L", LEVEL),
    "Uphill": ("kitchen", "21 L", LEVEL),
}
NUMBER = {name: number for number, name in enumerate(BREWS, 1)}


def when(days_ago):
    return f"{NOW - timedelta(days=days_ago):%Y-%m-%dT%H:%M}"


def wrote(*words, **texts):
    answer = told(*words, *options(texts))
    assert answer.code == 0, answer.err


def _weeks_before():
    """What all of them did before bottling day."""
    for place in PLACES:
        wrote("shelf", "keep_place", **place)
    wrote("shelf", "keep_kit", **BITTER)
    for name, (place, litres, reads) in BREWS.items():
        number = str(NUMBER[name])
        wrote("log", "new", "plan", name=name, place=place, kit=BITTER["name"], when=when(40))
        wrote("log", number, "mix", volume=litres, temp="20", stirred="well", when=when(39.9))
        wrote("log", number, "reading", gravity="1.044", temp="20", stirred="well", when=when(39.8))
        wrote("log", number, "pitch", mass="11", temp="20", when=when(39.7))
        for day, gravity in reads:
            wrote("log", number, "reading", gravity=gravity, temp="20", fizz="flat", when=when(day))
        wrote("log", number, "temperature", temp="20", of="beer", when=when(27.5))


@pytest.fixture(scope="module")
def address(module_book, tmp_path_factory):
    """The book served by a process of its own."""
    _weeks_before()
    folder = tmp_path_factory.mktemp("served")
    exported = process(folder / "home", "--version")
    assert exported.returncode == 0
    (folder / "book.jsonl").write_text(told("export").out)
    done = process(folder / "home", "import", str(folder / "book.jsonl"))
    assert done.returncode == 0, done.stderr.decode()
    server = Served(folder / "home")
    yield server.address
    server.stop()


@pytest.fixture(scope="module")
def screen(address):
    with chromium() as browser:
        found = Reader(browser, address, 390, 844, java_script_enabled=False, has_touch=True)
        yield found
        found.close()


class Brewer:
    """One brewer at one brew."""

    def __init__(self, reader, name):
        self.reader, self.number = reader, NUMBER[name]

    def write(self, act, days_ago, **texts):
        """Fill the form of an act and send it; what the page then says."""
        self.reader.write(self.number, act, {**texts, "when": when(days_ago)})
        return self.reader.text

    def wrote(self, act, days_ago, **texts):
        said = self.write(act, days_ago, **texts)
        assert self.reader.path == f"/brews/{self.number}/", said[:600]
        return said

    def ask(self, step, **supposed):
        self.reader.open(f"/brews/{self.number}/{step}/")
        if supposed:
            if not self.reader.page.locator("details.suppose[open]").count():
                self.reader.page.locator("details.suppose > summary").click()
            self.reader.fill(supposed, "details.suppose form")
            self.reader.follow("Reckon with this")
        return self.reader.text

    @property
    def verdict(self):
        """The sentence to act on."""
        return " ".join(self.reader.page.locator("main .headline").first.inner_text().replace("\u00a0", " ").split())


@pytest.fixture
def at(screen):
    return lambda name: Brewer(screen, name)


def after(text, words):
    """The number that follows these words on a page."""
    return float(text.split(words)[1].split()[0].replace("−", "-"))


def spread(text, words):
    """The interval of the figure that follows these words."""
    value, inside = after(text, f"{words} "), text.split(f"{words} ")[1].split(" : show the working")[0]
    if "±" in inside:
        half = float(inside.rpartition("±")[2])
        return value - half, value + half
    low, _, high = inside.rpartition(" to ")
    return float(low.split()[-1]), float(high)


def test_bottled_too_early_from_the_shut_gate_to_the_gusher(at):
    brewer = at("Haste")
    assert brewer.ask("finishing")
    assert "Finished, as far as readings can tell" not in brewer.verdict
    refused = brewer.write("prime", 26, mass="116", volume="19")
    assert "It is not known to be finished" in refused
    brewer.reader.fill({"against_advice": "off to sea in the morning"})
    brewer.reader.press()
    assert "because: off to sea in the morning" in brewer.reader.text
    assert "Do not bottle it yet: let it finish under an airlock" in brewer.reader.text
    brewer.wrote("bottle", 25.9, lots=THIRTY_EIGHT, place="kitchen")
    said = brewer.ask("conditioning")
    assert "What to do, in order" in said
    assert "Cold first" in said
    assert spread(said, "Carbon dioxide in the bottle")[1] >= gas_of(116, 19) + 3 * POINT_VOL * 0.9
    gushed = brewer.wrote("open_bottle", 20, fizz="5", gushed="yes")
    assert "It gushed: the others share its cause." in gushed
    assert "bottled early, with more still to ferment than was known" in gushed
    said = brewer.ask("conditioning")
    assert brewer.verdict.startswith("Stop. Keep away and cool them where they stand")
    assert "and the worst may make" in said
    brewer.reader.open("/")
    assert "Make the bottles harmless" in brewer.reader.text
    brewer.reader.follow("Bottles that may burst", inside="body")
    assert "Eye protection" in brewer.reader.text


def test_doubled_sugar_is_refused_and_then_kept_out_of_bottles_and_out_of_hands(at):
    brewer = at("Twice")
    brewer.wrote("prime", 3, mass="116", volume="19")
    refused = brewer.write("prime", 2.9, how="each bottle", mass="3", bottles="38")
    assert "Sugar was given before in another way" in refused
    brewer.reader.fill({"against_advice": "each of us put it in"})
    brewer.reader.press()
    assert "Do not bottle it: let it ferment out under an airlock" in brewer.reader.text
    assert "each of us put it in" in brewer.ask("bottling")
    assert "Too much for glass, with 4.0 volumes." in brewer.verdict  # 0.88 + 2 × 116 / 19 / 4 = 3.9
    brewer.wrote("bottle", 2.8, lots=THIRTY_EIGHT, place="kitchen")
    brewer.ask("conditioning")
    assert "Cool these bottles now" in brewer.verdict
    assert "pour all back into the vessel and let it finish" in brewer.verdict


def test_beer_primed_for_its_cold_is_flat_for_a_reason(at):
    brewer = at("Chilled")
    brewer.wrote("temperature", 26, temp="3", of="beer")
    brewer.wrote("rack", 25.5, volume="21")
    said = brewer.ask("priming", co2="2.4", warmest="3")
    assert "3 °C is colder than its warmest, 20 °C" in said
    wrong = float(brewer.verdict.split("Weigh ")[1].split(" g")[0])
    assert wrong == pytest.approx((2.4 - 1.55) * 4 * 21, abs=3)
    said = brewer.wrote("prime", 25, mass=f"{wrong:.0f}", volume="21")
    assert "is what beer of 3 °C would want for 2.4 volumes" in said
    brewer.wrote("bottle", 24.9, lots="41 x 500 mL brown returnable", place="kitchen")
    brewer.wrote("open_bottle", 1, fizz="1")
    said = brewer.ask("conditioning")
    right = float(said.split(" g would have been right")[0].split()[-1])
    assert right == pytest.approx((2.4 - HELD_AT_20) * 4 * 21, abs=4)
    assert "Leave them warm, and open another" in brewer.verdict


def test_sugar_for_five_us_gallons_goes_into_four(at):
    brewer = at("Gallons")
    brewer.wrote("rack", 26, volume="4 US gal")
    assert "sugar bought for 18.9 L is × 0.80" in brewer.ask("priming")
    said = brewer.wrote("prime", 25.9, mass="119", volume="5 US gal")
    assert "Sugar for 18.9 L, and only 15.1 L are there by the log: that is 1.25 times as much" in said
    brewer.wrote("bottle", 25.8, lots="30 x 500 mL brown returnable", place="kitchen")
    said = brewer.ask("conditioning")
    assert after(said, "Carbon dioxide in the bottle ") == pytest.approx(gas_of(119, 15.1), abs=0.15)  # 2.85, not 2.45
    assert "Was beer poured away, or are bottles still to be written?" in said


def test_a_hot_weekend_in_the_garage_is_written_once_and_taken_back(at):
    brewer = at("Weekend")
    brewer.wrote("prime", 26, mass="140", volume="19")
    brewer.wrote("bottle", 25.9, lots=THIRTY_EIGHT, place="garage", cap_code="W5")
    reader = brewer.reader
    reader.open("/cellar/")
    reader.follow("Warm weather is coming")
    day = NOW.date() + timedelta(days=3)
    spell = {"place": "garage", "high": "34", "from_on": f"{day}", "to_on": f"{day + timedelta(days=1)}"}
    reader.fill(spell, "#write form")
    reader.follow("Write it down", inside="#write")
    reader.open("/cellar/")
    said = reader.text.split("Warm weather", 1)[1]
    assert "Carry one brew out of the garage before" in said
    assert "Weekend" in said
    # 2.7 volumes at 34 °C: more than 2.6 at 30, and past the 3.6 bar of the boldest habit in the worst bottle
    worst = after(said, "Worst bottle at 34 °C ")
    assert worst > GRID[2.6, 30] + 0.4
    assert worst > 3.6
    reader.open("/")
    assert "Carry one brew out of the garage before" in reader.text
    brewer.ask("conditioning")
    assert "What to do, in order" in reader.text
    reader.open("/cellar/")
    reader.follow("Take it back")
    assert "None is written." in reader.text
    brewer.ask("conditioning")
    assert "What to do, in order" not in reader.text


def test_hops_that_creep_keep_the_gate_shut_and_the_bottles_watched(at):
    brewer = at("Hoppy")
    brewer.wrote("hop", 32, hop="Invented", mass="140", form="pellets", planned_days="3")
    brewer.wrote("hops_out", 29)
    for day in (29, 27):
        brewer.wrote("reading", day, gravity="1.013", temp="20", fizz="flat")
    brewer.write("prime", 26.5, mass="127", volume="18.5")
    assert "It is not known to be finished" in brewer.reader.text
    brewer.reader.fill({"against_advice": "the readings were level"})
    brewer.reader.press()
    brewer.wrote("bottle", 26.4, lots="37 x 500 mL brown returnable", place="kitchen")
    said = brewer.ask("conditioning")
    meant = gas_of(127, 18.5)
    low, high = spread(said, "Carbon dioxide in the bottle")
    assert low <= meant <= high
    assert high >= meant + POINT_VOL
    assert "Sugar was given against the book's advice" in said


def test_wine_and_square_bottles_never_and_two_parts_are_no_second_dose(at):
    brewer = at("Oddments")
    odd = "24 x 500 mL brown returnable\n30 x 330 mL one-way\n6 x 750 mL wine\n4 x 500 mL square"
    said = brewer.ask("bottling", co2="2.4", volume="19", bottles=odd)
    assert "750 mL wine bottle: never." in said
    assert "500 mL decorative: never." in said
    assert "in two parts" in brewer.verdict
    litres = [float(part.split()[-1]) for part in brewer.verdict.split(" L at ")[:2]]
    fizz = [float(part.split()[0]) for part in brewer.verdict.split(" L at ")[1:]]
    assert fizz[0] == pytest.approx(2.4)
    assert fizz[1] < 2.4
    for each, vol in zip(litres, fizz, strict=True):
        said = brewer.wrote("prime", 3, mass=f"{(vol - HELD_AT_20) * 4 * each:.0f}", volume=f"{each}")
    assert "Each part is primed by itself." in said
    said = brewer.wrote("bottle", 2.9, lots="24 x 500 mL brown returnable\n18 x 330 mL one-way\n1 x 750 mL wine")
    assert "750 mL wine bottle: never." in said
    assert "Do not open them, do not carry them" in brewer.ask("conditioning")


def test_flat_in_the_cold_and_lively_once_it_was_warmed(at):
    brewer = at("Winter")
    brewer.wrote("prime", 27, mass="116", volume="19")
    brewer.wrote("bottle", 26.9, lots="36 x 500 mL brown returnable\n2 x 500 mL PET", place="snow hole")
    said = brewer.wrote("open_bottle", 22, fizz="1")
    assert "Flat for now" in said
    brewer.ask("conditioning")
    assert "not before they are warmed" in brewer.verdict
    assert "Add no sugar" in brewer.verdict
    brewer.wrote("move", 21, place="kitchen")
    brewer.wrote("note", 10, text="The plastic one is hard.")
    said = brewer.ask("conditioning")
    assert "Flat for now" not in said
    # three weeks at 20 °C: nearly all of 2.4 volumes, 1.75 bar at 20 °C and a little more in the kitchen
    assert after(said, "Of the gas is there ") > 90
    assert after(said, "Pressure now ") == pytest.approx(GRID[2.4, 20], abs=0.3)


def test_carried_uphill_the_air_and_the_warmth_of_the_way_are_told(at):
    brewer = at("Uphill")
    assert "How far beyond, it does not say." in brewer.ask("bottling", bottles="40 x 500 mL brown returnable")
    brewer.wrote("prime", 27, mass="116", volume="19")
    brewer.wrote("bottle", 26.9, lots=THIRTY_EIGHT, place="kitchen")
    said = brewer.ask("conditioning", from_altitude="250", altitude="1900", temp="30")
    assert after(said, "Harder, by the thinner air ") == pytest.approx(0.18, abs=0.02)
    assert after(said, "Harder, by the warmth of the way ") == pytest.approx(GRID[2.4, 30] - GRID[2.4, 20], abs=0.15)
    assert "Chill them before the journey and before opening." in said


def test_the_browser_had_nothing_to_complain_of_and_only_what_was_meant_was_refused(screen):
    assert screen.complaints == []
    assert {url.rpartition("/brews/")[2].split("/")[1] for url in screen.refusals} <= {"priming"}
