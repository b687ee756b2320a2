"""The posture as a ruler: gravity direction fitted locally to height, then used as a position that does not drift.

Trunk, belt or bar turn a little with every rep, always the same way. A bell-weighted regression of height on the three
components of the gravity direction finds the way; the fitted value is a position-like measurement, as good as its
residual says.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.filters import along, smooth
from analysis.motion.samples import FloatArray
from analysis.motion.smoother import Pseudo

_BAND_S = (0.12, 2.0)
"""Both sides are band-passed before the fit (standard deviations of the two bell means): drift must not steer it."""
_FIT_EVERY = 10
"""Grid points per fit: the fit changes slowly."""


@dataclass(frozen=True, slots=True, eq=False)
class PostureRuler:
    """The gravity direction of a stretch, ready to be fitted to heights; made by `posture_ruler`.

    Attributes
    ----------
    quick : (n, 3) array
        Gravity direction from the sensor, without its slow part.
    rows : (blocks, points, 3) array
        Its band-passed components, in the blocks of a fit each.
    products, ridged : (blocks, 3, 3) array
        Their mean products over the window, and these with a ridge.
    window_s
        Standard deviation of the bell of weights.
    """

    quick: FloatArray
    rows: FloatArray
    products: FloatArray
    ridged: FloatArray
    rate_hz: float
    window_s: float

    def read(self, height_m: FloatArray) -> Pseudo:
        """Return the height that the direction tells, with its standard deviation (infinite where it tells none).

        Parameters
        ----------
        height_m : (n,) array
            A height that may drift.
        """
        y = _blocks(height_m[:, None], self.rate_hz)
        both = np.concatenate([self.rows, y], axis=2).transpose(0, 2, 1)
        sums = _mean(both @ y, self.rate_hz, self.window_s)
        xy, yy = sums[:, :3], sums[:, 3, 0]
        gain = np.linalg.solve(self.ridged, xy)[:, :, 0]
        left = yy + (gain * ((self.products @ gain[:, :, None])[:, :, 0] - 2 * xy[:, :, 0])).sum(1)
        at, middle = np.arange(len(self.quick)), np.arange(len(self.rows)) * _FIT_EVERY + (_FIT_EVERY - 1) / 2
        value = along(np.array([np.interp(at, middle, gain[:, i]) for i in range(3)]).T, self.quick)
        share = 1 - left / (yy + 1e-9)
        variance = np.where(share > 0.4, np.maximum(left, 1e-5) + 0.03**2, np.inf)
        return Pseudo(value, np.sqrt(np.interp(at, middle, np.minimum(variance, 1e6)) * 20))


def posture_ruler(direction: FloatArray, rate_hz: float, window_s: float) -> PostureRuler:
    """Make the ruler of a gravity direction, shape (n, 3); `window_s` as of `PostureRuler`."""
    quick = direction - smooth(direction, _BAND_S[1] * 1.5, rate_hz)
    rows = _blocks(direction, rate_hz)
    products = _mean(rows.transpose(0, 2, 1) @ rows, rate_hz, window_s)
    ridge = 2e-5 + 0.01 * np.trace(products, axis1=1, axis2=2)
    return PostureRuler(quick, rows, products, products + ridge[:, None, None] * np.eye(3), rate_hz, window_s)


def _blocks(x: FloatArray, rate_hz: float) -> FloatArray:
    """Band-pass, and cut into the blocks of a fit each."""
    n, width = x.shape
    blocks = -(-n // _FIT_EVERY)
    padded = np.zeros((blocks * _FIT_EVERY, width))
    np.subtract(smooth(x, _BAND_S[0], rate_hz), smooth(x, _BAND_S[1], rate_hz), out=padded[:n])
    return padded.reshape(blocks, _FIT_EVERY, width)


def _mean(products: FloatArray, rate_hz: float, window_s: float) -> FloatArray:
    """Bell mean over the blocks."""
    flat = products.reshape(len(products), -1) / _FIT_EVERY
    return smooth(flat, window_s, rate_hz / _FIT_EVERY).reshape(products.shape)
