"""A short list to choose from, over whatever is on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical

from tui.screens.ground import OverScreen
from tui.widgets.canvas import Ink, Rows, fitted
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines
from tui.widgets.pick_list import PickList

_KEYS = (("esc", "back"), ("↑ ↓", "move"), ("enter", "take"))

_NARROWEST = 48
_MARK = 2
"""Cells before each name."""


class PickScreen(OverScreen[int | None]):
    """Ends with the index of what was chosen, or None.

    Parameters
    ----------
    question
        What is to be chosen.
    names
        Among these.
    marked
        Index of the one that is marked at first.
    """

    DEFAULT_CSS = """
    PickScreen > Vertical { max-width: 96%; height: auto; max-height: 80%; border: round $secondary; }
    PickScreen Lines { height: auto; margin-bottom: 1; }
    PickScreen KeyLine { height: 1; margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "leave", "back")]

    def __init__(self, question: str, names: Sequence[str], marked: int = 0) -> None:
        super().__init__()
        self._question = question
        self._names = tuple(names)
        self._marked = marked

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with Vertical() as box:
            box.styles.width = max(_NARROWEST, 2 + _MARK + max(map(cell_len, self._names), default=0))
            yield Lines(((self._question, Ink.STRONG),))
            picks = PickList(len(self._names), self._item, 1)
            picks.styles.height = min(10, len(self._names))
            picks.marked = self._marked
            yield picks
            yield KeyLine(_KEYS)

    def _item(self, index: int, width: int) -> Rows:
        return (fitted(((self._names[index], Ink.TEXT),), width),)

    def on_pick_list_taken(self, message: PickList.Taken) -> None:
        """End with the chosen index."""
        self.dismiss(message.index)

    def action_leave(self) -> None:
        """End without a choice."""
        self.dismiss(None)
