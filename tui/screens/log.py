"""The log of a trainee: one item a session, newest first, each with its reps as a line of small hills."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from tui.rooms import Door
from tui.screens.doors import DoorKeys, ReadRows
from tui.screens.log_sets import LogSetsScreen
from tui.views.rows import LogRow
from tui.widgets.canvas import Ink, Rows, spread
from tui.widgets.key_line import KeyLine
from tui.widgets.labels import done_words, joined
from tui.widgets.lines import Lines
from tui.widgets.pick_list import PickList
from tui.widgets.small_ridges import small_ridges

_KEYS = (("q", "back"), ("?", "help"), ("↑ ↓", "move"), ("enter", "sets"))
_EMPTY = (
    "No session in the log yet.",
    "`rungwise train` makes the first one; `rungwise demo` shows how it goes, without a sensor.",
)


def draw_log_row(row: LogRow, width: int, *, named: bool = False) -> Rows:
    """Return three lines: what was done and the verdict; rung and prescription; the small hills.

    Parameters
    ----------
    named
        Say whose session it was.
    """
    whose = f"   {row.trainee}" if named else ""
    done = f"{row.date:%a %d %b %Y}{whose}   {done_words(row)}"
    first = spread(((done, Ink.STRONG),), ((str(row.outcome) if row.outcome else "not judged", Ink.TEXT),), width)
    asked = joined(row.rung or row.exercise, row.asked, f"rest {row.rest_s:g} s")
    second = spread(((asked, Ink.MUTED),), ((row.note, Ink.MUTED),), width)
    return first, second, small_ridges([(one.hills, one.target) for one in row.done if one.hills], width)


class LogScreen(DoorKeys):
    """The list of sessions.

    Parameters
    ----------
    rows
        Newest first.
    doors
        What opens from a session.
    reread
        Reads the rows again.
    """

    DEFAULT_CSS = """
    LogScreen Lines { height: 1fr; }
    LogScreen #title { height: 2; }
    LogScreen PickList { height: 1fr; }
    LogScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "app.leave", "back")]

    def __init__(self, rows: Sequence[LogRow], doors: Sequence[Door] = (), reread: ReadRows | None = None) -> None:
        super().__init__(doors, reread)
        self._rows = tuple(rows)
        self._names = sorted({row.trainee for row in rows})

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Lines(((self._title(), Ink.STRONG),), id="title")
        if self._rows:
            yield PickList(len(self._rows), self._item, 4)
        else:
            yield Lines(tuple((line, Ink.TEXT) for line in _EMPTY))
        yield KeyLine(self.keys())

    def keys(self) -> tuple[tuple[str, str], ...]:
        """Return the keys that do something here."""
        return (*_KEYS, *self.door_keys) if self._rows else _KEYS[:2]

    def session(self) -> str | None:
        """Return the marked session."""
        return self._rows[self.query_one(PickList).marked].session if self._rows else None

    def _title(self) -> str:
        return f"Log of {', '.join(self._names)}" if self._names else "Log"

    def _item(self, index: int, width: int) -> Rows:
        return draw_log_row(self._rows[index], width, named=len(self._names) > 1)

    def on_pick_list_taken(self, message: PickList.Taken) -> None:
        """Show the sets of the chosen session."""
        self.leave_for_a_while()
        self.app.push_screen(LogSetsScreen(self._rows[message.index], self.doors, self._reread))

    def take(self, read: Sequence[LogRow]) -> None:
        """Show the sessions as they are now; none is ever removed."""
        self._rows = tuple(read)
        for picks in self.query(PickList):
            picks.count = len(self._rows)
            picks.refresh()
