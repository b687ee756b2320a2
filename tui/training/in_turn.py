"""Several people in turn on one sensor: whose motion it is follows from whose turn it is, and from who hangs."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from analysis.motion.touch import Felt
from sensor.source import Arrival, Channel
from tui.session.messages import Stage
from tui.training.handover import GETS_OFF_S, Handover, is_complete
from tui.training.lookout import Lookout
from tui.training.person import Person
from tui.training.turns import Turns

BEFORE_S = 30.0
"""So much of the motion before somebody was seen to hang is theirs, seconds: what a reading looks back for."""

MOST_KEPT = 20_000
"""Arrivals of one turn that are kept at most: about twenty minutes of a sensor."""

LookOut = Callable[[str, Iterable[Arrival], float], Lookout]
"""Begins to look whether somebody hangs: who, what came before, and since when (host seconds)."""


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
    taken_for
        Of a turn that was given to somebody else: whose it was taken for first; empty else.
    """

    name: str
    arrivals: tuple[Arrival, ...]
    before: Turns
    taken_for: str = ""


class InTurn:
    """One sensor for all (`Route`): its motion is whose turn it is, from shortly before they hang.

        set closes ──► the next one is looked out for ──hangs──► gets what came since that set, and all that comes
        └─► its own goes on with what comes until it is refined, or the next one hangs; then the sensor is lent
        set complete ──► what comes is held back ──the next one hangs──► the set is closed there, and the turn passes
                                                 └─nobody does─────────► it was this set's: it closes by itself

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
    turn
        The last turn that was over; None before the first, once somebody else hangs, and once it was given away.
    given
        The last turn, where it was given to somebody else, as theirs; None where it was not, or somebody hangs since.
    parted
        Whose set was parted, and who has the rest of it, where that can be taken back; None where somebody hangs since.
    last
        Whose the last turn was; empty before the first.
    """

    in_order = True

    def __init__(self, people: Mapping[str, Person], turns: Turns, look_out: LookOut) -> None:
        self._people, self._look_out = people, look_out
        self.turns = turns
        self.turn: Turn | None = None
        self.given: Turn | None = None
        self.parted: tuple[str, str] | None = None
        self.last = ""
        self._on = turns.first
        self._fed: set[str] = set()
        self._kept: deque[Arrival] = deque(maxlen=MOST_KEPT)
        self._lookout: Lookout | None = None
        self._handover: Handover | None = None
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
        lookouts = (self._lookout, self._handover.lookout if self._handover else None)
        return any(one is not None and one.is_busy for one in lookouts)

    def concerns(self, name: str, sensor_id: str) -> bool:
        """Return True: what says how the sensor is, all get."""
        return True

    def give(self, arrival: Arrival, latest: Iterable[Arrival]) -> None:
        """Pass one arrival on."""
        if arrival.channel is not Channel.DATA:
            for person in self._people.values():
                person.give(arrival)
        else:
            self._kept.append(arrival)
            for name in self._fed:
                if name != self._on or not self._holds_back(arrival, latest):
                    self._people[name].give(arrival)
        if self._on in self._people and self._on not in self._fed:
            self._forget(arrival.at_s)
            if self._lookout is None:
                self._lookout = self._look_out(self._on, (*latest, *self._kept), self._ended_s)
            else:
                self._lookout.give(arrival)

    def work_off(self) -> None:
        """Look at a few of the arrivals that wait."""
        for one in (self._lookout, self._handover.lookout if self._handover else None):
            if one:
                one.work_off()

    def look(self) -> None:
        """Let the turn pass where its set is over; let somebody have it who hangs; let go who needs no more."""
        if self._handover and self._handover.is_taken:
            self._take_turns()
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
        if name == self._on:
            self._lookout = None

    @property
    def takers(self) -> tuple[str, ...]:
        """Who else the last set may be given to."""
        return tuple(name for name in self._people if self.turn and self.may_have(self.turn, name))

    @property
    def is_given(self) -> bool:
        """Whether the last set, or part of it, was given to somebody else, and can be taken back."""
        return self.given is not None or self.parted is not None

    def hand_over(self, turn: Turn, name: str) -> None:
        """Give the motion of the last turn to somebody else: their session measures what was done in it."""
        self._lend(turn.name)
        person = self._people[name]
        person.catch_up(turn.arrivals)
        person.lend()
        self.turn, self.given, self.last = None, replace(turn, name=name, taken_for=turn.name), name

    def may_have(self, turn: Turn, name: str) -> bool:
        """Whether the motion of a turn is later than all that somebody got."""
        person = self._people[name]
        earlier = bool(turn.arrivals) and person.given_s < turn.arrivals[0].at_s
        return name != turn.name and earlier and not person.session.board.ended

    def _holds_back(self, arrival: Arrival, latest: Iterable[Arrival]) -> bool:
        """Whether an arrival may be the next one's: the set is complete, and somebody else waits for the bar."""
        person, now_s = self._people[self._on], arrival.at_s
        shown, next_one = person.shown, self.turns.order[1:2]
        if not next_one or shown is None or not is_complete(shown):
            self._give_back()
            return False
        if self._handover is None or self._handover.count != shown.count:
            self._give_back()
            self._handover = Handover(shown.count, now_s)
        after = self._handover
        if after.is_past(now_s):
            self._give_back(keep=True)
            return False
        if now_s <= after.since_s:
            return False
        after.held.append(arrival)
        if after.lookout is None:
            after.lookout = self._look_out(next_one[0], latest, after.since_s)
        after.lookout.give(arrival)
        return True

    def _give_back(self, *, keep: bool = False) -> None:
        """Give on what was held back: it was this set's; `keep`: hold nothing back again after the same rep."""
        after = self._handover
        if after is None:
            return
        held, after.held, after.lookout = after.held, [], None
        self._people[self._on].catch_up(held)
        self._handover = after if keep else None

    def _take_turns(self) -> None:
        """Close the set where it was complete: who hangs is somebody else."""
        self._handover = None
        self._lend(self._on)
        self._pass()
        self._hangs()

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
        self._fed, self._lookout, self.turn, self.given, self.parted = {self._on}, None, None, None, None

    def _is_over(self, person: Person) -> bool:
        """Whether the set that began in this turn is told, and does not wait for its gap."""
        board, done = person.session.board, person.last_set
        running = board.tally.open
        goes_on = board.waiting is not None or (running is not None and running.earlier is not None)
        return not person.is_busy and not goes_on and done is not None and person.host_s(done.start_s) > self._began_s

    def _pass(self) -> None:
        name, person = self._on, self._people[self._on]
        done = person.last_set
        if person.session.board.stage is Stage.SET:  # getting off the bar began like a rep
            self._lend(name)
        if done:
            self._ended_s = self._began_s = person.host_s(done.end_s) + GETS_OFF_S
        self.turn, self.given, self.last = Turn(name, tuple(self._kept), self.turns), None, name
        self._kept = deque((one for one in self._kept if one.at_s > self._ended_s), maxlen=MOST_KEPT)
        person.session.tick()  # its end is shown, and heard, before another's begins
        self.change(self.turns.passed(again=person.session.board.stage is not Stage.DONE))

    def _is_settled(self, person: Person) -> bool:
        done = person.last_set
        return not person.is_busy and (done is None or person.session.board.is_refined(done))

    def _lend(self, name: str) -> None:
        if name in self._fed:
            self._fed.discard(name)
            self._people[name].lend()
