"""The pages of bottles and of stock."""

from __future__ import annotations

from gylebook.phrases import say
from gylebook.web.shelf_page import Sort, page_of

bottles = page_of(
    Sort(
        "bottles",
        "keep_bottles",
        "bottles",
        "stores",
        say("Stores"),
        say("Bottles"),
        say("Which bottles are owned, and how many of each?"),
        say("Add a kind of bottle"),
        say(
            "No bottles are written down yet. With them, the book says which are fit for a fizz, and how many it fills."
        ),
    )
)
stock = page_of(
    Sort(
        "stock",
        "keep_stock",
        "stock",
        "stores",
        say("Stores"),
        say("Stock"),
        say("What is in the cupboard, and what has to be used first?"),
        say("Add something"),
        say("Nothing is in the cupboard yet: sugar, extract, hops, yeast, caps, cleaner."),
    )
)
