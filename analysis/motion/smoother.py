"""Height, speed and bias from vertical acceleration, as one banded least-squares problem.

The unknowns are height h, speed v and acceleration bias b at every grid point. Rows of the problem: the motion model
between neighbours, a slowly walking bias, and pseudo-measurements of speed and height, each with its own standard
deviation. Its solution is what a Rauch–Tung–Striebel smoother gives for the same Gaussian model (Rauch, Tung & Striebel
1965, AIAA J. 3:1445), in one call of LAPACK's banded Cholesky solver.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import solveh_banded

from analysis.motion.samples import FloatArray

_TIE_M = 2e-4
"""Standard deviation of h' = v per step: how far the discrete model may be off (keeps the problem well conditioned)."""


@dataclass(frozen=True, slots=True, eq=False)
class Pseudo:
    """Pseudo-measurements of one quantity: value and standard deviation at every grid point (infinite: none)."""

    value: FloatArray
    sd: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Smoothed:
    """Height (m), speed (m/s) and acceleration bias (m/s²), each of shape (n,)."""

    height_m: FloatArray
    speed_m_s: FloatArray
    bias_m_s2: FloatArray


def smooth_height(
    acceleration_m_s2: FloatArray,
    step_s: float,
    force_sd_m_s2: FloatArray,
    bias_walk_m_s2: FloatArray,
    speed: Pseudo,
    height: tuple[Pseudo, ...],
) -> Smoothed:
    """Solve for height, speed and bias.

    Parameters
    ----------
    acceleration_m_s2 : (n,) array
        Upward acceleration, gravity removed, biased.
    step_s
        Grid step.
    force_sd_m_s2 : (n,) array
        How far the acceleration may be off, per sample; inflate it across holes.
    bias_walk_m_s2 : (n,) array
        Walk of the bias, m/s² per √s.
    speed, height
        Pseudo-measurements.
    """
    n = len(acceleration_m_s2)
    band, right = _motion(acceleration_m_s2, step_s, force_sd_m_s2, bias_walk_m_s2)
    for offset, pseudo in ((1, speed), *((0, h) for h in height)):
        weight = 1.0 / pseudo.sd**2
        band[0, offset::3] += weight
        right[offset::3] += weight * pseudo.value
    band[0, 2::3] += 1.0 / 1.0**2 / n
    x = solveh_banded(band, right, lower=True, overwrite_ab=True, overwrite_b=True, check_finite=False)
    return Smoothed(x[0::3], x[1::3], x[2::3])


def _motion(a: FloatArray, step_s: float, force_sd: FloatArray, walk: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the normal equations (lower band form, right side) of the motion model alone.

    Rows between k and k+1, with mean acceleration A of the two:
    h' − h − step (v + v')/2 = 0;  v' − v + step (b + b')/2 = step A;  b' − b = 0.
    """
    n = len(a)
    band, right = np.zeros((6, 3 * n)), np.zeros(3 * n)
    half = step_s / 2
    mean = 0.5 * (a[1:] + a[:-1]) * step_s
    sd = 0.5 * (force_sd[1:] + force_sd[:-1]) * step_s
    rows = (
        ((0, -1.0), (1, -half), (3, 1.0), (4, -half)),
        ((1, -1.0), (2, half), (4, 1.0), (5, half)),
        ((2, -1.0), (5, 1.0)),
    )
    weights = (np.full(n - 1, _TIE_M**-2), sd**-2, 1.0 / (walk[1:] ** 2 * step_s))
    values = (None, mean, None)
    last = 3 * (n - 1)
    for row, weight, value in zip(rows, weights, values, strict=True):
        for i, (p, cp) in enumerate(row):
            if value is not None:
                right[p : p + last : 3] += weight * cp * value
            for q, cq in row[i:]:
                band[q - p, p : p + last : 3] += weight * (cp * cq)
    return band, right
