"""Stands while a room is read: gives way to it, or says why it cannot be shown."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical

from tui.screens.ground import OverScreen
from tui.trouble import Trouble, clear_errors
from tui.widgets.canvas import Ink
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines

if TYPE_CHECKING:
    from tui.rooms import Enter

PATIENCE_S = 0.3
"""What is read sooner opens without a word, so that nothing flashes."""
_KEYS = (("esc", "back"),)


class VisitScreen(OverScreen[None]):
    """Reads beside the screen, so that a slow disk never freezes it.

    Parameters
    ----------
    name
        What is read, as said while it takes.
    enter
        The way in.
    """

    DEFAULT_CSS = """
    VisitScreen > Vertical { width: 62; max-width: 96%; height: auto; border: round $secondary; }
    VisitScreen Lines { height: auto; margin-bottom: 1; }
    VisitScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,enter", "app.leave", "back")]

    def __init__(self, name: str, enter: Enter) -> None:
        super().__init__()
        self._enter = enter
        self.lines = Lines(((f"Reading: {name} …", Ink.TEXT),))

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with Vertical() as box:
            box.display = False
            yield self.lines
            yield KeyLine(_KEYS)

    def on_mount(self) -> None:
        """Begin to read."""
        self.set_timer(PATIENCE_S, self._show_box)
        self.run_worker(self._read(), exit_on_error=False)

    def _show_box(self) -> None:
        self.query_one(Vertical).display = True

    async def _read(self) -> None:
        try:
            with clear_errors():
                screen = (await asyncio.to_thread(self._enter))()
        except Trouble as trouble:
            self._say(trouble.format_message())
        except Exception as error:
            self._say(f"This cannot be shown: {error or type(error).__name__}")
        else:
            self.app.call_later(self.app.switch_screen, screen)  # not from here: this reading goes with its screen

    def _say(self, why: str) -> None:
        self.lines.text = ((why, Ink.ATTENTION),)
        self._show_box()
