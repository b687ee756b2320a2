"""A few lines of plain text, wrapped at words."""

from __future__ import annotations

import textwrap
from functools import lru_cache

from textual.geometry import Size
from textual.reactive import reactive

from tui.widgets.canvas import Ink, Row, Rows
from tui.widgets.drawing import Drawing

Text = tuple[tuple[str, Ink], ...]
"""Paragraphs, each in one ink."""


@lru_cache(maxsize=256)
def draw_lines(text: Text, width: int) -> Rows:
    """Wrap each paragraph to `width` cells, one cell in from the left, later lines one further."""
    rows: list[Row] = []
    for paragraph, ink in text:
        wrapped = textwrap.wrap(paragraph, max(8, width - 2), subsequent_indent="  ") or [""]
        rows += [((f" {line}", ink),) for line in wrapped]
    return tuple(rows)


class Lines(Drawing):
    """Paragraphs; as high as they need to be."""

    text: reactive[Text] = reactive((), layout=True)

    def __init__(self, text: Text = (), *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.set_reactive(Lines.text, text)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return the number of lines at this width."""
        return len(draw_lines(self.text, width))

    def draw(self, width: int, height: int) -> Rows:
        """Return the lines."""
        return draw_lines(self.text, width)
