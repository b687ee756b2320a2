"""Everybody wears a sensor of their own: it names its wearer, and the order is whatever it is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from analysis.motion.touch import Felt
from sensor.source import Arrival
from tui.messages import Stage
from tui.person import Person
from tui.turns import Turns


class Worn:
    """Each sensor's arrivals are its wearer's (`tui.routes.Route`).

    Parameters
    ----------
    people
        Who trains now, by name.
    turns
        Everybody; shown is who is in a set, or else who is first here.
    wearer
        Gives the name of who wears a sensor, by its id; None where nobody is known to.
    """

    felt: Felt | None = None
    is_busy = is_given = in_order = False
    takers: tuple[str, ...] = ()
    last = ""

    def __init__(self, people: Mapping[str, Person], turns: Turns, wearer: Callable[[str], str | None]) -> None:
        self._people, self._wearer = people, wearer
        self.turns = turns
        self._on = turns.first
        self._in_set: list[str] = []
        """In the order in which they began."""

    @property
    def on(self) -> str:
        """Who is in a set, the first who began where several are; else who is next."""
        return self._on

    def concerns(self, name: str, sensor_id: str) -> bool:
        """Whether they wear it."""
        return self._wearer(sensor_id) == name

    def give(self, arrival: Arrival, latest: Iterable[Arrival]) -> None:
        """Pass one arrival on."""
        name = self._wearer(arrival.sensor_id)
        if name is not None and name in self._people:
            self._people[name].give(arrival)

    def work_off(self) -> None:
        """Do nothing."""

    def look(self) -> None:
        """Show who is in a set, the first who began; after it, who has rested longest of those with sets to do."""
        running = [name for name in self._people if self._stage(name) is Stage.SET]
        for name in self._in_set:
            if name not in running:
                self._over(name)
        began = [name for name in running if name not in self._in_set]
        self._in_set = [*(name for name in self._in_set if name in running), *began]
        self._on = self._in_set[0] if self._in_set else self.turns.first or self._on

    def _over(self, name: str) -> None:
        if name == self._on and name in self._people:
            self._people[name].session.tick()  # its end is shown, and heard, before another's begins
        left = self.turns.without(name)
        self.turns = left.joined(name) if name in self._people and self._stage(name) is not Stage.DONE else left

    def change(self, turns: Turns) -> None:
        """Take another order; who is in a set goes on."""
        self.turns = turns
        self.look()

    def renewed(self, name: str) -> None:
        """Do nothing: what comes from now on is theirs."""

    def _stage(self, name: str) -> Stage:
        return self._people[name].session.board.stage
