"""A question that is answered in a line of text, over whatever is on the screen."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input

from tui.screens.ground import OverScreen
from tui.widgets.canvas import Ink
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines

_KEYS = (("esc", "back"), ("enter", "take"))


class AskLineScreen(OverScreen[str | None]):
    """Ends with what was typed, or None.

    Parameters
    ----------
    question
        One sentence.
    wrong
        Says what is wrong with an answer; empty where nothing is.
    """

    DEFAULT_CSS = """
    AskLineScreen > Vertical { width: 66; max-width: 96%; height: auto; border: round $secondary; }
    AskLineScreen Lines { height: auto; }
    AskLineScreen Input, AskLineScreen Input:focus { border: none; height: 1; margin: 1; padding: 0;
        background: $background; color: $foreground; }
    AskLineScreen KeyLine { height: 1; margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "back")]

    def __init__(self, question: str, wrong: Callable[[str], str]) -> None:
        super().__init__()
        self._question, self._wrong = question, wrong
        self.said = Lines(((question, Ink.STRONG),))

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with Vertical():
            yield self.said
            yield Input()
            yield KeyLine(_KEYS)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """End with the answer, or say what is wrong with it."""
        text = message.value.strip()
        wrong = self._wrong(text)
        if wrong:
            self.said.text = ((self._question, Ink.STRONG), (wrong, Ink.ATTENTION))
        else:
            self.dismiss(text)

    def action_leave(self) -> None:
        """End without an answer."""
        self.dismiss(None)
