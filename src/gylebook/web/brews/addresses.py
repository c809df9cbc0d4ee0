"""Addresses below /brews/."""

from __future__ import annotations

from urllib.parse import urlencode

from django.urls import reverse

from gylebook.journal.state import SHELF
from gylebook.steps.catalogue import act


def brew_url(brew: str) -> str:
    """A brew's own page."""
    return reverse("brew", args=[int(brew)])


def log_url(brew: str) -> str:
    """The whole log; an entry's number added to it is the entry's page."""
    return reverse("brew_log", args=[int(brew)])


def entry_url(brew: str, seq: int) -> str:
    """One entry of a brew, or of the shelf."""
    return reverse("shelf_entry", args=[seq]) if brew == SHELF else reverse("brew_entry", args=[int(brew), seq])


def act_url(brew: str, name: str) -> str:
    """The form that writes an act down, on the page of its own step."""
    return step_url(brew, act(name).step, name)


def step_url(brew: str, word: str, act_name: str = "") -> str:
    """A step of a brew; with an act, its form comes first."""
    url = reverse(f"brew_{word}", args=[int(brew)])
    return f"{url}?{urlencode({'act': act_name})}" if act_name else url


def beside_url(brew: str, other: str = "") -> str:
    """Where a brew is put beside another: which one, or what differs."""
    return (
        reverse("brew_beside_other", args=[int(brew), int(other)])
        if other
        else reverse("brew_beside", args=[int(brew)])
    )
