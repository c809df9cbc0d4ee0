"""Sentences that remember how they were made, so that they can be told again in another language or other units.

Every sentence of the book is written in English, as `say("Weigh {mass} of sugar.", mass=say_amount(112, 0, "g"))`. What
comes back is a `str` that reads, compares and hashes as its English text, and keeps its template and its parts beside
it. At the edge, where the reader is known, a `Voice` tells it anew: the template from a catalogue, each part by the
same rule, numbers with the reader's decimal mark, amounts in the reader's units. A plain `str` is never told otherwise:
it is the brewer's own.

What lies below the edge knows no language: nothing in it depends on the voice that happens to be active.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from html import escape
from string import Formatter
from typing import TYPE_CHECKING, Any, Protocol


class Voice(Protocol):
    """How one reader is spoken to."""

    language: str

    def template(self, english: str) -> str:
        """A template in the reader's language, with the same parts in braces."""

    def plural(self, one: str, more: str, number: int) -> str:
        """The template for that many."""

    def number(self, text: str) -> str:
        """A number as "1.012", in the reader's digits."""

    def amount(self, values: tuple[float, ...], digits: int, unit: str, between: str, english: str) -> str:
        """One amount, or two with a word between, in the reader's units; `english` is how the sentence has it."""

    def turned(self, how: str, text: str) -> str:
        """A text begun with a capital, put in small letters, without what stands at its end ..."""


class Told(str):
    """An English text that can be told otherwise. Made by `say` and its kin, never by hand."""

    __slots__ = ()

    def told(self, voice: Voice) -> str:
        """The text as this voice tells it."""
        raise NotImplementedError

    def packed(self) -> Any:
        """As a list that JSON can keep; `unpack` reads it back."""
        raise NotImplementedError

    def __html__(self) -> str:
        return escape(tell(self))

    def __str__(self) -> str:
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return unpack, (self.packed(),)

    def __add__(self, other: str) -> str:
        return joined("", (self, other)) if isinstance(other, str) else NotImplemented

    def __radd__(self, other: str) -> str:
        return joined("", (other, self)) if isinstance(other, str) else NotImplemented

    def strip(self, chars: str | None = None) -> str:
        """Without such characters at either end."""
        return _turned(f"strip:{chars or ''}", self, str.strip(self, chars))

    def lstrip(self, chars: str | None = None) -> str:
        """Without such characters at its beginning."""
        return _turned(f"lstrip:{chars or ''}", self, str.lstrip(self, chars))

    def rstrip(self, chars: str | None = None) -> str:
        """Without such characters at its end."""
        return _turned(f"rstrip:{chars or ''}", self, str.rstrip(self, chars))

    def removesuffix(self, suffix: str) -> str:
        """Without that ending."""
        return _turned(f"removesuffix:{suffix}", self, str.removesuffix(self, suffix))

    def lower(self) -> str:
        """In small letters, in languages that write nouns so."""
        return _turned("lower", self, str.lower(self))

    def upper(self) -> str:
        """In capitals."""
        return _turned("upper", self, str.upper(self))

    def capitalize(self) -> str:
        """Begun with a capital."""
        return _turned("capitalize", self, str.capitalize(self))

    def splitlines(self, keepends: bool = False) -> list[str]:
        """Itself where it is one line."""
        return [self] if "\n" not in self and self else str.splitlines(self, keepends)


class Plain(Told):
    """A text that reads the same in every voice, where one that can be told otherwise may stand as well."""

    __slots__ = ()

    def told(self, voice: Voice) -> str:  # noqa: ARG002
        """As it is."""
        return str.__str__(self)

    def packed(self) -> Any:
        """As it is."""
        return str.__str__(self)


class Phrase(Told):
    """A template with its parts."""

    __slots__ = ("parts", "template")
    template: str
    parts: Mapping[str, str]

    def told(self, voice: Voice) -> str:
        """The text as this voice tells it."""
        return _filled(voice.template(self.template), {k: _told(v, voice) for k, v in self.parts.items()})

    def packed(self) -> list[Any]:
        """As a list that JSON can keep."""
        return ["say", self.template, {name: pack(part) for name, part in self.parts.items()}]


