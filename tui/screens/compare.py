"""Two sessions laid over each other, set by set."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from tui.messages import Hill
from tui.retrace.compare import Pair, set_pairs
from tui.retrace.view import RetraceView, SeenSet
from tui.widgets.canvas import Ink, Rows, fitted
from tui.widgets.hill import draw, duration_s, outline
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.lines import Lines
from tui.widgets.pick_list import PickList

_KEYS: Keys = (("q", "back"), ("?", "help"), ("↑ ↓", "move"))
_HILL = 5
_MOST_CELLS = 48
_LEGEND = "Each hill is the mean rep of a set; the dots behind it are that of the other session."
_NOTHING = "Neither session has a set that was measured."


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
    """A session over another.

    Parameters
    ----------
    name
        Of the other session.
    """

    DEFAULT_CSS = """
    CompareScreen #title { height: auto; margin-bottom: 1; }
    CompareScreen PickList { height: 1fr; }
    CompareScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "app.leave", "back")]

    def __init__(self, view: RetraceView, name: str, others: Sequence[SeenSet]) -> None:
        super().__init__()
        self._pairs = set_pairs(view.sets, others)
        self._title = f"{view.title}, over {name}"
        self._longest_s = max((max(_length(one.hill), _length(one.other)) for one in self._pairs), default=0.0)

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        legend = _LEGEND if self._pairs else _NOTHING
        yield Lines(((self._title, Ink.STRONG), (legend, Ink.MUTED)), id="title")
        yield PickList(len(self._pairs), self._item, _HILL + 3)
        yield KeyLine(_KEYS)

    def keys(self) -> Keys:
        """Return the keys that do something here."""
        return _KEYS

    def _item(self, index: int, width: int) -> Rows:
        return draw_pair(self._pairs[index], self._longest_s, width)
