"""Which way is up along an upright trunk, seen from the sensor: the mean force of somebody who walks.

Where the sensor sits on the body is known only roughly, and how it is turned there not at all. In walking the trunk is
upright to a few degrees (common knowledge of gait), the mean force of whole steps is gravity, and who trains walks to
the bar. Steps are told by their rhythm: 1.3–2.5 of them a second, each much like the last.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import box_mean, low_pass, smooth
from analysis.motion.grid import Stretch
from analysis.motion.samples import BoolArray, FloatArray

_OVER_S = 3.0
"""How long it must look like walking."""
_STEP_S = (0.4, 0.76)
"""Shortest and longest time of a step."""
_ALIKE = 0.6
"""Least correlation of a step with the next."""
_LEAST_M_S2 = 0.5
"""Least size of steps, root mean square; slow walking has about 1."""
_NEAR_S = 60.0
"""How far from a set it tells of that set: a sensor may slip in between."""
_ENOUGH_S = 2.0


def walking(stretch: Stretch, rate_hz: float) -> BoolArray:
    """Return where somebody walks, shape (n,)."""
    size = np.linalg.norm(stretch.force_m_s2, axis=1)
    quick = low_pass(size - smooth(size, 0.6, rate_hz), 4.0, rate_hz)
    width = round(_OVER_S * rate_hz)
    power = box_mean(quick * quick, width)
    alike = np.zeros(len(quick))
    for lag in range(round(_STEP_S[0] * rate_hz), round(_STEP_S[1] * rate_hz) + 1):
        products = np.zeros(len(quick))
        products[lag // 2 : len(quick) - (lag - lag // 2)] = quick[lag:] * quick[: len(quick) - lag]
        alike = np.maximum(alike, box_mean(products, width))
    return np.asarray((alike > _ALIKE * power) & (power > _LEAST_M_S2**2) & ~stretch.hole)


def upright_near(stretch: Stretch, walks: BoolArray, start_s: float, end_s: float, rate_hz: float) -> FloatArray | None:
    """Return the unit vector that points up along the trunk around a set; None where nobody is seen to walk.

    Parameters
    ----------
    walks
        What `walking` found in the stretch.
    start_s, end_s
        Of the set: what lies between says nothing.
    """
    before = (stretch.t_s > start_s - _NEAR_S) & (stretch.t_s < start_s)
    near = walks & (before | (stretch.t_s > end_s) & (stretch.t_s < end_s + _NEAR_S))
    if near.sum() < _ENOUGH_S * rate_hz:
        return None
    mean = stretch.force_m_s2[near].mean(axis=0)
    return np.asarray(mean / np.linalg.norm(mean))
