"""The posture as a ruler: gravity direction fitted locally to height, then used as a position that does not drift.

Trunk, belt or bar turn a little with every rep, always the same way. A bell-weighted regression of height on the three
components of the gravity direction finds the way; the fitted value is a position-like measurement, as good as its
residual says.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import smooth
from analysis.motion.samples import FloatArray
from analysis.motion.smoother import Pseudo

_BAND_S = (0.12, 2.0)
"""Both sides are band-passed before the fit (standard deviations of the two bell means): drift must not steer it."""
_FIT_EVERY = 10
"""Grid points per fit: the fit changes slowly."""


def height_from_posture(height_m: FloatArray, direction: FloatArray, rate_hz: float, window_s: float) -> Pseudo:
    """Return the height that the gravity direction tells, with its standard deviation (infinite where it tells none).

    Parameters
    ----------
    height_m : (n,) array
        A height that may drift.
    direction : (n, 3) array
        Gravity direction from the sensor.
    window_s
        Standard deviation of the bell of weights.
    """
    n = len(height_m)
    slow = smooth(direction, _BAND_S[1] * 1.5, rate_hz)
    x = smooth(direction, _BAND_S[0], rate_hz) - smooth(direction, _BAND_S[1], rate_hz)
    y = smooth(height_m, _BAND_S[0], rate_hz) - smooth(height_m, _BAND_S[1], rate_hz)
    table = np.column_stack([x * y[:, None], y * y, *(x[:, i] * x[:, j] for i in range(3) for j in range(3))])
    blocks = -(-n // _FIT_EVERY)
    padded = np.vstack([table, np.zeros((blocks * _FIT_EVERY - n, table.shape[1]))])
    sums = smooth(padded.reshape(blocks, _FIT_EVERY, -1).mean(axis=1), window_s, rate_hz / _FIT_EVERY)
    xy, yy, xx = sums[:, :3], sums[:, 3], sums[:, 4:].reshape(-1, 3, 3)
    ridge = 2e-5 + 0.01 * np.trace(xx, axis1=1, axis2=2)
    gain = np.linalg.solve(xx + ridge[:, None, None] * np.eye(3), xy[:, :, None])[:, :, 0]
    left = yy - 2 * (gain * xy).sum(1) + np.einsum("ni,nij,nj->n", gain, xx, gain)
    at, middle = np.arange(n), np.arange(blocks) * _FIT_EVERY + (_FIT_EVERY - 1) / 2
    told = np.column_stack([np.interp(at, middle, gain[:, i]) for i in range(3)])
    value = (told * (direction - slow)).sum(1)
    share = 1 - left / (yy + 1e-9)
    variance = np.where(share > 0.4, np.maximum(left, 1e-5) + 0.03**2, np.inf)
    return Pseudo(value, np.sqrt(np.interp(at, middle, np.minimum(variance, 1e6)) * 20))
