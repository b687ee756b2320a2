"""The list of rooms: each is opened by its own key, or walked to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical

from tui.screens.ground import OverScreen
from tui.widgets.canvas import Ink, Rows, fitted
from tui.widgets.key_line import KeyLine
from tui.widgets.lines import Lines
from tui.widgets.pick_list import PickList

if TYPE_CHECKING:
    from tui.app import RungwiseApp
    from tui.rooms import Room

_KEYS = (("esc", "back"), ("↑ ↓", "move"), ("enter", "open"))


def _title(rooms: Sequence[Room]) -> str:
    """Say whose rooms these are; those of everybody among them say so themselves."""
    names = list(dict.fromkeys(name for room in rooms if (name := room.whose())))
    return f"Go to the rooms of {' and '.join(names)}" if names else "Go to"


class GoScreen(OverScreen[None]):
    """Where to go.

    Parameters
    ----------
    rooms
        In the order in which they are listed.
    guide
        What to do next, where it is the first thing that anybody sees.
    """

    if TYPE_CHECKING:
        app: RungwiseApp
    DEFAULT_CSS = """
    GoScreen > Vertical { width: 62; max-width: 96%; height: auto; max-height: 90%; border: round $secondary; }
    GoScreen Lines { height: auto; margin-bottom: 1; }
    GoScreen KeyLine { height: 1; margin-top: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,g", "app.leave", "back")]

    def __init__(self, rooms: Sequence[Room], guide: Sequence[str] = ()) -> None:
        super().__init__()
        self._rooms, self._guide = tuple(rooms), tuple(guide)

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        with Vertical():
            if self._guide:
                yield Lines(tuple((line, Ink.TEXT) for line in self._guide))
            yield Lines(((_title(self._rooms), Ink.STRONG),))
            picks = PickList(len(self._rooms), self._item, 1)
            picks.styles.height = len(self._rooms)
            yield picks
            yield KeyLine(_KEYS)

    def _item(self, index: int, width: int) -> Rows:
        room = self._rooms[index]
        return (fitted(((f"{room.key}  {room.name:<9}", Ink.STRONG), (room.tells, Ink.MUTED)), width),)

    def on_key(self, event: events.Key) -> None:
        """Open the room of that key."""
        for room in self._rooms:
            if event.character == room.key:
                event.stop()
                self._open(room)

    def on_pick_list_taken(self, message: PickList.Taken) -> None:
        """Open the marked room."""
        self._open(self._rooms[message.index])

    def _open(self, room: Room) -> None:
        self.app.visit(room.name, room.enter)
