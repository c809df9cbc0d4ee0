"""Gather every sentence that can be told in another language, and bring the catalogues up to date.

    python scripts/gather_words.py            write src/gylebook/locale/*/LC_MESSAGES/django.po and .mo
    python scripts/gather_words.py --check    write nothing; exit 1 where something is missing or out of date

Sentences stand in the code as `say("…")` and `say_count(n, "…", "…")`, in the templates as `{% translate "…" %}` and
`{% blocktranslate %}`, and in the scripts of the pages as `say("…")`. What is translated already is kept; a sentence
that has changed has to be translated anew, nothing is guessed.
"""

from __future__ import annotations

import argparse
import ast
import io
import os
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_python
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "gylebook"
LANGUAGES = ("de",)
_LETTER = re.compile(r"[^\W\d_]")
# but for the order of a date and of a sum of money, and quotation marks
_ORDERED = re.compile(r"\{weekday\}|\{month\}|\{sign\}\{|[“”]")
_PART = re.compile(r"\{\w*\}|%\(\w+\)s")

_NO_DAY = datetime(2000, 1, 1, tzinfo=UTC)  # so that the same words are the same file
# Lines of a head that would differ from one day or machine to the next.
_OF_THE_DAY = re.compile(rb'^"(?:POT-Creation-Date|PO-Revision-Date|Generated-By|Last-Translator).*\n', re.MULTILINE)

Found = tuple[str, str | None, str]  # the sentence, its form for more than one, the file


def in_code() -> Iterator[Found]:
    """What the Python code says."""
    for path in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            where = str(path.relative_to(SOURCE))
            if node.func.id == "say" and node.args:
                for text in _constants(node.args[0]):
                    yield text, None, where
            elif node.func.id == "say_count":
                for one, more in zip(_constants(node.args[1]), _constants(node.args[2]), strict=True):
                    yield one, more, where


def _constants(node: ast.expr) -> list[str]:
    """The sentences that an argument may be: one, or one of two."""
    if isinstance(node, ast.IfExp):
        return _constants(node.body) + _constants(node.orelse)
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def in_templates() -> Iterator[Found]:
    """What the templates of the pages say."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gylebook.web.settings")
    import django

    django.setup()
    from django.utils.translation.template import templatize

    for path in sorted((SOURCE / "web" / "templates").rglob("*.html")):
        text = templatize(path.read_text("utf-8"), origin=str(path))
        keywords = ("gettext", "ngettext", "gettext_noop", "_")
        found = extract_python(io.BytesIO(text.encode()), keywords, (), {"encoding": "utf-8"})
        for _, function, message, _ in found:
            one, more = message[:2] if isinstance(message, tuple) else (message, None)
            yield one, more if function == "ngettext" else None, str(path.relative_to(SOURCE))


def in_scripts() -> Iterator[Found]:
    """What the scripts of the pages say."""
    from gylebook.web.pocket.words import said_by_scripts

    for each in said_by_scripts():
        yield each.text, each.more or None, f"web/static/{each.file}"


def gathered() -> Catalog:
    """All of it, by sentence."""
    catalog = Catalog(project="Gylebook", charset="utf-8", fuzzy=False)
    for one, more, where in [*in_code(), *in_templates(), *in_scripts()]:
        if not _LETTER.search(_PART.sub("", one)) and not _ORDERED.search(one):
            continue  # parts and marks alone are the same in every language
        known = catalog.get(one)
        places = sorted({*(place for place, _ in (known.locations if known else [])), where})
        plain = not (more or (known is not None and known.pluralizable))
        message = Message(one if plain else (one, more or known.id[1]), locations=[(place, 0) for place in places])
        if known is not None:
            catalog.delete(one)
        catalog[message.id] = message
    return catalog


def brought_up(language: str) -> tuple[Catalog, list[str]]:
    """The catalogue of a language as it should be, and the sentences that lack a translation."""
    path = _path(language)
    kept = Catalog(locale=language)
    if path.exists():
        with path.open("rb") as file:
            kept = read_po(file, locale=language)
    made = Catalog(locale=language, project="Gylebook", charset="utf-8", fuzzy=False, header_comment="", version="",
                   creation_date=_NO_DAY, revision_date=_NO_DAY)  # fmt: skip
    missing: list[str] = []
    for message in sorted((m for m in gathered() if m.id), key=_order):
        one = message.id[0] if message.pluralizable else message.id
        known = kept.get(one)
        string = known.string if known is not None and known.pluralizable == message.pluralizable else ""
        made.add(message.id, string or ("", "") if message.pluralizable else string, locations=message.locations)
        if not (all(string) and string if message.pluralizable else string):
            missing.append(one)
    return made, missing


def _order(message: Message) -> tuple[str, str]:
    return message.locations[0][0], message.id[0] if message.pluralizable else message.id


def written(catalog: Catalog) -> tuple[bytes, bytes]:
    """The catalogue as a PO and an MO file."""
    po, mo = io.BytesIO(), io.BytesIO()
    write_po(po, catalog, width=0, omit_header=False, include_lineno=False, sort_output=False)
    write_mo(mo, catalog)
    dates = re.compile(
        rb'^"(?:POT-Creation-Date|PO-Revision-Date|Generated-By|Last-Translator|Report-Msgid).*\n', re.MULTILINE
    )
    return dates.sub(b"", po.getvalue()), mo.getvalue()


def main() -> int:
    """Write or check; the exit code."""
    asked = argparse.ArgumentParser(description="Gather the words of the book.")
    asked.add_argument("--check", action="store_true", help="write nothing; exit 1 where something is missing")
    check = asked.parse_args().check
    wrong = 0
    for language in LANGUAGES:
        catalog, missing = brought_up(language)
        po, mo = written(catalog)
        path = _path(language)
        if check:
            stale = not path.exists() or (path.read_bytes(), path.with_suffix(".mo").read_bytes()) != (po, mo)
            wrong += bool(missing) or stale
            print(f"{language}: {len(catalog)} sentences, {len(missing)} without a translation{', stale' * stale}")
            for text in missing[:20]:
                print(f"  {text}")
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(po)
        path.with_suffix(".mo").write_bytes(mo)
        print(f"{language}: {len(catalog)} sentences, {len(missing)} without a translation")
    return 1 if wrong else 0


def _path(language: str) -> Path:
    return SOURCE / "locale" / language / "LC_MESSAGES" / "django.po"


if __name__ == "__main__":
    raise SystemExit(main())
