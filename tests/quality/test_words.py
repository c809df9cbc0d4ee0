"""The catalogues: complete, up to date, and true to the parts and the markup of each sentence."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from babel.messages.pofile import read_po

ROOT = Path(__file__).parents[2]
PO = ROOT / "src" / "gylebook" / "locale" / "de" / "LC_MESSAGES" / "django.po"
PART = re.compile(r"\{\w*\}|%\(\w+\)s")
TAG = re.compile(r"<[^>]+>")
# A promise that nobody can give, in any language; "Sicherung" (a backup) and "sicherlich" are other words.
PROMISES = re.compile(r"\b(?:safe|safely|gefahrlos|unbedenklich|bedenkenlos|ungefährlich)\b", re.IGNORECASE)


def pairs() -> list[tuple[str, str]]:
    """Each sentence with its translation; those for one and for more on their own."""
    with PO.open("rb") as file:
        found = read_po(file, locale="de")
    out: list[tuple[str, str]] = []
    for message in found:
        if message.id and message.pluralizable:
            out += zip(message.id, message.string, strict=True)
        elif message.id:
            out.append((message.id, message.string))
    return out


PAIRS = pairs()


def test_every_sentence_is_gathered_and_translated() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "gather_words.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_there_are_sentences_to_look_at() -> None:
    assert len(PAIRS) > 3000


def faults(wrong) -> list[str]:
    return [f"{english!r} -> {german!r}" for english, german in PAIRS if wrong(english, german)]


def test_parts_are_the_same() -> None:
    def other(english: str, german: str) -> bool:
        mine, theirs = set(PART.findall(german)), set(PART.findall(english))
        return mine != theirs and mine ^ theirs != {"{n}"}  # a form for one may leave its number out

    assert not faults(other)


def test_markup_is_the_same() -> None:
    assert not faults(lambda english, german: sorted(TAG.findall(english)) != sorted(TAG.findall(german)))


def test_nothing_breaks_out_of_an_attribute() -> None:
    assert not faults(
        lambda english, german: any(sign in TAG.sub("", german) and sign not in TAG.sub("", english) for sign in '"<>&')
    )


def test_blanks_at_the_ends_are_the_same() -> None:
    def other(english: str, german: str) -> bool:
        return (english[:1].isspace(), english[-1:].isspace()) != (german[:1].isspace(), german[-1:].isspace())

    assert not faults(other)


def test_nothing_is_promised_in_german_either() -> None:
    assert not [german for _, german in PAIRS if PROMISES.search(german)]


NUMBER = re.compile(r"(?<![\w.,])\d+(?:[.,]\d+)?(?![\w.,]*\d)")


def test_the_numbers_in_a_sentence_are_the_same() -> None:
    """A limit that was lost or mistyped in translation would be worse than no translation."""

    def other(english: str, german: str) -> bool:
        def found(text: str) -> list[str]:
            return sorted(number.replace(",", ".") for number in NUMBER.findall(PART.sub("", TAG.sub("", text))))

        return found(english) != found(german)

    assert not faults(other)
