"""A recorded session, played again: the live view, and under it the time line."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from tui.screens.session import SessionScreen
from tui.session.control import ReplayControl, SpanKind
from tui.widgets.key_line import Keys
from tui.widgets.timeline import Timeline, TimelineView

SPEEDS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0)
STEP_S = 5.0


def next_speed(speed: float, by: int) -> float:
    """Return the speed `by` steps up or down the list from the nearest one."""
    nearest = min(range(len(SPEEDS)), key=lambda index: abs(SPEEDS[index] - speed))
    return SPEEDS[max(0, min(len(SPEEDS) - 1, nearest + by))]


class ReplayScreen(SessionScreen):
    """The screen of a replay.

    Parameters
    ----------
    control
        The replay's knobs and its place; read at every frame.
    """

    DEFAULT_CSS = """
    ReplayScreen Timeline { height: 3; margin: 0 1; }
    ReplayScreen NoteLine { display: none; }
    ReplayScreen.-tall NoteLine, ReplayScreen.-huge NoteLine { display: block; }
    ReplayScreen NoteLine, ReplayScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "hold", "pause"),
        Binding("left", "seek(-1)", "back"),
        Binding("right", "seek(1)", "on"),
        Binding("n", "set(1)", "next set"),
        Binding("p", "set(-1)", "previous set"),
        Binding("home", "start", "start"),
        Binding("up,plus", "speed(1)", "faster"),
        Binding("down,minus", "speed(-1)", "slower"),
    ]

    def __init__(self, control: ReplayControl) -> None:
        super().__init__()
        self._control = control
        self.timeline = Timeline()

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.live
        yield self.timeline
        yield self.note_line
        yield self.key_line

    def keys(self) -> Keys:
        """Return the keys of the replay."""
        pause = "pause" if self._control.state.playing else "play"
        moves = (("← →", "5 s"), ("p n", "set"), ("↑ ↓", "speed"), ("home", "start"))
        return (("q", "leave"), ("?", "help"), ("space", pause), *moves)

    def on_mount(self) -> None:
        """Show the place in the recording from the start."""
        self.look()

    def look(self) -> None:
        """Read where the replay stands and show it."""
        self.timeline.view = TimelineView(self._control.spans, self._control.state)
        self.key_line.keys = self.keys()

    def action_hold(self) -> None:
        """Pause, or go on."""
        if self._control.state.playing:
            self._control.pause()
        else:
            self._control.resume()
        self.look()

    def action_seek(self, by: int) -> None:
        """Move by five seconds."""
        self._seek(self._control.state.position_s + by * STEP_S)

    def action_start(self) -> None:
        """Go to the start."""
        self._seek(0.0)

    def action_set(self, by: int) -> None:
        """Go to the start of the next set, or of this one and then of the one before."""
        starts = [span.start_s for span in self._control.spans if span.kind is SpanKind.SET]
        here_s = self._control.state.position_s
        if by > 0:
            later = [start for start in starts if start > here_s]
            self._seek(later[0] if later else self._control.state.duration_s)
        else:
            earlier = [start for start in starts if start < here_s - 1.0]
            self._seek(earlier[-1] if earlier else 0.0)

    def _seek(self, position_s: float) -> None:
        self._control.seek(max(0.0, min(self._control.state.duration_s, position_s)))
        self.look()

    def action_speed(self, by: int) -> None:
        """Play faster or slower."""
        self._control.set_speed(next_speed(self._control.state.speed, by))
        self.look()
