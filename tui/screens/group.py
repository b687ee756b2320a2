"""Everybody on one page, those first who need a look; enter opens somebody's rooms."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.reactive import reactive

from tui.rooms import Looking
from tui.screens.rereading import RereadingScreen
from tui.views.group_view import GroupView
from tui.widgets.canvas import Ink, Rows
from tui.widgets.drawing import Drawing
from tui.widgets.group_table import LINES, draw_heads, draw_person
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.lines import Lines, Text
from tui.widgets.pick_list import PickList

if TYPE_CHECKING:
    from tui.app import RungwiseApp

_KEYS = (("q", "back"), ("?", "help"), ("↑ ↓", "move"), ("enter", "rooms of that person"))
_EMPTY = (
    "Nobody is in the logbook yet; the demonstration keeps a log of its own.",
    '`rungwise train "Jonas Reiter"` or `rungwise done` adds the first one.',
)


class _Heads(Drawing):
    view: reactive[GroupView] = reactive(GroupView(group=""))

    def draw(self, width: int, height: int) -> Rows:
        return (draw_heads(self.view, width),)


class GroupScreen(RereadingScreen[GroupView]):
    """The people.

    Parameters
    ----------
    view
        Everybody.
    looking
        Whose rooms are opened from then on is kept there.
    reread
        Reads everybody again.
    """

    if TYPE_CHECKING:
        app: RungwiseApp
    DEFAULT_CSS = """
    GroupScreen #title { height: auto; margin-bottom: 1; }
    GroupScreen _Heads { height: 1; }
    GroupScreen PickList, GroupScreen #empty { height: 1fr; }
    GroupScreen #why { height: auto; max-height: 6; margin-top: 1; }
    GroupScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "app.leave", "back")]

    def __init__(self, view: GroupView, looking: Looking, reread: Callable[[], GroupView] | None = None) -> None:
        super().__init__(reread)
        self._view, self._looking = view, looking
        self.why = Lines((), id="why")

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield Lines(self._title(), id="title")
        if self._view.rows:
            heads = _Heads()
            heads.set_reactive(_Heads.view, self._view)
            yield heads
            people = PickList(len(self._view.rows), self._item, LINES)
            yield people
            yield self.why
            self.watch(people, "marked", self._tell)
        else:
            yield Lines(tuple((line, Ink.TEXT) for line in _EMPTY), id="empty")
        yield KeyLine(self.keys())

    def keys(self) -> Keys:
        """Return the keys that do something here."""
        return _KEYS if self._view.rows else _KEYS[:2]

    def take(self, read: GroupView) -> None:
        """Show everybody as they are now, the same person marked."""
        people = self.query_one(PickList)  # only with somebody to choose was it left
        name = self._view.rows[people.marked].name
        self._view = read
        self.query_one("#title", Lines).text = self._title()
        people.count = len(read.rows)
        people.marked = next((at for at, row in enumerate(read.rows) if row.name == name), people.marked)
        self._tell(people.marked)
        self.query_one(_Heads).view = read
        people.refresh()

    def _title(self) -> Text:
        rows = self._view.rows
        need = sum(bool(one.looks) for one in rows)
        where = f"Group {self._view.group}" if self._view.group else "Everybody"
        title = f"{where}: {need} of {len(rows)} need a look" if rows else where
        return ((title, Ink.STRONG), *((line, Ink.ATTENTION) for line in self._view.wrong))

    def _item(self, index: int, width: int) -> Rows:
        return draw_person(self._view.rows[index], self._view, width)

    def _tell(self, marked: int) -> None:
        """Say all that there is to look at of the marked person."""
        row = self._view.rows[marked]
        self.why.text = ((row.name, Ink.STRONG), *((look, Ink.TEXT) for look in row.looks or ("nothing to look at",)))

    def on_pick_list_taken(self, message: PickList.Taken) -> None:
        """Open the rooms of the marked person."""
        self.leave_for_a_while()
        self._looking.name = self._view.rows[message.index].name
        self.app.action_go()
