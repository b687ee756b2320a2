"""The sets of a session, each laid over another: of another session, or of the same."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from tui.retrace.compare import Pair, alike, before, count_words, following, set_pair
from tui.retrace.view import RetraceView, SeenSet
from tui.session.messages import Hill
from tui.widgets.canvas import Ink, Rows, fitted
from tui.widgets.hill import draw, duration_s, outline
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.labels import joined
from tui.widgets.lines import Lines
from tui.widgets.pick_list import PickList

_KEYS: Keys = (("q", "back"), ("?", "help"), ("↑ ↓", "move"), ("← →", "set behind it"))
_HILL = 5
_MOST_CELLS = 48
_LEGEND = "Hills: the mean rep of each set. Dots: that of the set it lies over."
_NOTHING = "There is no set that was measured."


def draw_pair(pair: Pair, longest_s: float, width: int) -> Rows:
    """Return the lines of one set: which, how they differ, the hills, all pairs on one scale of time."""
    lines = (fitted(((pair.name, Ink.STRONG),), width), fitted(((pair.words, Ink.TEXT),), width))
    one = pair.hill or pair.other
    if one is None:
        return (*lines, fitted((("no rep that counts", Ink.MUTED),), width))
    share = max(_length(pair.hill), _length(pair.other)) / longest_s if longest_s > 0 else 1.0
    return (*lines, *draw(one, pair.other if pair.hill else None, round(share * min(width, _MOST_CELLS)), _HILL))


def _length(hill: Hill | None) -> float:
    return duration_s(outline(hill)) if hill else 0.0


class CompareScreen(Screen[None]):
    """Sets over sets.

    Parameters
    ----------
    name
        Of the other session.
    others
        Its sets; None: the session is laid over itself, each set over the one before.
    """

    DEFAULT_CSS = """
    CompareScreen #title { height: auto; margin-bottom: 1; }
    CompareScreen PickList { height: 1fr; }
    CompareScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "app.leave", "back"),
        Binding("left", "behind(-1)", "set before"),
        Binding("right", "behind(1)", "next set"),
    ]

    def __init__(self, view: RetraceView, name: str, others: Sequence[SeenSet] | None = None) -> None:
        super().__init__()
        self._sets, self._others = view.sets, view.sets if others is None else tuple(others)
        self._behind = list(before(view.sets) if others is None else alike(view.sets, others))
        self._title = f"{view.title}, over {name}"
        pairs = (set_pair(one, None) for one in (*self._sets, *self._others))
        self._longest_s = max((_length(one.hill) for one in pairs), default=0.0)
        self.picks = PickList(len(self._sets), self._item, _HILL + 3)

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        there = joined(*map(count_words, self._others))
        lines = (_LEGEND, f"Sets to lay behind: {there}") if self._sets and self._others else (_NOTHING,)
        yield Lines(((self._title, Ink.STRONG), *((line, Ink.MUTED) for line in lines)), id="title")
        yield self.picks
        yield KeyLine(self.keys())

    def keys(self) -> Keys:
        """Return the keys that do something here."""
        return _KEYS if self._sets and self._others else _KEYS[:2]

    def action_behind(self, by: int) -> None:
        """Lay the marked set over the next one, or over the one before; between the last and the first over none."""
        if self._sets:
            marked = self.picks.marked
            self._behind[marked] = following(self._behind[marked], len(self._others), by)
            self.picks.refresh()

    def _item(self, index: int, width: int) -> Rows:
        behind = self._behind[index]
        pair = set_pair(self._sets[index], None if behind is None else self._others[behind])
        return draw_pair(pair, self._longest_s, width)
