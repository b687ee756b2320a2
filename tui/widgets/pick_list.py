"""A list to walk through with the arrow keys; each item is a few drawn lines, made only when seen."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.actions import SkipAction
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive

from tui.widgets.canvas import Ink, Row, Rows
from tui.widgets.drawing import Drawing

DrawItem = Callable[[int, int], Rows]
"""Index of the item and width in cells → its lines."""


class PickList(Drawing, can_focus=True):
    """A list with one item marked.

    Parameters
    ----------
    count
        Number of items.
    draw_item
        Draws one of them.
    item_height
        Lines an item takes, the blank ones after it included.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", "up"),
        Binding("down,j", "move(1)", "down"),
        Binding("pageup", "page(-1)", "page up"),
        Binding("pagedown", "page(1)", "page down"),
        Binding("home", "move(-1000000)", "first"),
        Binding("end", "move(1000000)", "last"),
        Binding("enter", "take", "open"),
    ]
    marked: reactive[int] = reactive(0)

    class Taken(Message):
        """Enter was pressed on item `index`."""

        def __init__(self, index: int) -> None:
            super().__init__()
            self.index = index

    def __init__(self, count: int, draw_item: DrawItem, item_height: int, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.count = count
        self.item_height = item_height
        self._draw_item = draw_item
        self._first = 0

    def validate_marked(self, marked: int) -> int:
        """Keep the mark on an item."""
        return max(0, min(self.count - 1, marked))

    def _fits(self) -> int:
        return max(1, self.size.height // self.item_height)

    def draw(self, width: int, height: int) -> Rows:
        """Return the items around the marked one."""
        fits = max(1, height // self.item_height)
        self._first = min(max(self._first, self.marked - fits + 1), self.marked)
        rows: list[Row] = []
        for index in range(self._first, min(self.count, self._first + fits + 1)):
            lines = self._draw_item(index, max(0, width - 2))[: self.item_height]
            rows += [_marked(line, index == self.marked, top=at == 0) for at, line in enumerate(lines)]
            rows += [()] * (self.item_height - len(lines))
        return tuple(rows[:height])

    def action_move(self, by: int) -> None:
        """Move the mark."""
        self.marked += by

    def action_page(self, direction: int) -> None:
        """Move the mark by what fits on the screen."""
        self.marked += direction * self._fits()

    def action_take(self) -> None:
        """Tell that the marked item was chosen; where there is none, the key is the screen's."""
        if not self.count:
            raise SkipAction
        self.post_message(self.Taken(self.marked))


def _marked(line: Row, marked: bool, *, top: bool) -> Row:
    edge = ("▸ " if top else "│ ") if marked else "  "
    return ((edge, Ink.STRONG), *line)
