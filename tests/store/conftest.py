from __future__ import annotations

from datetime import timedelta

import pytest

from gylebook.store import cards


@pytest.fixture(autouse=True)
def plain_cards(request, monkeypatch):
    """Cards that cost nothing and tell what they were made from, unless a test asks for the steps' own."""
    if "real_cards" in request.fixturenames:
        return

    def make(brew, shelf, learned=None):
        latest = brew.kept[-1].at if brew.kept else None
        due = latest + timedelta(days=3) if latest and brew.open else None
        return cards.Made(due, f'{{"entries":{brew.head_seq},"shelf":{shelf.head_seq}}}')

    monkeypatch.setattr(cards, "make_card", make)
    monkeypatch.setattr(cards, "cards_version", lambda: "test-1")


@pytest.fixture
def real_cards():
    """The steps' own cards."""
