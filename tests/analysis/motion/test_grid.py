"""The even grid: any rate, any jitter, any cut."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from motion_scenes import REP, cut, scene

from analysis.motion.grid import Gridder, Stretch, joined
from analysis.motion.parameters import GridParameters
from analysis.motion.samples import Samples

SCENE, _ = scene([(0.0, 1.0), *REP], 83.0, gyro=True)


def on_grid(pieces: list[Samples]) -> Stretch:
    gridder = Gridder(GridParameters())
    return joined([*(gridder.push(p) for p in pieces), gridder.finish()])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, len(SCENE)), max_size=12))
def test_cutting_the_stream_changes_no_bit(at: list[int]) -> None:
    whole, pieces = on_grid([SCENE]), on_grid(cut(SCENE, at))
    assert np.array_equal(whole.t_s, pieces.t_s)
    assert np.array_equal(whole.force_m_s2, pieces.force_m_s2)
    assert whole.rate_rad_s is not None
    assert pieces.rate_rad_s is not None
    assert np.array_equal(whole.rate_rad_s, pieces.rate_rad_s)
    assert np.array_equal(whole.hole, pieces.hole)


@pytest.mark.parametrize("rate_hz", [20.0, 25.0, 52.0, 104.0, 208.0, 400.0])
def test_a_slow_sine_survives_any_rate(rate_hz: float) -> None:
    random = np.random.default_rng(3)
    t = np.cumsum(random.uniform(0.7, 1.3, round(20 * rate_hz))) / rate_hz
    wave = np.sin(2 * np.pi * 0.5 * t)
    grid = on_grid([Samples(t, np.column_stack([wave, 2 * wave, 3 * wave]))])
    inside = slice(5, -5)
    expected = np.sin(2 * np.pi * 0.5 * grid.t_s[inside])
    assert np.abs(grid.force_m_s2[inside] - expected[:, None] * [1, 2, 3]).max() < 0.045


def test_holes_are_marked_and_only_they() -> None:
    t = np.arange(0.0, 10.0, 0.01)
    t = t[(t < 4.0) | (t > 5.5)]
    grid = on_grid([Samples(t, np.ones((len(t), 3)))])
    marked = grid.t_s[grid.hole]
    assert marked[0] == pytest.approx(4.0, abs=0.05)
    assert marked[-1] == pytest.approx(5.5, abs=0.05)
    assert np.allclose(grid.force_m_s2, 1.0)


def test_one_sample_is_enough_to_start() -> None:
    gridder = Gridder(GridParameters())
    assert len(gridder.finish()) == 0
    one = on_grid([Samples(np.array([7.0]), np.ones((1, 3)))])
    assert one.t_s.tolist() == [7.0]
    assert np.allclose(one.force_m_s2, 1.0)
