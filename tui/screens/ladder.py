"""Where a trainee stands: the rungs on the left, what comes and what was on the right."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen

from tui.rooms import Enter
from tui.screens.pick import PickScreen
from tui.screens.visit import VisitScreen
from tui.views.ladder_view import LadderView, RungView
from tui.widgets.canvas import Ink, Rows
from tui.widgets.drawing import Drawing
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.ladder_panel import LadderPanel
from tui.widgets.lines import Lines
from tui.widgets.rungs import draw_rungs

_KEYS = (("q", "back"), ("?", "help"), ("↑ ↓", "more"), ("t", "another trainee"))
_EMPTY = (
    "Nobody has trained yet, so nobody stands on the ladder.",
    '`rungwise train "Jonas Reiter"` begins on the first rung, or on that of a plan (`rungwise plan new`).',
    "`rungwise done` types in a session that was done without the sensor.",
)


class _Rungs(Drawing):
    def __init__(self, rungs: Sequence[RungView]) -> None:
        super().__init__()
        self._rungs = tuple(rungs)

    def draw(self, width: int, height: int) -> Rows:
        return draw_rungs(self._rungs, width, height)


class LadderScreen(Screen[None]):
    """One trainee's ladder.

    Parameters
    ----------
    names
        Whose ladders there are.
    enter_for
        The way to the ladder of a name.
    """

    DEFAULT_CSS = """
    LadderScreen Lines { height: 1fr; }
    LadderScreen #title { height: 2; }
    LadderScreen Horizontal { height: 1fr; }
    LadderScreen _Rungs { width: 27; height: 1fr; }
    LadderScreen VerticalScroll { height: 1fr; }
    LadderScreen LadderPanel { height: auto; }
    LadderScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "app.leave", "back"),
        Binding("t", "another", "another trainee"),
    ]

    def __init__(self, view: LadderView, names: Sequence[str] = (), enter_for: Callable[[str], Enter] | None = None):
        super().__init__()
        self._view, self._names, self._enter_for = view, tuple(names), enter_for

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        view = self._view
        yield Lines(((f"Ladder of {view.trainee}" if view.trainee else "Ladder", Ink.STRONG),), id="title")
        if view.trainee:
            panel = LadderPanel()
            panel.view = view
            with Horizontal():
                yield _Rungs(view.rungs)
                with VerticalScroll():
                    yield panel
        else:
            yield Lines(tuple((line, Ink.TEXT) for line in _EMPTY))
        yield KeyLine(self.keys())

    def keys(self) -> Keys:
        """Return the keys that do something here."""
        if not self._view.trainee:
            return _KEYS[:2]
        return _KEYS if self._others() else _KEYS[:3]

    def _others(self) -> tuple[str, ...]:
        return tuple(name for name in self._names if name != self._view.trainee) if self._enter_for else ()

    def action_another(self) -> None:
        """Ask whose ladder to show."""
        others = self._others()
        if others:
            self.app.push_screen(PickScreen("Whose ladder?", others), self._show)

    def _show(self, chosen: int | None) -> None:
        if chosen is not None and self._enter_for:
            self.app.switch_screen(VisitScreen("ladder", self._enter_for(self._others()[chosen])))
