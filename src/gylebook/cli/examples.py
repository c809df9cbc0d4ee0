"""Worked examples for commands that are made from the catalogue. All brews are invented.

The examples of the acts tell the life of one brew, in the order of the work; a test carries all of them out, in this
order, in an empty book.
"""

from __future__ import annotations

ACT_EXAMPLES: dict[str, tuple[str, ...]] = {}

CORRECT_EXAMPLES: tuple[str, ...] = ()

ASK_EXAMPLES: dict[str, tuple[str, ...]] = {}

SHELF_EXAMPLES: dict[str, tuple[str, ...]] = {}
