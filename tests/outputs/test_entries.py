from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from gylebook.journal import events as ev
from gylebook.journal.codec import decode, plain_of
from gylebook.outputs.entries import entry_words
from gylebook.units import Quantity

FROZEN = sorted((Path(__file__).parents[1] / "journal" / "frozen").glob("*.json"))


def texts_in(value: object) -> list[str]:
    """The texts of all quantities in a body, as they were written."""
    if isinstance(value, dict):
        if set(value) == {"text", "unit"}:
            return [value["text"]]
        return [text for part in value.values() for text in texts_in(part)]
    if isinstance(value, list):
        return [text for part in value for text in texts_in(part)]
    return []


def test_every_kind_has_a_frozen_body_to_be_put_in_words() -> None:
    assert {path.name.split(".")[0] for path in FROZEN} == set(ev.KINDS)


@pytest.mark.parametrize("path", FROZEN, ids=lambda p: p.stem)
def test_every_kind_of_entry_has_its_sentence_with_the_numbers_as_written(path: Path) -> None:
    kind, version, _ = path.name.split(".")
    body = path.read_bytes()
    words = entry_words(decode(kind, int(version), body))
    assert words.endswith((".", "!", "?"))
    assert words[0].isupper()
    assert "  " not in words
    assert "None" not in words
    told_elsewhere = kind in {"planned", "kit_kept"}  # a kit's details have their own page
    if not told_elsewhere:
        for text in texts_in(msgspec.json.decode(body)):
            assert text in words


def test_an_entry_with_only_what_must_be_there_reads_well() -> None:
    assert entry_words(ev.Planned(name="Autumn bitter")) == "Planned Autumn bitter."
    assert entry_words(ev.Pitched()) == "Pitched the yeast."
    assert entry_words(ev.Opened()) == "Opened a bottle."
    assert entry_words(ev.TempSeen(of="room", low=Quantity("12", "°C"), high=Quantity("15,5", "°C"))) == (
        "The room was looked at between 12 °C and 15,5 °C."
    )


def test_a_correction_says_what_stands_now_and_why() -> None:
    instead = ev.Measured(gravity=Quantity("1.014", "SG"), temp=Quantity("21", "°C"))
    event = ev.Corrected(seq=5, because="misread", kind="measured", version=1, instead=plain_of(instead))
    assert entry_words(event) == "Corrected entry 5 to: Read 1.014 SG at 21 °C; because: misread."
    assert entry_words(ev.Corrected(seq=5)) == "Withdrew entry 5."
