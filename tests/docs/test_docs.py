"""What the docs say is so: commands are carried out, made pages are current, names and links lead somewhere."""

from __future__ import annotations

import ast
import importlib
import json
import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import click
import pytest
from django.urls import URLPattern

from gylebook import sources
from gylebook.cli.main import book
from gylebook.steps.catalogue import acts, steps
from gylebook.web.page import PLACES
from gylebook.web.urls import urlpatterns

doc_commands = importlib.import_module("doc_commands")
write_docs = importlib.import_module("write_docs")

ROOT = doc_commands.ROOT
SOURCE = ROOT / "src" / "gylebook"
PAGES = [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").rglob("*.md"))]
MADE = write_docs.made()


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def text_of(page: str) -> str:
    return (ROOT / page).read_text(encoding="utf-8")


# --- commands -------------------------------------------------------------------------------------------------


@pytest.mark.xdist_group("docs")
@pytest.mark.parametrize("page", doc_commands.pages(), ids=name_of)
def test_every_command_in_the_docs_answers_as_shown(page: Path, desk) -> None:
    wrong = [
        "\n".join([told.shown.where, f"exit code {told.code}", *told.lines])
        for told in desk.told(page)
        if not told.agrees
    ]
    assert not wrong, "\n\n".join([*wrong, "“make docs” writes the answers anew; read what has changed."])


def test_commands_are_found_in_every_step_and_in_the_first_brew() -> None:
    found = {name_of(page) for page in doc_commands.pages()}
    assert {"README.md", "docs/first-brew.md", *(f"docs/steps/{step.word}.md" for step in steps())} <= found


SCENE = "<!-- at 2026-10-03 10:00 -->\n"


def shown(text: str, tmp_path: Path, monkeypatch) -> tuple:
    monkeypatch.setattr(doc_commands, "ROOT", tmp_path)
    page = tmp_path / "page.md"
    page.write_text(text, encoding="utf-8")
    return doc_commands.shown_in(page)


def test_a_command_may_go_on_in_the_next_line_and_its_answer_follows_it(tmp_path, monkeypatch) -> None:
    text = f"{SCENE}```console\n$ gylebook log 1 \\\n    note --text 'so and so'\nWritten\n\n$ gylebook next\n```\n"
    first, second = shown(text, tmp_path, monkeypatch)
    assert (first.words, first.answer) == (("log", "1", "note", "--text", "so and so"), ("Written",))
    assert (second.words, second.answer) == (("next",), ())
    assert first.at == datetime(2026, 10, 3, 10, tzinfo=first.at.tzinfo)


@pytest.mark.parametrize(
    "text",
    [
        "```console\n$ gylebook next\n```\n",
        f"{SCENE}```console\nls\n```\n",
        f"{SCENE}```console\n$ gylebook sources | head\n```\n",
    ],
    ids=["no moment", "another program", "a shell"],
)
def test_a_page_that_cannot_be_carried_out_is_refused(text: str, tmp_path, monkeypatch) -> None:
    with pytest.raises(doc_commands.Unclear, match=r"page\.md:\d"):
        shown(text, tmp_path, monkeypatch)


@pytest.mark.parametrize(
    ("answer", "told", "agrees"),
    [
        (("a", "b"), ("a", "b"), True),
        (("a",), ("a", "b"), False),
        ((), ("a",), False),
        (("a", "...", "c"), ("a", "b", "b", "c"), True),
        (("a", "...", "c"), ("a", "c"), True),
        (("a", "...", "c"), ("a", "b"), False),
        (("...",), (), True),
        (("... b",), ("a b",), False),
    ],
)
def test_three_dots_alone_on_a_line_stand_for_any_lines(answer, told, agrees: bool) -> None:
    assert doc_commands.matches(answer, told) is agrees


def test_an_answer_that_was_shortened_is_renewed_in_the_same_paragraphs_and_agrees_afterwards() -> None:
    before = ("Written: 1.010.", "...", "Now: it is finished.", "...")
    told = ("Written: 1.010 SG.", "", "Take care", "  Taste it.", "", "Now: it is all finished.", "", "Next: bottle.")
    after = doc_commands.renewed(before, told)
    assert after == ("Written: 1.010 SG.", "...", "Now: it is all finished.", "...")
    assert doc_commands.matches(after, told)
    assert doc_commands.renewed(("...",), told) == ("...",)
    assert doc_commands.renewed(("Written.",), told) == told


def test_a_command_that_fails_agrees_only_where_the_page_says_that_it_is_refused(tmp_path, monkeypatch) -> None:
    text = f"{SCENE}```console\n$ gylebook next\n...\n```\n```console refused\n$ gylebook next\n...\n```\n"
    meant, refused = shown(text, tmp_path, monkeypatch)
    assert [doc_commands.Told(meant, code, ()).agrees for code in (0, 2)] == [True, False]
    assert [doc_commands.Told(refused, code, ()).agrees for code in (0, 2)] == [False, True]


def console_words(text: str) -> Iterator[list[str]]:
    for span in re.findall(r"`gylebook ([^`]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL)):
        yield span.split()


def is_a_command(words: list[str]) -> bool:
    """Whether the words lead to a command; arguments such as BREW are passed over."""
    command: click.Command = book
    ctx = click.Context(book)
    while words and not words[0].startswith("-"):
        if not isinstance(command, click.Group):
            return True
        found = command.get_command(ctx, words[0])
        if found is None:
            return False
        taken = len([p for p in found.params if isinstance(p, click.Argument)]) if isinstance(found, click.Group) else 0
        command, words = found, words[1 + taken :]
    return True


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_every_command_that_a_sentence_names_is_there(page: Path) -> None:
    words = list(console_words(page.read_text(encoding="utf-8")))
    assert not [" ".join(each) for each in words if not is_a_command(each)]


def test_a_command_that_is_not_there_is_found_out() -> None:
    assert is_a_command(["log", "BREW", "pitch", "--mass", "11"])
    assert not is_a_command(["log", "BREW", "froth"])
    assert not is_a_command(["froth"])


# --- made pages -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", MADE, ids=name_of)
def test_a_made_page_is_current(page: Path) -> None:
    assert page.read_text(encoding="utf-8") == MADE[page], "run: make docs"


@pytest.mark.parametrize("step", steps(), ids=lambda step: step.word)
def test_a_steps_page_opens_with_its_title_and_its_question_and_keeps_its_order(step) -> None:
    text = text_of(f"docs/steps/{step.word}.md")
    assert text.startswith(f"# {step.title}\n\n*{step.question}*\n\n")
    parts = ("What it needs", "How it reckons", "Limits", "An example", "What can be written", "Take care")
    places = [text.index(f"\n## {part}\n") for part in parts]
    assert places == sorted(places)
    assert "sources.md#" in text


def test_a_steps_page_without_its_comments_is_refused() -> None:
    with pytest.raises(ValueError, match=r"docs/steps/plan\.md must hold"):
        write_docs.with_part("# Plan\n", steps()[0])


# --- shapes ---------------------------------------------------------------------------------------------------

PARTS = {
    "figures": "figure",
    "working": "working",
    "findings": "finding",
    "collisions": "finding",
    "options": "option",
    "tasks": "task",
    "entries": "entry",
    "sources": "source",
}


def told_names(heading: str) -> set[str]:
    """Names in the table below a heading of docs/shapes.md."""
    section = re.split(r"\n#+ ", text_of("docs/shapes.md").split(f"# `{heading}`\n")[1])[0]
    cells = re.findall(r"^\| (`.+?) \|", section, re.MULTILINE)
    return {name for cell in cells for name in re.findall(r"`(\w+)`", cell)}


def parts_of(plain: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every part of an answer that has a table of its own, with the table's heading; a brew's card is the book's own."""
    for name, value in plain.items() if isinstance(plain, dict) else ():
        if name == "card":
            continue
        for each in value if isinstance(value, list) else [value]:
            if name in PARTS and isinstance(each, dict):
                yield PARTS[name], each
            yield from parts_of(each)


@pytest.mark.xdist_group("docs")
def test_every_answer_to_a_program_has_the_names_that_the_docs_tell(desk) -> None:
    answers = [json.loads("\n".join(told.lines)) for told in desk.told(ROOT / "docs" / "shapes.md")]
    for plain in answers:
        assert set(plain) - {"shape", "shape_version"} == told_names(plain["shape"]), plain["shape"]
    parts = [part for plain in answers for part in parts_of(plain)]
    assert {heading for heading, _ in parts} == set(PARTS.values())
    assert not [
        (heading, set(part) ^ told_names(heading)) for heading, part in parts if set(part) != told_names(heading)
    ]


def test_every_shape_that_a_command_answers_with_is_in_the_docs() -> None:
    code = "\n".join(path.read_text(encoding="utf-8") for path in (SOURCE / "cli").glob("*.py"))
    shapes = set(re.findall(r"\b(?:give|shape)\(\s*\"(\w+)\"", code))
    headed = set(re.findall(r"`(\w+)`", " ".join(re.findall(r"^## (.+)$", text_of("docs/shapes.md"), re.MULTILINE))))
    assert {"answer", "error", "serving"} <= shapes
    assert shapes == headed


# --- links, names, settings -----------------------------------------------------------------------------------

LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")


def anchors(page: Path) -> set[str]:
    """Anchors of a page's headings, as its readers' programs make them."""
    heads = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_every_link_leads_somewhere(page: Path) -> None:
    dead = []
    for link in LINK.findall(page.read_text(encoding="utf-8")):
        place, _, anchor = link.partition("#")
        target = (page.parent / place).resolve() if place else page
        if not target.exists() or (anchor and anchor not in anchors(target)):
            dead.append(link)
    assert not dead


def test_every_cited_source_is_in_the_bibliography() -> None:
    cited = {key for page in PAGES for key in re.findall(r"sources\.md#(\w+)", page.read_text(encoding="utf-8"))}
    assert len(cited) > 30
    assert cited <= set(sources.all())


def variables_read(tree: ast.AST) -> Iterator[str]:
    """Names that code reads from its environment."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and node.args:
            function = node.func
            names = [arg.value if isinstance(arg, ast.Constant) else None for arg in node.args]
            if isinstance(function, ast.Attribute) and function.attr == "get" and is_environment(function.value):
                yield from [name for name in names[:1] if isinstance(name, str)]
            elif getattr(function, "id", getattr(function, "attr", "")) == "switch":
                yield from [name for name in names if isinstance(name, str)]
        elif isinstance(node, ast.Subscript) and isinstance(node.ctx, ast.Load) and is_environment(node.value):
            yield ast.unparse(node.slice).strip("'")


def is_environment(node: ast.AST) -> bool:
    return getattr(node, "id", getattr(node, "attr", "")) in {"env", "environ"}


def test_every_variable_that_the_book_reads_is_documented() -> None:
    found = {
        name for path in SOURCE.rglob("*.py") for name in variables_read(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert {"GYLEBOOK_HOME", "GYLEBOOK_PORT", "GYLEBOOK_HOST", "DATABASE_URL"} <= found
    documented = set(re.findall(r"^\| `([A-Z_]+)` \|", text_of("docs/settings.md"), re.MULTILINE))
    assert documented == found


def test_every_page_of_the_book_is_documented() -> None:
    first_words = {
        str(pattern.pattern).split("/")[0]
        for pattern in urlpatterns
        if not (isinstance(pattern, URLPattern) and pattern.name in {"look", "language", "start_afresh"})
    }
    text = text_of("docs/pages.md")
    assert first_words >= {"brews", "stores", "book"}
    assert not [word for word in first_words if word and f"`/{word}/" not in text]
    assert not [label for _, label in PLACES if f"| {label} |" not in text]


def words_on_pages() -> str:
    templates = [path.read_text(encoding="utf-8") for path in (SOURCE / "web").rglob("*.html")]
    code = [path.read_text(encoding="utf-8") for path in (SOURCE / "web").rglob("*.py")]
    fields = [
        each.label
        for each in [
            field for step in steps() for act in (*step.acts, step) for field in getattr(act, "fields", step.ask)
        ]
    ]
    shelf = [path.read_text(encoding="utf-8") for path in (SOURCE / "steps").glob("shelf*.py")]
    buttons = [each.words for act in acts().values() for each in (act, act.bottled) if each is not None]
    return "\n".join([*templates, *code, *shelf, *fields, *buttons, *(s.title for s in steps())])


def test_what_the_first_brew_says_to_press_is_on_the_pages() -> None:
    paragraphs = [part for part in text_of("docs/first-brew.md").split("\n\n") if part.startswith("*On the page:*")]
    pressed = [
        " ".join(words.split()) for part in paragraphs for words in re.findall(r"\*\*(.+?)\*\*", part, re.DOTALL)
    ]
    there = words_on_pages()
    assert len(pressed) > 30
    assert not [words for words in pressed if words not in there]


def test_the_readme_says_what_it_is_for_and_how_to_start_within_120_lines() -> None:
    lines = text_of("README.md").splitlines()
    assert len(lines) <= 120
    paragraph = " ".join(lines[2:]).split("  ")[0]
    assert all(word in paragraph for word in ("beer", "home", "malt-extract kits", "interval"))
    commands = re.findall(r"^make \w+", "\n".join(lines), re.MULTILINE)
    assert commands == ["make start", "make test"]
    assert all(
        word in text_of("README.md") for word in ("GYLEBOOK_HOME", "GYLEBOOK_PORT", "DATABASE_URL", "± 0.15 % vol")
    )


@pytest.mark.parametrize("page", [page for page in PAGES if "decisions" not in page.parts], ids=name_of)
def test_every_page_of_the_docs_can_be_reached_from_the_readme(page: Path) -> None:
    reached, waiting = set(), [ROOT / "README.md"]
    while waiting:
        here = waiting.pop()
        if here in reached or here.suffix != ".md" or not here.exists():
            continue
        reached.add(here)
        links = [link.partition("#")[0] for link in LINK.findall(here.read_text(encoding="utf-8"))]
        waiting += [(here.parent / link).resolve() for link in links if link]
    assert page in reached
