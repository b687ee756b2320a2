"""A short list to choose from, over whatever is on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen

from tui.widgets.canvas import Ink, Rows, fitted
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines
from tui.widgets.pick_list import PickList

_KEYS = (("esc", "back"), ("↑ ↓", "move"), ("enter", "take"))


class PickScreen(ModalScreen[int | None]):
    """Ends with the index of what was chosen, or None."""

    DEFAULT_CSS = """
    PickScreen { align: center middle; background: $background; }
    PickScreen > Vertical { width: 48; max-width: 90%; height: auto; max-height: 80%; border: round $secondary; }
    PickScreen Lines { height: auto; margin-bottom: 1; }
    PickScreen KeyLine { height: 1; margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "leave", "back")]

    def __init__(self, question: str, names: Sequence[str]) -> None:
        super().__init__()
        self._question = question
        self._names = tuple(names)

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with Vertical():
            yield Lines(((self._question, Ink.STRONG),))
            picks = PickList(len(self._names), self._item, 1)
            picks.styles.height = min(10, len(self._names))
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
