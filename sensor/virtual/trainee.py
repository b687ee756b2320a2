"""A virtual trainee: from a seed and a script to what a sensor on her belt reads.

The readings obey the physics that the analysis relies on and know nothing of the analysis: specific force is
Rᵀ (a + g) and angular rate is the derivative of the attitude, both worked out in closed form from one smooth motion.
What was really done is returned beside the readings for tests of this generator; no other part of the product sees it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sensor.virtual.body import BodyMotion, body_motion, draw_person
from sensor.virtual.jets import FloatArray
from sensor.virtual.plan import RepTruth, Rng, plan_session, true_reps
from sensor.virtual.script import Script

STANDARD_GRAVITY_M_S2 = 9.80665  # CGPM 1901
GENERATOR_VERSION = 1


@dataclass(frozen=True, slots=True)
class Imperfections:
    """What makes a sensor's reading differ from the motion (common datasheet classes, from memory).

    Attributes
    ----------
    force_bias_m_s2
        Largest offset of an accelerometer axis; 30 mg.
    force_noise_m_s2
        Noise density, m/s² per √Hz; 100 µg/√Hz.
    rate_bias_rad_s
        Largest offset of a gyro axis; 0.3 °/s.
    rate_noise_rad_s
        Noise density, rad/s per √Hz; 0.007 °/s/√Hz.
    """

    force_bias_m_s2: float = 0.030 * STANDARD_GRAVITY_M_S2
    force_noise_m_s2: float = 100e-6 * STANDARD_GRAVITY_M_S2
    rate_bias_rad_s: float = np.radians(0.3)
    rate_noise_rad_s: float = np.radians(0.007)


@dataclass(frozen=True, slots=True, eq=False)
class Performance:
    """One session as the sensor reads it.

    Attributes
    ----------
    t_s : (n,) array
        Seconds from the first sample, even.
    force_m_s2, rate_rad_s : (n, 3) array
        Specific force and angular rate in the sensor's own axes.
    truth
        The reps of each set, for tests of the generator only.
    """

    t_s: FloatArray
    force_m_s2: FloatArray
    rate_rad_s: FloatArray
    truth: tuple[tuple[RepTruth, ...], ...]


def perform(
    script: Script, seed: int, rate_hz: float = 100.0, imperfections: Imperfections | None = None
) -> Performance:
    """Return what the sensor reads during `script`; the same arguments always give the same numbers."""
    rng = np.random.default_rng([GENERATOR_VERSION, seed])
    person = draw_person(rng)
    plan = plan_session(script, person.travel_m, rng)
    t_s = np.arange(int(plan.end_s * rate_hz)) / rate_hz
    motion = body_motion(plan, person, t_s, script.strain)
    force, rate = read_sensor(motion, random_rotation(rng), rate_hz, imperfections or Imperfections(), rng)
    return Performance(t_s, force, rate, tuple(true_reps(reps) for bout in plan.bouts for reps in bout.sets))


def attitude(motion: BodyMotion) -> FloatArray:
    """Return the (n, 3, 3) rotations from body axes (x forward, z up) to room axes."""
    return _turn_z(motion.yaw.x) @ _turn_y(motion.pitch.x) @ _turn_x(motion.roll.x)


def specific_force(motion: BodyMotion) -> FloatArray:
    """Return Rᵀ (a + g) in body axes, (n, 3) m/s²: one g upward when at rest."""
    upward = motion.height.a + STANDARD_GRAVITY_M_S2
    in_room = np.stack([motion.forward.a, motion.sideways.a, upward], axis=1)
    force: FloatArray = np.einsum("nji,nj->ni", attitude(motion), in_room)
    return force


def angular_rate(motion: BodyMotion) -> FloatArray:
    """Return the angular rate in body axes, (n, 3) rad/s, from the derivatives of roll, pitch and yaw.

    Source: the usual kinematics of yaw–pitch–roll angles, e.g. Diebel 2006, "Representing Attitude", eq. 64 ff.
    (number from memory); the tests integrate it back.
    """
    roll, pitch = motion.roll.x, motion.pitch.x
    d_roll, d_pitch, d_yaw = motion.roll.v, motion.pitch.v, motion.yaw.v
    return np.stack(
        [
            d_roll - d_yaw * np.sin(pitch),
            d_pitch * np.cos(roll) + d_yaw * np.cos(pitch) * np.sin(roll),
            -d_pitch * np.sin(roll) + d_yaw * np.cos(pitch) * np.cos(roll),
        ],
        axis=1,
    )


def read_sensor(
    motion: BodyMotion, mounting: FloatArray, rate_hz: float, flaws: Imperfections, rng: Rng
) -> tuple[FloatArray, FloatArray]:
    """Return specific force and angular rate as the clipped-on sensor reads them.

    Parameters
    ----------
    mounting : (3, 3) array
        Rotation from body axes to sensor axes.
    rate_hz
        Sampling rate; white noise fills the band up to half of it.
    """
    force = specific_force(motion) @ mounting.T
    rate = angular_rate(motion) @ mounting.T
    root_band = np.sqrt(rate_hz / 2)
    force += rng.uniform(-1, 1, 3) * flaws.force_bias_m_s2
    rate += rng.uniform(-1, 1, 3) * flaws.rate_bias_rad_s
    force += rng.normal(size=force.shape) * flaws.force_noise_m_s2 * root_band
    rate += rng.normal(size=rate.shape) * flaws.rate_noise_rad_s * root_band
    return force, rate


def random_rotation(rng: Rng) -> FloatArray:
    """Return a rotation drawn evenly from all (a normalised four-dimensional normal vector is an even quaternion)."""
    w, x, y, z = (q := rng.normal(size=4)) / np.linalg.norm(q)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def _turn_x(angle: FloatArray) -> FloatArray:
    c, s, zero, one = _parts(angle)
    return _matrix([[one, zero, zero], [zero, c, -s], [zero, s, c]])


def _turn_y(angle: FloatArray) -> FloatArray:
    c, s, zero, one = _parts(angle)
    return _matrix([[c, zero, s], [zero, one, zero], [-s, zero, c]])


def _turn_z(angle: FloatArray) -> FloatArray:
    c, s, zero, one = _parts(angle)
    return _matrix([[c, -s, zero], [s, c, zero], [zero, zero, one]])


def _parts(angle: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    return np.cos(angle), np.sin(angle), np.zeros_like(angle), np.ones_like(angle)


def _matrix(rows: list[list[FloatArray]]) -> FloatArray:
    return np.moveaxis(np.array(rows), -1, 0)
