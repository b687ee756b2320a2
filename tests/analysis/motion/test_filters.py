"""The filters of the motion core against SciPy's, which take too long to import for a command line tool."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import median_filter, uniform_filter1d
from scipy.signal import butter, sosfiltfilt

from analysis.motion.filters import TWO_PASS_CORRECTION, box_mean, low_pass, median_of_five, middle, smooth

RANDOM = np.random.default_rng(3)


@pytest.mark.parametrize("shape", [(300,), (300, 3)])
@pytest.mark.parametrize("cutoff_hz", [0.5, 1.0, 2.5, 5.0])
def test_low_pass_is_scipys_two_pass_butterworth(cutoff_hz: float, shape: tuple[int, ...]) -> None:
    x = RANDOM.normal(size=shape).cumsum(axis=0) + 9.8
    sections = butter(2, cutoff_hz / TWO_PASS_CORRECTION, fs=25.0, output="sos")
    theirs = sosfiltfilt(sections, x, axis=0, padlen=min(len(x) - 1, int(75 / cutoff_hz)))
    assert np.abs(low_pass(x, cutoff_hz, 25.0) - theirs).max() < 1e-5


@pytest.mark.parametrize("n", [1, 2, 5, 40, 700])
@pytest.mark.parametrize("width", [1, 2, 3, 9, 51])
def test_box_mean_is_scipys_uniform_filter(n: int, width: int) -> None:
    for x in (RANDOM.normal(size=n), RANDOM.normal(size=(n, 3))):
        theirs = uniform_filter1d(x, 2 * (width // 2) + 1, axis=0, mode="nearest")
        assert np.allclose(box_mean(x, width), theirs, atol=1e-12)


def test_smooth_is_close_to_a_gaussian_and_keeps_a_level() -> None:
    impulse = np.zeros(401)
    impulse[200] = 1.0
    t = (np.arange(401) - 200) / 25.0
    bell = np.exp(-0.5 * t**2) / np.sqrt(2 * np.pi) / 25.0
    answer = smooth(impulse, 1.0, 25.0)
    assert np.abs(answer - bell).max() < 0.1 * bell.max()
    assert abs(np.sqrt((answer * t**2).sum()) - 1.0) < 0.03
    assert np.allclose(smooth(np.full(30, 9.8), 2.0, 25.0), 9.8, atol=1e-12)


@pytest.mark.parametrize("n", [2, 5, 6, 200])
def test_median_of_five_is_scipys(n: int) -> None:
    x = RANDOM.normal(size=n)
    assert np.array_equal(median_of_five(x), median_filter(x, 5))


@pytest.mark.parametrize("shape", [(1,), (2,), (7,), (8,), (1, 3), (40, 3), (41, 3)])
def test_middle_is_numpys_median(shape: tuple[int, ...]) -> None:
    x = np.random.default_rng(4).normal(size=shape)
    assert np.array_equal(middle(x), np.median(x, axis=0))
