"""Step 0: single readings that stand far out of their neighbours, axis by axis, give way to these.

A fault of the sensor or of a transmission lasts one sample or two on one axis; no hand, bar or landing moves so. A
reading is replaced by the median of the five around it where it is off that by more than three robust standard
deviations (1.4826 × the median distance from the median) of the five: the Hampel identifier (Hampel 1974, J. Am. Stat.
Assoc. 69:383; Pearson 2002, IEEE Trans. Control Syst. Technol. 10:55). Among five smooth readings that deviation is
small, so it must be off by more than movement is within a sample or two, too.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import median_of_five
from analysis.motion.samples import BoolArray, FloatArray, Samples

SPIKE_M_S2, SPIKE_RAD_S = 5.0, float(np.radians(100.0))
"""Readings that are off by less stay: so much may movement be off its median within two samples (set here)."""
_REACH = 2
"""Samples on either side that tell what is usual."""
_NORMAL = 1.4826
"""Standard deviation over median distance from the median, of a normal distribution: 1 / Φ⁻¹(¾)."""


class Despiker:
    """Samples in, samples out, two later; however they are cut, the same come out."""

    def __init__(self) -> None:
        self._t = np.empty(0)
        self._x = np.empty((0, 0))
        self._given = 0

    def push(self, samples: Samples) -> Samples:
        """Take samples; give those whose neighbours on both sides are known."""
        if len(samples):
            force, rate = samples.force_m_s2, samples.rate_rad_s
            x = force if rate is None else np.concatenate([force, rate], axis=1)
            self._t = np.concatenate([self._t, samples.t_s])
            self._x = np.concatenate([self._x, x]) if len(self._x) else x
        return self._give(max(self._given, len(self._t) - _REACH))

    def finish(self) -> Samples:
        """Give the rest."""
        return self._give(len(self._t))

    def _give(self, stop: int) -> Samples:
        """Give the kept samples up to `stop`, and keep what tells of the next ones."""
        start = self._given
        inside = slice(start, stop)
        t, x = self._t[inside], self._x[inside]
        if len(t):
            x = without_spikes(self._x, self._bounds())[inside]
        keep = max(0, stop - _REACH)
        self._t, self._x, self._given = self._t[keep:], self._x[keep:], stop - keep
        if self._x.shape[1] == 0:
            return Samples(t, np.empty((0, 3)))
        return Samples(t, x[:, :3], x[:, 3:] if x.shape[1] > 3 else None)

    def _bounds(self) -> FloatArray:
        return np.array([SPIKE_M_S2] * 3 + [SPIKE_RAD_S] * (self._x.shape[1] - 3))


def without_spikes(x: FloatArray, least: FloatArray) -> FloatArray:
    """Return readings, (n, k), with what stands out of its axis by more than `least`, (k,), taken for its median."""
    if len(x) <= _REACH:
        return x
    usual = median_of_five(x)
    far = np.abs(x - usual) > least
    if not far.any():
        return x
    return np.where(far & _stands_out(x, usual), usual, x)


def _stands_out(x: FloatArray, usual: FloatArray) -> BoolArray:
    """Whether a reading is three robust standard deviations of the five around it off their median."""
    wide = np.concatenate([x[1::-1], x, x[:-3:-1]])
    around = np.stack([wide[i : i + len(x)] for i in range(2 * _REACH + 1)])
    spread = _NORMAL * np.median(np.abs(around - usual), axis=0)
    return np.asarray(np.abs(x - usual) > 3.0 * spread)
