"""Step 2 for bars that go sideways (a cable row): acceleration along the main level line instead of the vertical.

Without a gyro a sideways force cannot be told from a turn, and its bias is the less certain for it. A bar keeps its
orientation nearly, so its path is a line in the sensor's own axes; the line is the main axis of the quick level force,
over about a set.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.filters import low_pass, smooth, unit
from analysis.motion.grid import Stretch
from analysis.motion.height import Vertical
from analysis.motion.parameters import HeightParameters
from analysis.motion.samples import FloatArray

_LINE_EVERY = 10
"""Grid points per line: it changes slowly."""
_TILT_M_S2 = 0.15
"""Level force that a gravity direction 0.9° off shows: its bias is the less certain."""
_TURN_M_S2 = 1.0
"""Level force that a turn by 6° shows, where no gyro takes it off."""


def sideways(stretch: Stretch, v: Vertical, rate_hz: float, parameters: HeightParameters) -> Vertical:
    """Return `v` with the acceleration along the main level line; its sign means nothing."""
    up = v.direction if stretch.rate_rad_s is not None else _mean_up(stretch, rate_hz, parameters)
    along = (stretch.force_m_s2 * up).sum(1)[:, None] * up
    level = low_pass(stretch.force_m_s2 - along, parameters.cutoff_hz, rate_hz)
    line = _main_line(level - smooth(level, 1.5, rate_hz), rate_hz, parameters.posture_window_s)
    tilt = _TURN_M_S2 if stretch.rate_rad_s is None else _TILT_M_S2
    return replace(v, acceleration_m_s2=(level * line).sum(1), leak_m_s2=np.full(len(level), tilt))


def _mean_up(stretch: Stretch, rate_hz: float, parameters: HeightParameters) -> FloatArray:
    """Return the mean direction of the force, unit vectors of shape (n, 3)."""
    mean = smooth(stretch.force_m_s2, 2 * parameters.plumb_s, rate_hz)
    return np.asarray(mean / np.maximum(np.linalg.norm(mean, axis=1), 1e-6)[:, None])


def _main_line(quick: FloatArray, rate_hz: float, window_s: float) -> FloatArray:
    """Return the unit vector along which `quick` is greatest, without jumps of sign, shape (n, 3)."""
    n = len(quick)
    blocks = -(-n // _LINE_EVERY)
    products = (quick[:, :, None] * quick[:, None, :]).reshape(n, 9)
    padded = np.vstack([products, np.zeros((blocks * _LINE_EVERY - n, 9))]).reshape(blocks, _LINE_EVERY, 9)
    spread = smooth(padded.mean(axis=1), window_s, rate_hz / _LINE_EVERY).reshape(blocks, 3, 3)
    axis = np.linalg.eigh(spread)[1][:, :, 2]
    turns = np.where((axis[1:] * axis[:-1]).sum(1) < 0, -1.0, 1.0)
    axis[1:] *= np.cumprod(turns)[:, None]
    middle = np.arange(blocks) * _LINE_EVERY + (_LINE_EVERY - 1) / 2
    line = np.column_stack([np.interp(np.arange(n), middle, axis[:, i]) for i in range(3)])
    return unit(line)
