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


class PostureRuler:
    """The gravity direction of a stretch, ready to be fitted to heights.

    Parameters
    ----------
    direction : (n, 3) array
        Gravity direction from the sensor.
    window_s
        Standard deviation of the bell of weights.
    """

    def __init__(self, direction: FloatArray, rate_hz: float, window_s: float) -> None:
        self._rate_hz = rate_hz
        self._window_s = window_s
        self._quick = direction - smooth(direction, _BAND_S[1] * 1.5, rate_hz)
        self._rows = self._blocks(direction)
        blocks = len(self._rows)
        self._xx = self._mean(self._rows.transpose(0, 2, 1) @ self._rows)
        ridge = 2e-5 + 0.01 * np.trace(self._xx, axis1=1, axis2=2)
        self._ridged = self._xx + ridge[:, None, None] * np.eye(3)
        self._at, self._middle = np.arange(len(direction)), np.arange(blocks) * _FIT_EVERY + (_FIT_EVERY - 1) / 2

    def read(self, height_m: FloatArray) -> Pseudo:
        """Return the height that the direction tells, with its standard deviation (infinite where it tells none).

        Parameters
        ----------
        height_m : (n,) array
            A height that may drift.
        """
        y = self._blocks(height_m[:, None])
        sums = self._mean(np.concatenate([self._rows, y], axis=2).transpose(0, 2, 1) @ y)
        xy, yy = sums[:, :3], sums[:, 3, 0]
        gain = np.linalg.solve(self._ridged, xy)[:, :, 0]
        left = yy + (gain * ((self._xx @ gain[:, :, None])[:, :, 0] - 2 * xy[:, :, 0])).sum(1)
        at, middle = self._at, self._middle
        value = along(np.array([np.interp(at, middle, gain[:, i]) for i in range(3)]).T, self._quick)
        share = 1 - left / (yy + 1e-9)
        variance = np.where(share > 0.4, np.maximum(left, 1e-5) + 0.03**2, np.inf)
        return Pseudo(value, np.sqrt(np.interp(at, middle, np.minimum(variance, 1e6)) * 20))

    def _blocks(self, x: FloatArray) -> FloatArray:
        """Band-pass, and cut into the blocks of a fit each."""
        n, width = x.shape
        blocks = -(-n // _FIT_EVERY)
        padded = np.zeros((blocks * _FIT_EVERY, width))
        np.subtract(smooth(x, _BAND_S[0], self._rate_hz), smooth(x, _BAND_S[1], self._rate_hz), out=padded[:n])
        return padded.reshape(blocks, _FIT_EVERY, width)

    def _mean(self, products: FloatArray) -> FloatArray:
        """Bell mean over the blocks."""
        flat = products.reshape(len(products), -1) / _FIT_EVERY
        return smooth(flat, self._window_s, self._rate_hz / _FIT_EVERY).reshape(products.shape)
