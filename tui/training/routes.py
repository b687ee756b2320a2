"""Which arrival is whose: what every way of sharing has in common, and one person alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Protocol

from analysis.motion.touch import Felt
from sensor.source import Arrival
from tui.training.person import Person
from tui.training.turns import Turns


class Route(Protocol):
    """Which arrival is whose."""

    turns: Turns
    in_order: bool
    """Whether they go in an order that a key changes."""
    last: str
    """Whose the last turn was; empty before the first, and where there are no turns."""

    @property
    def takers(self) -> tuple[str, ...]:
        """Who else the last set may be given to."""
        ...

    @property
    def is_given(self) -> bool:
        """Whether the last set was given to somebody else, and can be taken back."""
        ...

    @property
    def on(self) -> str:
        """Name of the one whose session is shown, and whom a key concerns."""
        ...

    @property
    def felt(self) -> Felt | None:
        """What the sensor felt lately, where the session that is shown does not get it yet."""
        ...

    @property
    def is_busy(self) -> bool:
        """Whether arrivals wait here."""
        ...

    def concerns(self, name: str, sensor_id: str) -> bool:
        """Whether what a sensor says of itself is somebody's to know."""
        ...

    def give(self, arrival: Arrival, latest: Iterable[Arrival]) -> None:
        """Pass one arrival on; `latest` is what the sensors said of themselves last."""
        ...

    def work_off(self) -> None:
        """Look at a few of the arrivals that wait."""
        ...

    def look(self) -> None:
        """Let the turn pass where it is over."""
        ...

    def change(self, turns: Turns) -> None:
        """Take another order; who is in a set goes on."""
        ...

    def renewed(self, name: str) -> None:
        """Take note that somebody's session begins anew: nothing of it was given yet."""
        ...


class Alone:
    """Everything is one person's (`Route`)."""

    felt: Felt | None = None
    is_busy = is_given = in_order = False
    takers: tuple[str, ...] = ()
    last = ""

    def __init__(self, people: Mapping[str, Person], turns: Turns) -> None:
        self._people = people
        self.turns = turns

    @property
    def on(self) -> str:
        """Whose."""
        return self.turns.first

    def concerns(self, name: str, sensor_id: str) -> bool:
        """Return True."""
        return True

    def give(self, arrival: Arrival, latest: Iterable[Arrival]) -> None:
        """Pass one arrival on."""
        self._people[self.on].give(arrival)

    def work_off(self) -> None:
        """Do nothing."""

    def look(self) -> None:
        """Do nothing: there is one."""

    def change(self, turns: Turns) -> None:
        """Let everything be another's."""
        self.turns = turns

    def renewed(self, name: str) -> None:
        """Do nothing: what comes from now on is theirs."""
