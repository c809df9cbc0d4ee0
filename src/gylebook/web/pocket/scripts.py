"""The scripts of Pocket as they travel: modules that are wanted together as one file, without comments and indents.

The modules themselves are written by hand and stand in static/; nothing is built. They keep to a few forms, which makes
joining them a matter of lines: `import { a, b } from "./x.js";`, `export` before a declaration or as
`export { a } from "./x.js";`, and no name twice at the outermost level of modules that travel together.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path, PurePosixPath
from types import MappingProxyType

from django.conf import settings

PAGE, SUMS, SENDING, WORDS = "page", "sums", "sending", "words"
# What begins a part; everything that it imports comes along, but what an earlier part has. The page and the worker send
# with the same script, and the sums are fetched when they are first wanted, or by the worker.
_BEGINS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    WORDS: ("modules/words.js",),
    SENDING: ("pocket/store.js", "pocket/line.js", "pocket/outbox.js"),
    SUMS: ("pocket/sums/index.js",),
    PAGE: ("pocket/pocket.js",),
})  # fmt: skip

_IMPORT = re.compile(r'^import \{ ([^}]*) \} from "([^"]+)";\n', re.MULTILINE)
_PASSED_ON = re.compile(r'^export \{ ([^}]*) \} from "([^"]+)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export ((?:async )?(?:const|class|function) (\w+))", re.MULTILINE)
_LATER = re.compile(r'\bimport\("([^"]+)"\)')
_OUTERMOST = re.compile(r"^(?:export )?(?:async )?(?:const|let|class|function) (\w+)", re.MULTILINE)
_COMMENT = re.compile(r"^[ \t]*/\*.*?\*/[ \t]*\n", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Script:
    """A part as it travels, and its print."""

    content: bytes
    print: str


def scripts() -> Mapping[str, Script]:
    """Every part by its name; made anew when a module has changed."""
    root = Path(settings.STATIC_ROOT)
    found = sorted(path for folder in ("pocket", "modules") for path in (root / folder).rglob("*.js"))
    return _scripts(root, tuple((path, path.stat().st_mtime_ns) for path in found))


def name_of(part: str) -> str:
    """The file's name, with its print: a browser may keep it for as long as it likes."""
    return f"{part}.js?{scripts()[part].print}"


@cache
def _scripts(root: Path, stamps: tuple[tuple[Path, int], ...]) -> Mapping[str, Script]:
    del stamps
    made: dict[str, Script] = {}
    home: dict[str, str] = {}  # of each module the part in which it travels
    for part, begins in _BEGINS.items():
        own = _in_order(root, begins, home)
        home |= dict.fromkeys(own, part)
        content = _joined(root, part, own, home, made).encode()
        made[part] = Script(content, hashlib.sha256(content).hexdigest()[:12])
    return MappingProxyType(made)


def _in_order(root: Path, begins: tuple[str, ...], home: Mapping[str, str]) -> tuple[str, ...]:
    """These modules and all that they import and no earlier part has, each after what it imports."""
    found: dict[str, None] = {}

    def take(name: str) -> None:
        if name in found or name in home:
            return
        script = (root / name).read_text(encoding="utf-8")
        for at in (*_IMPORT.finditer(script), *_PASSED_ON.finditer(script)):
            take(_resolved(name, at[2]))
        found[name] = None

    for each in begins:
        take(each)
    return tuple(found)


def _resolved(importer: str, address: str) -> str:
    """The name of a module from where it is imported."""
    parts: list[str] = []
    for piece in (*PurePosixPath(importer).parent.parts, *PurePosixPath(address).parts):
        if piece == "..":
            parts.pop()
        elif piece != ".":
            parts.append(piece)
    return "/".join(parts)


def _joined(root: Path, part: str, own: tuple[str, ...], home: Mapping[str, str], made: Mapping[str, Script]) -> str:
    """One module of several."""
    wanted: dict[str, dict[str, None]] = {}
    given: list[str] = []
    bodies: list[str] = []
    outermost: set[str] = set()
    for name in own:
        script = (root / name).read_text(encoding="utf-8")
        for at in _IMPORT.finditer(script):
            other = home[_resolved(name, at[2])]
            if other != part:
                wanted.setdefault(other, {}).update(dict.fromkeys(at[1].split(", ")))
            elif " as " in at[1]:
                raise ValueError(f"{name} gives another name to what travels with it: {at[0]}")
        if name in _BEGINS[part]:
            given += [each for at in _PASSED_ON.finditer(script) for each in at[1].split(", ")]
            given += [at[2] for at in _EXPORT.finditer(script)]
        names = set(_OUTERMOST.findall(script))
        if twice := outermost & names:
            raise ValueError(f"{name} has a name of a module that it travels with: {', '.join(sorted(twice))}")
        outermost |= names
        bodies.append(_light(name, script, home, made))
    head = "".join(
        f'import {{{",".join(names)}}} from "./{_address(other, made)}";\n' for other, names in wanted.items()
    )
    return head + "".join(bodies) + (f"export {{{','.join(given)}}};\n" if given and part != PAGE else "")


def _light(name: str, script: str, home: Mapping[str, str], made: Mapping[str, Script]) -> str:
    """A module without what only its reader and its neighbours want."""
    body = _EXPORT.sub(r"\1", _PASSED_ON.sub("", _IMPORT.sub("", script)))
    body = _LATER.sub(lambda at: f'import("./{_address(home[_resolved(name, at[1])], made)}")', body)
    if re.search(r"^\s*(?:import|export)\b", body, re.MULTILINE):
        raise ValueError(f"{name} imports or exports in a form that cannot be joined")
    return plain(name, body)


def plain(name: str, script: str) -> str:
    """A script without comments on lines of their own, and without indents.

    Raises
    ------
    ValueError
        When it has a text of several lines.
    """
    lines = [line.strip() for line in _COMMENT.sub("", script).splitlines()]
    if any(line.replace("\\`", "").count("`") % 2 for line in lines):
        raise ValueError(f"{name} has a text of several lines, whose indents matter")
    return "".join(f"{line}\n" for line in lines if line)


def _address(part: str, made: Mapping[str, Script]) -> str:
    return f"{part}.js?{made[part].print}"