class Counted(Told):
    """Two templates, for one and for more, with their parts."""

    __slots__ = ("more", "number", "one", "parts")
    number: int
    one: str
    more: str
    parts: Mapping[str, str]

    def told(self, voice: Voice) -> str:
        """The text as this voice tells it."""
        parts = {name: _told(part, voice) for name, part in self.parts.items()}
        return _filled(voice.plural(self.one, self.more, self.number), parts | {"n": voice.number(str(self.number))})

    def packed(self) -> list[Any]:
        """As a list that JSON can keep."""
        return ["count", self.number, self.one, self.more, {name: pack(part) for name, part in self.parts.items()}]


class Joined(Told):
    """Texts one after another."""

    __slots__ = ("items", "mark")
    mark: str
    items: tuple[str, ...]

    def told(self, voice: Voice) -> str:
        """The text as this voice tells it."""
        return _told(self.mark, voice).join(_told(item, voice) for item in self.items)

    def packed(self) -> list[Any]:
        """As a list that JSON can keep."""
        return ["join", pack(self.mark), [pack(item) for item in self.items]]


class Turned(Told):
    """A text with its beginning or end changed."""

    __slots__ = ("how", "text")
    how: str
    text: str

    def told(self, voice: Voice) -> str:
        """The text as this voice tells it."""
        return voice.turned(self.how, _told(self.text, voice))

    def packed(self) -> list[Any]:
        """As a list that JSON can keep."""
        return ["turn", self.how, pack(self.text)]


class Number(Told):
    """A number in digits."""

    __slots__ = ()

    def removesuffix(self, suffix: str) -> str:
        """Without that ending, as ".0": a matter of digits, before any language tells them."""
        return Number(str.removesuffix(self, suffix))

    def rstrip(self, chars: str | None = None) -> str:
        """Without such digits at its end."""
        return Number(str.rstrip(self, chars))

    def told(self, voice: Voice) -> str:
        """The number as this voice tells it."""
        return voice.number(str.__str__(self))

    def packed(self) -> list[Any]:
        """As a list that JSON can keep."""
        return ["number", str.__str__(self)]


class Amount(Told):
    """One number with its unit, or two with a word between them."""

    __slots__ = ("between", "digits", "unit", "values")
    values: tuple[float, ...]
    digits: int
    unit: str
    between: str

    def told(self, voice: Voice) -> str:
        """The amount as this voice tells it."""
        return voice.amount(self.values, self.digits, self.unit, _told(self.between, voice), str.__str__(self))

    def packed(self) -> list[Any]:
        """As a list that JSON can keep."""
        return ["amount", list(self.values), self.digits, self.unit, pack(self.between)]


def say(template: str, /, **parts: object) -> str:
    """A sentence, or a piece of one, from a template with its parts in braces.

    Parts are texts; anything else is put in as `str` has it. Without parts the template is the text, braces and all.
    """
    if not parts:
        made = Phrase(template)
        made.template, made.parts = template, _NO_PARTS
        return made
    return _phrase(template, _as_texts(parts))


def say_count(number: int, one: str, more: str, /, **parts: object) -> str:
    """As `say`, from the one template or the other; `{n}` stands for the number."""
    texts = _as_texts(parts)
    made = Counted(_filled(one if number == 1 else more, {**texts, "n": str(number)}))
    made.number, made.one, made.more, made.parts = number, one, more, texts
    return made


def joined(mark: str, items: Iterable[str]) -> str:
    """The items with the mark between them; plain where none of them can be told otherwise."""
    found = tuple(items)
    text = mark.join(found)
    if not isinstance(mark, Told) and not any(isinstance(item, Told) for item in found):
        return text
    made = Joined(text)
    made.mark, made.items = mark, found
    return made


def capital(text: str) -> str:
    """Begun with a capital, the rest as it is."""
    return _turned("capital", text, text[:1].upper() + text[1:])


def small(text: str) -> str:
    """Begun with a small letter, in languages where a noun may be; the rest as it is."""
    return _turned("small", text, text[:1].lower() + text[1:])


def say_number(text: str) -> str:
    """Digits, as "1.012"."""
    return Number(text)


def say_amount(value: float, digits: int | None, unit: str) -> str:
    """A number with its unit: "1.5 L". Without `digits` as short as it can be written.

    A step of temperature, as in "2 °C warmer", has the unit "Δ°C".
    """
    return _amount((value,), digits, unit, "")


