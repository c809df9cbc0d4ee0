"""Sheets of labels by their geometry: how many across and down, how large, and where each one lies."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.errors import NotFound
from gylebook.phrases import say, say_number

PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


@dataclass(frozen=True, slots=True)
class Grid:
    """Labels of one size on one page, in the middle of it. All lengths in mm."""

    key: str
    page: str
    across: int
    down: int
    width: float
    height: float
    gap_x: float = 0.0
    gap_y: float = 0.0
    round: bool = False

    @property
    def words(self) -> str:
        """As a brewer reads it."""
        size = (
            say("circles of {width} mm", width=say_number(f"{self.width:g}"))
            if self.round
            else say(
                "labels of {width} × {height} mm",
                width=say_number(f"{self.width:.1f}"),
                height=say_number(f"{self.height:.1f}"),
            )
        )
        return say("{page}, {across} × {down} {size}", page=self.page, across=self.across, down=self.down, size=size)

    @property
    def count(self) -> int:
        """Labels on one page."""
        return self.across * self.down

    @property
    def left(self) -> float:
        """From the page's edge to the first label."""
        return (PAGES[self.page][0] - self.across * self.width - (self.across - 1) * self.gap_x) / 2

    @property
    def top(self) -> float:
        """From the page's upper edge to the first label."""
        return (PAGES[self.page][1] - self.down * self.height - (self.down - 1) * self.gap_y) / 2

    def spot(self, place: int) -> tuple[float, float]:
        """Left and upper edge of a label, counted from 0 along the rows."""
        row, column = divmod(place, self.across)
        return self.left + column * (self.width + self.gap_x), self.top + row * (self.height + self.gap_y)

    def sheets(self, count: int, start: int = 1) -> list[list[tuple[float, float]]]:
        """The places of so many labels, page by page, from the given label of the first page on."""
        places = range(start - 1, start - 1 + count)
        pages: dict[int, list[tuple[float, float]]] = {}
        for place in places:
            pages.setdefault(place // self.count, []).append(self.spot(place % self.count))
        return [pages[page] for page in sorted(pages)]


LABELS = (
    Grid("a4-3x7", "A4", 3, 7, 63.5, 38.1, gap_x=2.54),
    Grid("a4-2x7", "A4", 2, 7, 99.1, 38.1, gap_x=2.54),
    Grid("a4-2x4", "A4", 2, 4, 99.1, 67.7, gap_x=2.54),
    Grid("a4-4x10", "A4", 4, 10, 52.5, 29.7),
    Grid("letter-3x10", "Letter", 3, 10, 66.675, 25.4, gap_x=3.175),
    Grid("letter-2x5", "Letter", 2, 5, 101.6, 50.8, gap_x=3.96875),
)
CAPS = (
    Grid("a4-caps", "A4", 9, 12, 19.0, 19.0, gap_x=3.0, gap_y=3.0, round=True),
    Grid("letter-caps", "Letter", 9, 11, 19.0, 19.0, gap_x=3.0, gap_y=3.0, round=True),
)


def grid_named(key: str, among: tuple[Grid, ...]) -> Grid:
    """The grid of that key.

    Raises
    ------
    NotFound
        There is none.
    """
    for grid in among:
        if grid.key == key:
            return grid
    raise NotFound(
        say("There is no sheet called “{key}”; use {keys}.", key=key, keys=", ".join(grid.key for grid in among))
    )
