"""One quiet line: the last thing that happened, and what is amiss with the way to a coach."""

from __future__ import annotations

from textual.reactive import reactive

from tui.widgets.canvas import Ink, Rows, spread
from tui.widgets.drawing import Drawing


class NoteLine(Drawing):
    """The newest note.

    Attributes
    ----------
    aside
        At the right end; empty for nothing.
    """

    text: reactive[str] = reactive("")
    aside: reactive[str] = reactive("")

    def draw(self, width: int, height: int) -> Rows:
        """Return the line."""
        note = ((f" {self.text}", Ink.MUTED),)
        return (spread(note, ((f"{self.aside} ", Ink.MUTED),), width) if self.aside else note,)
