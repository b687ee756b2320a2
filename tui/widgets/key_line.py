"""The keys that do something now, on the last line of every screen."""

from __future__ import annotations

from textual.reactive import reactive

from tui.widgets.canvas import Ink, Row, Rows, Run, fitted, size
from tui.widgets.drawing import Drawing

Keys = tuple[tuple[str, str], ...]
"""Each key and what it does, those that are needed most first."""

_HELP = "?"
_ALL = "all keys"
_APART = (2, 1)
"""Blanks after each key, the most for which there is room."""


def draw_keys(keys: Keys, width: int) -> Rows:
    """Return one line: each key and what it does; where not all have room, the first of them, and the help has all."""
    for apart in _APART:
        row = _row(keys, apart)
        if size(row) - apart <= width:
            return (fitted(row[:-1], width),)
    shown = tuple((key, _ALL if key == _HELP else words) for key, words in keys)
    while shown and size(_row(shown, apart)) - apart > width:
        shown = shown[:-1]
    return (fitted(_row(shown, apart)[:-1], width),)


def _row(keys: Keys, apart: int) -> Row:
    runs: list[Run] = []
    for key, words in keys:
        runs += [(f" {key}", Ink.STRONG), (f" {words}", Ink.MUTED), (" " * apart, Ink.BLANK)]
    return tuple(runs)


class KeyLine(Drawing):
    """The line of keys."""

    keys: reactive[Keys] = reactive(())

    def __init__(self, keys: Keys = ()) -> None:
        super().__init__()
        self.set_reactive(KeyLine.keys, keys)

    def draw(self, width: int, height: int) -> Rows:
        """Return the line."""
        return draw_keys(self.keys, width)
