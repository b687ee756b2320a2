"""Stations as tiles, side by side in rows, walked through with the arrow keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive

from tui.floor.view import TileView
from tui.widgets.canvas import Ink, Row, Rows
from tui.widgets.drawing import Drawing
from tui.widgets.floor_tile import draw_tile

NARROW, WIDE = 29, 38
"""Cells of a tile, at least; the wider ones where a screen has `BROAD` cells."""
BROAD = 160
_HEIGHTS = ((50, 9), (34, 6), (0, 5))
"""From so many lines for all tiles on, each has so many."""
MOST_LINES = 18
"""Of a tile, however much room there is: what is farther apart is not read at a glance."""


def columns(width: int, count: int) -> int:
    """Return how many of so many tiles stand side by side: in no more rows than it takes, about as many in each."""
    most = max(1, width // (WIDE if width >= BROAD else NARROW))
    rows = max(1, -(-count // most))
    return max(1, -(-count // rows))


def tile_height(height: int, rows: int) -> int:
    """Return the lines of a tile where `rows` of them have `height` lines together."""
    least = next(lines for least, lines in _HEIGHTS if height >= least)
    return max(least, min(MOST_LINES, height // max(1, rows)))


class FloorTiles(Drawing, can_focus=True):
    """All tiles; of those that have no room, rows come into sight as the chosen one moves.

    Attributes
    ----------
    tiles
        In the order in which they stand.
    chosen
        Name of the station that keys are about; it stays chosen wherever its tile goes.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "step(0, -1)", "up"),
        Binding("down,j", "step(0, 1)", "down"),
        Binding("left,h", "step(-1, 0)", "left"),
        Binding("right,l", "step(1, 0)", "right"),
        Binding("pageup", "page(-1)", "page up"),
        Binding("pagedown", "page(1)", "page down"),
        Binding("home", "end(0)", "first"),
        Binding("end", "end(-1)", "last"),
        Binding("enter", "take", "open"),
    ]
    tiles: reactive[tuple[TileView, ...]] = reactive(())
    chosen: reactive[str] = reactive("")

    class Taken(Message):
        """Enter was pressed on the station `name`."""

        def __init__(self, name: str) -> None:
            super().__init__()
            self.name = name

    def __init__(self) -> None:
        super().__init__()
        self._first = 0
        self._kept: dict[str, tuple[tuple[TileView, int, int, bool], Rows]] = {}

    @property
    def index(self) -> int:
        """Place of the chosen tile; 0 where it is gone."""
        return next((at for at, one in enumerate(self.tiles) if one.name == self.chosen), 0)

    def seen(self) -> tuple[int, int]:
        """Return the places of the tiles that have room, as a half-open range."""
        first = self._first * self._across()
        return first, min(len(self.tiles), first + self._fits() * self._across())

    def draw(self, width: int, height: int) -> Rows:
        """Return the tiles around the chosen one."""
        across, tall = self._across(), self._tall()
        lines = max(1, height // tall)
        row, last = self.index // across, (len(self.tiles) - 1) // across
        self._first = max(0, min(max(self._first, row - lines + 1), row, last - lines + 1))
        shown: list[Row] = []
        for at in range(self._first, self._first + lines):
            shown += self._line(self.tiles[at * across : (at + 1) * across], width // across, tall)
        names = {one.name for one in self.tiles}
        self._kept = {name: kept for name, kept in self._kept.items() if name in names}
        return tuple(shown)

    def _line(self, tiles: Sequence[TileView], width: int, height: int) -> Rows:
        """Return tiles side by side."""
        drawn = [self._tile(one, width, height) for one in tiles]
        return tuple(tuple(run for rows in drawn for run in rows[y]) for y in range(height)) if drawn else ()

    def _tile(self, view: TileView, width: int, height: int) -> Rows:
        wanted = (view, width, height, view.name == self.chosen)
        kept = self._kept.get(view.name)
        if kept is None or kept[0] != wanted:
            kept = (wanted, draw_tile(view, width - 1, height, chosen=wanted[3]))
            kept = (wanted, tuple((*row, (" ", Ink.BLANK)) for row in kept[1]))
            self._kept[view.name] = kept
        return kept[1]

    def _fits(self) -> int:
        return max(1, self.size.height // self._tall())

    def _across(self) -> int:
        return columns(self.size.width, len(self.tiles))

    def _tall(self) -> int:
        return tile_height(self.size.height, -(-len(self.tiles) // self._across()))

    def action_step(self, right: int, down: int) -> None:
        """Choose the tile beside, above or below."""
        self._go(self.index + right + down * self._across())

    def action_page(self, direction: int) -> None:
        """Go on by what has room."""
        self._go(self.index + direction * self._fits() * self._across())

    def action_end(self, at: int) -> None:
        """Choose the first or the last tile."""
        self._go(at % max(1, len(self.tiles)))

    def action_take(self) -> None:
        """Tell that the chosen tile is to be opened."""
        if self.tiles:
            self.post_message(self.Taken(self.tiles[self.index].name))

    def _go(self, at: int) -> None:
        if self.tiles:
            self.chosen = self.tiles[max(0, min(len(self.tiles) - 1, at))].name
