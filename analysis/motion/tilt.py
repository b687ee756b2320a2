"""Step 2 for sensors that do not travel: the gravity direction along its main line of change, as a position proxy.

A limb, a strap or a bending bar turns a little with every rep. The main line is found in overlapping windows by
principal component analysis and followed from window to window; its sign is arbitrary, so both readings are offered.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analysis.motion.filters import smooth
from analysis.motion.lobes import Track
from analysis.motion.parameters import Parameters
from analysis.motion.samples import FloatArray


def tilt_tracks(t_s: FloatArray, direction: FloatArray, rate_hz: float, parameters: Parameters) -> Iterator[Track]:
    """Give the proxy in degrees, read one way and the other."""
    position = main_turning(direction, rate_hz, parameters.tilt.detrend_s, parameters.tilt.window_s)
    speed = np.gradient(position) * rate_hz
    for sign in (1, -1):
        yield Track(t_s, sign * position, sign * speed, rate_hz, 0.3)


def line_tracks(
    t_s: FloatArray,
    direction: FloatArray,
    inside: slice,
    floor_deg_s: float,
    rate_hz: float,
    along: FloatArray | None = None,
) -> Iterator[Track]:
    """Give the angle along the main line of turning of the grid points `inside`, read one way and the other.

    `along` is what the line is taken from, where it is not the direction itself (without its slow drift, say).
    """
    own = (direction if along is None else along)[inside]
    own = own - own.mean(axis=0)
    axis = np.linalg.eigh(own.T @ own)[1][:, -1]
    position = np.degrees((direction - np.median(direction[inside], axis=0)) @ axis)
    speed = np.gradient(position) * rate_hz
    for sign in (1, -1):
        yield Track(t_s, sign * position, sign * speed, rate_hz, floor_deg_s)


def main_turning(direction: FloatArray, rate_hz: float, detrend_s: float, window_s: float) -> FloatArray:
    """Return the angle along the locally main line of turning, degrees, shape (n,)."""
    centred = direction - smooth(direction, detrend_s, rate_hz)
    n, width = len(centred), max(2, round(window_s * rate_hz))
    hop = width // 4
    total, weight = np.zeros(n), np.zeros(n)
    line = np.zeros(3)
    rest = np.median(direction, axis=0)
    for start in range(0, max(1, n - width + hop), hop):
        part = centred[start : start + width]
        axis = np.linalg.eigh(part.T @ part)[1][:, -1]
        axis = -axis if axis @ line < 0 else axis
        line = axis
        bell = np.hanning(len(part) + 2)[1:-1]
        total[start : start + width] += bell * ((direction[start : start + width] - rest) @ axis)
        weight[start : start + width] += bell
    return np.asarray(np.degrees(total / np.maximum(weight, 1e-9)))
