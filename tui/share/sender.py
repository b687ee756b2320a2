"""Which changes of a logbook to send next, from what coaches say they have; sans-I/O.

A coach's mark drives it: what comes after the mark is sent, as far as a window of unanswered changes goes, and again
when nothing moves. So whatever is lost, comes twice or out of order on the way, a coach ends with all of it: it takes
each change once, in order of sequence, and what it did not take it never marks.

    nobody heard ──mark──► sending ──mark at the end──► quiet ──the log grows──► sending
    sending ──5 s without a mark──► again from the mark ──six times──► given up ──mark──► sending
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

WINDOW = 32
"""Most changes that are on their way to a coach unanswered."""
AGAIN_S = 5.0
"""So long nothing moves before what is unanswered is sent again."""
ASKED_S = 1.0
"""A coach that says the same as before, so long after what it misses was sent, asks for it again."""
PATIENCE = 6
"""So often in a row it is sent again; then a coach is taken for gone until it says something."""
BURST, RATE_PER_S = 300.0, 200.0
"""What is sent at once, and in the long run: less than the hub passes on of one account (500 a second); how much a
coach has to take at once, the window says."""
MOST_COACHES = 16


@dataclass(frozen=True, slots=True)
class Connected:
    """The broker is there; what was on its way when it went may be lost."""


@dataclass(frozen=True, slots=True)
class Lost:
    """The broker is gone."""


@dataclass(frozen=True, slots=True)
class Grown:
    """The log ends with the change of this sequence now."""

    last: int


@dataclass(frozen=True, slots=True)
class Renewed:
    """The log's changes are counted anew, under another epoch."""

    epoch: str
    last: int


@dataclass(frozen=True, slots=True)
class Heard:
    """A coach has all changes of an epoch up to `through`; of none where it knows no epoch.

    That one was written at `noted_utc_us` by this log's clock, the coach says; 0 where it has none.
    """

    coach: str
    epoch: str
    through: int
    noted_utc_us: int = 0


@dataclass(frozen=True, slots=True)
class Proved:
    """The log's change of this sequence was written at that moment."""

    sequence: int
    noted_utc_us: int


@dataclass(frozen=True, slots=True)
class Sent:
    """A change was handed to the broker."""

    sequence: int


Input = Connected | Lost | Grown | Renewed | Heard | Proved | Sent


@dataclass(frozen=True, slots=True)
class Send:
    """Send up to so many changes, those after a sequence."""

    after: int
    most: int


@dataclass(frozen=True, slots=True)
class Prove:
    """A coach says that it has this log's change of this sequence, written at that moment: look.

    Where the log has another one there, or none, it was put back to an older copy: count its changes anew (`Renewed`).
    """

    sequence: int
    noted_utc_us: int


@dataclass(frozen=True, slots=True)
class Wait:
    """There is nothing to do before this moment, unless something comes; s."""

    until_s: float


Want = Send | Prove | Wait


@dataclass(slots=True)
class _Coach:
    """How far a coach is, and how far it was sent to; whether its mark is to be looked up in the log."""

    through: int
    noted_utc_us: int
    sent: int
    since_s: float
    is_doubted: bool = False
    tries: int = 0

    @property
    def doubt(self) -> Prove | None:
        return Prove(self.through, self.noted_utc_us) if self.is_doubted else None

    def from_its_mark(self, now_s: float) -> None:
        self.sent, self.since_s = self.through, now_s

    def until(self, last: int) -> int:
        return min(last, self.through + WINDOW) if self.tries < PATIENCE else self.sent


