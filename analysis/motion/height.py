"""Step 2 for sensors that travel: height and speed from specific force.

Without a gyro the size of the specific force less its own rest value is the vertical acceleration: it is free of tilt.
Stillness updates are soft and ask for a quiet force *and* a quiet gravity direction, so that a slow lowering, whose
force is quiet but whose posture turns, is not erased. The gravity direction, fitted locally to height, is fed back as
a position-like measurement that does not drift.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.attitude import gravity_direction
from analysis.motion.bias import rest_force
from analysis.motion.filters import along, box_mean, length, low_pass, median_of_five, smooth, unit
from analysis.motion.grid import Stretch
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2, HeightParameters
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.smoother import Problem, Pseudo, posed


@dataclass(frozen=True, slots=True, eq=False)
class Vertical:
    """What the smoother needs, at every grid point.

    Attributes
    ----------
    acceleration_m_s2 : (n,) array
        Upward, gravity removed.
    leak_m_s2 : (n,) array
        What was taken off it for sideways acceleration: its bias is the less certain.
    direction : (n, 3) array
        Unit vector of the low-passed specific force: the gravity direction seen from the sensor.
    still : (n,) bool array
        Quiet force and quiet gravity direction.
    calm : (n,) bool array
        Force quiet enough for a pause, if the reading says that it is one.
    hole : (n,) bool array
        Grid points in a hole of the samples, or hit by a knock: the acceleration there tells little.
    step_s
        Grid step.
    """

    acceleration_m_s2: FloatArray
    leak_m_s2: FloatArray
    direction: FloatArray
    still: BoolArray
    calm: BoolArray
    hole: BoolArray
    step_s: float

    def cut(self, start: int, stop: int) -> Vertical:
        """Return grid points `start` to `stop`."""
        part = slice(start, stop)
        return Vertical(
            self.acceleration_m_s2[part],
            self.leak_m_s2[part],
            self.direction[part],
            self.still[part],
            self.calm[part],
            self.hole[part],
            self.step_s,
        )


def vertical(stretch: Stretch, rate_hz: float, parameters: HeightParameters) -> Vertical:
    """Vertical acceleration, gravity direction and stillness of a stretch."""
    size = length(stretch.force_m_s2)
    usual = median_of_five(size)
    knock = np.abs(size - usual) > parameters.knock_m_s2
    size = np.where(knock, usual, size)
    direction = unit(low_pass(stretch.force_m_s2, 2.0, rate_hz))
    turn = np.degrees(length(_steps(direction))) * rate_hz
    power = smooth((low_pass(size, 2.5, rate_hz) - smooth(size, 1.0, rate_hz)) ** 2, 0.14, rate_hz)
    quiet = np.sqrt(np.maximum(power, 0.0))
    still = (quiet < parameters.still_force_m_s2) & (smooth(turn, 0.14, rate_hz) < parameters.still_turn_deg_s)
    surely = still & (box_mean(still.astype(float), round(0.8 * rate_hz)) > 0.99)
    if stretch.rate_rad_s is None:
        leak = _leak(stretch.force_m_s2, direction, rate_hz)
        upward = low_pass(size - leak, parameters.cutoff_hz, rate_hz)
        leak = smooth(leak, 1.5, rate_hz)
        upward = _plumb(stretch.force_m_s2, upward, rate_hz, parameters)
    else:
        leak = np.zeros(len(size))
        direction = gravity_direction(
            stretch.force_m_s2, stretch.rate_rad_s, stretch.hole, surely, rate_hz, parameters.level_s
        )
        upward = low_pass(np.where(knock, usual, along(stretch.force_m_s2, direction)), parameters.cutoff_hz, rate_hz)
    return Vertical(
        upward - rest_force(upward, direction, surely, rate_hz, parameters),
        leak,
        direction,
        still,
        quiet < parameters.calm_force_m_s2,
        _widened(stretch.hole | knock),
        1.0 / rate_hz,
    )


def _steps(x: FloatArray) -> FloatArray:
    """Change per grid point (NumPy's own gradient costs several times as much for short arrays)."""
    out = np.empty_like(x)
    out[1:-1] = (x[2:] - x[:-2]) / 2.0
    out[0], out[-1] = x[1] - x[0], x[-1] - x[-2]
    return out


def _widened(mask: BoolArray) -> BoolArray:
    """Mark the neighbours of what is marked as well."""
    out = mask.copy()
    out[1:] |= mask[:-1]
    out[:-1] |= mask[1:]
    return out


def _leak(force: FloatArray, direction: FloatArray, rate_hz: float) -> FloatArray:
    """Mean of what sideways acceleration s adds to the size of the force, s²/2g; it matters in fast reps only."""
    quick = force - smooth(force, 0.5, rate_hz)
    sideways = quick - along(quick, direction)[:, None] * direction
    return along(sideways, sideways) / (2 * STANDARD_GRAVITY_M_S2)


def _plumb(force: FloatArray, upward: FloatArray, rate_hz: float, parameters: HeightParameters) -> FloatArray:
    """Return the force along gravity, taken along its mean direction where the movement is vigorous.

    The size of the force folds where a stroke falls faster than freely (−|g + a| is read as |g + a|) and takes sideways
    acceleration for upward one; its component along the mean direction does neither, but is not free of tilt.
    """
    quick = force - smooth(force, 0.5, rate_hz)
    vigour = np.sqrt(np.maximum(smooth(along(quick, quick), parameters.vigour_s, rate_hz), 0.0))
    share = np.clip(vigour / parameters.vigour_m_s2 - 1.0, 0.0, 1.0)
    if not share.any():
        return upward
    mean = smooth(force, parameters.plumb_s, rate_hz)
    level = along(force, unit(mean))
    return np.asarray(upward + share * (low_pass(level, parameters.cutoff_hz, rate_hz) - upward))


def problem(
    v: Vertical,
    parameters: HeightParameters,
    *measured: Pseudo,
    loose: BoolArray | None = None,
    pauses: Pseudo | None = None,
) -> Problem:
    """Pose height and speed over the whole stretch, with `measured` heights; `loose` where these hold the level.

    `pauses` says what is known of the speed where the reading says that it pauses.
    """
    n = len(v.acceleration_m_s2)
    force_sd = np.where(v.hole, parameters.hole_noise_m_s2, parameters.force_noise_m_s2)
    sd = np.where(v.still, parameters.still_speed_m_s, parameters.free_speed_m_s)
    speed = Pseudo(np.zeros(n), sd)
    if pauses is not None:
        known = pauses.sd < sd
        speed = Pseudo(np.where(known, pauses.value, 0.0), np.where(known, pauses.sd, sd))
    walk = parameters.bias_walk_m_s2 + parameters.leak_walk * v.leak_m_s2
    height_sd = np.full(n, parameters.free_height_m)
    if loose is not None:
        height_sd[loose] = parameters.loose_height_m
    free = Pseudo(np.zeros(n), height_sd)
    return posed(v.acceleration_m_s2, v.step_s, force_sd, walk, speed, (free, *measured))
