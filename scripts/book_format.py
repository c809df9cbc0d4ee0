"""Write the tables of docs/book-format.md from the journal's own kinds, so that they cannot go stale.

    python scripts/book_format.py

A test fails when the document and the kinds differ.
"""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import msgspec
from msgspec import inspect as kinds_of
from msgspec import structs

from gylebook.journal import events as ev
from gylebook.units import Quantity

DOCUMENT = Path(__file__).parents[1] / "docs" / "book-format.md"
BEGIN, END = "<!-- kinds: begin -->", "<!-- kinds: end -->"

_COMMENT = re.compile(r"^\s+(?P<name>\w+):.*?#\s*(?P<comment>.+)$")
_WORDS = {
    kinds_of.StrType: "text",
    kinds_of.IntType: "whole number",
    kinds_of.BoolType: "true or false",
    kinds_of.DateType: "date",
    kinds_of.DateTimeType: "moment",
    kinds_of.DictType: "body of the kind",
    kinds_of.AnyType: "anything",
    kinds_of.NoneType: "nothing",
}


def tables() -> str:
    """The tables of every kind, and of the parts that they are made of."""
    parts: dict[str, type[msgspec.Struct]] = {}
    kinds = []
    for kind, (struct, version) in ev.KINDS.items():
        place = "shelf" if kind in ev.SHELF_KINDS - {"corrected", "noted"} else "brew"
        place = "brew or shelf" if kind in {"corrected", "noted"} else place
        kinds.append(
            f"### `{kind}`\n\n{_sentence(struct)} Version {version}; in the {place}.\n\n{_table(struct, parts)}"
        )
    done: list[str] = []
    while waiting := [name for name in parts if name not in done]:
        for name in waiting:
            done.append(name)
            _table(parts[name], parts)
    made_of = [f"### {_part(parts[name])}\n\n{_sentence(parts[name])}\n\n{_table(parts[name], parts)}" for name in done]
    return "\n".join(["## The kinds\n", *kinds, "## The parts\n", *made_of])


def _sentence(struct: type) -> str:
    return " ".join((inspect.getdoc(struct) or "").split("\n\n")[0].split())


def _part(struct: type) -> str:
    return re.sub(r"(?<!^)(?=[A-Z])", " ", struct.__name__).lower()


def _table(struct: type[msgspec.Struct], parts: dict[str, type[msgspec.Struct]]) -> str:
    comments = {
        match["name"]: match["comment"]
        for text in inspect.getsource(struct).splitlines()
        if (match := _COMMENT.match(text))
    }
    types = {field.name: field.type for field in kinds_of.type_info(struct).fields}
    lines = ["| field | what | left out means |", "|---|---|---|"]
    for field in structs.fields(struct):
        what = _words(types[field.name], parts)
        note = f"; {comments[field.name]}" if field.name in comments else ""
        lines.append(f"| `{field.name}` | {what}{note} | {_default(field)} |")
    if len(lines) == 2:
        return "No fields.\n"
    return "\n".join(lines) + "\n"


def _words(found: kinds_of.Type, parts: dict[str, type[msgspec.Struct]]) -> str:
    if isinstance(found, kinds_of.LiteralType):
        return "one of " + ", ".join(f"“{value}”" for value in found.values if value)
    if isinstance(found, kinds_of.UnionType):
        return " or ".join(_words(each, parts) for each in found.types if not isinstance(each, kinds_of.NoneType))
    if isinstance(found, kinds_of.VarTupleType):
        return f"list of: {_words(found.item_type, parts)}"
    if isinstance(found, kinds_of.StructType):
        if found.cls is not Quantity:
            parts.setdefault(found.cls.__name__, found.cls)
        return "quantity" if found.cls is Quantity else _part(found.cls)
    return _WORDS[type(found)]


def _default(field: structs.FieldInfo) -> str:
    if field.required:
        return "(never left out)"
    if isinstance(field.default, bool):
        return "true" if field.default else "false"
    if isinstance(field.default, int):
        return str(field.default)
    return f"“{field.default}”" if isinstance(field.default, str) and field.default else "not written down"


def renewed(document: str) -> str:
    """The document with its tables made anew."""
    before, rest = document.split(BEGIN)
    return f"{before}{BEGIN}\n\n{tables()}\n{END}{rest.split(END)[1]}"


if __name__ == "__main__":
    DOCUMENT.write_text(renewed(DOCUMENT.read_text(encoding="utf-8")), encoding="utf-8")
