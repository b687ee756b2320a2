"""Limbs that rest long between lifts: a line of turning has no up of its own, so a pause may be as long as a hold.

Closed form: minimum-jerk turns (Flash & Hogan 1985, J Neurosci 5:1688); recordings of the same kind are in
`test_open_data.py`.
"""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import minimum_jerk

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.samples import Samples

RATE_HZ = 50.0


def lifts(count: int, hold_s: float, rest_s: float, shake_m_s2: float) -> Samples:
    """A thigh that turns up by 80° in 1.5 s, is held, comes down and rests."""
    cycle_s = 3.0 + hold_s + rest_s
    t = np.arange(0.0, 8.0 + count * cycle_s, 1.0 / RATE_HZ)
    turn = np.zeros_like(t)
    for start in 8.0 + cycle_s * np.arange(count):
        up, _, _ = minimum_jerk(t - start, np.radians(80.0), 1.5)
        down, _, _ = minimum_jerk(t - start - 1.5 - hold_s, np.radians(80.0), 1.5)
        turn += up - down
    force = STANDARD_GRAVITY_M_S2 * np.column_stack([np.cos(turn), np.sin(turn), 0 * t])
    return Samples(t, force + shake_m_s2 * np.random.default_rng(5).standard_normal(force.shape))


@pytest.mark.parametrize("shake_m_s2", [0.02, 0.3])
@pytest.mark.parametrize(("hold_s", "rest_s"), [(5.0, 9.5), (9.5, 5.0), (10.0, 10.0), (3.0, 13.0)])
def test_lifts_with_long_rests_are_counted_through_the_pipeline(
    hold_s: float, rest_s: float, shake_m_s2: float
) -> None:
    """Read with rests as holds there would be one fewer; cut into windows of three lifts, none at all."""
    bouts = analyse(lifts(6, hold_s, rest_s, shake_m_s2), Mount.LIMB).sets
    assert [b.count for b in bouts] == [6]


@pytest.mark.parametrize(("turn_deg", "counts"), [(0.6, []), (6.0, [8])])
def test_a_resting_limb_that_sways_makes_no_set(turn_deg: float, counts: list[int]) -> None:
    """Breathing, say: as regular as reps and as long, and a tenth of the smallest."""
    t = np.arange(0.0, 64.0, 1.0 / RATE_HZ)
    inside = (t > 16.0) & (t < 48.0)
    turn = np.radians(turn_deg) * np.sin(np.pi * (t - 16.0) / 4.0) ** 2 * inside
    force = STANDARD_GRAVITY_M_S2 * np.column_stack([np.cos(turn), np.sin(turn), 0 * t])
    samples = Samples(t, force + 0.01 * np.random.default_rng(6).standard_normal(force.shape))
    assert [b.count for b in analyse(samples, Mount.LIMB).sets] == counts
