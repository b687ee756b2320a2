"""A screen from whose session other rooms open, each by one key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from textual import events

from tui.rooms import Door
from tui.screens.rereading import RereadingScreen
from tui.views.rows import LogRow
from tui.widgets.key_line import Keys

if TYPE_CHECKING:
    from tui.app import RungwiseApp


ReadRows = Callable[[], Sequence[LogRow]]
"""Reads the sessions of a log, newest first."""


class DoorKeys(RereadingScreen[Sequence[LogRow]]):
    """Opens its doors.

    Parameters
    ----------
    doors
        What opens from a session.
    reread
        Reads the log again once somebody comes back from there.
    """

    if TYPE_CHECKING:
        app: RungwiseApp

    def __init__(self, doors: Sequence[Door], reread: ReadRows | None) -> None:
        super().__init__(reread)
        self.doors = tuple(doors)

    def session(self) -> str | None:
        """Return the id of the session that is marked."""
        raise NotImplementedError

    @property
    def door_keys(self) -> Keys:
        """Their keys, as shown."""
        return tuple((door.key, door.name) for door in self.doors)

    def on_key(self, event: events.Key) -> None:
        """Open the door of that key."""
        session = self.session()
        for door in self.doors if session else ():
            if event.character == door.key and session:
                event.stop()
                self.leave_for_a_while()
                self.app.visit(door.name, door.enter_of(session))
