"""Step 3: the speed curve cut into lobes, pieces of one direction without a pause.

A lobe is where the speed exceeds a share of the greatest speed of its run between two changes of sign. Slow drift
beside a stroke stays below it, a pause or a deep dip within a stroke makes two lobes of it; which lobes are one stroke
is for the grammar to say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.motion.runs import changes
from analysis.motion.samples import BoolArray, FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A position curve with its speed, on the even grid; metres, or degrees of a proxy.

    `floor_speed` is the least speed that counts as travel (m/s or °/s).
    """

    t_s: FloatArray
    position: FloatArray
    speed: FloatArray
    rate_hz: float
    floor_speed: float


@dataclass(frozen=True, slots=True, eq=False)
class Lobes:
    """Lobes as columns, in order; `start` and `stop` in grid points (half-open), `travel` positive."""

    start: NDArray[np.int64]
    stop: NDArray[np.int64]
    side: NDArray[np.int64]
    travel: FloatArray
    peak: FloatArray

    def __len__(self) -> int:
        return len(self.start)

    def cut(self, keep: NDArray[Any]) -> Lobes:
        """Return the lobes where `keep` holds."""
        return Lobes(self.start[keep], self.stop[keep], self.side[keep], self.travel[keep], self.peak[keep])


def lobes(track: Track, share: float, least_travel: float, least_peak: float) -> Lobes:
    """Cut the speed of a track into lobes.

    Parameters
    ----------
    share
        Of the run's peak, below which a lobe ends.
    least_travel, least_peak
        Smaller and slower ones are dropped (units of the track).
    """
    speed = track.speed
    size = np.abs(speed)
    sign = np.sign(speed).astype(np.int64)
    runs = changes(sign)
    if len(runs) < 2:
        return _empty()
    first, last = runs[:-1], runs[1:]
    peaks = np.maximum.reduceat(size, first)
    fast = size[runs[0] : runs[-1]] > np.repeat(np.maximum(share * peaks, track.floor_speed), last - first)
    sign[runs[0] : runs[-1]] *= fast
    edges = changes(sign)
    if len(edges) < 2:
        return _empty()
    first, last = edges[:-1], edges[1:]
    side = sign[first]
    travel = np.add.reduceat(size[: last[-1]], first) / track.rate_hz
    peak = np.maximum.reduceat(size[: last[-1]], first)
    keep = (side != 0) & (travel > least_travel) & (peak > least_peak)
    return Lobes(first[keep], last[keep], side[keep], travel[keep], peak[keep])


def _empty() -> Lobes:
    none = np.empty(0, dtype=np.int64)
    return Lobes(none, none, none, np.empty(0), np.empty(0))


def over_holes(lobes: Lobes, hole: BoolArray) -> list[bool]:
    """Return of each lobe whether it lies over a hole or touches one."""
    missing = np.concatenate([[0], np.cumsum(hole)])
    n = len(hole)
    first, last = np.maximum(lobes.start - 5, 0), np.minimum(lobes.stop + 5, n)
    touched = missing[last] > missing[first] + _HOLE_POINTS
    return [bool(x) for x in touched]


_HOLE_POINTS = 4
"""Grid points without samples that a stroke may hold and still be measured."""
