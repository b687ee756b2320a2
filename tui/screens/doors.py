"""A screen from whose session other rooms open, each by one key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual import events
from textual.screen import Screen

from tui.rooms import Door
from tui.widgets.key_line import Keys

if TYPE_CHECKING:
    from tui.app import RungwiseApp


class DoorKeys(Screen[None]):
    """Opens its doors.

    Parameters
    ----------
    doors
        What opens from a session.
    """

    if TYPE_CHECKING:
        app: RungwiseApp

    def __init__(self, doors: Sequence[Door]) -> None:
        super().__init__()
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
                self.app.visit(door.name, door.enter_of(session))
