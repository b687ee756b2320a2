"""The base of every widget that draws itself cell by cell."""

from __future__ import annotations

from typing import Self

from rich.segment import Segment
from textual.containers import Horizontal, Vertical
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from tui.palette import DARK, STYLES
from tui.widgets.canvas import Row, Rows, fitted


class Drawing(Widget):
    """A widget whose lines come from :meth:`draw`, kept until it is refreshed or resized.

    It has neither border nor padding, and its inks are looked up in the palette. So it gives the screen its lines as
    they are: through style sheets, line by line, they took a third of the start and of each frame.
    """

    _is_drawn = False
    _look: tuple[Size, str] | None = None
    _lines: tuple[tuple[Row, Strip], ...] = ()

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines of the picture for a box of `width` × `height` cells; what is missing stays blank."""
        return ()

    def refresh(self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False) -> Self:
        """Refresh as any widget does, but no more lines than changed; a changed reactive comes through here too."""
        if not self._is_drawn or regions or layout or recompose or self._look != (self.outer_size, self.app.theme):
            self._is_drawn = False
            return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)
        before = self._lines
        self._draw()
        width = self.outer_size.width
        changed = [y for y, (old, new) in enumerate(zip(before, self._lines, strict=True)) if old is not new]
        return super().refresh(*(Region(0, y, width, 1) for y in changed), repaint=repaint) if changed else self

    def render_lines(self, crop: Region) -> list[Strip]:
        """Return the lines within `crop`, each run in the look of its ink."""
        if not self._is_drawn or self._look != (self.outer_size, self.app.theme):
            self._draw()
        strips = [strip for _, strip in self._lines[crop.y : crop.bottom]]
        is_whole = crop.column_span == (0, self.outer_size.width)
        return strips if is_whole else [strip.crop(*crop.column_span) for strip in strips]

    def _draw(self) -> None:
        """Draw; a line that stays keeps its strip, and with it what Textual worked out of that."""
        look = (self.outer_size, self.app.theme)
        kept = {line[0]: line for line in self._lines} if look == self._look else {}
        self._lines = tuple(kept.get(row) or (row, inked(self, row)) for row in self._rows(*self.outer_size))
        self._is_drawn, self._look = True, look

    def _rows(self, width: int, height: int) -> Rows:
        rows = self.draw(width, height)[:height]
        return tuple(fitted(row, width) for row in (*rows, *((),) * (height - len(rows))))


class Column(Vertical, Drawing):
    """Parts one under another, on blank ground."""


class Line(Horizontal, Drawing):
    """Parts side by side, on blank ground."""


def inked(widget: Widget, row: Row) -> Strip:
    """Return a line as wide as `widget`, each run in the look of its ink, as the terminal's colours allow."""
    styles = STYLES.get(widget.app.theme, STYLES[DARK.name])
    strip = Strip([Segment(text, styles[ink]) for text, ink in row], widget.outer_size.width)
    for line_filter in widget.get_line_filters():
        strip = strip.apply_filter(line_filter, widget.background_colors[1])
    return strip
