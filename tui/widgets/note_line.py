"""One quiet line: the last thing that happened."""

from __future__ import annotations

from textual.reactive import reactive

from tui.widgets.canvas import Ink, Rows
from tui.widgets.drawing import Drawing


class NoteLine(Drawing):
    """The newest note."""

    text: reactive[str] = reactive("")

    def draw(self, width: int, height: int) -> Rows:
        """Return the line."""
        return (((f" {self.text}", Ink.MUTED),),)
