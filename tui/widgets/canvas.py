"""A box of character cells to draw in; pure.

Drawings name the *ink* of each cell; what an ink looks like is decided in one place, `tui.palette`. Every drawing can
be read without its inks: they only help.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from itertools import groupby

from rich.cells import cell_len, set_cell_size


class Ink(StrEnum):
    """What a cell is part of."""

    BLANK = "blank"
    TEXT = "text"
    STRONG = "strong"
    MUTED = "muted"
    ATTENTION = "attention"
    HILL = "hill"
    HOLLOW = "hollow"
    FRAY = "fray"
    GROUND = "ground"
    TARGET = "target"
    INSIDE = "inside"
    WALKER = "walker"


Run = tuple[str, Ink]
Row = tuple[Run, ...]
Rows = tuple[Row, ...]


class Canvas:
    """A grid of cells; whatever is put outside it is not drawn.

    Parameters
    ----------
    width, height
        Cells.
    """

    def __init__(self, width: int, height: int) -> None:
        self.width = max(0, width)
        self.height = max(0, height)
        self._cells = [[(" ", Ink.BLANK)] * self.width for _ in range(self.height)]
        self._rows: list[Row | None] = [None] * self.height

    def copied(self) -> Canvas:
        """Return one that can be drawn on without changing this one; lines that stay are not joined again."""
        copy = Canvas(0, 0)
        copy.width, copy.height, copy._cells = self.width, self.height, [row.copy() for row in self._cells]
        copy._rows = list(self.rows())
        return copy

    def put(self, x: int, y: int, char: str, ink: Ink) -> None:
        """Draw one cell."""
        if 0 <= x < self.width and 0 <= y < self.height:
            self._cells[y][x] = (char, ink)
            self._rows[y] = None

    def write(self, x: int, y: int, text: str, ink: Ink) -> None:
        """Draw a line of narrow characters from `x` on."""
        if 0 <= y < self.height:
            shown = text[max(0, -x) : max(0, self.width - x)]
            first = max(0, x)
            self._cells[y][first : first + len(shown)] = [(char, ink) for char in shown]
            self._rows[y] = None

    def at(self, x: int, y: int) -> Run:
        """Return what is drawn in a cell; blank outside the grid."""
        inside = 0 <= x < self.width and 0 <= y < self.height
        return self._cells[y][x] if inside else (" ", Ink.BLANK)

    def rows(self) -> Rows:
        """Return the lines, neighbours of the same ink joined."""
        self._rows = [row or _joined(cells) for row, cells in zip(self._rows, self._cells, strict=True)]
        return tuple(row or () for row in self._rows)


def _joined(cells: Iterable[Run]) -> Row:
    return tuple(("".join(char for char, _ in run), ink) for ink, run in groupby(cells, key=lambda cell: cell[1]))


def plain(rows: Rows) -> tuple[str, ...]:
    """Return the characters alone."""
    return tuple("".join(text for text, _ in row) for row in rows)


def size(row: Row) -> int:
    """Return the cells that a row takes."""
    return sum(cell_len(text) for text, _ in row)


def fitted(row: Row, width: int) -> Row:
    """Cut `row` to `width` cells with an ellipsis, or fill it with blanks."""
    spare = width - size(row)
    if spare >= 0:
        return (*row, (" " * spare, Ink.BLANK)) if spare else row
    out: list[Run] = []
    left = max(0, width - 1)
    for text, ink in row:
        shown = set_cell_size(text, min(left, cell_len(text)))
        left -= cell_len(shown)
        if left <= 0:
            return (*out, (f"{shown}…"[: max(0, width)], ink))
        out.append((shown, ink))
    return tuple(out)


def spread(left: Row, right: Row, width: int) -> Row:
    """Put `left` and `right` at the two ends of a line; where both do not fit, `left` is cut, at most to a third."""
    spare = width - size(right) - 2
    if spare < width // 3:
        return fitted(left, width)
    return (*fitted(left, spare), ("  ", Ink.BLANK), *right)
