"""Everybody wears a sensor of their own: it names its wearer, and the order is whatever it is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from analysis.motion.touch import Felt
from sensor.source import Arrival
from tui.session.messages import Stage
from tui.training.person import Person
from tui.training.turns import Turns


class Worn:
    """Each sensor's arrivals are its wearer's (`tui.training.routes.Route`).

    Parameters
    ----------
    people
        Who trains now, by name.
    turns
        Everybody; shown is who is in a set, or else who is first here.
    wearer
        Gives the name of who wears a sensor, by its id; None where nobody is known to.

    Attributes
    ----------
    last
        On whose sensor the last set was done; empty before the first.
    given
        On whose that was, and whose it was, where it was given; None where it was not, or somebody hangs since.
    """

    felt: Felt | None = None
    is_busy = in_order = False

    def __init__(self, people: Mapping[str, Person], turns: Turns, wearer: Callable[[str], str | None]) -> None:
        self._people, self._wearer = people, wearer
        self.turns = turns
        self._on = turns.first
        self._in_set: list[str] = []
        """In the order in which they began."""
        self.last = ""
        self.given: tuple[str, str] | None = None

    @property
    def on(self) -> str:
        """Who is in a set, the first who began where several are; else who is next."""
        return self._on

    @property
    def takers(self) -> tuple[str, ...]:
        """Who else may have done the last set, with a sensor that is another's."""
        if not self.last or self.given or not self._people[self.last].session.board.all_sets:
            return ()
        others = (name for name in self._people if name != self.last)
        return tuple(name for name in others if not self._people[name].session.board.ended)

    @property
    def is_given(self) -> bool:
        """Whether the last set was given to somebody else, and can be taken back."""
        return self.given is not None

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
        self.given = None if began else self.given
        self._in_set = [*(name for name in self._in_set if name in running), *began]
        self._on = self._in_set[0] if self._in_set else self.turns.first or self._on

    def _over(self, name: str) -> None:
        self.last = name
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
