"""A gyro that does not tell how the sensor turned is not used; the turns here are exact rotations, known beforehand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from analysis.motion.gyro import follows_gravity
from analysis.motion.parameters import DEFAULTS, STANDARD_GRAVITY_M_S2
from analysis.motion.samples import FloatArray, Samples

RATE_HZ = 50.0
SPOILT: dict[str, Callable[[FloatArray], FloatArray]] = {
    "radians under degrees": np.radians,
    "two axes changed about": lambda rate: rate[:, [1, 0, 2]],
    "signs changed": lambda rate: -rate,
    "an axis dead": lambda rate: rate * [0.0, 1.0, 1.0] + [0.01, 0.0, 0.0],
    "nothing at all": np.zeros_like,
}


def _turned() -> Samples:
    """Rest, turn by 40° about x, rest, back by way of y; four times. SciPy's rotations give what the sensor sees."""
    random = np.random.default_rng(2)
    rest, way = np.zeros((150, 3)), np.sin(np.pi * np.arange(50) / 50)[:, None] ** 2
    way = way / way.sum() * RATE_HZ * np.radians(40.0)
    rate = np.concatenate([np.concatenate([rest, way * [1.0, 0.1, 0.0], rest, way * [0.0, 1.0, 0.1]])] * 4 + [rest])
    attitude = [Rotation.identity()]
    for step in 0.5 * (rate[1:] + rate[:-1]) / RATE_HZ:
        attitude.append(attitude[-1] * Rotation.from_rotvec(step))
    force = np.array([one.inv().apply([0.0, 0.0, STANDARD_GRAVITY_M_S2]) for one in attitude])
    noise = random.normal(size=(2, len(rate), 3))
    rate = rate + np.radians([0.8, -0.5, 0.3]) + np.radians(0.1) * noise[0]
    return Samples(np.arange(len(rate)) / RATE_HZ, force + 0.01 * noise[1], rate)


TURNED = _turned()


def test_a_gyro_with_a_bias_is_used() -> None:
    assert follows_gravity(TURNED, DEFAULTS)


@pytest.mark.parametrize("what", SPOILT)
def test_a_spoilt_gyro_is_not(what: str) -> None:
    assert TURNED.rate_rad_s is not None
    assert not follows_gravity(Samples(TURNED.t_s, TURNED.force_m_s2, SPOILT[what](TURNED.rate_rad_s)), DEFAULTS)


def test_without_turns_nothing_speaks_against_a_gyro() -> None:
    assert TURNED.rate_rad_s is not None
    still = np.tile([0.0, 0.0, STANDARD_GRAVITY_M_S2], (len(TURNED), 1))
    assert follows_gravity(Samples(TURNED.t_s, still, np.radians(TURNED.rate_rad_s)), DEFAULTS)
