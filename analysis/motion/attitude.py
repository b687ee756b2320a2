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

    The running product is taken in rows of about √n points at once, so that its cost is that of √n steps.
    """
    n = len(rate_rad_s)
    between = 0.5 * (rate_rad_s[1:] + rate_rad_s[:-1]) * step_s
    angle = np.linalg.norm(between, axis=1)
    scale = 0.5 * np.sinc(angle / (2 * np.pi))
    steps = np.vstack([[[1.0, 0.0, 0.0, 0.0]], np.column_stack([np.cos(angle / 2), between * scale[:, None]])])
    width = max(1, int(np.ceil(np.sqrt(n))))
    rows = -(-n // width)
    padded = np.vstack([steps, np.tile([1.0, 0.0, 0.0, 0.0], (rows * width - n, 1))]).reshape(rows, width, 4)
    for k in range(1, width):
        padded[:, k] = multiply(padded[:, k - 1], padded[:, k])
    for r in range(1, rows):
        padded[r] = multiply(padded[r - 1, -1], padded[r])
    return np.asarray(padded.reshape(-1, 4)[:n])


def multiply(p: FloatArray, q: FloatArray) -> FloatArray:
    """Hamilton product of quaternions, along the last axis."""
    w, v = p[..., :1], p[..., 1:]
    s, u = q[..., :1], q[..., 1:]
    scalar = w * s - (v * u).sum(-1, keepdims=True)
    return np.concatenate([scalar, w * u + s * v + np.cross(v, u)], axis=-1)


def rotate(q: FloatArray, x: FloatArray) -> FloatArray:
    """Turn vectors by unit quaternions."""
    t = 2.0 * np.cross(q[..., 1:], x)
    return np.asarray(x + q[..., :1] * t + np.cross(q[..., 1:], t))
