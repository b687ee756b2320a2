"""What the accelerometer itself adds, refined on the fly in hangs and rests.

At rest the size of the specific force is local gravity plus the bias along the gravity direction: |f| = G + b·u. So a
bias of 30 mg across gravity puts 30 mg × sin 20° = 10 mg into the vertical acceleration of a trunk that leans by 20°,
as much as a slow rep has. Each still posture gives one such equation; with a few different ones the bias is known (the
free form of the multi-position test of IEEE Std 1293), and local gravity and the scale along it go into G. A weak
prior keeps the bias at zero where the postures were too alike to tell. What is known of the sensor from before was
taken off by whoever gave the samples; this takes off what is left, for the window at hand, and remembers nothing.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import middle
from analysis.motion.parameters import HeightParameters
from analysis.motion.samples import BoolArray, FloatArray


def rest_force(
    size_m_s2: FloatArray, direction: FloatArray, still: BoolArray, rate_hz: float, parameters: HeightParameters
) -> FloatArray:
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
        return np.full(len(size_m_s2), float(middle(size_m_s2)))
    usual = float(middle(size_m_s2[still]))
    u, y = direction[still], size_m_s2[still] - usual
    x = np.column_stack([np.ones(len(u)), u])
    weight = 1.0 / (parameters.still_second_m_s2**2 * rate_hz)
    prior = np.diag([1e-6, *[parameters.bias_m_s2**-2] * 3])
    robust: FloatArray = np.ones(len(u))
    told: FloatArray = np.zeros(4)
    for _ in range(3):
        normal, right = weight * (x * robust[:, None]).T @ x + prior, weight * x.T @ (robust * y)
        told = np.asarray(np.linalg.solve(normal, right), dtype=np.float64)
        robust = 1.0 / (1.0 + ((y - x @ told) / parameters.still_second_m_s2) ** 2)
    return np.asarray(usual + told[0] + direction @ told[1:])
