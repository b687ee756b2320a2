"""A few lines to be read, over whatever is on the screen; any of the keys it names closes it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen

from tui.widgets.canvas import Ink
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines

_KEYS = (("enter", "back"),)


class SayScreen(ModalScreen[None]):
    """Says something.

    Parameters
    ----------
    title
        In a word or two.
    lines
        One paragraph each.
    ink
        Of the lines.
    """

    DEFAULT_CSS = """
    SayScreen { align: center middle; background: $background 60%; }
    SayScreen > VerticalScroll { width: 76; max-width: 96%; height: auto; max-height: 96%; border: round $secondary; }
    SayScreen Lines { height: auto; }
    SayScreen KeyLine { height: 1; margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,enter,space", "leave", "back")]

    def __init__(self, title: str, lines: Sequence[str], ink: Ink = Ink.TEXT) -> None:
        super().__init__()
        self._text = ((title, Ink.STRONG), *((line, ink) for line in lines))

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with VerticalScroll():
            yield Lines(self._text)
            yield KeyLine(_KEYS)

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss()