def say_range(low: float, high: float, digits: int | None, unit: str, word: str = "") -> str:
    """Two numbers with one unit and a word between: "5 to 7 °C"."""
    return _amount((low, high), digits, unit, word or TO)


def shown(value: float, digits: int) -> str:
    """A number with fixed decimals and a true minus sign, as plain digits."""
    text = f"{value:.{digits}f}"
    if not text.startswith("-"):
        return text
    return text[1:] if float(text) == 0 else f"−{text[1:]}"


def _amount(values: tuple[float, ...], digits: int | None, unit: str, word: str) -> str:
    known = all(value == value for value in values)  # noqa: PLR0124 - NaN is the only value unequal to itself
    if not known:
        return say("not known")
    digits = max(map(_decimals, values)) if digits is None else digits
    numbers = f" {word} ".join(shown(value, digits) for value in values)
    made = Amount(f"{numbers} {unit.removeprefix('Δ')}")
    made.values, made.digits, made.unit, made.between = values, digits, unit, word
    return made


def _decimals(value: float) -> int:
    text = f"{value:g}"
    return len(text.partition(".")[2]) if "e" not in text else 0


def _turned(how: str, text: str, english: str) -> str:
    if english == text and how.startswith(("strip", "lstrip", "rstrip", "removesuffix")) and not _may_end_empty(text):
        return text
    if not isinstance(text, Told):
        return english
    made = Turned(english)
    made.how, made.text = how, text
    return made


def _may_end_empty(text: str) -> bool:
    """Whether another language could begin or end with what English does not: only where a part may stand at an end."""
    return isinstance(text, Joined)


_NO_PARTS: Mapping[str, str] = {}


def _as_texts(parts: dict[str, Any]) -> dict[str, str]:
    """The parts of one call as texts, in place. A part that is no text says itself, or stands as `str` has it."""
    for name, part in parts.items():
        if not isinstance(part, str):
            said = getattr(part, "said", None)
            parts[name] = str(part) if said is None else said()
    return parts


def _phrase(template: str, parts: Mapping[str, str]) -> Phrase:
    made = Phrase(_filled(template, parts))
    made.template, made.parts = template, parts
    return made


@cache
def _pieces(template: str) -> tuple[tuple[str, ...], tuple[tuple[int, str], ...]]:
    """The text between the parts with a gap for each, and which part goes into which gap."""
    pieces: list[str] = []
    gaps: list[tuple[int, str]] = []
    for literal, name, _, _ in Formatter().parse(template):
        pieces.append(literal)
        if name is not None:
            gaps.append((len(pieces), name))
            pieces.append("")
    return tuple(pieces), tuple(gaps)


def _filled(template: str, parts: Mapping[str, str]) -> str:
    """The template with its parts; KeyError for a part that is not there."""
    if not parts:
        return template
    pieces, gaps = _pieces(template)
    found = list(pieces)  # joined at once: "+" would ask each part how it is to be put together
    for place, name in gaps:
        found[place] = parts[name]
    return "".join(found)


def _told(text: str, voice: Voice) -> str:
    return text.told(voice) if isinstance(text, Told) else text


# --- the active voice, for the edges ------------------------------------------------------------------------------

_ACTIVE: ContextVar[Voice | None] = ContextVar("gylebook_voice", default=None)


def tell(text: str, voice: Voice | None = None) -> str:
    """A text in the reader's language and units: of the voice given, else of the active one; English without either."""
    voice = voice or _ACTIVE.get()
    if not isinstance(text, Told):
        return text
    return str.__str__(text) if voice is None else text.told(voice)


def untold(text: str) -> str:
    """The English text alone, for what will be read back: a form or a command says it as the book reads it."""
    return str.__str__(text)


def active_voice() -> Voice | None:
    """The voice in which this task speaks; None for English and metric units."""
    return _ACTIVE.get()


def speak(voice: Voice | None) -> None:
    """Speak in this voice from now on, in a process that has one reader."""
    _ACTIVE.set(voice)


@contextmanager
def speaking(voice: Voice | None) -> Iterator[None]:
    """Speak in this voice meanwhile."""
    token = _ACTIVE.set(voice)
    try:
        yield
    finally:
        _ACTIVE.reset(token)


