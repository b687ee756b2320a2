"""One session of the log: its sets, each with its ridge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from tui.rooms import Door
from tui.screens.doors import DoorKeys, ReadRows
from tui.views.rows import LogRow, LogSet
from tui.widgets.canvas import Ink, Rows, fitted
from tui.widgets.key_line import KeyLine
from tui.widgets.labels import joined, set_line, set_marks
from tui.widgets.lines import Lines, Text
from tui.widgets.pick_list import PickList
from tui.widgets.ridge import RidgeView, draw_ridge

_KEYS = (("q", "back"), ("?", "help"), ("↑ ↓", "move"))
_RIDGE = 5


def draw_log_set(number: int, one: LogSet, width: int) -> Rows:
    """Return the lines of one set: its words, its ridge, its remark."""
    if one.verdict is None:
        kept = "" if one.rest_before_s is None else f" · rest {one.rest_before_s:.0f} s"
        words = f"set {number}: {one.count} of {one.target_reps}{kept}"
    else:
        words = set_line(number, one.verdict)
    head = fitted(((words, Ink.STRONG),), width)
    remark = (fitted(((one.verdict.remark, Ink.TEXT),), width),) if one.verdict and one.verdict.remark else ()
    if not one.hills:
        return head, *remark, fitted((("no recording of this set", Ink.MUTED),), width)
    view = RidgeView(hills=one.hills, target=one.target, marks=set_marks(one.verdict))
    return head, *remark, *draw_ridge(view, width, _RIDGE)


class LogSetsScreen(DoorKeys):
    """The sets of one session.

    Parameters
    ----------
    row
        The session.
    doors
        What opens from it.
    reread
        Reads the log again.
    """

    DEFAULT_CSS = """
    LogSetsScreen #title { height: auto; margin-bottom: 1; }
    LogSetsScreen PickList { height: 1fr; }
    LogSetsScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "app.leave", "back")]

    def __init__(self, row: LogRow, doors: Sequence[Door] = (), reread: ReadRows | None = None) -> None:
        super().__init__(doors, reread)
        self._row = row

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Lines(self._title(), id="title")
        yield PickList(len(self._row.done), self._item, _RIDGE + 3)
        yield KeyLine(self.keys())

    def keys(self) -> tuple[tuple[str, str], ...]:
        """Return the keys that do something here."""
        return (*_KEYS, *self.door_keys)

    def session(self) -> str | None:
        """Return the session shown."""
        return self._row.session

    def take(self, read: Sequence[LogRow]) -> None:
        """Show the session as it is now."""
        self._row = next((row for row in read if row.session == self._row.session), self._row)
        self.query_one(Lines).text = self._title()
        picks = self.query_one(PickList)
        picks.count = len(self._row.done)
        picks.refresh()

    def _title(self) -> Text:
        row = self._row
        asked = joined(row.rung, row.exercise, row.asked, f"rest {row.rest_s:g} s")
        judged = str(row.outcome) if row.outcome else "not judged"
        return (
            (f"{row.trainee} · {row.date:%a %d %b %Y} · {judged}", Ink.STRONG),
            (asked, Ink.MUTED),
            *(((row.note, Ink.MUTED),) if row.note else ()),
        )

    def _item(self, index: int, width: int) -> Rows:
        return draw_log_set(index + 1, self._row.done[index], width)
