"""Samples onto the even grid, begun anew after every hole too long to carry through.

Where the sensor travels, single readings that stand far out give way first. Where it does not, hands are told by
their shake, and the shocks of taking hold are no faults.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analysis.motion.grid import Gridder, Stretch, joined
from analysis.motion.mounts import Mount
from analysis.motion.parameters import Parameters
from analysis.motion.results import Unmeasurable, Why
from analysis.motion.samples import Samples
from analysis.motion.spikes import Despiker


class Inlet:
    """One stream of samples in; grid points, and the holes that part it, out."""

    def __init__(self, mount: Mount, parameters: Parameters) -> None:
        self._mount = mount
        self._parameters = parameters
        self._last_s: float | None = None
        self._begin()

    def _begin(self) -> None:
        self._gridder = Gridder(self._parameters.grid)
        self._despiker = Despiker() if self._mount.shows_travel else None

    def push(self, samples: Samples) -> Iterator[Stretch | Unmeasurable]:
        """Take the next samples; give what is certain now, the last points before a hole among it.

        Raises
        ------
        ValueError
            When the samples do not continue after the last one.
        """
        if not len(samples):
            return
        first = float(samples.t_s[0])
        if self._last_s is not None and first <= self._last_s:
            raise ValueError(
                f"samples must continue after {self._last_s} s, not at {first} s: sort them, or drop these"
            )
        before = np.concatenate([[first if self._last_s is None else self._last_s], samples.t_s[:-1]])
        start = 0
        for cut in np.flatnonzero(samples.t_s - before > self._parameters.life.restart_s).tolist():
            if cut > start:
                yield self._gridded(_cut(samples, start, cut))
            yield self.finish()
            self._last_s = float(samples.t_s[cut])
            yield Unmeasurable(float(before[cut]), self._last_s, Why.GAP)
            self._begin()
            start = cut
        self._last_s = float(samples.t_s[-1])
        yield self._gridded(_cut(samples, start, len(samples)))

    def finish(self) -> Stretch:
        """Give the last grid points."""
        parts = [self._gridder.push(self._despiker.finish())] if self._despiker else []
        return joined([*parts, self._gridder.finish()])

    def part(self) -> Stretch:
        """Give the last grid points, and begin anew with the next samples, whenever they come."""
        last = self.finish()
        self._begin()
        self._last_s = None
        return last

    def _gridded(self, samples: Samples) -> Stretch:
        return self._gridder.push(self._despiker.push(samples) if self._despiker else samples)


def _cut(samples: Samples, start: int, stop: int) -> Samples:
    rate = None if samples.rate_rad_s is None else samples.rate_rad_s[start:stop]
    return Samples(samples.t_s[start:stop], samples.force_m_s2[start:stop], rate)