# --- to and from JSON -------------------------------------------------------------------------------------------


def pack(text: str) -> str | list[Any]:
    """A text as JSON can keep it: plain ones as they are."""
    return text.packed() if isinstance(text, Told) else text


def unpack(kept: str | list[Any]) -> str:
    """What `pack` kept.

    Raises
    ------
    ValueError
        It was kept by nothing known here.
    """
    if type(kept) is str:
        return kept
    made = _MADE_BY.get(kept[0]) if kept and isinstance(kept[0], str) else None
    if made is None:
        raise ValueError(f"no text was kept as {kept!r}")
    try:
        return made(*kept[1:])
    except (TypeError, AttributeError, KeyError) as fault:
        raise ValueError(f"no text was kept as {kept!r}") from fault


def _unpacked_parts(parts: dict[str, Any]) -> dict[str, str]:
    return {name: part if type(part) is str else unpack(part) for name, part in parts.items()}


def _unpacked_phrase(template: str, parts: dict[str, Any]) -> str:
    if type(template) is not str:
        raise TypeError
    return _phrase(template, _unpacked_parts(parts))


def _unpacked_count(number: int, one: str, more: str, parts: dict[str, Any]) -> str:
    return say_count(number, one, more, **_unpacked_parts(parts))


def _unpacked_number(digits: str) -> str:
    if type(digits) is not str:
        raise TypeError
    return Number(digits)


def _unpacked_turn(how: str, text: Any) -> str:
    inner = unpack(text)
    return _turned(how, inner, ENGLISH.turned(how, str.__str__(inner)))


_MADE_BY: Mapping[str, Callable[..., str]] = {
    "say": _unpacked_phrase,
    "count": _unpacked_count,
    "join": lambda mark, items: joined(unpack(mark), map(unpack, items)),
    "turn": _unpacked_turn,
    "number": _unpacked_number,
    "amount": lambda values, digits, unit, word: _amount(tuple(values), digits, unit, unpack(word)),
}


class _English:
    """The voice in which everything is written."""

    language = "en"

    def template(self, english: str) -> str:
        """As it is."""
        return english

    def plural(self, one: str, more: str, number: int) -> str:
        """One, or more."""
        return one if number == 1 else more

    def number(self, text: str) -> str:
        """As it is."""
        return text

    def amount(self, values: tuple[float, ...], digits: int, unit: str, between: str, english: str) -> str:  # noqa: ARG002
        """As it is."""
        return english

    def turned(self, how: str, text: str) -> str:
        """As Python's own `str` does it."""
        return turn(how, text)


def turn(how: str, text: str) -> str:
    """A change of a text's beginning or end, by its name; ValueError for one that does not exist."""
    name, _, mark = how.partition(":")
    match name:
        case "strip" | "lstrip" | "rstrip":
            return str(getattr(text, name)(mark or None))
        case "removesuffix":
            return text.removesuffix(mark)
        case "lower" | "upper" | "capitalize":
            return str(getattr(text, name)())
        case "capital":
            return text[:1].upper() + text[1:]
        case "small":
            return text[:1].lower() + text[1:]
        case _:
            raise ValueError(f"no text is turned as {how!r}")


ENGLISH: Voice = _English()
TO = say("to")


def keep_hook(text: object) -> object:
    """For an encoder of JSON: the texts that can be told otherwise, with all that is needed for it."""
    if isinstance(text, Told):
        return text.packed()
    raise NotImplementedError(f"{type(text).__name__} is no text")


def tell_hook(text: object) -> object:
    """For an encoder of JSON: the texts as the active voice tells them."""
    if isinstance(text, Told):
        return tell(text)
    raise NotImplementedError(f"{type(text).__name__} is no text")


def kept_hook(wanted: type, kept: Any) -> Any:
    """For a decoder of JSON, where a field is annotated as `Words`."""
    if wanted is not Told:
        raise NotImplementedError(f"{wanted.__name__} is no text")
    found = unpack(kept)
    return found if isinstance(found, Told) else Plain(found)


# How a record that is kept as JSON annotates a text that may be told otherwise.
if TYPE_CHECKING:
    Words = str
else:
    Words = Told
