"""Screens that lie on blank ground of their own: nothing below them is seen, or has to be drawn."""

from __future__ import annotations

from typing import Generic

from textual.geometry import Region
from textual.screen import ModalScreen, Screen, ScreenResultType
from textual.strip import Strip

from tui.widgets.canvas import fitted
from tui.widgets.drawing import inked


class GroundScreen(Screen[ScreenResultType], Generic[ScreenResultType]):
    """A screen that gives its blank lines as the drawings on it do: that is a fifth of what its opening takes."""

    def render_lines(self, crop: Region) -> list[Strip]:
        """Return the blank lines within `crop`."""
        blank = inked(self, fitted((), self.outer_size.width))
        return [blank.crop(*crop.column_span)] * crop.height


class OverScreen(GroundScreen[ScreenResultType], ModalScreen[ScreenResultType], Generic[ScreenResultType]):
    """A screen that ends with an answer; until then the app's own keys do nothing."""

    DEFAULT_CSS = "OverScreen { align: center middle; background: $background; }"
