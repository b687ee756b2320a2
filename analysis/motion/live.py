"""The live answer: the same reading as the refinement's, on a sliding window with a fixed lag.

    no bout ──first top──► bout open ──rep ends──► confirmed … ──nothing for longest_pause_s──► closed

Every `live_every_s` the last `live_window_s` are read afresh; what was announced before is compared with what is read
now. A rep is announced at its top, confirmed at its end, and withdrawn when a later reading no longer holds it.
"""

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
from analysis.motion.grid import Stretch, joined
from analysis.motion.metrics import with_pauses
from analysis.motion.mounts import Mount
from analysis.motion.parameters import Parameters
from analysis.motion.reading import Now, read_now
from analysis.motion.results import Bout, Rep

Scale = float | None


@dataclass(slots=True)
class _Open:
    """The bout in progress."""

    number: int
    ordinal: int = 0
    reps: list[Rep] = field(default_factory=list)
    top: RepProvisional | None = None
    missing: int = 0
    last_s: float = 0.0
    start_s: float = 0.0


class LiveTracker:
    """Grid points in, live events out."""

    def __init__(self, mount: Mount, parameters: Parameters) -> None:
        self._mount = mount
        self._parameters = parameters
        rate, life = parameters.grid.rate_hz, parameters.life
        self._every = round(life.live_every_s * rate)
        self._window = round(life.live_window_s * rate)
        self._parts: list[Stretch] = []
        self._points = 0
        self._next = 0
        self._open: _Open | None = None
        self._phase = Phase.AWAY
        self._done_s = float("-inf")

    @property
    def open_since_s(self) -> float | None:
        """Start of the bout in progress, if there is one."""
        return None if self._open is None else self._open.start_s

    def push(self, grid: Stretch) -> list[Event]:
        """Take the next grid points; `push` must be called at every multiple of `live_every_s`."""
        if not len(grid):
            return []
        self._parts.append(grid)
        self._points += len(grid)
        if self._points % self._every:
            return []
        window = joined(self._parts)
        window = window.cut(max(0, len(window) - self._window), len(window))
        self._parts = [window]
        return self._look(window)

    def finish(self) -> list[Event]:
        """Close what is open and forget the past."""
        events = self._close(float(self._parts[-1].t_s[-1])) if self._open is not None and self._parts else []
        self._parts, self._points = [], 0
        return events

    def _look(self, window: Stretch) -> list[Event]:
        now_s = float(window.t_s[-1])
        size = self._size()
        now = read_now(window, self._mount, self._parameters, self._done_s, size)
        events: list[Event] = []
        events += self._drop_false(now, now_s)
        for rep in now.reps:
            events += self._confirm(rep, now_s)
        events += self._announce(now, now_s)
        events += self._show(now, now_s)
        bout = self._open
        if bout is not None and now_s - bout.last_s > self._parameters.sets.longest_pause_s and bout.top is None:
            events += self._close(now_s)
        return events

    def _size(self) -> Scale:
        if self._open is None or not self._open.reps:
            return None
        sizes = sorted(r.travel_m for r in self._open.reps if r.travel_m is not None)
        return sizes[len(sizes) // 2] if sizes else None

    def _id(self, bout: _Open) -> EventId:
        bout.ordinal += 1
        return EventId(bout.number, bout.ordinal - 1)

    def _ensure_open(self, at_s: float, now_s: float) -> tuple[_Open, list[Event]]:
        if self._open is not None:
            return self._open, []
        bout = _Open(self._next, start_s=at_s, last_s=at_s)
        self._next += 1
        self._open = bout
        return bout, [BoutOpened(id=self._id(bout), at_s=at_s, emitted_s=now_s)]

    def _announce(self, now: Now, now_s: float) -> list[Event]:
        if now.top is None:
            return self._unannounce(now, now_s)
        start_s, top_s = now.top
        bout, events = self._ensure_open(start_s, now_s)
        bout.last_s = max(bout.last_s, top_s)
        if bout.top is not None and start_s < bout.top.top_s + 0.3:
            return events
        count = len(bout.reps) + 1
        bout.top = RepProvisional(
            id=self._id(bout), at_s=top_s, emitted_s=now_s, count=count, start_s=start_s, top_s=top_s
        )
        return [*events, bout.top]

    def _unannounce(self, now: Now, now_s: float) -> list[Event]:
        bout = self._open
        if bout is None or bout.top is None or now.rising:
            return []
        bout.top = None
        return [
            RepWithdrawn(
                id=self._id(bout), at_s=now_s, emitted_s=now_s, count=len(bout.reps), reason="the top was none"
            )
        ]

    def _confirm(self, rep: Rep, now_s: float) -> list[Event]:
        bout, events = self._ensure_open(rep.start_s, now_s)
        provisional_s = now_s if bout.top is None else bout.top.emitted_s
        if bout.top is None:
            count = len(bout.reps) + 1
            events.append(
                RepProvisional(
                    id=self._id(bout),
                    at_s=rep.top_s or rep.end_s,
                    emitted_s=now_s,
                    count=count,
                    start_s=rep.start_s,
                    top_s=rep.top_s or rep.end_s,
                )
            )
        rep = replace(rep, provisional_s=provisional_s, emitted_s=now_s)
        bout.reps.append(rep)
        bout.top, bout.missing = None, 0
        bout.last_s = rep.end_s
        self._done_s = rep.end_s
        count = sum(r.counts for r in bout.reps)
        return [*events, RepConfirmed(id=self._id(bout), at_s=rep.end_s, emitted_s=now_s, count=count, rep=rep)]

    def _drop_false(self, now: Now, now_s: float) -> list[Event]:
        """Withdraw the last confirmed rep when several readings in a row no longer hold it."""
        bout = self._open
        if bout is None or not bout.reps:
            return []
        last = bout.reps[-1]
        inside = last.start_s > now.from_s and now_s - last.end_s < self._parameters.life.live_window_s / 2
        held = any(a < last.end_s - 0.2 and b > last.start_s + 0.2 for a, b in now.spans)
        bout.missing = bout.missing + 1 if inside and not held else 0
        if bout.missing < 4:
            return []
        bout.missing = 0
        bout.reps.pop()
        self._done_s = bout.reps[-1].end_s if bout.reps else last.start_s - 0.1
        return [
            RepWithdrawn(
                id=self._id(bout), at_s=last.end_s, emitted_s=now_s, count=len(bout.reps), reason="it was no rep"
            )
        ]

    def _show(self, now: Now, now_s: float) -> list[Event]:
        phase = now.phase if self._open is not None else Phase.AWAY
        if phase is self._phase:
            return []
        self._phase = phase
        number = self._open
        identity = EventId(self._next - 1, -1) if number is None else self._id(number)
        return [PhaseChanged(id=identity, at_s=now.phase_s, emitted_s=now_s, phase=phase)]

    def _close(self, now_s: float) -> list[Event]:
        bout = self._open
        assert bout is not None
        events: list[Event] = []
        count = sum(r.counts for r in bout.reps)
        if bout.top is not None:
            events.append(
                RepWithdrawn(id=self._id(bout), at_s=now_s, emitted_s=now_s, count=count, reason="it never came down")
            )
        if count < self._parameters.sets.least_reps:
            for left in range(len(bout.reps) - 1, -1, -1):
                reason = "too few alike reps for a set"
                events.append(RepWithdrawn(id=self._id(bout), at_s=now_s, emitted_s=now_s, count=left, reason=reason))
            bout.reps = []
        end_s = bout.reps[-1].end_s if bout.reps else bout.last_s
        start_s = bout.reps[0].start_s if bout.reps else bout.start_s
        closed = Bout(number=bout.number, start_s=start_s, end_s=end_s, reps=with_pauses(bout.reps))
        if self._phase is not Phase.AWAY:
            self._phase = Phase.AWAY
            events.append(PhaseChanged(id=self._id(bout), at_s=now_s, emitted_s=now_s, phase=Phase.AWAY))
        events.append(BoutClosed(id=self._id(bout), at_s=end_s, emitted_s=now_s, bout=closed))
        self._done_s = max(self._done_s, end_s)
        self._open = None
        return events
