"""The first picture: stands while the logbook is opened and most of the program is loaded."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from tui.widgets.canvas import Ink
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines

_LINES = (
    ("Rungwise", Ink.STRONG),
    ("", Ink.TEXT),
    ("Opening the logbook …", Ink.TEXT),
    ("", Ink.TEXT),
    ("Pain stops the set.", Ink.TEXT),
)


class OpeningScreen(Screen[None]):
    """Says what is awaited, and lets one leave."""

    DEFAULT_CSS = """
    OpeningScreen { align: center middle; }
    OpeningScreen Lines { width: 26; height: auto; }
    OpeningScreen KeyLine { dock: bottom; height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "app.stop", "stop")]

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Lines(_LINES)
        yield KeyLine((("q", "stop"),))
