"""A question that is answered by one key, over whatever is on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll

from tui.screens.ground import OverScreen
from tui.widgets.canvas import Ink
from tui.widgets.lines import Lines

Choice = tuple[str, str]
"""A key, and what it says."""


class AskKeyScreen(OverScreen[str | None]):
    """Ends with the key that was chosen, or None.

    Parameters
    ----------
    question
        One sentence.
    choices
        In the order in which they are listed; the key "q" leads back.
    beside
        What should be known before one answers, a line each.
    """

    DEFAULT_CSS = """
    AskKeyScreen > VerticalScroll { width: 66; max-width: 96%; height: auto; max-height: 96%; }
    AskKeyScreen > VerticalScroll { border: round $secondary; }
    AskKeyScreen Lines { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "leave", "back")]

    def __init__(self, question: str, choices: Sequence[Choice], beside: Sequence[str] = ()) -> None:
        super().__init__()
        self._question, self._choices, self._beside = question, tuple(choices), tuple(beside)

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with VerticalScroll(can_focus=False):
            yield Lines(((self._question, Ink.STRONG), *((line, Ink.MUTED) for line in self._beside)))
            yield Lines(tuple((f"  {key}  {words}", Ink.TEXT) for key, words in (*self._choices, ("esc", "back"))))

    def on_key(self, event: events.Key) -> None:
        """End with the key, where it is one of those."""
        if event.character in {key for key, _ in self._choices}:
            event.stop()
            self.dismiss(event.character)

    def action_leave(self) -> None:
        """End without an answer."""
        self.dismiss(None)
