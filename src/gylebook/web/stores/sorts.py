"""The pages of bottles and of stock."""

from __future__ import annotations

from gylebook.web.shelf_page import Sort, page_of

bottles = page_of(
    Sort(
        "bottles",
        "keep_bottles",
        "bottles",
        "stores",
        "Stores",
        "Bottles",
        "Which bottles are owned, and how many of each?",
        "Add a kind of bottle",
        "No bottles are written down yet. With them, the book says which are fit for a fizz, and how many it fills.",
    )
)
stock = page_of(
    Sort(
        "stock",
        "keep_stock",
        "stock",
        "stores",
        "Stores",
        "Stock",
        "What is in the cupboard, and what has to be used first?",
        "Add something",
        "Nothing is in the cupboard yet: sugar, extract, hops, yeast, caps, cleaner.",
    )
)
