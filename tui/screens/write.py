"""A line to write, and who writes it, over whatever is on the screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input

from tui.widgets.canvas import Ink
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines

_KEYS = (("esc", "back"), ("tab", "who"), ("enter", "keep"))
MOST_LETTERS = 200


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, and by whom."""

    text: str
    who: str


class WriteScreen(ModalScreen[Written | None]):
    """Ends with what was written, or None.

    Parameters
    ----------
    asked
        What is to be written.
    who
        Who writes, unless another name is put there.
    text
        What stands there already.
    """

    DEFAULT_CSS = """
    WriteScreen { align: center middle; background: $background 60%; }
    WriteScreen > Vertical { width: 62; max-width: 96%; height: auto; border: round $secondary; }
    WriteScreen Lines { height: auto; }
    WriteScreen Input { border: none; height: 1; margin: 0 1 1 1; background: $background; color: $foreground; }
    WriteScreen Input:focus { border: none; }
    WriteScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "back")]

    def __init__(self, asked: str, who: str, text: str = "") -> None:
        super().__init__()
        self._asked = asked
        self.text = Input(text, max_length=MOST_LETTERS, id="text")
        self.who = Input(who, max_length=MOST_LETTERS, id="who")

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with Vertical():
            yield Lines(((self._asked, Ink.STRONG),))
            yield self.text
            yield Lines((("Who writes it", Ink.MUTED),))
            yield self.who
            yield KeyLine(_KEYS)

    def on_input_submitted(self) -> None:
        """End with what was written; with nothing, it goes on, and without a name it asks for one."""
        text, who = self.text.value.strip(), self.who.value.strip()
        if text and who:
            self.dismiss(Written(text, who))
        elif text:
            self.who.focus()

    def action_back(self) -> None:
        """End without a note."""
        self.dismiss(None)