class Sender:
    """Says what to send; its times are of a clock that only goes forward, s.

    Parameters
    ----------
    epoch, last
        Of the log's changes: what they are counted under, and the sequence of the newest (0: there is none).
    """

    def __init__(self, epoch: str, last: int) -> None:
        self.epoch, self.last = epoch, last
        self._coaches: dict[str, _Coach] = {}
        self._connected = False
        self._left, self._left_s = BURST, 0.0

    def take(self, came: Input, now_s: float) -> None:
        """Take note of what happened."""
        match came:
            case Connected():
                self._connected = True
                for coach in self._coaches.values():
                    coach.from_its_mark(now_s)
                    coach.tries = 0
            case Lost():
                self._connected = False
            case Grown(last):
                self.last = max(self.last, last)
            case Renewed(epoch, last):
                self.epoch, self.last = epoch, last
                for coach in self._coaches.values():
                    coach.through, coach.is_doubted = 0, False
                    coach.from_its_mark(now_s)
            case Proved():
                self._proved(came)
            case Heard():
                self._heard(came, now_s)
            case Sent(sequence):
                self._sent(sequence, now_s)

    def wants(self, now_s: float) -> Want:
        """Return what to do now."""
        if not self._connected:
            return Wait(inf)
        if doubt := next((one.doubt for one in self._coaches.values() if one.doubt), None):
            return doubt
        self._begin_again(now_s)
        behind = [one for one in self._coaches.values() if one.sent < one.until(self.last)]
        if not behind:
            return Wait(
                min((one.since_s + AGAIN_S for one in self._coaches.values() if self._waits_for(one)), default=inf)
            )
        first = min(behind, key=lambda one: one.sent)
        allowed = int(self._allowance(now_s))
        if not allowed:
            return Wait(now_s + 1 / RATE_PER_S)
        return Send(first.sent, min(allowed, first.until(self.last) - first.sent))

    @property
    def heard_of(self) -> int:
        """How many coaches said how far they are."""
        return len(self._coaches)

    @property
    def is_quiet(self) -> bool:
        """Whether every coach that answers has all there is."""
        return all(one.through >= self.last or one.tries >= PATIENCE for one in self._coaches.values())

    @property
    def through(self) -> int:
        """What the coach that is furthest has of this log; 0 where none was heard."""
        return max((one.through for one in self._coaches.values()), default=0)

    def _heard(self, mark: Heard, now_s: float) -> None:
        through = mark.through if mark.epoch == self.epoch else 0  # of another epoch it begins at the first again
        coach = self._coaches.get(mark.coach)
        if coach is None:
            self._make_room()
            self._coaches[mark.coach] = _Coach(through, mark.noted_utc_us, through, now_s, is_doubted=through > 0)
            return
        before, was_gone = coach.through, coach.tries >= PATIENCE
        again = coach.sent > through == before and now_s - coach.since_s >= ASKED_S
        coach.is_doubted |= through > self.last
        coach.through, coach.noted_utc_us, coach.tries = through, mark.noted_utc_us, 0
        if again or was_gone or through < before:
            coach.from_its_mark(now_s)
        elif through > before:
            coach.sent, coach.since_s = max(coach.sent, through), now_s

    def _proved(self, change: Proved) -> None:
        for coach in self._coaches.values():
            if coach.doubt == Prove(change.sequence, change.noted_utc_us):
                coach.is_doubted = False

    def _sent(self, sequence: int, now_s: float) -> None:
        self._left = self._allowance(now_s) - 1.0
        self._left_s = now_s
        for coach in self._coaches.values():
            if coach.sent == sequence - 1 and sequence <= coach.until(self.last):
                if coach.sent == coach.through:  # nothing was on its way before
                    coach.since_s = now_s
                coach.sent = sequence

    def _begin_again(self, now_s: float) -> None:
        for coach in self._coaches.values():
            if self._waits_for(coach) and now_s >= coach.since_s + AGAIN_S:
                coach.from_its_mark(now_s)
                coach.tries += 1
                coach.is_doubted = coach.through > 0  # it may come through, and not follow what the coach has

    def _waits_for(self, coach: _Coach) -> bool:
        return coach.sent > coach.through and coach.tries < PATIENCE

    def _allowance(self, now_s: float) -> float:
        return min(BURST, self._left + RATE_PER_S * max(0.0, now_s - self._left_s))

    def _make_room(self) -> None:
        """Forget the coach that was silent for longest: names of coaches come from outside."""
        if len(self._coaches) >= MOST_COACHES:
            del self._coaches[min(self._coaches, key=lambda name: self._coaches[name].since_s)]
