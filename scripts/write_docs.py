"""Write what is made in the docs: `make docs`.

Whole pages: docs/commands.md from the commands' own help, docs/sources.md from the bibliography. What stands between
two comments: in docs/steps/ from the catalogue of steps, in docs/book-format.md from the kinds of entries. Then every
command that a page shows is carried out, and an answer that has changed is written anew: read the difference before you
keep it.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import book_format
import doc_commands

from gylebook import sources
from gylebook.cli.manual import manual
from gylebook.cli.options import option_name
from gylebook.steps.catalogue import steps
from gylebook.steps.decision import Act, Step
from gylebook.steps.fields import COUNT, DATE, FLAG, LONG_TEXT, Field

ROOT = doc_commands.ROOT
DOCS = ROOT / "docs"
BEGIN = "<!-- made by “make docs” from here: change steps/{word}.py instead -->"
END = "<!-- made by “make docs” to here -->"
# What a field takes, by its kind or its dimensions.
TAKES = {
    COUNT: "a whole number",
    FLAG: "yes or no",
    DATE: "a day, such as 2026-11-03",
    LONG_TEXT: "several lines; by command the option once for each",
    "mass": "a weight",
    "volume": "a volume",
    "temperature": "a temperature",
    "gravity": "SG",
    "extract": "°P",
    "co2": "volumes or g/L of CO2",
    "time": "a time",
    "share": "%",
}


def made() -> dict[Path, str]:
    """Every page that is made, wholly or in part, as it should be."""
    document = book_format.DOCUMENT
    found = {
        DOCS / "commands.md": manual(),
        DOCS / "sources.md": sources_page(),
        document: book_format.renewed(document.read_text(encoding="utf-8")),
    }
    for step in steps():
        page = DOCS / "steps" / f"{step.word}.md"
        found[page] = with_part(page.read_text(encoding="utf-8"), step)
    return found


def with_part(text: str, step: Step) -> str:
    """A step's page with the part between the two comments made anew.

    Raises
    ------
    ValueError
        The comments are not there.
    """
    begin = BEGIN.format(word=step.word)
    if text.count(begin) != 1 or text.count(END) != 1:
        raise ValueError(f"docs/steps/{step.word}.md must hold “{begin}” and “{END}”, each once")
    before, rest = text.split(begin)
    return f"{before}{begin}\n\n{step_part(step)}\n\n{END}{rest.split(END)[1]}"


def step_part(step: Step) -> str:
    """What can be supposed and written at a step, and its cautions."""
    supposed = (
        "## What can be supposed",
        (
            "On the page under “What if it were otherwise?”, by command as options of "
            f"`gylebook ask BREW {step.word}`. Nothing of it is written down."
        ),
        field_list(step.ask),
    )
    parts = (
        *(supposed if step.ask else ()),
        "## What can be written",
        "Each entry also takes the moment it happened (`--when`); left out, that is now.",
        *(part for act in step.acts for part in act_parts(act, step)),
        "## Take care",
        "\n".join(f"- {caution}" for caution in step.cautions),
    )
    return "\n\n".join(part for part in parts if part)


def act_parts(act: Act, step: Step) -> tuple[str, ...]:
    """One act: its words, what it asks for, and the cautions of its own."""
    own = [caution for caution in act.cautions if caution not in step.cautions]
    return (
        f"### {act.words}: `gylebook log BREW {act.name}`",
        act.about,
        field_list(act.fields),
        " ".join(own),
    )


def field_list(fields: Iterable[Field]) -> str:
    """What is asked for, one line each: label, option, units or choices, and what an empty one means."""
    return "\n".join(f"- {field_words(field)}" for field in fields)


def field_words(field: Field) -> str:
    """One field: its label, its option, what it takes, and what an empty one means."""
    inside = [f"`{option_name(field)}`"]
    if field.required and not field.default:
        inside.append("needed")
    inside += [TAKES[name] for name in (field.kind, *field.dimensions) if name in TAKES]
    parts = [f"**{field.label}** ({', '.join(inside)})"]
    if field.choices:
        parts.append(", ".join(choice_words(value, words) for value, words in field.choices))
    if field.default:
        parts.append(f"left empty: {field.default}" + (f", {field.reason}" if field.reason else ""))
    elif field.reason:
        parts.append(f"left empty: {field.reason}")
    if field.hint:
        parts.append(f"*{field.hint.rstrip('.')}*")
    return plain("; ".join(parts), keep="*") + "."


def choice_words(value: str, words: str) -> str:
    """One choice as it is typed, with what it means where that says more."""
    return f"`{value}`" if words == value.replace("_", " ") else f"`{value}` – {words}"


def plain(text: str, keep: str = "") -> str:
    """Words of the program as they must stand in Markdown; the signs in `keep` are meant as such."""
    return "".join(f"\\{sign}" if sign in "*<[" and sign not in keep else sign for sign in text)


def sources_page() -> str:
    """The bibliography as a page."""
    every = sources.all().values()
    counted = Counter(source.standing for source in every)
    head = [
        "# Where the numbers come from",
        (
            "Made by `make docs` from `src/gylebook/sources.toml`; change that. `gylebook sources KEY` and the page "
            "*Where the numbers come from* show the same, the page with the check values of each."
        ),
        "A source is cited by its key. Its standing says how far a number can be trusted to say what its source says:",
        "\n".join(f"- **{each.words}** ({counted[each]}): {each.meaning}." for each in sources.Standing),
    ]
    body = [
        f"## {source.key}\n\n{plain(source.citation)}\n\n**{source.standing.words}.** {plain(source.note)}".rstrip()
        for source in every
    ]
    return "\n\n".join([*head, *body]) + "\n"


def write(page: Path, text: str) -> None:
    """Write a page where it has changed, and say so."""
    if not page.exists() or page.read_text(encoding="utf-8") != text:
        page.write_text(text, encoding="utf-8")
        print(f"Wrote {page.relative_to(ROOT)}")


def main() -> None:
    """Write every made page, then every answer that has changed."""
    for page, text in made().items():
        write(page, text)
    with tempfile.TemporaryDirectory(prefix="gylebook-docs-") as folder:
        desk = doc_commands.Desk(Path(folder))
        wrong = []
        for page in doc_commands.pages():
            wrong += [told.shown.where for told in desk.told(page) if (told.code != 0) != told.shown.refused]
            write(page, desk.rewritten(page))
    if wrong:
        sys.exit("These commands did not do what the page says:\n" + "\n".join(wrong))


if __name__ == "__main__":
    main()
