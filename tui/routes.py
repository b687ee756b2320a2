"""Which arrival is whose: one person's, in turn on one sensor, or by the sensor that each wears."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from analysis.motion.touch import Felt
from sensor.source import Arrival, Channel
from tui.lookout import Lookout
from tui.messages import Stage
from tui.person import Person
from tui.turns import Turns

BEFORE_S = 30.0
"""So much of the motion before somebody was seen to hang is theirs, seconds: what a reading looks back for."""

MOST_KEPT = 20_000
"""Arrivals of one turn that are kept at most: about twenty minutes of a sensor."""

GETS_OFF_S = 3.0
"""So long after the last rep whoever did it lets go and steps away: no motion of the next one's, seconds."""

LookOut = Callable[[str, Iterable[Arrival], float], Lookout]
"""Begins to look whether somebody hangs: who, what came before, and since when (host seconds)."""


class Route(Protocol):
    """Which arrival is whose."""

    turns: Turns

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


@dataclass(frozen=True, slots=True)
class Turn:
    """A turn that is over.

    Attributes
    ----------
    name
        Whose it was taken for.
    arrivals
        All motion that came in it.
    before
        The order as it was then.
    """

    name: str
    arrivals: tuple[Arrival, ...]
    before: Turns


class Alone:
    """Everything is one person's (`Route`)."""

    felt: Felt | None = None
    is_busy = False

    def __init__(self, people: Mapping[str, Person], turns: Turns) -> None:
        self._people = people
        self.turns = turns

    @property
    def on(self) -> str:
        """Whose."""
        return self.turns.first

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


class InTurn:
    """One sensor for all (`Route`): its motion is whose turn it is, from shortly before they hang.

        set closes ──► the next one is looked out for ──hangs──► gets what came since that set, and all that comes
        └─► its own goes on with what comes until it is refined, or the next one hangs; then the sensor is lent

    So no recording holds the reps of two people. What says how the sensor is, all get.

    Parameters
    ----------
    people
        Who trains now, by name.
    turns
        The order.
    look_out
        Begins to look whether somebody hangs.

    Attributes
    ----------
    last
        The last turn that was over; None before the first, and once somebody else hangs.
    """

    def __init__(self, people: Mapping[str, Person], turns: Turns, look_out: LookOut) -> None:
        self._people, self._look_out = people, look_out
        self.turns = turns
        self.last: Turn | None = None
        self._on = turns.first
        self._fed: set[str] = set()
        self._kept: deque[Arrival] = deque(maxlen=MOST_KEPT)
        self._lookout: Lookout | None = None
        self._ended_s = self._began_s = float("-inf")
        """When whoever did the last set was off the bar, and when the motion begins that the present turn may own."""

    @property
    def on(self) -> str:
        """Who is on the bar, or next; where nobody is left, who was last."""
        return self._on

    @property
    def felt(self) -> Felt | None:
        """What the sensor felt lately, as long as nobody hangs."""
        return self._lookout.felt if self._lookout else None

    @property
    def is_busy(self) -> bool:
        """Whether arrivals wait here."""
        return self._lookout is not None and self._lookout.is_busy

    def give(self, arrival: Arrival, latest: Iterable[Arrival]) -> None:
        """Pass one arrival on."""
        if arrival.channel is not Channel.DATA:
            for person in self._people.values():
                person.give(arrival)
        else:
            self._kept.append(arrival)
            for name in self._fed:
                self._people[name].give(arrival)
        if self._on not in self._fed:
            self._forget(arrival.at_s)
            if self._lookout is None:
                self._lookout = self._look_out(self._on, (*latest, *self._kept), self._ended_s)
            else:
                self._lookout.give(arrival)

    def work_off(self) -> None:
        """Look at a few of the arrivals that wait."""
        if self._lookout:
            self._lookout.work_off()

    def look(self) -> None:
        """Let the turn pass where its set is over; let somebody have it who hangs; let go who needs no more."""
        if self._lookout and self._lookout.sees_somebody:
            self._hangs()
        if self._on in self._fed and self._is_over(self._people[self._on]):
            self._pass()
        for name in self._fed - {self._on}:
            if self._is_settled(self._people[name]):
                self._lend(name)

    def change(self, turns: Turns) -> None:
        """Take another order; who hangs goes on."""
        self.turns = turns
        if turns.first and turns.first != self._on:
            self._on, self._lookout = turns.first, None

    def renewed(self, name: str) -> None:
        """Give somebody nothing until they hang."""
        self._fed.discard(name)
        self._lookout = None

    def hand_over(self, turn: Turn, name: str) -> None:
        """Give the motion of a turn to somebody else: their session measures what was done in it."""
        person = self._people[name]
        person.catch_up(turn.arrivals)
        person.lend()

    def may_have(self, turn: Turn, name: str) -> bool:
        """Whether the motion of a turn is later than all that somebody got."""
        return name != turn.name and bool(turn.arrivals) and self._people[name].given_s < turn.arrivals[0].at_s

    def _forget(self, now_s: float) -> None:
        """Keep what came since the last set, and no more than a reading looks back for."""
        since_s = max(self._ended_s, now_s - BEFORE_S)
        while self._kept and self._kept[0].at_s <= since_s:
            self._kept.popleft()

    def _hangs(self) -> None:
        person = self._people[self._on]
        for name in tuple(self._fed):
            self._lend(name)
        own = [one for one in self._kept if one.at_s > person.given_s]
        self._began_s = own[0].at_s if own else self._ended_s
        person.catch_up(own)
        self._fed, self._lookout, self.last = {self._on}, None, None

    def _is_over(self, person: Person) -> bool:
        """Whether the set that began in this turn is told, and does not wait for its gap."""
        board, done = person.session.board, person.last_set
        waits = person.is_busy or board.stage is Stage.SET or board.waiting is not None
        return not waits and done is not None and person.host_s(done.start_s) > self._began_s

    def _pass(self) -> None:
        name, person = self._on, self._people[self._on]
        done = person.last_set
        assert done is not None
        self._ended_s = self._began_s = person.host_s(done.end_s) + GETS_OFF_S
        self.last = Turn(name, tuple(self._kept), self.turns)
        self._kept = deque((one for one in self._kept if one.at_s > self._ended_s), maxlen=MOST_KEPT)
        person.session.tick()  # its end is shown, and heard, before another's begins
        self.change(self.turns.passed(again=person.session.board.stage is not Stage.DONE))

    def _is_settled(self, person: Person) -> bool:
        done = person.last_set
        return not person.is_busy and (done is None or person.session.board.is_refined(done))

    def _lend(self, name: str) -> None:
        self._fed.discard(name)
        self._people[name].lend()
