"""Step 2 for sensors that travel: height and speed from specific force.

Without a gyro the size of the specific force less its own rest value is the vertical acceleration: it is free of tilt.
Stillness updates are soft and ask for a quiet force *and* a quiet gravity direction, so that a slow lowering, whose
force is quiet but whose posture turns, is not erased. The gravity direction, fitted locally to height, is fed back as
a position-like measurement that does not drift.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.filters import box_mean, low_pass, smooth
from analysis.motion.grid import Stretch
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2, HeightParameters
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.smoother import Pseudo, Smoothed, smooth_height


@dataclass(frozen=True, slots=True, eq=False)
class Vertical:
    """What the smoother needs, at every grid point.

    Attributes
    ----------
    acceleration_m_s2 : (n,) array
        Upward, gravity removed.
    direction : (n, 3) array
        Unit vector of the low-passed specific force: the gravity direction seen from the sensor.
    still : (n,) bool array
    hole : (n,) bool array
    step_s
        Grid step.
    """

    acceleration_m_s2: FloatArray
    direction: FloatArray
    still: BoolArray
    hole: BoolArray
    step_s: float


def vertical(stretch: Stretch, rate_hz: float, parameters: HeightParameters) -> Vertical:
    """Vertical acceleration, gravity direction and stillness of a stretch."""
    size = np.linalg.norm(stretch.force_m_s2, axis=1)
    force = low_pass(size, parameters.cutoff_hz, rate_hz)
    slow = low_pass(stretch.force_m_s2, 2.0, rate_hz)
    direction = slow / np.maximum(np.linalg.norm(slow, axis=1), 1e-6)[:, None]
    turn = np.degrees(np.linalg.norm(np.gradient(direction, axis=0), axis=1)) * rate_hz
    quiet = np.sqrt(smooth((low_pass(size, 2.5, rate_hz) - smooth(size, 1.0, rate_hz)) ** 2, 0.14, rate_hz))
    still = (quiet < parameters.still_force_m_s2) & (smooth(turn, 0.14, rate_hz) < parameters.still_turn_deg_s)
    rest = float(np.median(force)) if len(force) else STANDARD_GRAVITY_M_S2
    return Vertical(force - rest, direction, still, box_mean(stretch.hole.astype(float), 3) > 0, 1.0 / rate_hz)


def solve(v: Vertical, parameters: HeightParameters, *measured: Pseudo) -> Smoothed:
    """Smooth height and speed over the whole stretch, with `measured` heights."""
    n = len(v.acceleration_m_s2)
    force_sd = np.where(v.hole, parameters.hole_noise_m_s2, parameters.force_noise_m_s2)
    speed = Pseudo(np.zeros(n), np.where(v.still, parameters.still_speed_m_s, parameters.free_speed_m_s))
    free = Pseudo(np.zeros(n), np.full(n, parameters.free_height_m))
    return smooth_height(v.acceleration_m_s2, v.step_s, force_sd, parameters.bias_walk_m_s2, speed, (free, *measured))
