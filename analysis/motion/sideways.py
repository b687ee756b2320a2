"""Step 2 for bars that go sideways (a cable row): acceleration along the main level line instead of the vertical.

It takes a gyro: without one a sideways force cannot be told from a turn. A bar keeps its orientation nearly, so its
path is a line in the sensor's own axes; the line is the main axis of the quick level force, over about a set.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.filters import low_pass, smooth
from analysis.motion.grid import Stretch
from analysis.motion.height import Vertical
from analysis.motion.parameters import HeightParameters
from analysis.motion.samples import FloatArray

_LINE_EVERY = 10
"""Grid points per line: it changes slowly."""
_TILT_M_S2 = 0.15
"""Level force that a gravity direction 0.9° off shows: its bias is the less certain."""


def sideways(stretch: Stretch, v: Vertical, rate_hz: float, parameters: HeightParameters) -> Vertical:
    """Return `v` with the acceleration along the main level line; its sign means nothing."""
    along = (stretch.force_m_s2 * v.direction).sum(1)[:, None] * v.direction
    level = low_pass(stretch.force_m_s2 - along, parameters.cutoff_hz, rate_hz)
    line = _main_line(level - smooth(level, 1.5, rate_hz), rate_hz, parameters.posture_window_s)
    return replace(v, acceleration_m_s2=(level * line).sum(1), leak_m_s2=np.full(len(level), _TILT_M_S2))


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
    return np.asarray(line / np.maximum(np.linalg.norm(line, axis=1), 1e-6)[:, None])
