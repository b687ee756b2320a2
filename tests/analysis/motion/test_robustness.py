"""Any rate from 20 to 400 Hz, uneven times, and both together with loss: the same reps at the same times."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from motion_scenes import REP, Step, scene

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout
from analysis.motion.samples import Samples

STEPS: list[Step] = [(0.0, 6.0), *REP * 5, (0.0, 14.0)]
FINE, STARTS = scene(STEPS, 1000.0, gyro=True, noise_m_s2=0.0)
INSET = 0.0594
"""Share of a minimum-jerk stroke before its speed passes 5 % of its peak (`test_closed_forms.py`)."""


def sampled(t: np.typing.NDArray[np.float64], *, gyro: bool, seed: int) -> Samples:
    """The motion as it is at the times `t`, with noise."""
    random = np.random.default_rng(seed)
    force = np.column_stack([np.interp(t, FINE.t_s, x) for x in FINE.force_m_s2.T])
    assert FINE.rate_rad_s is not None
    rate = np.column_stack([np.interp(t, FINE.t_s, x) for x in FINE.rate_rad_s.T])
    return Samples(t, force + 0.02 * random.standard_normal(force.shape), rate if gyro else None)


def uneven(rate_hz: float, jitter: float, seed: int) -> np.typing.NDArray[np.float64]:
    """Times whose steps vary by `jitter` (share of a step) to either side."""
    random = np.random.default_rng(seed)
    steps = random.uniform(1 - jitter, 1 + jitter, int(FINE.t_s[-1] * rate_hz)) / rate_hz
    t = np.cumsum(steps)
    return np.asarray(t[t < FINE.t_s[-1]])


def assert_right(found: Bout, tolerance_s: float) -> None:
    assert found.count == 5
    for k, rep in enumerate(found.reps):
        up, top, down, bottom = STARTS[1 + 4 * k : 5 + 4 * k]
        assert rep.start_s == pytest.approx(up + INSET, abs=tolerance_s)
        assert rep.top_s == pytest.approx(top - INSET, abs=tolerance_s)
        assert rep.down_s == pytest.approx(down + 1.5 * INSET, abs=tolerance_s)
        assert rep.end_s == pytest.approx(bottom - 1.5 * INSET, abs=tolerance_s)


@pytest.mark.parametrize("gyro", [False, True])
@pytest.mark.parametrize("rate_hz", [20.0, 25.0, 26.0, 52.0, 104.0, 208.0, 400.0])
def test_any_rate_gives_the_same_reps(rate_hz: float, gyro: bool) -> None:
    """Sampling alone leaves 16 ms at 25 Hz (one sigma), and 2 ms at 200 Hz."""
    (found,) = analyse(sampled(uneven(rate_hz, 0.0, 1), gyro=gyro, seed=2), Mount.BODY).sets
    assert_right(found, 0.06)


@pytest.mark.parametrize("rate_hz", [20.0, 52.0, 104.0, 400.0])
@pytest.mark.parametrize("jitter", [0.3, 0.9])
def test_uneven_times_give_the_same_reps(rate_hz: float, jitter: float) -> None:
    (found,) = analyse(sampled(uneven(rate_hz, jitter, 3), gyro=False, seed=4), Mount.BODY).sets
    assert_right(found, 0.08)


@settings(max_examples=10)
@given(st.floats(20.0, 400.0), st.floats(0.0, 0.9), st.floats(0.0, 0.1), st.integers(0, 99), st.booleans())
def test_any_rate_jitter_and_scattered_loss_together(
    rate_hz: float, jitter: float, loss: float, seed: int, gyro: bool
) -> None:
    t = uneven(rate_hz, jitter, seed)
    packet = np.floor(t / 0.1).astype(int)
    t = t[np.random.default_rng(seed).random(packet[-1] + 1)[packet] >= loss]
    (found,) = analyse(sampled(t, gyro=gyro, seed=seed), Mount.BODY).sets
    assert found.count == 5


@pytest.mark.parametrize("rate_hz", [20.0, 400.0])
def test_live_takes_any_rate(rate_hz: float) -> None:
    (found,) = analyse(sampled(uneven(rate_hz, 0.3, 5), gyro=True, seed=6), Mount.BODY, live=True).sets
    assert found.count == 5
