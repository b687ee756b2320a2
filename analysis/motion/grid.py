"""Step 1, streaming: uneven samples in, an even grid out.

The grid is counted from the first sample, so it does not depend on how the stream is cut. Each grid value is the mean
over `box_s` of the straight-line interpolant, taken from its running integral: one rule for 20 to 400 Hz, for jittered
times, and the anti-alias filter at once. The running integral is carried as the first term of the next sum, which adds
in the same order however the stream is cut, so results agree to the last digit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.motion.parameters import GridParameters
from analysis.motion.samples import FloatArray, Samples


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Samples on the even grid.

    Attributes
    ----------
    t_s : (n,) array
    force_m_s2 : (n, 3) array
    rate_rad_s : (n, 3) array or None
    hole : (n,) bool array
        Grid points inside or touching a hole of the samples.
    """

    t_s: FloatArray
    force_m_s2: FloatArray
    rate_rad_s: FloatArray | None
    hole: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.t_s)

    def equals(self, other: Stretch) -> bool:
        """Return whether both hold the same points, to the last digit."""
        pairs = ((self.t_s, other.t_s), (self.force_m_s2, other.force_m_s2), (self.hole, other.hole))
        same = all(np.array_equal(one, another, equal_nan=True) for one, another in pairs)
        if self.rate_rad_s is None or other.rate_rad_s is None:
            return same and self.rate_rad_s is other.rate_rad_s
        return same and np.array_equal(self.rate_rad_s, other.rate_rad_s, equal_nan=True)

    def cut(self, start: int, stop: int) -> Stretch:
        """Return grid points `start` to `stop`."""
        rate = None if self.rate_rad_s is None else self.rate_rad_s[start:stop]
        return Stretch(self.t_s[start:stop], self.force_m_s2[start:stop], rate, self.hole[start:stop])


class Gridder:
    """Streaming resampler to `rate_hz`; `push` returns the grid points that have become certain."""

    def __init__(self, parameters: GridParameters) -> None:
        self._step_s = 1.0 / parameters.rate_hz
        self._half_s = parameters.box_s / 2
        self._hole_s = parameters.hole_s
        self._origin_s = 0.0
        self._next = 0
        self._t = np.empty(0)
        self._x = np.empty((0, 0))
        self._integral = np.empty((0, 0))

    def push(self, samples: Samples) -> Stretch:
        """Take samples in, give the grid points whose box now lies wholly in the past."""
        if len(samples):
            self._append(samples)
        if not len(self._t):
            return self._emit(0)
        return self._emit(int(np.floor((self._t[-1] - self._half_s - self._origin_s) / self._step_s)) + 1)

    def finish(self) -> Stretch:
        """Give the last grid points, up to the last sample (values beyond it are held)."""
        if not len(self._t):
            return self._emit(0)
        return self._emit(int(np.floor((self._t[-1] - self._origin_s) / self._step_s)) + 1)

    def _append(self, samples: Samples) -> None:
        force, rate = samples.force_m_s2, samples.rate_rad_s
        x = force if rate is None else np.concatenate([force, rate], axis=1)
        if not len(self._t):
            self._origin_s = float(samples.t_s[0])
            self._t, self._x = samples.t_s.copy(), x
            start = np.zeros((1, x.shape[1]))
            self._integral = np.cumsum(np.vstack([start, self._areas(self._t, x)]), axis=0)
            return
        t = np.concatenate([self._t[-1:], samples.t_s])
        areas = self._areas(t, np.concatenate([self._x[-1:], x]))
        areas[0] += self._integral[-1]
        more = np.add.accumulate(areas)
        keep = max(0, int(np.searchsorted(self._t, self._time(self._next) - self._half_s, side="right")) - 2)
        self._t = np.concatenate([self._t[keep:], samples.t_s])
        self._x = np.concatenate([self._x[keep:], x])
        self._integral = np.concatenate([self._integral[keep:], more])

    @staticmethod
    def _areas(t: FloatArray, x: FloatArray) -> FloatArray:
        return np.asarray(0.5 * (x[1:] + x[:-1]) * (t[1:] - t[:-1])[:, None])

    def _time(self, index: int) -> float:
        return self._origin_s + index * self._step_s

    def _emit(self, stop: int) -> Stretch:
        stop = max(stop, self._next)
        t: FloatArray = np.asarray(self._origin_s + np.arange(self._next, stop) * self._step_s, dtype=np.float64)
        self._next = stop
        width = self._x.shape[1]
        if not len(t):
            return Stretch(t, np.empty((0, 3)), np.empty((0, 3)) if width == 6 else None, np.empty(0, dtype=np.bool_))
        ends = self._integral_at(np.concatenate([t + self._half_s, t - self._half_s]))
        mean = (ends[: len(t)] - ends[len(t) :]) / (2 * self._half_s)
        after = np.minimum(np.maximum(self._t.searchsorted(t, side="right"), 1), max(1, len(self._t) - 1))
        spacing = self._t[after] - self._t[after - 1] if len(self._t) > 1 else np.zeros(len(t))
        return Stretch(t, mean[:, :3], mean[:, 3:] if width == 6 else None, spacing > self._hole_s)

    def _integral_at(self, t: FloatArray) -> FloatArray:
        """Integral of the straight-line interpolant from the first sample to `t`, its ends held outside."""
        i = np.maximum(self._t.searchsorted(t, side="right") - 1, 0)
        after = np.minimum(i + 1, len(self._t) - 1)
        begin, x = self._t[i], self._x[i]
        since = t - begin
        slope = (self._x[after] - x) / np.maximum(self._t[after] - begin, 1e-12)[:, None]
        slope[since < 0] = 0.0
        since = since[:, None]
        return np.asarray(self._integral[i] + (x * since + 0.5 * slope * since**2))


def joined(parts: list[Stretch]) -> Stretch:
    """Return consecutive stretches as one (at least one part)."""
    parts = [p for p in parts if len(p)] or parts[:1]
    rates = [p.rate_rad_s for p in parts if p.rate_rad_s is not None]
    return Stretch(
        np.concatenate([p.t_s for p in parts]),
        np.concatenate([p.force_m_s2 for p in parts]),
        np.concatenate(rates) if len(rates) == len(parts) else None,
        np.concatenate([p.hole for p in parts]),
    )
