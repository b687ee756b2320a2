"""Bias refined on the fly: what hangs and rests in different postures tell of the accelerometer itself.

30 mg across gravity, and a lean of 20°, put 30 mg × sin 20° = 10.26 mg (exact trigonometry) into the vertical
acceleration, as much as a slow rep has. Without a gyro nothing but rest in both postures can tell it from movement.
"""

from __future__ import annotations

import numpy as np
import pytest

from analysis.motion.bias import rest_force
from analysis.motion.grid import Stretch
from analysis.motion.height import vertical
from analysis.motion.parameters import DEFAULTS, STANDARD_GRAVITY_M_S2

G = STANDARD_GRAVITY_M_S2
HEIGHT = DEFAULTS.height
MG = G / 1000
RATE_HZ = 25.0
BIAS = 30 * MG


def leaning(lean_deg: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Force, size and direction of a sensor at rest with 30 mg across gravity when upright."""
    lean = np.radians(lean_deg)
    true = np.column_stack([np.sin(lean), np.zeros(len(lean)), np.cos(lean)])
    force = G * true + np.array([BIAS, 0.0, 0.0])
    size = np.linalg.norm(force, axis=1)
    return force, size, force / size[:, None]


def lean_of(rests_s: float) -> np.ndarray:
    """Upright, a slow lean by 20° in 4 s, there, and back; `rests_s` each."""
    n, ramp = round(rests_s * RATE_HZ), np.linspace(0.0, 20.0, 100)
    return np.concatenate([np.zeros(n), ramp, np.full(n, 20.0), ramp[::-1], np.zeros(n)])


def test_the_closed_form_of_bias_and_tilt() -> None:
    _, size, _ = leaning(np.array([0.0, 20.0]))
    assert (size[1] - size[0]) / MG == pytest.approx(30 * np.sin(np.radians(20)), abs=0.5)
    assert 30 * np.sin(np.radians(20)) == pytest.approx(10.26, abs=0.005)


@pytest.mark.parametrize(("rests_s", "left_mg"), [(2.0, 3.0), (5.0, 1.5), (20.0, 0.5)])
def test_rests_in_both_postures_take_the_error_away(rests_s: float, left_mg: float) -> None:
    lean_deg = lean_of(rests_s)
    _, size, direction = leaning(lean_deg)
    still = (lean_deg == 0.0) | (lean_deg == 20.0)
    left = (size - rest_force(size, direction, still, RATE_HZ, HEIGHT)) / MG
    assert np.ptp(size - np.median(size)) / MG > 10.0  # what one value for all postures leaves
    assert np.abs(left).max() < left_mg


def test_it_is_the_ridge_estimate_of_the_normal_equations() -> None:
    """Least squares of |f| = c + b·u with b ~ N(0, .3²) and |f| known to .05 in each second (Hoerl & Kennard 1970)."""
    lean_deg = lean_of(3.0)
    _, size, direction = leaning(lean_deg)
    still = (lean_deg == 0.0) | (lean_deg == 20.0)
    rows = np.column_stack([np.ones(still.sum()), direction[still]]) / (0.05 * np.sqrt(RATE_HZ))
    told = np.linalg.lstsq(
        np.vstack([rows, np.hstack([np.zeros((3, 1)), np.eye(3) / 0.3])]),
        np.concatenate([(size[still] - G) / (0.05 * np.sqrt(RATE_HZ)), np.zeros(3)]),
        rcond=None,
    )[0]
    expected = G + told[0] + direction @ told[1:]
    assert rest_force(size, direction, still, RATE_HZ, HEIGHT) == pytest.approx(expected, abs=1.0 * MG)


def test_one_posture_alone_tells_only_its_own_value() -> None:
    """Nothing is learnt of the axis across gravity: the other posture keeps all of its 10 mg."""
    lean_deg = lean_of(5.0)
    _, size, direction = leaning(lean_deg)
    left = (size - rest_force(size, direction, lean_deg == 0.0, RATE_HZ, HEIGHT)) / MG
    assert np.abs(left[lean_deg == 0.0]).max() < 0.1
    assert left[lean_deg == 20.0].min() > 9.0


def test_a_moment_wrongly_held_for_still_does_not_decide() -> None:
    lean_deg = lean_of(5.0)
    _, size, direction = leaning(lean_deg)
    still = (lean_deg == 0.0) | (lean_deg == 20.0)
    jolted = size + np.where(np.arange(len(size)) % 97 == 0, 2.0, 0.0)
    clean = rest_force(size, direction, still, RATE_HZ, HEIGHT)
    assert rest_force(jolted, direction, still, RATE_HZ, HEIGHT) == pytest.approx(clean, abs=1.5 * MG)


def test_without_any_rest_the_usual_size_stands_for_it() -> None:
    _, size, direction = leaning(lean_of(5.0))
    assert rest_force(size, direction, np.zeros(len(size), bool), RATE_HZ, HEIGHT) == pytest.approx(np.median(size))


@pytest.mark.parametrize("gyro", [False, True])
def test_the_vertical_acceleration_of_a_slow_lean_is_none(gyro: bool) -> None:
    """Through the whole step: a sensor that only leans, slowly, between two rests, has not risen."""
    lean_deg = lean_of(10.0)
    force, _, _ = leaning(lean_deg)
    turning = np.column_stack(
        [np.zeros(len(force)), -np.gradient(np.radians(lean_deg)) * RATE_HZ, np.zeros(len(force))]
    )
    t_s = np.arange(len(force)) / RATE_HZ
    stretch = Stretch(t_s, force, turning if gyro else None, np.zeros(len(force), bool))
    upward = vertical(stretch, RATE_HZ, HEIGHT).acceleration_m_s2
    assert np.abs(upward[lean_deg == 0.0][20:-20]).max() < 1.5 * MG
    assert np.abs(upward[lean_deg == 20.0][20:-20]).max() < 1.5 * MG
