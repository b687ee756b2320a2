"""The words of the live answer: events of one bout after the other, numbered, and what was said so far."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from analysis.motion.events import (
    BoutClosed,
    BoutOpened,
    Event,
    EventId,
    Phase,
    PhaseChanged,
    RepConfirmed,
    RepProvisional,
    RepWithdrawn,
)
from analysis.motion.metrics import with_pauses
from analysis.motion.results import Bout, Hold, Rep

_MOVED_S = 0.3
"""By how much the begin of a phase must be seen otherwise to be told again; looks differ by a tenth or less."""
_STILL = (Phase.AWAY, Phase.HANG, Phase.BOTTOM, Phase.TOP)
"""Phases that begin where a movement ended: they slide along with a window that no longer holds it."""


@dataclass(slots=True)
class _Open:
    number: int
    start_s: float
    last_s: float
    ordinal: int = 0
    reps: list[Rep] = field(default_factory=list)
    top: RepProvisional | None = None
    phase: Phase = Phase.AWAY
    phase_s: float = float("-inf")


class Announcer:
    """Turns decisions into events with deterministic ids."""

    def __init__(self) -> None:
        self._bout: _Open | None = None
        self._next = 0

    @property
    def is_open(self) -> bool:
        """Whether a bout is in progress."""
        return self._bout is not None

    @property
    def at_top(self) -> bool:
        """Whether a top was announced and not yet followed by its end."""
        return self._bout is not None and self._bout.top is not None

    @property
    def open_since_s(self) -> float | None:
        """Start of the bout in progress."""
        return None if self._bout is None else self._bout.start_s

    @property
    def last_s(self) -> float:
        """Time of the last thing that happened in the bout in progress."""
        return float("-inf") if self._bout is None else self._bout.last_s

    @property
    def reps(self) -> tuple[Rep, ...]:
        """The confirmed reps of the bout in progress, in order."""
        return () if self._bout is None else tuple(self._bout.reps)

    def top(self, start_s: float, top_s: float, now_s: float) -> list[Event]:
        """Announce a rep at its top, once."""
        events = self._open(start_s, now_s)
        bout = self._the()
        bout.last_s = max(bout.last_s, top_s)
        if bout.top is not None:
            return events
        count = self._count() + 1
        bout.top = RepProvisional(id=self._id(), at_s=top_s, emitted_s=now_s, count=count, start_s=start_s, top_s=top_s)
        return [*events, bout.top]

    def no_top(self, now_s: float, reason: str) -> list[Event]:
        """Take back the announced top."""
        self._the().top = None
        return [RepWithdrawn(id=self._id(), at_s=now_s, emitted_s=now_s, count=self._count(), reason=reason)]

    def rep(self, rep: Rep, now_s: float) -> list[Event]:
        """Confirm a rep (announcing it first, where that was not done); one that was overlooked takes its place."""
        late = bool(self.reps) and rep.end_s <= self.reps[-1].start_s
        top_s = rep.end_s if rep.top_s is None else rep.top_s
        events = [] if late else self.top(rep.start_s, top_s, now_s)
        bout = self._the()
        said_s = now_s if bout.top is None or late else bout.top.emitted_s
        rep = replace(rep, provisional_s=said_s, emitted_s=now_s)
        bout.reps = sorted([*bout.reps, rep], key=lambda r: r.start_s)
        if not late:
            bout.top, bout.last_s = None, rep.end_s
        return [*events, RepConfirmed(id=self._id(), at_s=rep.end_s, emitted_s=now_s, count=self._count(), rep=rep)]

    def withdraw(self, index: int, now_s: float, reason: str) -> list[Event]:
        """Take back a confirmed rep."""
        rep = self._the().reps.pop(index)
        count = self._count()
        return [RepWithdrawn(id=self._id(), at_s=rep.end_s, emitted_s=now_s, count=count, reason=reason)]

    def phase(self, phase: Phase, at_s: float, now_s: float) -> list[Event]:
        """Say what is being done, when it changes, and when it turns out to have begun at another time."""
        bout = self._the()
        if phase is bout.phase and (phase in _STILL or abs(at_s - bout.phase_s) < _MOVED_S):
            return []
        bout.phase, bout.phase_s = phase, at_s
        return [PhaseChanged(id=self._id(), at_s=max(at_s, bout.start_s), emitted_s=now_s, phase=phase)]

    def close(self, now_s: float, least_reps: int, read: Bout | None) -> list[Event]:
        """End the bout; with fewer than `least_reps` it is closed with none. `read` is the whole of it, as read now."""
        bout = self._the()
        events = self.no_top(now_s, "it never came down") if bout.top is not None else []
        if self._count() < least_reps:
            while bout.reps:
                events += self.withdraw(-1, now_s, "too few alike reps for a set")
        if bout.phase is not Phase.AWAY:
            events += self.phase(Phase.AWAY, now_s, now_s)
        start_s, end_s = (bout.reps[0].start_s, bout.reps[-1].end_s) if bout.reps else (bout.start_s, bout.last_s)
        closed = Bout(number=bout.number, start_s=start_s, end_s=end_s, reps=with_pauses(bout.reps))
        if read is not None:
            closed = replace(closed, begins_down=read.begins_down, direction=read.direction)
        events.append(BoutClosed(id=self._id(), at_s=end_s, emitted_s=now_s, bout=closed))
        self._bout = None
        return events

    def hold(self, hold: Hold, now_s: float) -> BoutClosed:
        """Close a bout that was one hold."""
        number, self._next = self._next, self._next + 1
        bout = Bout(number=number, start_s=hold.start_s, end_s=hold.end_s, reps=(), holds=(hold,))
        return BoutClosed(id=EventId(number, 0), at_s=hold.end_s, emitted_s=now_s, bout=bout)

    def _open(self, start_s: float, now_s: float) -> list[Event]:
        if self._bout is not None:
            return []
        self._bout = _Open(self._next, start_s, start_s)
        self._next += 1
        return [BoutOpened(id=self._id(), at_s=start_s, emitted_s=now_s)]

    def _the(self) -> _Open:
        if self._bout is None:
            raise RuntimeError("no bout is open")
        return self._bout

    def _id(self) -> EventId:
        bout = self._the()
        bout.ordinal += 1
        return EventId(bout.number, bout.ordinal - 1)

    def _count(self) -> int:
        return sum(rep.counts for rep in self._the().reps)
