"""When the refinement runs and on what: looks at fixed grid points, so that the answer is one.

A look is due when the gate says that exercise has ended. Its window reaches back to the start of the exercise. Bouts
that are over are given out once: where hands are off, or nothing was read for `longest_pause_s` and two reps more. A
doubtful one waits for the latter, and is read again with more of what follows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from statistics import median

from analysis.motion.filters import low_pass, unit
from analysis.motion.gate import Gate, Second
from analysis.motion.grid import Stretch, joined
from analysis.motion.holds import find_holds
from analysis.motion.life import hands_off, nearer_top
from analysis.motion.metrics import as_told
from analysis.motion.mounts import Mount
from analysis.motion.on_mount import on_limb
from analysis.motion.parameters import Parameters
from analysis.motion.refine import refine
from analysis.motion.results import Bout
from analysis.motion.samples import FloatArray
from analysis.motion.ways import LIFTED, carried

_RECHECK_S = 3
"""Seconds after which it is asked again whether a bout that had ended is over."""
_UNREAD_REPS = 2
"""Reps that may be under way, or unlike those before until more like them are seen."""
_GIVEN = 20
"""Sets remembered, so that the hangs around them are not taken for holds of their own."""


class Refiner:
    """Grid points in, finished bouts out."""

    def __init__(self, mount: Mount, parameters: Parameters, first_number: int = 0) -> None:
        self._mount = mount
        self._parameters = parameters = on_limb(parameters) if mount is Mount.LIMB else parameters
        self._parts: list[Stretch] = []
        self._points = 0
        self._number = first_number
        self._done_s = float("-inf")
        self._decided_s = float("-inf")
        self._looked_s = float("-inf")
        self._upward = LIFTED
        self._second = round(parameters.grid.rate_hz)
        self._waiting: list[Bout] = []
        self._waited = 0
        self._given: list[tuple[float, float]] = []
        self._gate = Gate(parameters.life, parameters.grid.rate_hz)

    @property
    def number(self) -> int:
        """Number of the next bout."""
        return self._number

    @property
    def looked_s(self) -> float:
        """Time of the last grid point of the last look."""
        return self._looked_s

    @property
    def decided_s(self) -> float:
        """Everything that ended before this time has been given out."""
        return self._decided_s

    def push(self, grid: Stretch) -> list[Bout]:
        """Take the next grid points; any number."""
        found: list[Bout] = []
        at = 0
        seconds = self._seconds(grid, -self._points % self._second)
        while at < len(grid):
            stop = min(len(grid), at + self._second - self._points % self._second)
            self._parts.append(grid.cut(at, stop))
            self._points += stop - at
            at = stop
            if self._points % self._second == 0 and self._is_due(next(seconds)):
                found += self._look(final=False)
        return found

    def finish(self) -> list[Bout]:
        """Give out whatever is left."""
        found = self._look(final=True) if self._parts else []
        self._decided_s = float("inf")
        return found

    def _seconds(self, grid: Stretch, begun: int) -> Iterator[Second]:
        """Judge the seconds that end in `grid`: the one that lacks `begun` points by itself, the whole ones at once."""
        if begun:
            yield from self._gate.judged(self._last_second())
        whole = (len(grid) - begun) // self._second * self._second
        yield from self._gate.judged(grid.force_m_s2[begun : begun + whole])

    def _is_due(self, second: Second) -> bool:
        """Whether to look now: exercise has ended, or a bout waits for being over."""
        due = self._gate.step(second)
        self._waited = self._waited + 1 if self._waiting else 0
        if due or self._waited < _RECHECK_S:
            return due
        self._waited = 0
        window = joined(self._parts)
        self._parts = [window]
        return any(self._is_over(bout, window) for bout in self._waiting)

    def _last_second(self) -> FloatArray:
        if len(self._parts[-1]) < self._second:
            self._parts = [joined(self._parts)]
        return self._parts[-1].force_m_s2[-self._second :]

    def _look(self, *, final: bool) -> list[Bout]:
        life = self._parameters.life
        window = joined(self._parts)
        now_s = self._looked_s = float(window.t_s[-1])
        sets = refine(window, self._mount, self._parameters, since_s=self._done_s, upward=self._upward)
        held, pending_s = self._held(window, sets)
        found = sorted((b for b in sets + held if b.start_s >= self._done_s), key=lambda b: b.start_s)
        over = [b for b in found if final or self._is_over(b, window) or now_s - b.start_s > life.longest_s]
        waiting = [b for b in found if b not in over]
        self._waiting, self._waited = [] if self._gate.is_busy else waiting, 0
        if over:
            self._done_s = over[-1].end_s
            for bout in over:
                self._upward = carried(self._upward) + bout.upward
        busy = self._gate.is_busy
        starts = [pending_s, *(b.start_s for b in waiting)]
        keep_s = min([now_s - (life.unread_s if busy else 0.0), *starts]) - life.context_s
        self._decided_s = min([now_s - self._parameters.sets.longest_pause_s, *starts])
        start = min(max(0, int((keep_s - window.t_s[0]) * self._parameters.grid.rate_hz)), len(window) - 1)
        self._parts = [window.cut(start, len(window))]
        numbered = [replace(as_told(b), number=self._number + i) for i, b in enumerate(over)]
        self._number += len(numbered)
        return numbered

    def _held(self, window: Stretch, sets: list[Bout]) -> tuple[list[Bout], float]:
        """Return each hold without reps as a bout, and since when one may be going on (infinite: none is)."""
        own = [(b.start_s, b.end_s) for b in sets]
        holds, pending_s = find_holds(window, self._mount, self._parameters, [*self._given, *own])
        self._given = [*self._given, *own][-_GIVEN:]
        bouts = [Bout(number=0, start_s=h.start_s, end_s=h.end_s, reps=(), holds=(h,)) for h in holds]
        return bouts, float("inf") if pending_s is None else pending_s

    def _is_over(self, bout: Bout, window: Stretch) -> bool:
        if not bout.reps:  # what follows may turn out to be a set that the hang belongs to
            since_s = float(window.t_s[-1]) - bout.end_s
            return since_s > (self._parameters.life.context_s if self._gate.is_busy else _RECHECK_S)
        rate, sets = self._parameters.grid.rate_hz, self._parameters.sets
        direction = unit(low_pass(window.force_m_s2, 2.0, rate))
        origin_s = float(window.t_s[0])

        def at(t_s: float) -> int:
            return min(len(window) - 1, max(0, round((t_s - origin_s) * rate)))

        bottoms = direction[[at(r.start_s) for r in bout.reps] + [at(r.end_s) for r in bout.reps]]
        tops = direction[[at(r.top_s) for r in bout.reps if r.top_s is not None]]
        since_s = float(window.t_s[-1]) - bout.end_s
        tells = bout.measured and self._mount is not Mount.LIMB and since_s >= self._parameters.life.hands_off_s
        if tells and hands_off(
            window.force_m_s2[at(bout.end_s) :],
            direction[at(bout.end_s) :],
            bottoms,
            tops,
            self._parameters,
            may_walk=self._mount.is_worn,
        ):
            return True
        patience_s = sets.longest_hold_s if nearer_top(direction[-1], bottoms, tops) else sets.longest_pause_s
        return since_s > patience_s + _UNREAD_REPS * median(r.end_s - r.start_s for r in bout.reps)
