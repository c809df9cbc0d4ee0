"""A made-up language: every letter marked and every sentence a third longer, so that what is not translated shows."""

from __future__ import annotations

import importlib.util
import re
import sys
from contextlib import contextmanager
from pathlib import Path

from babel.messages.mofile import write_mo
from django.test import override_settings
from django.utils.translation import trans_real

from gylebook.outputs import voices

ROOT = Path(__file__).parents[2]
PLAIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
MARKED = "äḅçḋëḟǧḧïĵķḷṁñöṗɋŕşţüṽẅẍÿžÄḄÇḊËḞǦḦÏĴĶḶṀÑÖṖɊŔŞŢÜṼẄẌŸŽ"
_MARK = str.maketrans(PLAIN, MARKED)
_KEPT = re.compile(r"(\{\w*\}|%\(\w+\)s|%%|<[^>]*>|&\w+;)")


def pseudo(text: str) -> str:
    """A sentence in the made-up language; its parts, its markup and the blanks at its ends stay as they are."""
    body = "".join(part if _KEPT.fullmatch(part) else part.translate(_MARK) for part in _KEPT.split(text))
    room = re.sub(r"(?<!^)(?=(?:~{6})+$)", " ", " " + "~" * max(1, len(text.strip()) // 3))  # no word is longer than 6
    ends = len(body) - len(body.rstrip())
    return body.rstrip() + room + body[len(body) - ends :] if text.strip() else text


def gathered():
    """Every sentence that the book can tell, as the script for translators gathers them."""
    spec = importlib.util.spec_from_file_location("gather_words", ROOT / "scripts" / "gather_words.py")
    module = sys.modules.setdefault("gather_words", importlib.util.module_from_spec(spec))
    if not hasattr(module, "gathered"):
        spec.loader.exec_module(module)
    return module.gathered()


def write(folder: Path) -> Path:
    """A catalogue in which German stands for the made-up language."""
    catalog = gathered()
    for message in catalog:
        if message.id:
            message.string = tuple(map(pseudo, message.id)) if message.pluralizable else pseudo(message.id)
    path = folder / "de" / "LC_MESSAGES" / "django.mo"
    path.parent.mkdir(parents=True)
    with path.open("wb") as file:
        write_mo(file, catalog)
    return folder


@contextmanager
def spoken(folder: Path, monkeypatch):
    """The book speaks the made-up language to whoever asks for German."""
    monkeypatch.setattr(voices, "LOCALE", folder)
    voices.catalogue.cache_clear()
    translations = dict(trans_real._translations)
    trans_real._translations.clear()
    try:
        with override_settings(LOCALE_PATHS=[folder]):
            trans_real._translations.clear()
            yield
    finally:
        voices.catalogue.cache_clear()
        trans_real._translations.clear()
        trans_real._translations.update(translations)
