"""When the refinement runs and on what: overlapping windows at fixed grid points, so that the answer is one.

A window reaches from the start of the bout that is not yet over (or `context_s` back, without one) to now. Bouts that
ended more than `settle_s` ago are given out once; later ones wait for the next window.
"""

from __future__ import annotations

from dataclasses import replace

from analysis.motion.grid import Stretch, joined
from analysis.motion.mounts import Mount
from analysis.motion.parameters import Parameters
from analysis.motion.refine import refine
from analysis.motion.results import Bout


class Refiner:
    """Grid points in, finished bouts out."""

    def __init__(self, mount: Mount, parameters: Parameters, first_number: int = 0) -> None:
        self._mount = mount
        self._parameters = parameters
        self._parts: list[Stretch] = []
        self._points = 0
        self._number = first_number
        self._done_s = float("-inf")
        self._every = round(parameters.life.refine_every_s * parameters.grid.rate_hz)

    @property
    def number(self) -> int:
        """Number of the next bout."""
        return self._number

    def push(self, grid: Stretch) -> list[Bout]:
        """Take the next grid points; `push` must be called at every multiple of `refine_every_s`."""
        if not len(grid):
            return []
        self._parts.append(grid)
        self._points += len(grid)
        if self._points % self._every:
            return []
        return self._look(settled_s=float(grid.t_s[-1]) - self._parameters.life.settle_s)

    def finish(self) -> list[Bout]:
        """Give out whatever is left."""
        return self._look(settled_s=float("inf")) if self._parts else []

    def _look(self, settled_s: float) -> list[Bout]:
        life = self._parameters.life
        window = joined(self._parts)
        now_s = float(window.t_s[-1])
        found = [b for b in refine(window, self._mount, self._parameters) if b.start_s >= self._done_s]
        over = [b for b in found if b.end_s <= settled_s or now_s - b.start_s > life.longest_s]
        waiting = [b.start_s for b in found if b not in over]
        if over:
            self._done_s = over[-1].end_s
        keep_s = min([now_s, *waiting]) - (life.context_s if not waiting else 0.25 * life.context_s)
        start = min(max(0, int((keep_s - window.t_s[0]) * self._parameters.grid.rate_hz)), len(window) - 1)
        self._parts = [window.cut(start, len(window))]
        numbered = [replace(b, number=self._number + i) for i, b in enumerate(over)]
        self._number += len(numbered)
        return numbered
