"""The live answer: the same reading as the refinement's, on a sliding window with a short lag.

    no bout ──first top──► bout open ──rep ends──► confirmed … ──hands off, or nothing for longest_pause_s──► closed

Every `live_every_s` the last `live_window_s` are read afresh; what was announced before is compared with what is read
now. A rep is announced at its top, confirmed at its end, and withdrawn when a later reading no longer holds it. Before
a bout closes, all of it is read once more by what is known by then (`closing.py`). A look is done in two halves,
`_HALF` grid points apart, so that no packet waits for a whole one. Between looks the end of a top hold is told by the
acceleration alone (`onset.py`).
"""

from __future__ import annotations

from analysis.motion.announcer import Announcer
from analysis.motion.closing import correction, own_and_others
from analysis.motion.events import Event, HoldEnded, Phase
from analysis.motion.grid import Stretch, joined
from analysis.motion.holding import HoldTracker
from analysis.motion.mounts import Mount
from analysis.motion.on_mount import on_limb
from analysis.motion.onset import TopHold
from analysis.motion.parameters import Parameters
from analysis.motion.reading import Now, Sight, read_now, sight
from analysis.motion.refine import refine
from analysis.motion.results import Bout, Hold, Rep, RepKind
from analysis.motion.template import Example

_HALF = 2
"""Grid points between the halves of a look: packets of 0.1 s, of two and three grid points in turn, hold one each."""
_BETWEEN = (0, 4)
"""Grid points after the first half of a look at which the end of a top hold is looked for besides."""
_MEMORY = 7
"""Reps of the bout that serve as examples."""
_MISSES = 3
"""Readings in a row that must lack a confirmed rep before it is withdrawn."""
_SAME = 0.3
"""Share of a confirmed rep that may not be read a second time as another one."""
_PART = 0.75
"""Share of a one-and-a-half rep that its half without the other half lasts at most."""
_FRESH_S = 1.0
"""How far back before its end a closed bout still owns the motion."""


