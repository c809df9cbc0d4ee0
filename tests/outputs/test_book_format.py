"""The document about the book's file says what is so."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest
from msgspec import structs

from gylebook.inputs.book_import import read_book
from gylebook.journal.book_file import SOURCES, Header, Row, header_line, line
from gylebook.journal.events import KINDS
from gylebook.outputs.book_export import READING_COLUMNS
from gylebook.store.backup import ACCOUNTS, DATABASE, JOURNAL, MANIFEST

ROOT = Path(__file__).parents[2]
DOCUMENT = (ROOT / "docs" / "book-format.md").read_text(encoding="utf-8")


def test_the_tables_of_kinds_are_those_of_the_journal():
    spec = importlib.util.spec_from_file_location("book_format", ROOT / "scripts" / "book_format.py")
    book_format = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(book_format)
    assert book_format.renewed(DOCUMENT) == DOCUMENT, "run: python scripts/book_format.py"


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_and_each_of_its_fields_stand_in_the_document(kind):
    section = DOCUMENT.split(f"### `{kind}`\n")[1].split("\n### ")[0]
    fields = re.findall(r"^\| `(\w+)` \|", section, re.MULTILINE)
    assert fields == [field.name for field in structs.fields(KINDS[kind][0])]


@pytest.mark.parametrize("name", [*Header.__struct_fields__, *Row.__struct_fields__])
def test_every_field_of_header_and_line_is_explained(name):
    assert f"| `{name}` |" in DOCUMENT.split("## Entries are never changed")[0]


def test_the_examples_are_a_file_that_reads_back_to_the_byte():
    examples = "".join(re.findall(r"```json\n(.*?)```", DOCUMENT, re.DOTALL)).encode()
    found = list(read_book(examples.splitlines(keepends=True)))
    assert all(isinstance(each, tuple) for each in found), found
    assert header_line("0.1.0", len(found)) + b"".join(line(row) for _, row in found) == examples


def test_sources_columns_and_parts_of_a_backup_are_named():
    for word in (*SOURCES, *READING_COLUMNS, JOURNAL, ACCOUNTS, DATABASE, MANIFEST):
        assert word in DOCUMENT
