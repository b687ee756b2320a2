"""What a virtual sensor reads that lies on a table, and is turned onto its next side now and then.

Forces and turning are worked out in closed form from one rotation, as the virtual trainee's are; the flaws are those of
the same classes of sensors (`sensor.virtual.trainee.Imperfections`), and a gain of its own on each axis.
"""

from __future__ import annotations

from math import ceil

import numpy as np

from sensor.virtual.jets import FloatArray
from sensor.virtual.trainee import STANDARD_GRAVITY_M_S2, Imperfections

TURN_S = 1.0
"""How long a hand takes to turn it over."""
GAIN_ERROR = 0.01
"""Largest error of an axis's gain (common datasheet class, from memory)."""
_UP = np.array([[0, 0, 1], [1, 0, 0], [0, 1, 0], [0, 0, -1], [-1, 0, 0], [0, -1, 0]], float)
"""Which way is up, in the sensor's axes, on one side after the other: a quarter turn between any two."""
_LIFT_M_S2 = 2.0
"""By how much a hand shakes it while it turns."""


def lie(
    seed: int, rate_hz: float, side_s: float, lasts_s: float, flaws: Imperfections | None = None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return what a sensor on a table reads; the same arguments always give the same numbers.

    Parameters
    ----------
    seed
        Which sensor: how it errs.
    rate_hz
        Samples a second.
    side_s
        How long it lies on each side, s; then it is turned onto the next, round and round.
    lasts_s
        All of it, s.
    flaws
        How it errs at most.

    Returns
    -------
    t_s : (n,) array
    force_m_s2, rate_rad_s : (n, 3) arrays
    """
    rng, flaws = np.random.default_rng(seed), flaws or Imperfections()
    t_s = np.arange(ceil(lasts_s * rate_hz)) / rate_hz
    side, within_s = np.divmod(t_s, side_s + TURN_S)
    here = _UP[side.astype(int) % len(_UP)]
    there = _UP[(side.astype(int) + 1) % len(_UP)]
    share = np.clip((within_s - side_s) / TURN_S, 0, 1)[:, None]
    angle, speed = _quarter(share)
    force = STANDARD_GRAVITY_M_S2 * (np.cos(angle) * here + np.sin(angle) * there)
    force += _LIFT_M_S2 * np.sin(np.pi * share) ** 2 * np.sin(6 * np.pi * share) * np.ones(3)
    # d(up)/dt = −ω × up: what is fixed in the room turns the other way in the sensor's axes.
    rate = -speed * np.cross(here, there)
    bias, turn_bias = rng.uniform(-1, 1, 3) * flaws.force_bias_m_s2, rng.uniform(-1, 1, 3) * flaws.rate_bias_rad_s
    gain, root_band = 1 + rng.uniform(-1, 1, 3) * GAIN_ERROR, np.sqrt(rate_hz / 2)
    force = force * gain + bias + rng.normal(size=force.shape) * flaws.force_noise_m_s2 * root_band
    rate = rate + turn_bias + rng.normal(size=rate.shape) * flaws.rate_noise_rad_s * root_band
    return t_s, force, rate


def _quarter(share: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return angle (rad) and speed (rad/s) of a quarter turn that begins and ends at rest: 3 s² − 2 s³."""
    angle = np.pi / 2 * (3 * share**2 - 2 * share**3)
    return angle, np.pi / 2 * 6 * share * (1 - share) / TURN_S
