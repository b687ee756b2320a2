"""Vertical acceleration of vigorous strokes without a gyro: where the size of the force alone goes wrong.

Closed forms: a sine of amplitude A and period T has accelerations of A (2π/T)²; above g the size of the force folds.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.grid import Stretch
from analysis.motion.height import vertical
from analysis.motion.parameters import DEFAULTS, STANDARD_GRAVITY_M_S2
from analysis.motion.samples import FloatArray

RATE_HZ = 25.0
T_S = np.arange(500) / RATE_HZ
SHOWN = slice(100, 400)


def upward(force: FloatArray) -> FloatArray:
    stretch = Stretch(T_S, force, None, np.zeros(len(force), dtype=bool))
    return vertical(stretch, RATE_HZ, DEFAULTS.height).acceleration_m_s2[SHOWN]


def test_a_stroke_that_falls_faster_than_freely_is_not_folded() -> None:
    true = 0.3 * (2 * np.pi / 0.85) ** 2 * np.sin(2 * np.pi * T_S / 0.85)
    assert true.min() < -STANDARD_GRAVITY_M_S2
    seen = upward(np.column_stack([0 * true, 0 * true, STANDARD_GRAVITY_M_S2 + true]))
    size = np.abs(STANDARD_GRAVITY_M_S2 + true) - STANDARD_GRAVITY_M_S2
    assert np.abs(seen - true[SHOWN]).max() < 1.0
    assert np.abs(size - true).max() > 6.0, "the size of the force alone is far off"


def test_vigorous_sideways_motion_is_not_taken_for_a_rise() -> None:
    sideways = 7.0 * np.sin(2 * np.pi * T_S)
    seen = upward(np.column_stack([sideways, 0 * sideways, 0 * sideways + STANDARD_GRAVITY_M_S2]))
    assert np.abs(seen - seen.mean()).max() < 0.5
    size = np.hypot(sideways, STANDARD_GRAVITY_M_S2)
    assert np.ptp(size) > 2.0, "the size of the force alone rises twice a cycle"


def test_slow_tilting_strokes_are_read_from_the_size_of_the_force() -> None:
    """A quiet turn of 40° without acceleration shows none."""
    angle = np.radians(20) * np.sin(2 * np.pi * T_S / 6)
    force = STANDARD_GRAVITY_M_S2 * np.column_stack([np.sin(angle), 0 * angle, np.cos(angle)])
    assert np.abs(upward(force)).max() < 0.1
