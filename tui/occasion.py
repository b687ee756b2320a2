"""What the dashboard is opened for: all that a session, a replay or a room needs of the screen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.floor.desk import FloorDesk
    from tui.rooms import Room
    from tui.session.control import Asked, Driver, LiveControl, ReplayControl, SoundControl, TurnControl


@dataclass(frozen=True, slots=True)
class Occasion:
    """What the dashboard is opened for.

    Attributes
    ----------
    driver
        The session to run; without one, a room is shown from the start.
    control
        Takes the wishes of a live session.
    turns
        Takes the wishes about whose turn it is, where several share the bar.
    trainees
        Whom the bar can be given to.
    rooms
        What can be opened from everywhere.
    first
        The room to begin in where no session runs, by its key or itself; without one the list of rooms.
    guide
        What to do next, above the list of rooms.
    replay
        Makes this a replay: the knobs of the recording that `driver` plays.
    asked
        Asks before the first set and after the last.
    sound
        Makes the session heard.
    floor
        Makes this a coach's floor: `driver` keeps it going.
    drawn
        Called with the ids of a coach's words once they are on the screen.
    left
        Called once the screen is left and nothing went wrong: says what came of it.
    """

    driver: Driver | None = None
    control: LiveControl | None = None
    turns: TurnControl | None = None
    trainees: Sequence[str] = ()
    rooms: Sequence[Room] = ()
    first: str | Room = ""
    guide: Sequence[str] = ()
    replay: ReplayControl | None = None
    asked: Asked | None = None
    sound: SoundControl | None = None
    floor: FloorDesk | None = None
    drawn: Callable[[Iterable[str]], None] = lambda _: None
    left: Callable[[], None] = lambda: None


Prepare = Callable[[ExitStack], Occasion]
"""Makes ready what the dashboard is opened for, beside its first picture; what it opens is closed after the screen."""
