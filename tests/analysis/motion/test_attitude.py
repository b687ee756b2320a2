"""The gravity direction with a gyro, against rotations whose answer is known, and scipy's own quaternions."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, scene
from scipy.spatial.transform import Rotation

from analysis.motion.analysis import analyse
from analysis.motion.attitude import gravity_direction, rotate, rotations
from analysis.motion.mounts import Mount
from analysis.motion.samples import Samples

RANDOM = np.random.default_rng(4)


def test_turns_agree_with_scipy() -> None:
    p = Rotation.random(20, rng=RANDOM)
    x = RANDOM.normal(size=(20, 3))
    assert np.abs(rotate(p.as_quat(scalar_first=True), x) - p.apply(x)).max() < 1e-12


def test_turning_rates_are_chained_as_scipy_chains_rotations() -> None:
    rate = RANDOM.normal(size=(40, 3))
    turned, expected = rotations(rate, 0.04), Rotation.identity()
    for k in range(1, len(rate)):
        expected = expected * Rotation.from_rotvec(0.5 * (rate[k - 1] + rate[k]) * 0.04)
        assert abs(abs(turned[k] @ expected.as_quat(scalar_first=True)) - 1) < 1e-12


@pytest.mark.parametrize("n", [1, 2, 7, 100, 1001])
def test_a_constant_rate_turns_by_rate_times_time(n: int) -> None:
    axis = np.array([1.0, 2.0, -2.0]) / 3
    turned = rotations(np.tile(0.7 * axis, (n, 1)), 0.04)
    expected = Rotation.from_rotvec(0.7 * 0.04 * np.arange(n)[:, None] * axis).as_quat(scalar_first=True)
    assert np.abs(np.abs((turned * expected).sum(1)) - 1).max() < 1e-12


def test_gravity_is_found_through_sideways_shaking() -> None:
    """Leaning ±20° while shaken sideways at 3 m/s²: the accelerometer alone is 17° off, the gyro's answer is not."""
    t = np.arange(0, 30, 0.04)
    lean = np.radians(20) * np.sin(2 * np.pi * 0.4 * t)
    truth = np.column_stack([np.sin(lean), np.zeros_like(t), np.cos(lean)])
    sideways = np.column_stack([np.cos(lean), np.zeros_like(t), -np.sin(lean)])
    force = 9.81 * truth + (3.0 * np.sin(2 * np.pi * 0.9 * t))[:, None] * sideways
    rate = np.column_stack([np.zeros_like(t), -np.gradient(lean, t), np.zeros_like(t)]) + np.array([0.01, -0.02, 0.01])
    none = np.zeros(len(t), dtype=np.bool_)
    still = none.copy()
    quiet = np.vstack([np.tile([0.0, 0.0, 9.81], (100, 1)), force])
    still = np.concatenate([np.ones(100, dtype=np.bool_), still])
    rates = np.vstack([np.tile([0.01, -0.02, 0.01], (100, 1)), rate])
    found = gravity_direction(quiet, rates, np.zeros(len(quiet), dtype=np.bool_), still, 25.0, 3.0)[100:]
    off = np.degrees(np.arccos(np.clip((found * truth).sum(1), -1, 1)))[100:-100]
    alone = force / np.linalg.norm(force, axis=1)[:, None]
    assert np.degrees(np.arccos(np.clip((alone * truth).sum(1), -1, 1))).max() > 15
    assert off.max() < 2.5


def test_six_axes_agree_with_three_and_survive_a_hole() -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 5, (0.0, 12.0)], gyro=True)
    for axes in (samples, Samples(samples.t_s, samples.force_m_s2)):
        (bout,) = analyse(axes, Mount.BODY).sets
        assert bout.count == 5
        assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 5, abs=0.025)
    kept = (samples.t_s < 11.9) | (samples.t_s > 12.3)
    assert samples.rate_rad_s is not None
    holed = Samples(samples.t_s[kept], samples.force_m_s2[kept], samples.rate_rad_s[kept])
    assert [b.count for b in analyse(holed, Mount.BODY).sets] == [5]
