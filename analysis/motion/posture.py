"""The posture as a ruler: gravity direction fitted locally to height, then used as a position that does not drift.

Trunk, belt or bar turn a little with every rep, always the same way. A bell-weighted regression of height on the three
components of the gravity direction finds the way; the fitted value is a position-like measurement, as good as its
residual says.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import along, smooth
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
    quick = direction - smooth(direction, _BAND_S[1] * 1.5, rate_hz)
    both = np.column_stack([direction, height_m])
    band = smooth(both, _BAND_S[0], rate_hz) - smooth(both, _BAND_S[1], rate_hz)
    blocks = -(-n // _FIT_EVERY)
    padded = np.zeros((blocks * _FIT_EVERY, 4))
    padded[:n] = band
    rows = padded.reshape(blocks, _FIT_EVERY, 4)
    products = (rows.transpose(0, 2, 1) @ rows).reshape(blocks, -1) / _FIT_EVERY
    sums = smooth(products, window_s, rate_hz / _FIT_EVERY).reshape(blocks, 4, 4)
    xx, xy, yy = sums[:, :3, :3], sums[:, :3, 3], sums[:, 3, 3]
    ridge = 2e-5 + 0.01 * (sums[:, 0, 0] + sums[:, 1, 1] + sums[:, 2, 2])
    gain = np.linalg.solve(xx + ridge[:, None, None] * np.eye(3), xy[:, :, None])[:, :, 0]
    left = yy + (gain * ((xx @ gain[:, :, None])[:, :, 0] - 2 * xy)).sum(1)
    at, middle = np.arange(n), np.arange(blocks) * _FIT_EVERY + (_FIT_EVERY - 1) / 2
    value = along(np.array([np.interp(at, middle, gain[:, i]) for i in range(3)]).T, quick)
    share = 1 - left / (yy + 1e-9)
    variance = np.where(share > 0.4, np.maximum(left, 1e-5) + 0.03**2, np.inf)
    return Pseudo(value, np.sqrt(np.interp(at, middle, np.minimum(variance, 1e6)) * 20))
