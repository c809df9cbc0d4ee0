"""The pages of instruments, vessels and places."""

from __future__ import annotations

from gylebook.phrases import say
from gylebook.web.shelf_page import Sort, page_of

_UP = ("settings", say("Settings"))
instruments = page_of(
    Sort(
        "instrument",
        "keep_instrument",
        "instruments",
        *_UP,
        say("Instruments"),
        say("What does each show in plain water, and at which temperature is it true?"),
        say("Add an instrument"),
        say("No instrument is written down yet; readings are taken as from a 20 °C hydrometer, right to the line."),
    )
)
vessels = page_of(
    Sort(
        "vessel",
        "keep_vessel",
        "vessels",
        *_UP,
        say("Vessels"),
        say("What does each mark on the bucket really hold?"),
        say("Add a vessel"),
        say("No vessel is written down yet; marks are taken as read."),
    )
)
places = page_of(
    Sort(
        "place",
        "keep_place",
        "places",
        *_UP,
        say("Places"),
        say("How cold and how warm does each place get, month by month?"),
        say("Add a place"),
        say("No place is written down yet; a room of 18 to 30 °C in summer is assumed for bottles."),
    )
)
