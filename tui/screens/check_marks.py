"""All corrections of a session, those undone too; enter takes one back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from tui.views.check_view import CheckMark
from tui.widgets.canvas import Ink, Rows
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.lines import Lines, draw_lines
from tui.widgets.pick_list import PickList

_KEYS = (("q", "back"), ("?", "help"), ("↑ ↓", "move"), ("enter", "take back"))
_EMPTY = "Nothing was corrected in this session: it stands as it was measured. c in the check corrects."


class CheckMarksScreen(Screen[str | None]):
    """Ends with the letters of what should be undone, or None.

    Parameters
    ----------
    marks
        In order of time.
    """

    DEFAULT_CSS = """
    CheckMarksScreen #title { height: 2; }
    CheckMarksScreen PickList { height: 1fr; }
    CheckMarksScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "leave", "back")]

    def __init__(self, marks: Sequence[CheckMark]) -> None:
        super().__init__()
        self._marks = tuple(marks)

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Lines((("Corrections, the first one on top", Ink.STRONG),), id="title")
        if self._marks:
            yield PickList(len(self._marks), self._item, 4)
        else:
            yield Lines(((_EMPTY, Ink.TEXT),))
        yield KeyLine(self.keys())

    def keys(self) -> Keys:
        """Return the keys that do something here."""
        return _KEYS if self._marks else _KEYS[:2]

    def _item(self, index: int, width: int) -> Rows:
        one = self._marks[index]
        return draw_lines(((one.text, Ink.TEXT if one.holds else Ink.MUTED),), width)[:3]

    def on_pick_list_taken(self, message: PickList.Taken) -> None:
        """End with the marked one."""
        self.dismiss(self._marks[message.index].letters)

    def action_leave(self) -> None:
        """End with nothing to undo."""
        self.dismiss(None)
