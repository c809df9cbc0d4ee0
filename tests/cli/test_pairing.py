"""Codes by command: what the terminal shows, and that a camera reads it."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import numpy as np
import pytest
import zxingcpp

from gylebook.outputs.qr import code_for_screen, code_for_terminal
from gylebook.store import devices, one_time, people
from gylebook.store.serving import Serving, note

LINK = "https://cellar-box.local:8484/pair/J7420O4QehXm8s3mm-3DrWjA/"


@pytest.fixture
def open_house(own_book, settings, tmp_path):
    settings.HOME = tmp_path
    note(tmp_path, Serving("https://cellar-box.local:8484/", "http://cellar-box.local:8485/", ":".join(["AB"] * 32)))


def seen(shown, around):
    """A picture of a terminal with this brightness of its own around the code."""
    rows = [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in shown.splitlines()]
    for line in shown.splitlines():
        assert line.startswith("\x1b[38;5;16m\x1b[48;5;231m")
        assert line.endswith("\x1b[0m")
    picture = np.full((2 * len(rows), max(map(len, rows))), 255, dtype=np.uint8)
    for y, row in enumerate(rows):
        for x, letter in enumerate(row):
            picture[2 * y, x] = 0 if letter in "▀█" else 255
            picture[2 * y + 1, x] = 0 if letter in "▄█" else 255
    return np.pad(np.kron(picture, np.ones((6, 6), dtype=np.uint8)), 60, constant_values=around)


@pytest.mark.parametrize("around", [0, 40, 255], ids=["black", "dark", "white"])
def test_a_camera_reads_the_code_in_a_terminal_of_any_colour(around):
    (found,) = zxingcpp.read_barcodes(seen(code_for_terminal(LINK), around))
    assert found.text == LINK


def test_the_code_fits_a_small_terminal():
    lines = code_for_terminal(LINK).splitlines()
    assert len(lines) <= 23
    assert max(len(re.sub(r"\x1b\[[0-9;]*m", "", line)) for line in lines) <= 60


def test_the_drawing_for_a_page_has_no_style_of_its_own():
    assert "style" not in code_for_screen(LINK)
    assert "viewBox" in code_for_screen(LINK)


def test_pair_shows_how_to_trust_the_book_and_then_the_code(told, open_house):
    shown = told("pair").out
    assert shown.index("1. Once for each new phone") < shown.index("http://cellar-box.local:8485/")
    assert shown.index("http://cellar-box.local:8485/") < shown.index("2. To let a phone in as owner, once")
    assert ":".join(["AB"] * 16) in shown
    assert "▀" in shown
    link = re.search(r"https://cellar-box\.local:8484/pair/(\S+)/", shown)
    assert one_time.look(one_time.PAIRING, link[1], "nowhere", datetime.now(UTC)) == "owner"


def test_without_square_codes_only_links_are_shown(told, open_house):
    shown = told("pair", "--no-qr").out
    assert "▀" not in shown
    assert "/pair/" in shown


def test_pair_for_a_program(told, open_house):
    answer = told("pair", "--json").plain
    assert answer["person"] == "owner"
    assert answer["guide"] == "http://cellar-box.local:8485/"
    assert answer["ends_at"].endswith("Z")


def test_pair_for_somebody_who_is_not_there_is_refused(told, open_house):
    answer = told("pair", "--name", "Nobody")
    assert answer.code == 2
    assert "“gylebook people” lists those who may" in answer.err


def test_pair_where_the_book_is_not_open_says_how_to_open_it(told, own_book, settings, tmp_path):
    settings.HOME = tmp_path
    answer = told("pair")
    assert answer.code == 3
    assert "gylebook serve --lan" in answer.err


def test_devices_are_listed_and_signed_out(told, open_house):
    now = datetime.now(UTC)
    first = devices.enter("owner", "Kitchen phone", devices.PAIRING, now)
    devices.enter("owner", "Old phone", devices.PAIRING, now)
    shown = told("devices").out
    assert f"{first}  Kitchen phone of owner, since " in shown
    assert told("devices", "--revoke", str(first)).out == "Kitchen phone of owner is signed out.\n"
    assert told("devices", "--revoke", str(first)).code == 2
    assert [each["name"] for each in told("devices", "--json").plain["devices"]] == ["Old phone"]
    assert told("devices", "--revoke-all").out == "One device is signed out.\n"
    assert told("devices").out == "No device is signed in; “gylebook pair” lets one in.\n"


def test_people_are_invited_listed_and_removed(told, open_house):
    shown = told("people", "--invite", "--no-qr").out
    code = re.search(r"https://cellar-box\.local:8484/invited/(\S+)/", shown)[1]
    people.join("Ann", "", lambda: one_time.take(one_time.INVITATION, code, "nowhere", datetime.now(UTC)))
    assert told("people").out == "owner keeps the book.\nAnn brews along.\n"
    assert told("people", "--json").plain["people"] == ["owner", "Ann"]
    assert told("people", "--remove", "Ann").out == "Ann may not sign in any more; the entries stay.\n"
    assert told("people", "--remove", "owner").code == 3
    assert told("people", "--remove", "Ann").code == 2


def test_the_example_book_has_no_devices_and_no_people(told, open_house):
    for command in ("pair", "devices", "people"):
        assert told("--demo", command).code == 3
