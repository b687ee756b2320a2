"""What the accelerometer itself adds: bias and scale, learnt from the postures in which it was held still.

At rest the size of the specific force is local gravity plus the bias along the gravity direction: |f| = G + b·u. Each
still posture gives one such equation; with a few different ones the bias is known (the free form of the multi-position
test of IEEE Std 1293). A weak prior keeps it at zero where the postures were too alike to tell.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.samples import BoolArray, FloatArray

_PRIOR_SD_M_S2 = 0.3
"""Offsets of common parts: 20 to 100 mg before, up to 30 mg after a factory trim (data sheets)."""
_STILL_SD_M_S2 = 0.05
"""How well one second of stillness tells |f|."""


def rest_force(size_m_s2: FloatArray, direction: FloatArray, still: BoolArray, rate_hz: float) -> FloatArray:
    """Size of the specific force that rest would show in each posture, shape (n,).

    Parameters
    ----------
    size_m_s2 : (n,) array
        |f|, low-passed.
    direction : (n, 3) array
        Unit gravity direction from the sensor.
    still : (n,) bool array
        Where the sensor is surely at rest.
    """
    if not still.any():
        return np.full(len(size_m_s2), float(np.median(size_m_s2)))
    middle = float(np.median(size_m_s2[still]))
    u, y = direction[still], size_m_s2[still] - middle
    x = np.column_stack([np.ones(len(u)), u])
    weight = 1.0 / (_STILL_SD_M_S2**2 * rate_hz)
    prior = np.diag([1e-6, *[_PRIOR_SD_M_S2**-2] * 3])
    robust: FloatArray = np.ones(len(u))
    told: FloatArray = np.zeros(4)
    for _ in range(3):
        told = np.linalg.solve(weight * (x * robust[:, None]).T @ x + prior, weight * x.T @ (robust * y))
        robust = 1.0 / (1.0 + ((y - x @ told) / _STILL_SD_M_S2) ** 2)
    return np.asarray(middle + told[0] + direction @ told[1:])
