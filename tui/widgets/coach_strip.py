"""What a coach at a distance says, beside whatever is shown between sets: short words to be read from the bar."""

from __future__ import annotations

import textwrap

from textual.app import ComposeResult
from textual.reactive import reactive

from tui.session.messages import CoachView
from tui.widgets.block_digits import draw_block
from tui.widgets.block_font import fit
from tui.widgets.canvas import Ink, Row, Rows
from tui.widgets.drawing import Column, Drawing
from tui.widgets.lines import Lines

ROWS = 3
"""Height of a line in block letters."""
TALL_ROWS = 36
"""A screen of so many lines has room for all."""
MOST_LARGE = 2
"""Most lines in block letters: the rest clock and the last set stay."""


def large_lines(text: str, width: int) -> tuple[str, ...]:
    """Break a text into lines whose block letters fit; none where it takes too many of them."""
    for letters in range(len(text), 3, -1):
        lines = textwrap.wrap(text, letters, break_long_words=False)
        if len(lines) > MOST_LARGE:
            break
        if all(fit(line, width, ROWS) for line in lines):
            return tuple(lines)
    return ()


class Large(Drawing):
    """A text in block letters on as many lines as it takes; nothing where it takes too many."""

    text: reactive[str] = reactive("")

    def draw(self, width: int, height: int) -> Rows:
        """Return the letters."""
        rows: list[Row] = []
        for line in large_lines(self.text, width - 2):
            rows += [((" ", Ink.BLANK), *row) for row in draw_block(line, width - 2, ROWS)]
        return tuple(rows[:height])


class CoachStrip(Column):
    """The coach's words."""

    SCOPED_CSS = False
    DEFAULT_CSS = """
    CoachStrip Large { height: 3; }
    CoachStrip Lines { height: auto; max-height: 5; }
    .-low CoachStrip Large { display: none; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.large, self.lines = Large(), Lines()
        self.display, self._whole = False, True

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.large
        yield self.lines

    def show(self, view: CoachView | None, *, whole: bool = True) -> None:
        """Show what is said; nothing takes no room.

        Parameters
        ----------
        whole
            Whether there is room for large letters on any screen: not over what must hold before anybody hangs.
        """
        self.display = view is not None
        self._whole = whole
        if view is not None:
            self.large.text = view.large
            self.lines.text = tuple((line, Ink.STRONG) for line in view.lines)
            self._give_room()

    def on_resize(self) -> None:
        """Break the letters anew."""
        self._give_room()

    def _give_room(self) -> None:
        has_room = self._whole or self.app.size.height >= TALL_ROWS
        rows = ROWS * len(large_lines(self.large.text, self.app.size.width - 2)) * has_room
        self.large.display = rows > 0
        self.large.styles.height = max(1, rows)
