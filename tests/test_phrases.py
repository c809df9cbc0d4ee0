"""Sentences that remember how they were made."""

from __future__ import annotations

import copy
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.phrases import (
    ENGLISH,
    Told,
    active_voice,
    capital,
    joined,
    pack,
    say,
    say_amount,
    say_count,
    say_number,
    say_range,
    small,
    speaking,
    tell,
    turn,
    unpack,
    untold,
)


class Loud:
    """Tells templates in capitals, numbers between bars, amounts doubled in a made-up unit."""

    language = "loud"

    def template(self, english: str) -> str:
        """In capitals outside the braces."""
        return "".join(part if part.startswith("{") else part.upper() for part in _split(english))

    def plural(self, one: str, more: str, number: int) -> str:
        """As English has it, in capitals."""
        return self.template(one if number == 1 else more)

    def number(self, text: str) -> str:
        """Between bars."""
        return f"|{text}|"

    def amount(self, values: tuple[float, ...], digits: int, unit: str, between: str, english: str) -> str:
        """Doubled."""
        del digits, unit, english
        return f" {between} ".join(f"{2 * value:g} wu" for value in values)

    def turned(self, how: str, text: str) -> str:
        """As Python has it."""
        return turn(how, text)


def _split(template: str) -> list[str]:
    import re

    return re.split(r"(\{\w+\})", template)


LOUD = Loud()


def test_a_sentence_reads_compares_and_hashes_as_its_english() -> None:
    made = say("Weigh {mass} of {what}.", mass=say_amount(112.4, 0, "g"), what="Demerara")
    assert made == "Weigh 112 g of Demerara."
    assert {made: 1}["Weigh 112 g of Demerara."] == 1
    assert f"{made}" == "Weigh 112 g of Demerara."


def test_a_voice_tells_the_template_and_each_part_and_leaves_the_brewers_own_words() -> None:
    made = say("Weigh {mass} of {what}, {point}.", mass=say_amount(112.4, 0, "g"), what="Demerara", point=say("now"))
    assert tell(made, LOUD) == "WEIGH 224.8 wu OF Demerara, NOW."
    assert tell("Demerara", LOUD) == "Demerara"
    assert tell(say_number("1.012"), LOUD) == "|1.012|"
    assert tell(say_range(5, 7, 0, "°C"), LOUD) == "10 wu TO 14 wu"


def test_a_count_takes_one_form_or_the_other_with_its_number() -> None:
    assert say_count(1, "{n} bottle of {kind}", "{n} bottles of {kind}", kind="x") == "1 bottle of x"
    assert tell(say_count(12, "{n} bottle of {kind}", "{n} bottles of {kind}", kind="x"), LOUD) == "|12| BOTTLES OF x"


def test_what_is_put_together_or_turned_keeps_its_structure() -> None:
    stop = say("stop.")
    for made, english, loud in (
        ("Now: " + stop, "Now: stop.", "Now: STOP."),
        (stop + " Fine", "stop. Fine", "STOP. Fine"),
        (joined("; ", (stop, say("go"))), "stop.; go", "STOP.; GO"),
        (joined(say(" and "), ("a", "b")), "a and b", "a AND b"),
        (capital(say("{name} is flat", name=say("beer"))), "Beer is flat", "BEER IS FLAT"),
        (small(say("Beer")), "beer", "bEER"),
        (say("{why} {rest}", why=stop, rest="").rstrip(), "stop.", "STOP."),
        (stop.removesuffix("."), "stop", "STOP"),
        (stop.upper(), "STOP.", "STOP."),
        (say_number("4.0").removesuffix(".0"), "4", "|4|"),
    ):
        assert made == english
        assert isinstance(made, Told), english
        assert tell(made, LOUD) == loud


def test_plain_texts_that_are_joined_stay_plain() -> None:
    assert not isinstance(joined(", ", ("a", "b")), Told)


def test_what_is_not_known_is_told_in_words() -> None:
    assert say_amount(float("nan"), 1, "L") == "not known"


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(20.0, None, "20 °C"), (18.5, None, "18.5 °C"), (-0.04, 1, "0.0 °C"), (-2.0, 0, "−2 °C")],
)
def test_digits_are_as_asked_for_or_as_few_as_will_do(value: float, digits: int | None, text: str) -> None:
    assert say_amount(value, digits, "°C") == text


def test_the_active_voice_is_the_readers_alone() -> None:
    made = say("stop")
    assert active_voice() is None
    with speaking(LOUD):
        assert tell(made) == "STOP"
        assert made.__html__() == "STOP"  # type: ignore[attr-defined]
    assert tell(made) == "stop"


def test_html_is_escaped_after_it_was_told() -> None:
    assert say("{a} < {b}", a="<i>", b="&").__html__() == "&lt;i&gt; &lt; &amp;"  # type: ignore[attr-defined]


def test_a_part_that_is_missing_is_no_silent_gap() -> None:
    with pytest.raises(KeyError):
        say("Weigh {mass}.", weight="1 g")


texts = st.recursive(
    st.text(max_size=8)
    | st.builds(say, st.sampled_from(["Weigh it.", "on {x"]))
    | st.builds(say_number, st.sampled_from(["1.012", "4", "−3.5"]))
    | st.builds(
        say_amount, st.floats(-50, 500), st.none() | st.integers(0, 3), st.sampled_from(["g", "L", "°C", "Δ°C"])
    ),
    lambda inner: st.one_of(
        st.builds(lambda a, b: say("{a}, then {b}", a=a, b=b), inner, inner),
        st.builds(lambda items: joined(" ", items), st.lists(inner, max_size=3)),
        st.builds(lambda n, a: say_count(n, "{n} x {a}", "{n} xs {a}", a=a), st.integers(0, 5), inner),
        st.builds(capital, inner),
    ),
    max_leaves=8,
)


@given(texts)
def test_every_text_goes_through_json_and_comes_back_the_same_in_every_voice(text: str) -> None:
    import json

    back = unpack(json.loads(json.dumps(pack(text))))
    assert (back, tell(back, LOUD), tell(back, ENGLISH)) == (text, tell(text, LOUD), tell(text, ENGLISH))
    assert tell(text, ENGLISH) == text
    for other in (copy.deepcopy(text), pickle.loads(pickle.dumps(text))):
        assert tell(other, LOUD) == tell(text, LOUD)


@pytest.mark.parametrize(
    "kept",
    [
        ["sing", "x"], [], [["say"]], ["say"], ["say", 5, {}], ["say", "{a}", {"b": "x"}], ["say", "x", []],
        ["number", 5], ["amount", [1.0], 0, 5, ""], ["amount", 1.0, 0, "g", ""], ["join", "", 5], ["turn", "twist", "x"],
        ["count", 1, "{n}", "{n}"],
    ],
    ids=repr,
)  # fmt: skip
def test_what_nothing_kept_does_not_read_back(kept: list[object]) -> None:
    with pytest.raises(ValueError, match="no text"):
        unpack(kept)


def test_reading_a_text_back_leaves_what_was_read_as_it_was() -> None:
    kept = pack(say("Weigh {mass}.", mass=say_amount(112, 0, "g")))
    before = copy.deepcopy(kept)
    unpack(kept)
    assert kept == before


def test_a_sentence_with_its_parts_is_a_plain_text_in_each_voice() -> None:
    made = say("{mass} of {what}", mass=say_amount(112, 0, "g"), what=say("sugar"))
    assert type(tell(made, ENGLISH)) is type(untold(made)) is str
