"""Bottling days that went wrong, from the shelf to the right reading, by command.

What happened is an OBSERVATION, as people have told it in public, anonymised. The right reading of each is DERIVED here,
by hand, from the trade's own rules and not from the book's sums:

* one point of gravity left makes 0.5 volumes of gas; 4.0 g of table sugar in a litre make one volume;
* beer that finished at 20 °C holds 0.88 volumes, at 3 °C it would hold 1.55;
* pressures are read off the chart of carbon dioxide in beer, less the air's own bar (`GRID`).
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from acceptance.command_line import options, told

pytestmark = pytest.mark.xdist_group("acceptance_messy_bottling")

# Volumes at a temperature, in bar above the air: the published chart, led on beyond 25 °C.
GRID = {(2.4, 20): 1.75, (2.4, 30): 2.55, (2.6, 20): 1.99, (2.6, 30): 2.85, (3.0, 20): 2.45, (4.0, 20): 3.60, (4.0, 30): 4.93}  # fmt: skip
POINT_VOL, GRAMS_A_VOL, HELD_AT_20 = 0.5, 4.0, 0.88
LIMIT_BAR = 3.6  # the boldest habit for brown returnable bottles, well below the 4.7 of the glass makers
KITCHEN = {"name": "kitchen", "low": "18", "high": "22"}
GARAGE = {
    "name": "garage",
    "low": "6",
    "high": "12",
    "months": "4: 8 to 14 °C\n5: 11 to 17 °C\n6: 14 to 22 °C\n7: 16 to 24 °C\n8: 16 to 24 °C\n9: 12 to 19 °C\n"
    "10: 9 to 15 °C",
}
VAULT = {
    "name": "vault",
    "low": "3",
    "high": "6",
    "months": "4: 7 to 10 °C\n5: 12 to 15 °C\n6: 17 to 20 °C\n7: 20 to 26 °C\n8: 20 to 25 °C\n9: 10 to 13 °C\n"
    "10: 6 to 9 °C",
}
BITTER = {
    "name": "Causeway bitter",
    "ingredients": "1.5 kg liquid malt extract\n1.5 kg liquid malt extract",
    "volume": "21 L",
    "bottle_gate": "1.013",
    "final_from": "1.010",
    "final_to": "1.013",
    "yeast_mass": "11 g",
    "yeast_kind": "ale",
    "priming_sugar": "sucrose",
    "priming_per_litre": "6 g/L",
}
HALVES = {"name": "brown halves", "kind": "returnable_500", "size": "500 mL", "count": "80"}
THIRTY_EIGHT = "38 x 500 mL brown returnable"


@dataclass
class Book:
    """A book by command; what it says is unwrapped, what it reckons is read from its answers for programs."""

    brew: int = 0

    def keep(self, act, **texts):
        return self._said(told("shelf", act, *options(texts), day=0))

    def write(self, day, act, **texts):
        if act == "plan":
            self.brew += 1
        number = "new" if act == "plan" else str(self.brew)
        return self._said(told("log", number, act, *options(texts), day=day))

    def refused(self, day, act, **texts):
        answer = told("log", str(self.brew), act, *options(texts), day=day)
        assert answer.code == 3, answer.out
        return " ".join(answer.err.split())

    def says(self, day, *words):
        return self._said(told(*words, day=day))

    def ask(self, day, step, **supposed):
        return Answer(told("ask", str(self.brew), step, *options(supposed), "--json", day=day).plain)

    def tasks(self, day):
        return [task["words"] for task in told("next", "--json", day=day).plain["tasks"]]

    def _said(self, answer):
        assert answer.code == 0, answer.err
        return " ".join(answer.out.split())


@dataclass
class Answer:
    """An answer for a program."""

    plain: dict

    @property
    def headline(self):
        return self.plain["headline"]

    @property
    def urgency(self):
        return self.plain["urgency"]

    def figure(self, key):
        return next(f for f in self.plain["figures"] if f["key"] == key)

    def value(self, key):
        return self.figure(key)["value"]

    def finding(self, key):
        return next((f["text"] for f in self.plain["findings"] if f["key"] == key), None)

    def deed(self, key):
        return next((d for d in self.plain.get("plan") or () if d["key"].startswith(key)), None)


@pytest.fixture
def book(own_book):
    """A book whose shelf holds two places, a kit and bottles."""
    found = Book()
    for place in (KITCHEN, GARAGE, VAULT):
        found.keep("keep_place", **place)
    found.keep("keep_kit", **BITTER)
    found.keep("keep_bottles", **HALVES)
    return found


def fermented(book, *reads, place="kitchen", litres="21 L", name="Causeway", start=0.0, og="1.044", **plan):
    """Mixed and pitched, then read: (day, gravity) pairs at 20 °C; finished at 1.012 where none are given."""
    kit = {"kit": BITTER["name"]} if "ingredients" not in plan else {}
    made = {key: plan.pop(key) for key in ("ingredients",) if key in plan}
    book.write(start, "plan", name=name, place=place, **kit, **plan)
    book.write(start + 0.1, "mix", volume=litres, temp="20", stirred="well", **made)
    book.write(start + 0.15, "reading", gravity=og, temp="20", stirred="well")
    book.write(start + 0.2, "pitch", mass="11", temp="20")
    for day, gravity in reads or ((8, "1.012"), (10, "1.012"), (12, "1.012")):
        book.write(start + day, "reading", gravity=gravity, temp="20", fizz="flat")
        book.write(start + day, "temperature", temp="20", of="beer")


def bottled(book, day, grams="116", lots=THIRTY_EIGHT, place="kitchen", **prime):
    book.write(day, "rack", volume="19 L")
    book.write(day, "prime", sugar="sucrose", mass=grams, volume="19 L", **prime)
    return book.write(day + 0.1, "bottle", lots=lots, place=place)


def gas_of(grams, litres):
    """Gas of finished beer with so much table sugar, by the rule of four grams."""
    return HELD_AT_20 + grams / litres / GRAMS_A_VOL


# --- 1. bottled too early --------------------------------------------------------------------------------------------


def test_two_equal_readings_a_day_apart_four_points_high_hold_the_gate(book):
    fermented(book, (4, "1.020"), (6, "1.016"), (7, "1.016"))
    found = book.ask(7, "finishing")
    assert found.headline.startswith("Not ")
    assert "read again" in found.headline or "Warm it" in found.headline
    # The leaflet ends between 1.010 and 1.013: three to six points, 1.5 to 3 volumes.
    left = found.figure("points_left")
    assert left["high"] >= 3
    assert found.figure("co2_to_come")["high"] >= 3 * POINT_VOL * 0.9
    assert "not known to be finished" in book.refused(7.2, "prime", mass="116", volume="19 L")


def test_bottled_all_the_same_it_tells_the_pressure_the_days_left_and_what_the_first_bottle_says(book):
    fermented(book, (4, "1.020"), (6, "1.016"), (7, "1.016"))
    book.write(7.1, "rack", volume="19 L")
    said = book.write(7.2, "prime", mass="116", volume="19 L", against_advice="off to sea in the morning")
    assert "because: off to sea in the morning" in said
    assert "Do not bottle it yet: let it finish under an airlock" in said
    book.write(7.3, "bottle", lots=THIRTY_EIGHT, place="kitchen")

    found = book.ask(7.4, "conditioning")
    assert "off to sea in the morning" in found.finding("against_advice")
    # 2.4 volumes were meant; four points more are two volumes more, beyond what the bottles bear at 20 °C already.
    meant = gas_of(116, 19)
    assert found.figure("co2")["low"] <= meant + 0.1
    assert found.figure("co2")["high"] >= meant + 3 * POINT_VOL * 0.9
    assert GRID[4.0, 20] >= LIMIT_BAR
    assert found.value("past") >= 5
    assert found.deed("cold")["urgency"] != "Danger"  # no gas is there yet, and they may be carried
    # The headline and the plan's first line name one temperature, and what is best while there is no gas to vent.
    keep = next(f for f in found.deed("cold")["figures"] if f["key"] == "keep_below")["value"]
    below = f"below {keep:.0f} °C" if keep >= 5 else "fridge"
    assert below in found.headline
    assert "pour all back into the vessel" in found.deed("vent")["words"]
    assert any("ool" in words or "Chill" in words for words in book.tasks(7.4))

    before = found.value("past")
    gush = book.write(14, "open_bottle", fizz="5", gushed="yes")
    assert "It gushed: the others share its cause." in gush
    assert "bottled early, with more still to ferment than was known" in gush
    wild = book.ask(14, "conditioning")
    assert wild.urgency == "Danger"
    assert wild.headline.startswith("Stop. Keep away and cool them where they stand")
    assert wild.value("co2") > found.value("co2")
    assert "and the worst may make" in wild.plain["why"]
    chances = {f["key"]: f["value"] for f in wild.deed("until")["figures"]}
    assert chances["past_worst"] > before
    assert any("Make the bottles harmless" in words for words in book.tasks(14))


def test_a_slight_excess_is_vented_cold_until_it_is_over(book):
    # 126 g in 19 L: 2.54 volumes, and the kitchen may get 30 °C: 2.8 bar on average by the chart, and bottles differ.
    book.keep("keep_place", name="kitchen", low="18", high="30")
    fermented(book)
    assert gas_of(126, 19) == pytest.approx(2.54, abs=0.01)
    bottled(book, 13, "126")
    before = book.ask(40, "conditioning")
    rounds = next(f for f in before.deed("vent")["figures"] if f["key"].startswith("rounds"))["value"]
    assert rounds >= 2
    half = rounds // 2
    for number in range(int(half)):
        book.write(41 + number, "vent", temp="4", count="38")
    midway = book.ask(41 + half, "conditioning")
    assert f"Done so far: {half:.0f} round" in midway.deed("until")["words"]
    assert midway.value("past") < before.value("past")
    for number in range(int(half), int(rounds) + 1):
        book.write(41 + number, "vent", temp="4", count="38")
    over = book.ask(44 + rounds, "conditioning")
    assert over.deed("over")["name"] == "It is over"
    assert over.deed("cold") is None
    assert "under 1 %" in over.deed("over")["words"]


# --- 2. doubled sugar ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("again", "why"),
    [
        ({"mass": "116", "volume": "19 L"}, "too much for glass"),
        ({"mass": "3 g", "how": "each bottle", "bottles": "38"}, "Sugar was given before in another way"),
    ],
    ids=["twice in the batch", "batch and bottles"],
)
def test_doubled_sugar_is_refused_and_once_it_is_in_it_is_not_to_be_bottled(book, again, why):
    fermented(book)
    book.write(12.5, "rack", volume="19 L")
    book.write(13, "prime", mass="116", volume="19 L")
    assert why in book.refused(13.01, "prime", **again)
    doubled = 2 * gas_of(116, 19) - HELD_AT_20  # 3.9 volumes
    said = book.write(13.02, "prime", **again, against_advice="each of us put it in")
    assert "each of us put it in" in said
    assert "Do not bottle it: let it ferment out under an airlock" in said
    assert "Next: Bottle it" not in said
    found = book.ask(13.03, "priming")
    assert found.urgency == "Danger"
    assert found.value("co2") == pytest.approx(doubled, abs=0.25)
    ask = book.ask(13.03, "bottling")
    assert ask.urgency == "Danger"
    assert ask.headline.startswith("Too much for glass, with ")
    assert book.tasks(13.03) == ["Do not bottle it: let it ferment out under an airlock"]


def test_bottled_with_doubled_sugar_it_is_poured_back_while_there_is_no_gas_and_left_alone_once_there_is(book):
    fermented(book)
    book.write(12.5, "rack", volume="19 L")
    book.write(13, "prime", mass="116", volume="19 L")
    book.write(13.02, "prime", mass="116", volume="19 L", against_advice="each of us put it in")
    book.write(13.1, "bottle", lots=THIRTY_EIGHT, place="kitchen")
    fresh = book.ask(13.2, "conditioning")
    assert fresh.urgency == "Danger"
    assert fresh.plain["why"].startswith("Filled just now: 0 % of the gas is there")
    assert fresh.headline.startswith("Cool these bottles now")
    assert "once cold, open each, pour all back into the vessel and let it finish" in fresh.headline
    # 4.0 volumes at 20 °C are 3.6 bar, at 30 °C 4.9: at 22 °C a fifth of the way
    between = GRID[4.0, 20] + 0.2 * (GRID[4.0, 30] - GRID[4.0, 20])
    assert fresh.value("pressure_warm") == pytest.approx(between, abs=0.15)
    assert fresh.value("past") > 95
    late = book.ask(40, "conditioning")
    assert late.deed("cold")["urgency"] == "Danger"
    assert "Do not carry them warm" in late.deed("cold")["words"]
    assert "pour" not in late.headline
    assert late.headline.startswith("Cool these bottles now, where they stand and boxed; carry them only cold")
    assert "Drink them cold and soon, or pour them away cold" in late.deed("vent")["words"]


# --- 3. primed for the cold ------------------------------------------------------------------------------------------


def test_sugar_for_the_cold_is_told_when_it_is_written_and_explains_the_flat_bottle(book):
    fermented(book)
    for day in (13, 16):
        book.write(day, "temperature", temp="3", of="beer")
    book.write(16, "rack", volume="21")
    right = (2.4 - HELD_AT_20) * GRAMS_A_VOL * 21  # 128 g
    wrong = (2.4 - 1.55) * GRAMS_A_VOL * 21  # 71 g
    assert book.ask(16, "priming", co2="2.4").value("sugar") == pytest.approx(right, abs=3)
    cold = book.ask(16, "priming", co2="2.4", warmest="3")
    assert cold.value("sugar") == pytest.approx(wrong, abs=3)
    assert "3 °C is colder than its warmest, 20 °C" in cold.finding("cold_temperature")
    said = book.write(16, "prime", mass="71", volume="21 L")
    assert "is what beer of 3 °C would want for 2.4 volumes" in said
    assert "it comes to 1.8" in said
    book.write(16.1, "bottle", lots="41 x 500 mL brown returnable", place="kitchen")
    book.write(37, "open_bottle", fizz="1")
    found = book.ask(37, "conditioning")
    told_right = float(found.finding("primed_for_cold").rpartition(" g would have been right")[0].split()[-1])
    assert told_right == pytest.approx(right, abs=4)
    assert found.value("co2") == pytest.approx(gas_of(71, 21), abs=0.1)
    # One flat bottle sends no batch to the cool, where slow yeast would sleep.
    assert found.headline.startswith("Leave them warm, and open another on ")
    assert "Move the bottles to the cool" not in book.tasks(37)
    book.write(44, "open_bottle", fizz="2")
    assert book.ask(44.1, "conditioning").headline.startswith("Move them to the cool")


# --- 4. the wrong litres ---------------------------------------------------------------------------------------------


def test_sugar_written_for_five_us_gallons_into_four_is_reckoned_for_four(book):
    fermented(book, litres="5 US gal")
    book.write(12.5, "rack", volume="4 US gal")
    asked = book.ask(12.6, "priming")
    assert "sugar bought for 18.9 L is × 0.80" in asked.finding("wrong_litres")
    assert asked.value("sugar") == pytest.approx((2.3 - HELD_AT_20) * GRAMS_A_VOL * 4 * 3.785, abs=3)
    said = book.write(13, "prime", mass="4.2 oz", volume="5 US gal")
    assert "Sugar for 18.9 L, and only 15.1 L are there by the log: that is 1.25 times as much in each litre" in said
    right = gas_of(4.2 * 28.35, 4 * 3.785)  # 2.85 volumes, and not the 2.45 of five gallons
    assert book.ask(13.1, "priming").value("co2") == pytest.approx(right, abs=0.12)
    book.write(13.2, "bottle", lots="30 x 500 mL brown returnable", place="kitchen")
    assert book.ask(14, "conditioning").value("co2") == pytest.approx(right, abs=0.15)


def test_nineteen_litres_bottled_of_twenty_three_primed_are_told_with_the_worst_bottle(book):
    fermented(book, litres="23 L", og="1.040")
    book.write(13, "prime", mass="140", volume="23 L")
    before = book.ask(13.05, "priming")
    assert before.value("co2") == pytest.approx(gas_of(140, 23), abs=0.1)
    said = book.write(13.1, "bottle", lots=THIRTY_EIGHT, place="kitchen")
    assert "Sugar for 23.0 L, and only 19.0 L were bottled" in said
    assert "Was beer poured away, or are bottles still to be written?" in said
    found = book.ask(13.2, "conditioning")
    assert "1.19 times as much" in found.finding("fewer_litres")
    assert found.value("co2") == pytest.approx(gas_of(140, 19.3), abs=0.15)
    # 2.7 volumes are between 2.6 and 3.0: 2.1 bar at 20 °C, and the worst bottle has more
    assert found.value("worst_warm") > GRID[2.6, 20]
    # What went elsewhere is no slip: a batch of which half stands in a barrel has the sugar that was written.
    fermented(book, litres="23 L", og="1.040", name="Half in a barrel")
    book.write(13, "prime", mass="140", volume="23 L")
    said = book.write(13.1, "bottle", lots="20 x 500 mL brown returnable", place="kitchen")
    assert "Where did the rest go?" in said
    assert book.ask(13.2, "conditioning").value("co2") == pytest.approx(gas_of(140, 23), abs=0.1)


# --- 5. a warm weekend -----------------------------------------------------------------------------------------------


def test_a_hot_weekend_in_the_garage_is_one_thing_to_do_and_over_when_it_is_over(book):
    for number, (name, grams, lots, place) in enumerate(
        (
            ("Mild", "70", THIRTY_EIGHT, "garage"),
            ("Lively", "140", THIRTY_EIGHT, "garage"),
            ("Indoors", "140", THIRTY_EIGHT, "kitchen"),
        )
    ):
        book.brew = number
        fermented(book, name=name, place=place)
        bottled(book, 13, grams, lots, place)
    assert gas_of(140, 19) == pytest.approx(2.72, abs=0.01)
    assert "Warm weather" not in book.says(38, "cellar")
    quiet = book.tasks(38)
    book.says(38, "shelf", "warm_spell", "--place", "garage", "--high", "34")
    said = book.says(38, "cellar")
    assert "Warm weather, in the garage, Saturday to Sunday: up to 34 °C" in said
    (weather,) = told("cellar", "--json", day=38).plain["weather"]
    by_name = {each["name"]: each for each in weather["brews"]}
    assert "Indoors" not in by_name
    assert next(iter(by_name)) == "Lively"  # the likeliest first
    # 2.6 volumes are 2.85 bar at 30 °C, and 0.09 more for each degree: 34 °C is past the 3.6 of the boldest habit
    worst = next(f["value"] for f in by_name["Lively"]["figures"] if "orst" in f["label"])
    assert worst > GRID[2.6, 30] + 4 * 0.09 + 0.1
    assert worst > LIMIT_BAR
    assert by_name["Lively"]["chance"] > 0.2
    assert by_name["Mild"]["chance"] < 0.01  # 1.8 volumes
    assert "Carry" in said
    assert "out of the garage before Saturday" in said
    fresh = [words for words in book.tasks(38) if words not in quiet]
    assert any("out of the garage before Saturday" in words for words in fresh)
    assert "out of the garage" in told("calendar", day=38).out.replace("\r\n ", "")
    hot = book.says(42.5, "cellar")  # the Saturday itself
    assert "Cool one brew in the garage where it stands" in hot or "where they stand" in hot
    assert "carry none while they are warm" in hot
    assert "Warm weather" not in book.says(46, "cellar")
    assert not [words for words in book.tasks(46) if "out of the garage" in words]


# --- 6. uphill -------------------------------------------------------------------------------------------------------


def test_carried_from_the_valley_to_the_pass_the_air_and_the_warmth_are_told_apart(book):
    fermented(book)
    bottled(book, 13, "116")
    found = book.ask(40, "conditioning", from_altitude="250", altitude="1900", temp="30")
    assert found.value("uphill") == pytest.approx(0.18, abs=0.02)
    # 2.4 volumes: 1.75 bar at 20 °C, 2.55 at 30
    assert found.value("on_the_way") == pytest.approx(GRID[2.4, 30] - GRID[2.4, 20], abs=0.12)
    text = found.finding("altitude")
    assert "Up at 1900 m the air weighs less" in text
    assert "than at 250 m" in text
    assert found.value("pressure_warm") == pytest.approx(GRID[2.4, 30] + 0.21, abs=0.15)


# --- 7. hop creep ----------------------------------------------------------------------------------------------------


def test_bottled_on_two_level_readings_after_hops_the_budget_keeps_the_creep_open_for_weeks(book):
    fermented(
        book, (9, "1.013"), (11, "1.013"), ingredients="3.3 kg liquid malt extract", litres="20 L", og="1.048"
    )  # fmt: skip
    book.write(11, "hop", hop="Invented", mass="140 g", form="pellets", planned_days="3")
    book.write(14, "hops_out")
    for day in (14, 16):
        book.write(day, "reading", gravity="1.013", temp="20", fizz="flat")
    gate = book.ask(16, "finishing")
    assert gate.headline.startswith("Not known yet; read again on ")
    # One to three points of creep are half a volume to one and a half.
    assert 1 <= gate.figure("points_left")["high"] <= 4
    assert "not known to be finished" in book.refused(16.1, "prime", mass="127", volume="18.5 L")
    book.write(16.1, "rack", volume="18.5 L")
    book.write(16.2, "prime", mass="127", volume="18.5 L", against_advice="the readings were level")
    book.write(16.3, "bottle", lots="37 x 500 mL brown returnable", place="kitchen")
    meant = gas_of(127, 18.5)  # 2.6
    assert meant == pytest.approx(2.6, abs=0.01)
    chances, pressures = [], []
    for day in (17, 23, 37, 60):
        found = book.ask(day, "conditioning")
        assert found.figure("co2")["low"] <= meant + 0.05
        assert meant + POINT_VOL <= found.figure("co2")["high"] <= meant + 4 * POINT_VOL
        chances.append(next(f for f in found.deed("until")["figures"] if f["key"] == "past_now")["value"])
        pressures.append(found.value("pressure"))
    assert chances == sorted(chances)
    assert chances[0] < 1 < chances[-1]
    assert pressures == sorted(pressures)
    assert pressures[-1] == pytest.approx(GRID[2.6, 20], abs=0.2)
    book.write(37.1, "open_bottle", fizz="3")
    assert book.ask(37.2, "conditioning").value("past") < found.value("past")  # lively, not wild: less creep


# --- 8. odd bottles --------------------------------------------------------------------------------------------------


def test_wine_and_square_bottles_are_never_filled_and_worn_glass_gets_less(book):
    book.keep("keep_bottles", name="brown halves", kind="returnable_500", size="500 mL", count="24")
    book.keep("keep_bottles", name="green wine", kind="wine", size="750 mL", count="6")
    book.keep("keep_bottles", name="square ones", kind="decorative", size="500 mL", count="4")
    book.keep("keep_bottles", name="old throwaways", kind="one_way", size="330 mL", count="40", washes="15")
    fermented(book)
    book.write(12.5, "rack", volume="19 L")
    found = book.ask(12.6, "bottling", co2="2.4")
    said = book.says(12.6, "ask", "1", "bottling", "--co2", "2.4", "--bottles", "20 x 500 mL brown returnable",
                     "--bottles", "6 x 750 mL wine", "--bottles", "4 x 500 mL square")  # fmt: skip
    assert "750 mL wine bottle: never." in said
    assert "500 mL decorative: never." in said
    assert "wine" not in found.headline
    assert "square" not in found.headline
    two = [f["value"] for f in found.plain["figures"] if f["key"] in {"fizz_1", "fizz_2"}]
    assert two[0] == pytest.approx(2.4)
    assert two[1] < 2.3  # worn light glass: below the 2.5 that the trade grants it new
    # The two parts are primed as told; written so, neither is taken for a second dose.
    litres = {key: found.value(f"litres_{key}") for key in (1, 2)}
    grams = {key: found.value(f"sugar_{key}") for key in (1, 2)}
    for key, fizz in zip((1, 2), two, strict=True):
        assert grams[key] == pytest.approx((fizz - HELD_AT_20) * GRAMS_A_VOL * litres[key], abs=2)
    book.write(13, "prime", mass=f"{grams[1]:.0f}", volume=f"{litres[1]:.1f} L")
    said = book.write(13, "prime", mass=f"{grams[2]:.0f}", volume=f"{litres[2]:.1f} L")
    assert "Each part is primed by itself." in said
    primed = book.ask(13.05, "priming")
    assert primed.value("co2") == pytest.approx(2.4, abs=0.15)
    assert "Add no more." in primed.headline
    said = book.write(13.1, "bottle", lots="24 x 500 mL brown halves\n18 x 330 mL old throwaways\n1 x 750 mL wine")
    assert "750 mL wine bottle: never." in said
    plan = book.ask(13.2, "conditioning")
    assert plan.urgency == "Danger"
    assert "Do not open them, do not carry them" in plan.deed("never_wine")["words"]


# --- 9. a cellar in winter -------------------------------------------------------------------------------------------


def test_flat_in_a_winter_vault_it_is_warmed_now_and_cool_before_summer(book):
    fermented(book, start=50)
    bottled(book, 63, "150", place="vault")
    opened = book.write(105, "open_bottle", fizz="1")
    assert "Flat for now" in opened
    assert "Add no sugar" in opened
    found = book.ask(105, "conditioning")
    assert found.headline.startswith("Bring them to 20 °C for about ")
    assert found.headline.endswith("2027 they are drunk, or kept below 20 °C.")
    assert "Below 10 °C ale yeast may stop, and goes on when it is warmed." in found.plain["why"]
    assert found.value("share") < 10
    assert book.tasks(105) == ["Bring the bottles to 18 to 22 °C"]
    # July is months off: it presses nobody in December, and yet it is told.
    assert found.deed("cold")["urgency"] == "Wait"
    assert "Jul 2027" in found.deed("cold")["words"]
    # Left there all winter they go on in spring: what was flat then is no news in June, and the pressure is.
    june = book.ask(270, "conditioning")
    assert june.finding("flat_cold") is None
    assert june.value("share") > 90
    # 2.85 volumes at 26 °C: 2.6 are 2.0 bar at 20 °C and 2.85 at 30; a quarter of a volume more is 0.3 to 0.4 bar
    assert june.value("pressure_warm") == pytest.approx(GRID[2.6, 20] + 0.6 * 0.86 + 0.35, abs=0.25)
    assert any("cool" in words for words in book.tasks(290))


def test_where_warming_is_the_danger_they_stay_cold_and_are_never_told_to_be_warmed(book):
    book.keep("keep_place", name="snow hole", low="2", high="4")
    fermented(book, start=50)
    bottled(book, 63, "210", place="snow hole", against_advice="it is in already")
    assert gas_of(210, 19) > 3.5
    found = book.ask(105, "conditioning")
    assert "20 °C" not in found.headline
    assert "Too cold to carbonate, and better so" in found.headline
    assert "Bring the bottles to 18 to 22 °C" not in book.tasks(105)


# --- 10. the plastic bottle ------------------------------------------------------------------------------------------


def test_a_hard_plastic_bottle_says_that_it_has_started_and_nothing_of_too_much(book):
    fermented(book)
    book.write(12.5, "rack", volume="19 L")
    assert "How far beyond, it does not say." in book.ask(12.6, "bottling").finding("indicator")
    book.write(13, "prime", mass="116", volume="19 L")
    book.write(13.02, "prime", mass="116", volume="19 L", against_advice="each of us put it in")
    book.write(13.1, "bottle", lots="36 x 500 mL brown returnable\n2 x 500 mL PET", place="kitchen")
    before = book.ask(20, "conditioning")
    book.write(20.1, "note", text="The plastic one is hard, as after any other week.")
    after = book.ask(20.1, "conditioning")
    assert after.value("past") == pytest.approx(before.value("past"), abs=0.5)
    assert after.urgency == "Danger"
    assert after.headline.startswith("Cool these bottles now")
    # Plastic bears 4 volumes; each kind is vented in its own way, or not at all.
    assert after.deed("vent_pet") is not None
    assert after.deed("vent_returnable_500") is not None
