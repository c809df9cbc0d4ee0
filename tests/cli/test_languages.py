"""Commands answer in the language and in the units of whoever asks."""

from __future__ import annotations

import re

import pytest

from gylebook.phrases import active_voice

# Words of every English sentence, and of no German one.
ENGLISH = re.compile(r"\b(?:the|of|and|is|are|with|you|this|it|not|was|has)\b")
PLAN = ("log", "new", "plan", "--name", "Probesud", "--volume", "21 L", "--when", "2026-09-05 10:00")


def german(told, monkeypatch, *line: str) -> str:
    monkeypatch.setenv("GYLEBOOK_LANGUAGE", "de")
    return told(*line).out


@pytest.mark.parametrize(
    "line",
    [
        ("--demo", "next"),
        ("--demo", "brews"),
        ("--demo", "brews", "4"),
        ("--demo", "cellar"),
        ("--demo", "outlook", "4"),
        *(
            ("--demo", "ask", "4", step)
            for step in ("mixing", "readings", "pitching", "dry_hopping", "finishing", "racking")
        ),
        *(
            ("--demo", "ask", "3", step)
            for step in ("priming", "bottling", "conditioning", "tasting", "cleaning", "plan")
        ),
        ("danger",),
        ("law", "--country", "Germany"),
        ("reckon", "priming", "--volume", "20 L", "--co2", "2.4 vol"),
    ],
    ids=" ".join,
)
def test_answers_come_in_german(told, example, monkeypatch, line) -> None:
    out = german(told, monkeypatch, *line)
    assert len(out) > 60
    own = re.sub(r"https?://\S+|“[^”]*”|„[^“]*“", "", out)
    left = [line for line in own.splitlines() if len(ENGLISH.findall(line)) > 1]
    assert not left


def test_numbers_have_a_comma_and_dates_their_points(told, example, monkeypatch) -> None:
    out = german(told, monkeypatch, "--demo", "ask", "4", "finishing")
    assert re.search(r"1,0\d{3}", out)
    assert not re.search(r"\b1\.0\d{3}\b", out)
    assert re.search(r"\b(?:Mo|Di|Mi|Do|Fr|Sa|So), \d{1,2}\. ", out)


def test_a_refusal_is_told_in_german_too(told, own_book, monkeypatch) -> None:
    told(*PLAN)
    monkeypatch.setenv("GYLEBOOK_LANGUAGE", "de")
    refused = told("log", "1", "reading", "--gravity", "zwölf")
    assert refused.code == 2
    assert not ENGLISH.search(refused.err)


def test_the_books_language_is_spoken_where_the_environment_names_none(told, own_book) -> None:
    told(*PLAN)
    told("shelf", "keep_settings", "--language", "de")
    assert "Sud 1" in told("brews", "1").out


def test_sentences_tell_the_units_of_the_settings(told, own_book) -> None:
    told(*PLAN)
    told("log", "1", "pitch", "--temp", "31 °C", "--when", "2026-09-05 12:00")
    metric = told("ask", "1", "pitching").out
    told("shelf", "keep_settings", "--units", "US", "--language", "en-US")
    american = told("ask", "1", "pitching").out
    assert "°C" in metric
    assert "°F" not in metric
    # what was typed stays as it was typed
    assert "°C" not in american.replace("31 °C", "")
    assert "°F" in american


def test_a_command_leaves_no_voice_behind(told, example, monkeypatch) -> None:
    german(told, monkeypatch, "--demo", "next")
    assert active_voice() is None
