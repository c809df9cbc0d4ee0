"""The sentences that the scripts of the pages write, for whoever gathers the words of the book.

python scripts/js_words.py     prints them, each with its file and line
"""

from __future__ import annotations

import os
import sys

import django


def js_messages() -> list[tuple[str, str, int]]:
    """Every sentence, as (text, file, line); for one that goes by a number the form for one, then that for several."""
    return [(text, each.file, each.line) for each in _said() for text in (each.text, each.more) if text]


def js_plurals() -> list[tuple[str, str, str, int]]:
    """Those that go by a number alone, as (text for one, text for several, file, line)."""
    return [(each.text, each.more, each.file, each.line) for each in _said() if each.more]


def js_singulars() -> list[tuple[str, str, int]]:
    """Those that do not, as (text, file, line)."""
    return [(each.text, each.file, each.line) for each in _said() if not each.more]


def _said() -> list:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gylebook.web.settings")
    django.setup()
    from gylebook.web.pocket.words import said_by_scripts

    return said_by_scripts()


def main() -> int:
    for text, file, line in js_messages():
        print(f"{file}:{line}: {text}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