class LiveTracker:
    """Grid points in, live events out."""

    def __init__(self, mount: Mount, parameters: Parameters, *, halved: bool = False) -> None:
        self._mount = mount
        self._halved = halved and mount.shows_travel  # a half turn of a bar or a strap is not told from a whole one
        self._parameters = on_limb(parameters) if mount is Mount.LIMB else parameters
        rate, life = parameters.grid.rate_hz, parameters.life
        self._every = round(life.live_every_s * rate)
        self._window = round(life.live_window_s * rate)
        self._second = self._every * max(1, round(1.0 / life.live_every_s))
        self._parts: list[Stretch] = []
        self._points = 0
        self._seen: Sight | None = None
        self._hold: TopHold | None = None
        self._say = Announcer()
        self._memory: list[Example] = []
        self._floor_s = float("-inf")
        self._given_s = float("-inf")
        self._missing: list[int] = []
        self._holding = HoldTracker(mount, parameters)
        self._holds: list[Hold] = []

    @property
    def open_since_s(self) -> float | None:
        """Start of the bout in progress, if there is one."""
        return self._say.open_since_s

    def to_next(self) -> int:
        """Grid points until something is due: `push` must not be given more."""
        since = self._points % self._every
        return next(due - since for due in (_HALF, *_BETWEEN, self._every) if due > since)

    def push(self, grid: Stretch) -> list[Event]:
        """Take the next grid points, at most `to_next` of them."""
        if not len(grid):
            return []
        self._parts.append(grid)
        self._points += len(grid)
        since = self._points % self._every
        if since == 0:
            past = joined(self._parts)
            self._parts = [past.cut(max(0, len(past) - self._kept(past)), len(past))]
            window = past.cut(max(0, len(past) - self._window), len(past))
            self._seen = sight(window, self._mount, self._parameters, self._spans())
        return self._look() if since == _HALF else self._go_on(grid, since)

    def finish(self) -> list[Event]:
        """Close what is open and forget the past."""
        events = self._look()
        if self._parts:
            now_s = float(self._parts[-1].t_s[-1])
            events += self._close(now_s) if self._say.is_open else []
            events += [*self._holding.finish(now_s), *self._told_holds(now_s)]
        self._parts, self._points = [], 0
        return events

    def _kept(self, past: Stretch) -> int:
        """Return how many of the last grid points are still needed: the bout in progress, and what came before it."""
        since_s, life = self.open_since_s, self._parameters.life
        open_s = 0.0 if since_s is None else float(past.t_s[-1]) - since_s
        kept_s = max(life.live_window_s, min(open_s, life.longest_s) + life.context_s)
        return round(kept_s * self._parameters.grid.rate_hz)

    def _look(self) -> list[Event]:
        """Do the second half of a look, if there was a first."""
        seen, self._seen = self._seen, None
        if seen is None:
            return []
        events = self._read(seen, float(self._parts[-1].t_s[-1]))
        first = self._points - self._points % self._every
        return events if first % self._second else [*events, *self._look_for_hold(seen.window)]

    def _go_on(self, grid: Stretch, since: int) -> list[Event]:
        """Follow a top hold between two looks, `since` grid points after the first half of one."""
        if self._hold is None:
            return []
        self._hold = self._hold.gone_on(grid.force_m_s2)
        return self._end_of_hold(float(grid.t_s[-1])) if since in _BETWEEN else []

    def _end_of_hold(self, now_s: float) -> list[Event]:
        """Tell that the top hold that was told is over, if it is."""
        at_s = None if self._hold is None or not self._say.is_open else self._hold.lowered_s(self._parameters.onset)
        if at_s is None:
            return []
        self._hold = None
        return self._say.phase(Phase.DOWN, at_s, now_s)

    def _look_for_hold(self, window: Stretch) -> list[Event]:
        """Follow a hold without reps; one that ended waits until no set can follow it any more."""
        reps = self._say.reps
        events = self._holding.look(window, reps[-1].end_s if reps else None)
        self._holds += [event.hold for event in events if isinstance(event, HoldEnded) and event.hold]
        if reps:
            apart_s = self._parameters.holds.apart_s
            self._holds = [hold for hold in self._holds if hold.end_s + apart_s < reps[0].start_s]
        now_s, p = float(window.t_s[-1]), self._parameters.holds
        waits = self._say.is_open or any(now_s - hold.end_s < p.edge_s + p.apart_s for hold in self._holds)
        return events + ([] if waits else self._told_holds(now_s))

    def _told_holds(self, now_s: float) -> list[Event]:
        told: list[Event] = [self._say.hold(hold, now_s) for hold in self._holds]
        self._holds = []
        return told

    def _read(self, seen: Sight, now_s: float) -> list[Event]:
        now = self._now(seen)
        events = self._drop_false(now, now_s)
        now = self._now(seen) if events else now
        self._hold = now.hold
        for part in self._parts[1:]:  # what came since the first half
            self._hold = None if self._hold is None else self._hold.gone_on(part.force_m_s2)
        for rep, example in zip(now.reps, now.examples, strict=True):
            events += self._confirm(rep, example, now_s)
        if now.away and self._say.is_open:
            return events + self._close(now_s)
        events += self._top(now, now_s)
        if self._say.is_open:
            events += [*self._say.phase(now.phase, now.phase_s, now_s), *self._end_of_hold(now_s)]
        if self._say.is_open and now_s - self._say.last_s > self._patience_s():
            events += self._close(now_s)
        return events

    def _now(self, seen: Sight) -> Now:
        memory = self._memory[-_MEMORY:]
        return read_now(seen, self._mount, self._parameters, self._floor_s, self._spans(), memory, halved=self._halved)

    def _spans(self) -> list[tuple[float, float]]:
        return [(rep.shrug_start_s or rep.start_s, rep.end_s) for rep in self._say.reps]

    def _patience_s(self) -> float:
        """How long nothing may happen: a top hold may last longer than a pause."""
        sets = self._parameters.sets
        return sets.longest_hold_s if self._say.at_top else sets.longest_pause_s

    def _top(self, now: Now, now_s: float) -> list[Event]:
        if now.top is not None and (self._say.is_open or self._is_news(now.top[1], now_s)):
            return self._say.top(*now.top, now_s)
        if self._say.at_top and not now.moving:
            return self._say.no_top(now_s, "the top was none")
        return []

    def _is_news(self, top_s: float, now_s: float) -> bool:
        """Whether a bout may begin with this top: one that a later look puts into the past is a mount or dismount."""
        return now_s - top_s <= self._parameters.sets.longest_pause_s

    def _confirm(self, rep: Rep, example: Example, now_s: float) -> list[Event]:
        if any(
            min(rep.end_s, r.end_s) - max(rep.start_s, r.start_s) > _SAME * (r.end_s - r.start_s)
            for r in self._say.reps
        ):
            return []
        place = sum(r.start_s < rep.start_s for r in self._say.reps)
        self._memory.insert(place, example)
        self._missing.insert(place, 0)
        return self._say.rep(rep, now_s)

    def _drop_false(self, now: Now, now_s: float) -> list[Event]:
        """Withdraw confirmed reps that several readings in a row no longer hold."""
        events: list[Event] = []
        for i in range(len(self._say.reps) - 1, -1, -1):
            rep = self._say.reps[i]
            seen = rep.start_s > now.from_s + 1.0 and now_s - rep.end_s < self._parameters.life.second_look_s
            held = any(a < rep.end_s - 0.2 and b > rep.start_s + 0.2 for a, b in now.spans)
            held = held and not (self._halved and any(_is_half_of(rep, span) for span in now.halved))
            self._missing[i] = self._missing[i] + 1 if seen and not held else 0
            if self._missing[i] >= _MISSES:
                del self._memory[i], self._missing[i]
                events += self._say.withdraw(i, now_s, "it was no rep")
        return events

    def _close(self, now_s: float) -> list[Event]:
        """Put right what was told, by a reading of the whole bout, and close it."""
        read = refine(joined(self._parts), self._mount, self._parameters, since_s=self._given_s)
        own, others = own_and_others([b for b in read if b.start_s >= self._given_s], self._say.reps)
        least = self._parameters.sets.least_reps
        events = [*self._put_right(own, now_s), *self._say.close(now_s, least, own)]
        for other in others:
            events += [*self._put_right(other, now_s), *self._say.close(now_s, least, other)]
        self._memory, self._missing = [], []
        self._floor_s = now_s - _FRESH_S
        self._given_s = self._floor_s if read else self._given_s
        return events

    def _put_right(self, bout: Bout | None, now_s: float) -> list[Event]:
        read = () if bout is None else tuple(rep for rep in bout.reps if rep.counts)
        right = correction(self._say.reps, read)
        events: list[Event] = []
        for place in right.withdrawn:
            events += self._say.withdraw(place, now_s, "it was no rep")
        for rep in right.added:
            events += self._say.rep(rep, now_s)
        return events


def _is_half_of(rep: Rep, halved: tuple[float, float]) -> bool:
    """Whether what was told as a rep is a part of one-and-a-half: a ripple within a slow rep makes neither longer."""
    start_s, end_s = halved
    inside = start_s < rep.start_s + 0.2 and rep.end_s < end_s + 0.2
    return inside and rep.kind is RepKind.FULL and rep.end_s - rep.start_s < _PART * (end_s - start_s)
