"""The keys that do something now, on the last line of every screen."""

from __future__ import annotations

from textual.reactive import reactive

from tui.widgets.canvas import Ink, Rows, Run, fitted
from tui.widgets.drawing import Drawing

Keys = tuple[tuple[str, str], ...]


def draw_keys(keys: Keys, width: int) -> Rows:
    """Return one line: each key and what it does."""
    runs: list[Run] = []
    for key, words in keys:
        runs += [(f" {key}", Ink.STRONG), (f" {words}  ", Ink.MUTED)]
    return (fitted(tuple(runs), width),)


class KeyLine(Drawing):
    """The line of keys."""

    keys: reactive[Keys] = reactive(())

    def __init__(self, keys: Keys = ()) -> None:
        super().__init__()
        self.set_reactive(KeyLine.keys, keys)

    def draw(self, width: int, height: int) -> Rows:
        """Return the line."""
        return draw_keys(self.keys, width)
