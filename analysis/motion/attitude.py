"""The gravity direction with a gyro: turned back by the measured rotation, gravity stands still and can be averaged.

The angular rate is integrated to a rotation; in that slowly drifting frame the specific force is gravity plus motion,
and a bell mean of a few seconds leaves gravity (the idea of Laidig & Seel 2023, Inf. Fusion 91:187, with a filter that
sees both directions). Nothing is assumed across holes: each piece between them is levelled by itself.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from analysis.motion.filters import smooth
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
    rate = rate_rad_s - (np.median(rate_rad_s[still], axis=0) if still.any() else 0.0)
    out = np.empty_like(force_m_s2)
    edges = np.flatnonzero(np.diff(hole.astype(np.int8), prepend=0, append=0) != 0)
    cuts = np.unique(np.concatenate([[0], edges, [len(hole)]])).tolist()
    for a, b in pairwise(cuts):
        turned = rotations(rate[a:b], 1.0 / rate_hz)
        level = smooth(rotate(turned, force_m_s2[a:b]), window_s, rate_hz)
        level = level / np.maximum(np.linalg.norm(level, axis=1), 1e-6)[:, None]
        out[a:b] = rotate(turned * np.array([1.0, -1.0, -1.0, -1.0]), level)
    return out


def rotations(rate_rad_s: FloatArray, step_s: float) -> FloatArray:
    """Return the rotation since the first point at every point, as unit quaternions (w, x, y, z), shape (n, 4).

    The running product is taken over spans of 1, 2, 4, … points at once, so that it needs log₂ n steps.
    """
    n = len(rate_rad_s)
    between = 0.5 * (rate_rad_s[1:] + rate_rad_s[:-1]) * step_s
    angle = np.linalg.norm(between, axis=1)
    scale = 0.5 * np.sinc(angle / (2 * np.pi))
    steps = np.vstack([[[1.0, 0.0, 0.0, 0.0]], np.column_stack([np.cos(angle / 2), between * scale[:, None]])])
    reach = 1
    while reach < n:
        steps = np.concatenate([steps[:reach], multiply(steps[:-reach], steps[reach:])])
        reach *= 2
    return steps


def multiply(p: FloatArray, q: FloatArray) -> FloatArray:
    """Hamilton product of quaternions, along the last axis."""
    w, x, y, z = (p[..., i] for i in range(4))
    s, a, b, c = (q[..., i] for i in range(4))
    out = np.empty(np.broadcast_shapes(p.shape, q.shape))
    out[..., 0] = w * s - x * a - y * b - z * c
    out[..., 1] = w * a + x * s + y * c - z * b
    out[..., 2] = w * b - x * c + y * s + z * a
    out[..., 3] = w * c + x * b - y * a + z * s
    return out


def rotate(q: FloatArray, x: FloatArray) -> FloatArray:
    """Turn vectors by unit quaternions."""
    t = 2.0 * np.cross(q[..., 1:], x)
    return np.asarray(x + q[..., :1] * t + np.cross(q[..., 1:], t))
