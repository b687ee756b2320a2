"""The gravity direction with a gyro: turned back by the measured rotation, gravity stands still and can be averaged.

The angular rate is integrated to a rotation; in that slowly drifting frame the specific force is gravity plus motion,
and a bell mean of a few seconds leaves gravity (the idea of Laidig & Seel 2023, Inf. Fusion 91:187, with a filter that
sees both directions). Nothing is assumed across holes: each piece between them is levelled by itself.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from analysis.motion.filters import length, middle, smooth, unit
from analysis.motion.samples import BoolArray, FloatArray


def gravity_direction(
    force_m_s2: FloatArray, rate_rad_s: FloatArray, hole: BoolArray, still: BoolArray, rate_hz: float, window_s: float
) -> FloatArray:
    """Return the unit vector against gravity in the sensor's axes, shape (n, 3).

    Parameters
    ----------
    force_m_s2, rate_rad_s : (n, 3) array
        Specific force and angular rate on the even grid.
    hole, still : (n,) bool array
        Grid points without samples; points at rest, where the gyro shows its bias.
    window_s
        Standard deviation of the bell mean.
    """
    rate = rate_rad_s - (middle(rate_rad_s[still]) if still.any() else 0.0)
    out = np.empty_like(force_m_s2)
    cuts = [0, *(np.flatnonzero(hole[1:] != hole[:-1]) + 1).tolist(), len(hole)]
    for a, b in pairwise(cuts):
        turned = rotations(rate[a:b], 1.0 / rate_hz)
        level = smooth(rotate(turned, force_m_s2[a:b]), window_s, rate_hz)
        turned[:, 1:] *= -1.0
        out[a:b] = rotate(turned, unit(level))
    return out


def rotations(rate_rad_s: FloatArray, step_s: float) -> FloatArray:
    """Return the rotation since the first point at every point, as unit quaternions (w, x, y, z), shape (n, 4).

    The running product is taken over spans of 1, 2, 4, … points at once, so that it needs log₂ n steps; each quaternion
    is two complex numbers there, the upper row of its matrix in SU(2), which multiply in fewer operations.
    """
    between = 0.5 * (rate_rad_s[1:] + rate_rad_s[:-1]) * step_s
    half = 0.5 * length(between)
    scale = 0.5 * np.sin(half) / np.maximum(half, 1e-30)
    a, b = np.ones(len(rate_rad_s), dtype=complex), np.zeros(len(rate_rad_s), dtype=complex)
    a.real[1:], a.imag[1:] = np.cos(half), -scale * between[:, 2]
    b.real[1:], b.imag[1:] = -scale * between[:, 1], -scale * between[:, 0]
    reach = 1
    while reach < len(a):
        a1, b1, a2, b2 = a[:-reach], b[:-reach], a[reach:], b[reach:]
        a[reach:], b[reach:] = a1 * a2 - b1 * b2.conj(), a1 * b2 + b1 * a2.conj()
        reach *= 2
    return np.column_stack([a.real, -b.imag, -b.real, -a.imag])


def rotate(q: FloatArray, x: FloatArray) -> FloatArray:
    """Turn vectors by unit quaternions."""
    w, u = q[..., :1], q[..., 1:]
    t = 2.0 * _cross(u, x)
    return np.asarray(x + w * t + _cross(u, t))


def _cross(u: FloatArray, v: FloatArray) -> FloatArray:
    """Cross product along the last axis (NumPy's own costs several times as much for short arrays)."""
    out = np.empty(np.broadcast_shapes(u.shape, v.shape))
    for i, j, k in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        out[..., i] = u[..., j] * v[..., k] - u[..., k] * v[..., j]
    return out
