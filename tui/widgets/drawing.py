"""The base of every widget that draws itself cell by cell."""

from __future__ import annotations

from typing import Self

from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from tui.palette import DARK, STYLES
from tui.widgets.canvas import Ink, Rows, fitted


class Drawing(Widget):
    """A widget whose lines come from :meth:`draw`, kept until it is refreshed or resized."""

    _drawn: tuple[tuple[int, int], Rows] | None = None

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines of the picture for a box of `width` × `height` cells."""
        raise NotImplementedError

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        """Forget the kept picture, then refresh as any widget does; a changed reactive comes through here too."""
        self._drawn = None
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)

    def render_line(self, y: int) -> Strip:
        """Return line `y`, each run in the look of its ink."""
        width, height = self.size
        if self._drawn is None or self._drawn[0] != (width, height):
            self._drawn = ((width, height), self.draw(width, height))
        rows = self._drawn[1]
        row = fitted(rows[y], width) if y < len(rows) else ((" " * width, Ink.BLANK),)
        # Straight from the palette: looked up through style sheets, the inks took a third of the start.
        styles = STYLES.get(self.app.theme, STYLES[DARK.name])
        return Strip([Segment(text, styles[ink]) for text, ink in row], width)
