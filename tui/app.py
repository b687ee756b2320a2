"""The terminal application: runs a session in its own event loop, draws at most twenty frames a second, takes keys."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import partial
from itertools import takewhile
from typing import TYPE_CHECKING, ClassVar

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.worker import Worker, WorkerCancelled

from tui.occasion import Occasion
from tui.palette import DARK, LIGHT, first_theme
from tui.screens.go import GoScreen
from tui.screens.keyed import Explained, Keyed
from tui.screens.opening import OpeningScreen
from tui.screens.visit import VisitScreen

if TYPE_CHECKING:
    from textual.driver import Driver as TerminalDriver

    from tui.rooms import Enter
    from tui.screens.session import SessionScreen
    from tui.session.control import Driver
    from tui.session.messages import Moment, Snapshot

FRAMES_PER_S = 20.0
PATIENCE_S = 5.0
"""Real seconds that a session has to leave by itself before it is cancelled."""


class RungwiseApp(App[None]):
    """The application. Run it with `run(mouse=False)`, then look at `failure`.

    Parameters
    ----------
    occasion
        What it is opened for, or what makes that ready beside the first picture.

    Attributes
    ----------
    failure
        What the session died of, or None. The screen is left first; whoever ran the app says it.
    pictured
        Set once there is a first picture: what takes long to load waits for it.
    occasion
        What it is opened for; nothing until that is ready.
    """

    CSS = "VerticalScroll { scrollbar-size-vertical: 1; scrollbar-color: $secondary; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q", "stop", "stop"),
        Binding("ctrl+c,ctrl+q", "abort", "stop", show=False, priority=True),
        Binding("question_mark", "help", "help"),
        Binding("g", "go", "go to"),
        Binding("b", "bright", "bright or dark", show=False),
    ]
    TITLE = "Rungwise"

    def __init__(self, occasion: Occasion | Callable[[], Occasion]) -> None:
        # Without colour the terminal's own two are used: Textual would otherwise send greys.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.failure: Exception | None = None
        self.pictured = asyncio.Event()
        self._prepare = None if isinstance(occasion, Occasion) else occasion
        self.occasion = occasion if isinstance(occasion, Occasion) else Occasion()
        self._session: SessionScreen | None = None
        self._worker: Worker[None] | None = None
        self._stopping = self._hurried = False
        self._newest: Snapshot | None = None
        self.register_theme(DARK)
        self.register_theme(LIGHT)

    def get_driver_class(self) -> type[TerminalDriver]:
        """Return what speaks to the terminal."""
        if sys.platform == "win32":
            return super().get_driver_class()
        from tui.terminal import PatientDriver

        return PatientDriver

    def on_load(self) -> None:
        """Choose the theme while there is nothing yet that would have to be drawn again."""
        self.theme = first_theme()

    async def on_mount(self) -> None:
        """Open the first screen and start the session."""
        self._stop_on_signals()
        if self._prepare is None:
            await self.push_screen(self._first_screen())
            self._start()
        else:
            await self.push_screen(OpeningScreen())
            self.run_worker(self._open(self._prepare), exit_on_error=False)
        self.call_after_refresh(self.pictured.set)

    async def _open(self, prepare: Callable[[], Occasion]) -> None:
        """Make ready what this is opened for, beside the first picture: loading most of the program is most of it."""
        await self.pictured.wait()
        try:
            self.occasion = await asyncio.to_thread(prepare)
        except Exception as error:
            self._fail(error)
        else:
            self.call_later(self._enter)  # not from here: this worker goes with its screen

    async def _enter(self) -> None:
        await self.switch_screen(self._first_screen())
        self._start()

    def _first_screen(self) -> Screen[None]:
        given = self.occasion
        if given.driver is None:
            return self._first_room()
        if given.floor:
            from tui.screens.floor import FloorScreen

            return FloorScreen(given.floor)
        from tui.screens.live import LiveScreen  # with all that a session shows: after the first picture
        from tui.screens.replay import ReplayScreen

        if given.replay:
            self._session = ReplayScreen(given.replay)
        else:
            self._session = LiveScreen(
                given.control, given.trainees, bool(given.rooms), given.asked, given.sound, given.turns
            )
        return self._session

    def _start(self) -> None:
        """Start the session, where there is one."""
        if self.occasion.driver is None:
            return
        if self.occasion.sound:
            self.occasion.sound.open(self.bell, self._remark)
        self._worker = self.run_worker(self._drive(self.occasion.driver), exit_on_error=False)
        self.set_interval(1 / FRAMES_PER_S, self.frame)
        self.screen_change_signal.subscribe(self, self.frame, immediate=True)

    def _first_room(self) -> Screen[None]:
        first, rooms = self.occasion.first, self.occasion.rooms
        chosen = [room for room in rooms if room.key == first] if isinstance(first, str) else [first]
        return VisitScreen(chosen[0].name, chosen[0].enter) if chosen else GoScreen(rooms, self.occasion.guide)

    def _fail(self, error: Exception) -> None:
        """Leave the screen; whoever ran the application says why."""
        self.failure = error
        self.exit(return_code=1)

    def _fatal_error(self) -> None:
        """Leave without Textual's page of locals on the terminal: whoever ran the application writes it down."""
        self.failure = self._exception
        self._close_messages_no_wait()

    def _stop_on_signals(self) -> None:
        """Close the log, too, when the terminal is closed or the program is told to end."""
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            with suppress(AttributeError, NotImplementedError, RuntimeError):  # there are none on Windows
                loop.add_signal_handler(getattr(signal, name), lambda: self.run_worker(self.action_abort()))

    def post_snapshot(self, snapshot: Snapshot) -> None:
        """Show this from the next frame on (`tui.session.control.Feed`)."""
        self._newest = snapshot
        if self.occasion.sound:
            self.occasion.sound.hear(snapshot)

    def post_moment(self, moment: Moment) -> None:
        """Show what just happened (`tui.session.control.Feed`); the end panel shows what closes a session."""
        if self._session and moment.kind != "closing":
            self._session.note = moment.text

    def _remark(self, text: str) -> None:
        if self._session:
            self._session.note = text

    def frame(self, _: object = None) -> None:
        """Draw the newest snapshot where it is seen; called twenty times a second, and as another screen comes up."""
        if self._session is None or not self._session.is_ready or not self._is_session_seen:
            return
        if self._newest is not None:
            coach = self._newest.coach
            self._session.snapshot, self._newest = self._newest, None
            if coach and self.screen is self._session:
                self.call_after_refresh(self.occasion.drawn, coach.words)
        self._session.look()

    @property
    def _is_session_seen(self) -> bool:
        """Whether nothing lies over the session but what lets it shine through."""
        over = takewhile(lambda screen: screen is not self._session, reversed(self.screen_stack))
        return all(screen.styles.background.a < 1.0 for screen in over)

    async def _drive(self, driver: Driver) -> None:
        try:
            await driver(self)
        except Exception as error:
            self._fail(error)
        if self._stopping and not self._waits_for_answers():
            self.exit()

    def _waits_for_answers(self) -> bool:
        """Whether the closed session stays on the screen: questions of it are open, and nobody is in a hurry."""
        if self._hurried or self.occasion.asked is None or self.failure:
            return False
        self.occasion.asked.look()
        if self.occasion.asked.wants_answers and self._session:
            self._session.note = "The log is closed. q again leaves without an answer."
        return self.occasion.asked.wants_answers

    async def action_abort(self) -> None:
        """Leave as soon as the log is closed, whatever is still asked."""
        self._hurried = True
        await self.action_stop()

    async def action_stop(self) -> None:
        """Leave: ask the session to close, and cancel it when it is asked again or takes too long."""
        running = self._worker is not None and self._worker.is_running
        if not running:
            self.exit()
        elif self._stopping or self.occasion.control is None:
            await self._cancel()
        else:
            self._stopping = True
            if self._session:
                self._session.note = "Closing the log. q again leaves at once."
            self.set_timer(PATIENCE_S, self._cancel)
            self.occasion.control.stop()

    async def _cancel(self) -> None:
        """Cancel the session, wait until it has cleaned up, leave."""
        if self._worker is not None and self._worker.is_running:
            self._worker.cancel()
            with suppress(WorkerCancelled):
                await self._worker.wait()
        self.exit()

    async def action_quit(self) -> None:
        """Leave as `ctrl+c` does."""
        await self.action_abort()

    def action_help(self) -> None:
        """Show the keys and how to read the hills."""
        from tui.screens.help import HelpScreen

        if isinstance(self.screen, Keyed):
            legend = self.screen.legend() if isinstance(self.screen, Explained) else ()
            self.push_screen(HelpScreen(self.screen.keys(), bool(self.occasion.rooms), legend))

    def action_go(self) -> None:
        """List the rooms."""
        if self.occasion.rooms and isinstance(self.screen, Keyed):
            self.push_screen(GoScreen(self.occasion.rooms))

    def visit(self, name: str, enter: Enter) -> None:
        """Open a room over what is on the screen; the list of rooms gives way to it.

        Parameters
        ----------
        name
            What is opened, as said while it is read.
        """
        visit = VisitScreen(name, enter)
        if isinstance(self.screen, GoScreen) and len(self.screen_stack) > 2:
            self.switch_screen(visit)
        else:
            self.push_screen(visit)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Name what the command palette offers: the rooms, the keys, the light, the way out."""
        for room in self.occasion.rooms:
            yield SystemCommand(room.name, room.tells, partial(self.visit, room.name, room.enter))
        yield SystemCommand("keys", "the keys of this screen, and how to read the hills", self.action_help)
        yield SystemCommand("bright or dark", "change the ground of the screen", self.action_bright)
        yield SystemCommand("leave", "close the log and go", self.action_stop)

    def action_leave(self) -> None:
        """Go back to the screen below; leave where there is none."""
        if len(self.screen_stack) > 2:
            self.pop_screen()
        else:
            self.exit()

    def action_bright(self) -> None:
        """Change between the dark and the light theme."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name
