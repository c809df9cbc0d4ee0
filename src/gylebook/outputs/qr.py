"""The square code on labels and sheets: the address of a brew's page, or its number where there is no address."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from urllib.parse import urlsplit

from gylebook.errors import InputError
from gylebook.phrases import say, tell

SIDE_MM = 15.0
_LARGEST_VERSION = 8  # its smallest square is then a quarter of a millimetre, which a phone still tells apart
_LOOPBACK = {"localhost", "127.0.0.1", "::1", ""}


@dataclass(frozen=True, slots=True)
class Code:
    """A code: what it holds, whether that is an address, and its drawing."""

    text: str
    is_address: bool
    svg: str

    @property
    def data(self) -> dict[str, object]:
        """As the templates read it."""
        alt = (
            say("Code with the address {address}", address=self.text)
            if self.is_address
            else say("Code with the words {words}", words=self.text)
        )
        return {"svg": self.svg, "alt": alt, "side": SIDE_MM}


def base_address(text: str) -> str:
    """The address of the book as given, with a slash at its end; "" stays "".

    Raises
    ------
    InputError
        It is no web address.
    """
    text = text.strip()
    if not text:
        return ""
    try:
        parts = urlsplit(text)
        port_is_one = parts.port is None or parts.port > 0
    except ValueError:
        parts, port_is_one = urlsplit(""), False
    if parts.scheme not in {"http", "https"} or not parts.hostname or not port_is_one or parts.query or parts.fragment:
        raise InputError(
            say("Address of the book"),
            say("“{text}” is no web address", text=text),
            say("write one such as https://book.home:8484"),
        )
    return f"{text.rstrip('/')}/"


def is_for_others(address: str) -> bool:
    """Whether a phone could follow it: the computer's name for itself leads nowhere from elsewhere."""
    return (urlsplit(address).hostname or "") not in _LOOPBACK


def code_of(brew: str, base: str) -> Code:
    """The code of a brew, under the book's address or with its number alone.

    Raises
    ------
    InputError
        The address is no web address, or too long for so small a code.
    """
    import segno

    address = base_address(base)
    text = f"{address}brews/{int(brew)}/" if address else tell(say("Brew {brew}", brew=brew))
    made = segno.make(text, error="m", micro=False, boost_error=False)
    if not isinstance(made.version, int) or made.version > _LARGEST_VERSION:
        raise InputError(
            say("Address of the book"), say("it is too long for a code of 15 mm"), say("use a shorter one")
        )
    drawn = BytesIO()
    made.save(drawn, kind="svg", border=4, xmldecl=False, svgns=True, nl=False)
    return Code(text, bool(address), drawn.getvalue().decode())


def code_for_screen(address: str) -> str:
    """The code of any address as a drawing (SVG) for a page; it scales with the room it is given."""
    import segno

    drawn = BytesIO()
    segno.make(address, error="m", micro=False).save(
        drawn, kind="svg", border=4, xmldecl=False, svgns=True, nl=False, omitsize=True, light="#fff", dark="#000"
    )
    return drawn.getvalue().decode()


def code_for_terminal(address: str) -> str:
    """The code of any address in half-block letters, black on white whatever the terminal's own colours are."""
    import segno

    made = segno.make(address, error="l", micro=False, boost_error=False)
    rows = [list(row) for row in made.matrix_iter(border=2)]
    rows += [[0] * len(rows[0])] * (len(rows) % 2)
    letters = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
    # Black and white of the 256 fixed colours: the first sixteen are whatever the terminal's theme makes of them.
    black_on_white, as_before = "\x1b[38;5;16m\x1b[48;5;231m", "\x1b[0m"
    lines = [
        "".join(letters[min(upper, 1), min(lower, 1)] for upper, lower in zip(*pair, strict=True))
        for pair in zip(rows[::2], rows[1::2], strict=True)
    ]
    return "\n".join(f"{black_on_white}{line}{as_before}" for line in lines)
