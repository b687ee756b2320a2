"""A number or a word that can be read across a room."""

from __future__ import annotations

from textual.reactive import reactive

from tui.widgets.block_font import block_rows, fit
from tui.widgets.canvas import Ink, Row, Rows, fitted
from tui.widgets.drawing import Drawing


def draw_block(text: str, width: int, height: int, *, striped: bool = False, ink: Ink = Ink.STRONG) -> Rows:
    """Draw `text` as large as the box allows, from its upper left corner.

    Parameters
    ----------
    striped
        Not certain yet: every second line is left out (a `+` before it where the letters are too small for that).

    Returns
    -------
    At most `height` rows; where no size of the block font fits, the text itself on one line.
    """
    chosen = fit(text, width, height)
    if chosen is None:
        return (fitted(((f"+{text}" if striped else text, ink),), width),) if text else ()
    face, scale = chosen
    if striped and scale < 2:
        return draw_block(f"+{text}", width, height, ink=ink)
    return tuple(((line, ink),) for line in block_rows(text, face, scale, striped=striped))


class BlockText(Drawing):
    """A line of block letters, as large as its box allows.

    Attributes
    ----------
    text
        Capitals, digits and a few signs.
    striped
        Draw it as not certain yet.
    right
        Stand at the right edge.
    """

    text: reactive[str] = reactive("")
    striped: reactive[bool] = reactive(False)
    ink: reactive[Ink] = reactive(Ink.STRONG)

    def __init__(self, *, id: str | None = None, classes: str | None = None, right: bool = False) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self.right = right

    def draw(self, width: int, height: int) -> Rows:
        """Return the letters, in the middle of the box's height."""
        rows = draw_block(self.text, width, height, striped=self.striped, ink=self.ink)
        if self.right:
            rows = tuple(_pushed(row, width) for row in rows)
        return ((),) * ((height - len(rows)) // 2) + rows


def _pushed(row: Row, width: int) -> Row:
    return ((" " * (width - sum(len(text) for text, _ in row)), Ink.BLANK), *row)
