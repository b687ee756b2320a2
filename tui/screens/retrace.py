"""The replay of a session: walked by rep and by phase, played, seen close and whole, laid over another."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from tui.retrace import place as moves
from tui.retrace.compare import against_words
from tui.retrace.desk import Desk, Other
from tui.retrace.place import Place
from tui.retrace.recorded import Opened
from tui.retrace.signals import Signals, with_motion
from tui.retrace.skyline import skyline
from tui.retrace.view import SeenRep
from tui.screens.compare import CompareScreen
from tui.screens.pick import PickScreen
from tui.screens.retrace_marks import MarkKeys
from tui.screens.retrace_words import EMPTY, KEYS, LEGEND, MORE_KEYS
from tui.widgets.canvas import Ink
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.lines import Lines, Text
from tui.widgets.retrace import Retrace, RetracePicture, sight_columns

FRAMES_PER_S = 20.0
PAN = 0.25
"""Share of the window by which it is moved."""
ZOOM = 1.5
_ITSELF = "this session itself, set over set"


class RetraceScreen(MarkKeys):
    """A replay.

    Parameters
    ----------
    opened
        What is known at once, and how to read the motion.
    at_s
        Where to begin, sensor seconds; None: the whole.
    desk
        The logbook's side; None for what has no place in it.
    now
        Real seconds, for playing.
    """

    DEFAULT_CSS = """
    RetraceScreen Retrace { height: 1fr; margin: 0 1; }
    RetraceScreen Lines { height: auto; display: none; }
    RetraceScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "app.leave", "back"),
        Binding("space", "play", "play"),
        Binding("left", "phase(-1)", "phase before"),
        Binding("right", "phase(1)", "next phase"),
        Binding("p", "rep(-1)", "rep before"),
        Binding("n", "rep(1)", "next rep"),
        Binding("e", "told(1)", "next told live"),
        Binding("E", "told(-1)", "told live before"),
        Binding("left_square_bracket", "set(-1)", "set before"),
        Binding("right_square_bracket", "set(1)", "next set"),
        Binding("home", "end(-1)", "start"),
        Binding("end", "end(1)", "end"),
        Binding("plus,equals_sign", "zoom(-1)", "closer"),
        Binding("minus", "zoom(1)", "further"),
        Binding("enter", "closer", "set, rep, whole"),
        Binding("comma", "pan(-1)", "window back"),
        Binding("full_stop", "pan(1)", "window on"),
        Binding("up", "speed(1)", "faster"),
        Binding("down", "speed(-1)", "slower"),
        Binding("l", "loop", "loop"),
        Binding("c", "compare", "compare rep"),
        Binding("o", "other", "compare sets"),
    ]

    def __init__(
        self,
        opened: Opened,
        *,
        at_s: float | None = None,
        speed: float = 1.0,
        desk: Desk | None = None,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(opened.view, moves.opened(opened.view, at_s, speed), desk)
        self._skyline = skyline(tuple(opened.view.reps), opened.view.target)
        self._load, self._live = opened.load, opened.live
        self._now = now
        self._signals: Signals | None = None
        self._held: tuple[str, SeenRep] | None = None
        self._real_s = now()
        self.drawing = Retrace()
        self.said = Lines()
        self.key_line = KeyLine()

    @property
    def place(self) -> Place:
        """Where the replay stands."""
        return self._place

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.drawing
        yield self.said
        yield self.key_line

    def keys(self) -> Keys:
        """Return the keys that do something here."""
        now = {"space": "pause" if self._place.playing else "play", "l": "go on" if self._place.loop else "loop"}
        now |= {"c": "as prescribed"} if self._held else {}
        marks = self.mark_keys()
        keys = (*KEYS, *marks[:1], *MORE_KEYS, *marks[1:])
        silent = set() if self._view.live.reps else {"e E"}
        return tuple((key, now.get(key, words)) for key, words in keys if key not in silent)

    def legend(self) -> tuple[str, ...]:
        """Return how to read what is drawn beside the hills."""
        return LEGEND

    def on_mount(self) -> None:
        """Show what is known, and read the motion beside the screen."""
        self.say(EMPTY if not self._view.sets else ())
        self.run_worker(self._read(), exit_on_error=False)
        self.set_interval(1 / FRAMES_PER_S, self.frame)

    def on_resize(self) -> None:
        """Draw for the new width."""
        self._show()

    async def _read(self) -> None:
        try:
            self._signals = await asyncio.to_thread(self._load)
        except Exception as error:  # what was counted is shown all the same
            self.say(((f"The motion cannot be read: {error or type(error).__name__}", Ink.ATTENTION),))
            return
        before, self._view = self._view, with_motion(self._view, self._signals)
        self._place = moves.refitted(self._place, before, self._view)
        self._show()
        if self._live:
            self._view = replace(self._view, live=await asyncio.to_thread(self._live))
            self._show()

    def on_key(self) -> None:
        """Take back what was said: it was read."""
        if self._view.sets:
            self.say(())

    def frame(self) -> None:
        """Let the time pass that passed since the last frame; nothing is drawn anew where it stands."""
        before_s, self._real_s = self._real_s, self._now()
        if self._place.playing:
            self.go(moves.played(self._place, self._view, self._real_s - before_s))

    def go(self, place: Place) -> None:
        """Show another place."""
        self._place = place
        self._show()

    def _show(self) -> None:
        place, columns = self._place, sight_columns(self.drawing.size.width)
        sight = self._signals.sight(place.from_s, place.to_s, columns) if self._signals and columns else None
        held, rep = self._held, self._view.rep_at(place.head_s)
        over = held[1].hill if held else None
        compared = against_words(rep, held[1], held[0]) if held else ""
        self.drawing.picture = RetracePicture(self._view, self._skyline, place, sight, over, compared)
        self.key_line.keys = self.keys()

    def say(self, text: Text) -> None:
        """Say something until the next key."""
        self.said.text = text
        self.said.display = bool(text)

    def action_play(self) -> None:
        """Play, or hold."""
        self._real_s = self._now()
        self.go(moves.toggled(self._place, self._view))

    def action_phase(self, by: int) -> None:
        """Go to the next boundary, or to the one before, and hold there."""
        self.go(replace(moves.phase_stepped(self._place, self._view, by), playing=False))

    def action_told(self, by: int) -> None:
        """Go to the next moment at which something was told live, or to the one before, and hold there."""
        self.go(replace(moves.told_stepped(self._place, self._view, by), playing=False))

    def action_rep(self, by: int) -> None:
        """Go to the next rep, or to the one before."""
        self.go(moves.rep_stepped(self._place, self._view, by))

    def action_set(self, by: int) -> None:
        """Go to the next set, or to the one before."""
        self.go(moves.set_stepped(self._place, self._view, by))

    def action_end(self, side: int) -> None:
        """Go to the start or to the end."""
        self.go(moves.moved_to(self._place, self._view, self._view.end_s if side > 0 else self._view.start_s))

    def action_zoom(self, by: int) -> None:
        """See more, or less."""
        self.go(moves.zoomed(self._place, self._view, ZOOM**by))

    def action_closer(self) -> None:
        """See the set, then the rep, then the whole again."""
        self.go(moves.closer(self._place, self._view))

    def action_pan(self, by: int) -> None:
        """Move the window."""
        self.go(moves.panned(self._place, self._view, by * PAN))

    def action_speed(self, by: int) -> None:
        """Play faster or slower."""
        self.go(moves.faster(self._place, by))

    def action_loop(self) -> None:
        """Play the rep at the head over and over, or no longer."""
        self._real_s = self._now()
        self.go(moves.looped(self._place, self._view))

    def action_compare(self) -> None:
        """Lay the rep at the head behind all others; again: the prescribed one."""
        index, rep = self._view.set_at(self._place.head_s), self._view.rep_at(self._place.head_s)
        if self._held or rep is None or index is None:
            self._held = None
        else:
            self._held = (f"rep {rep.number} of set {self._view.sets[index].label}", rep)
        self._show()

    def action_other(self) -> None:
        """Choose a session to lay this one over: another, or itself."""
        self.run_worker(self._choose(), exit_on_error=False, exclusive=True)

    async def _choose(self) -> None:
        others = await asyncio.to_thread(self.desk.others) if self.desk else ()
        if not others:
            await self._lay_over(None)
            return
        names = [_ITSELF, *(one.name for one in others)]
        marked = next((index for index, one in enumerate(others, start=1) if one.alike), 0)
        pick = PickScreen("Lay its sets over those of which session?", names, marked)
        self.app.push_screen(pick, self._chosen(others))

    def _chosen(self, others: Sequence[Other]) -> Callable[[int | None], None]:
        def compare(index: int | None) -> None:
            if index is not None:
                other = others[index - 1] if index else None
                self.run_worker(self._lay_over(other), exit_on_error=False, exclusive=True)

        return compare

    async def _lay_over(self, other: Other | None) -> None:
        if other is None:
            self.app.push_screen(CompareScreen(self._view, "itself"))
            return
        sets = await asyncio.to_thread(other.sets)
        self.app.push_screen(CompareScreen(self._view, other.name, sets))
