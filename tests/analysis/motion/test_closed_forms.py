"""Against closed forms and reference libraries, each named at its check."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, minimum_jerk, pendulum, scene
from scipy.signal import butter, freqz_sos, sosfiltfilt

from analysis.motion.analysis import analyse
from analysis.motion.filters import TWO_PASS_CORRECTION, box_mean, low_pass, smooth
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.smoother import Pseudo, posed


def test_standard_gravity() -> None:
    assert STANDARD_GRAVITY_M_S2 == 9.80665  # 3rd CGPM 1901, exact; CODATA


def test_minimum_jerk_constants() -> None:
    # Flash & Hogan 1985: peak/mean speed 1.875; peak acceleration (10/√3)·D/T² at .2113 T.
    t = np.linspace(0, 2.0, 200_001)
    _, speed, acceleration = minimum_jerk(t, 0.55, 2.0)
    assert speed.max() / (0.55 / 2.0) == pytest.approx(1.875, abs=1e-9)
    assert acceleration.max() == pytest.approx(10 / 3**0.5 * 0.55 / 4, rel=1e-9)
    assert t[np.argmax(acceleration)] / 2.0 == pytest.approx(0.2113, abs=1e-4)


@pytest.mark.parametrize(("length_m", "period_s"), [(1.0, 2.006), (1.5, 2.457), (2.0, 2.837), (2.5, 3.172)])
def test_the_scene_of_a_pendulum_has_its_period(length_m: float, period_s: float) -> None:
    # T = 2π √(l/g), small swings; half-way along the rod the force across it follows the angle.
    samples = pendulum(60.0, length_m=length_m, at=0.5, degrees=3.0, still_s=0.0)
    across = np.convolve(samples.force_m_s2[:, 0], np.ones(20) / 20, mode="valid")
    rising = np.flatnonzero((across[:-1] < 0) & (across[1:] >= 0))
    crossings = rising - across[rising] / (across[rising + 1] - across[rising])
    first = [c for c, gap in zip(crossings, np.diff(crossings, prepend=-1e9), strict=True) if gap > 50]
    assert np.mean(np.diff(first)) / 100.0 == pytest.approx(period_s, abs=0.002)


@pytest.mark.parametrize("up_s", [0.6, 1.0, 2.0])
def test_travel_and_speed_of_minimum_jerk_reps(up_s: float) -> None:
    steps = [(0.0, 5.0)] + [(0.45, up_s), (0.0, 0.6), (-0.45, 1.5), (0.0, 0.9)] * 5 + [(0.0, 10.0)]
    samples, _ = scene(steps)
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 5
    for rep in bout.reps:
        assert rep.travel_m == pytest.approx(0.45, abs=0.03)
        # the phase begins and ends at 5 % of the peak, which a minimum-jerk stroke passes at .0594 T from either end
        assert rep.mean_velocity_m_s == pytest.approx(0.45 / up_s / (1 - 2 * 0.0594), rel=0.08)
        assert rep.peak_velocity_m_s == pytest.approx(1.875 * 0.45 / up_s, rel=0.08)


def test_boundaries_of_minimum_jerk_reps() -> None:
    samples, starts = scene([(0.0, 5.0), *REP * 6, (0.0, 10.0)])
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 6
    inset = 0.0594  # share of a minimum-jerk stroke at which its speed passes 5 % of its peak (next test)
    for k, rep in enumerate(bout.reps):
        up, top, down, bottom = starts[1 + 4 * k : 5 + 4 * k]
        assert rep.start_s == pytest.approx(up + inset * 1.0, abs=0.05)
        assert rep.top_s == pytest.approx(top - inset * 1.0, abs=0.05)
        assert rep.down_s == pytest.approx(down + inset * 1.5, abs=0.06)
        assert rep.end_s == pytest.approx(bottom - inset * 1.5, abs=0.06)
        assert rep.hold_top_s == pytest.approx((rep.down_s or 0) - (rep.top_s or 0), abs=1e-6)


def test_the_inset_is_the_root_of_the_speed_profile() -> None:
    s = np.roots([30, -60, 30, 0, -0.05 * 1.875])
    assert min(x.real for x in s if abs(x.imag) < 1e-9 and 0 < x.real < 0.5) == pytest.approx(0.0594, abs=1e-4)


def test_no_high_pass_integral_is_called_travel() -> None:
    """A high-pass at .1 Hz (two passes) takes a visible part of a slow stroke away; the product's travel does not."""
    steps = [(0.0, 6.0)] + [(0.45, 3.0), (0.0, 1.0), (-0.45, 3.0), (0.0, 1.0)] * 4 + [(0.0, 10.0)]
    samples, starts = scene(steps, noise_m_s2=0.0, bias_m_s2=0.0)
    size = np.linalg.norm(samples.force_m_s2, axis=1) - STANDARD_GRAVITY_M_S2
    sos = butter(2, 0.1, "highpass", fs=100, output="sos")
    height = sosfiltfilt(sos, np.cumsum(sosfiltfilt(sos, np.cumsum(size) / 100)) / 100)
    a, b = round(starts[5] * 100), round(starts[6] * 100)
    assert abs(height[b] - height[a] - 0.45) > 0.1
    (bout,) = analyse(samples, Mount.BODY).sets
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 4, abs=0.04)


def test_two_pass_butterworth_has_its_corner_where_it_says() -> None:
    assert pytest.approx(0.8022, abs=5e-5) == TWO_PASS_CORRECTION  # Winter; 2nd order, two passes
    rate_hz, cutoff_hz = 100.0, 4.0
    impulse = np.zeros(4001)
    impulse[2000] = 1.0
    response = np.abs(np.fft.rfft(low_pass(impulse, cutoff_hz, rate_hz)))
    at = np.fft.rfftfreq(4001, 1 / rate_hz)
    sos = butter(2, cutoff_hz / TWO_PASS_CORRECTION, fs=rate_hz, output="sos")
    _, once = freqz_sos(sos, at, fs=rate_hz)
    assert np.abs(response - np.abs(once) ** 2).max() < 1e-6  # scipy's own response, twice
    assert np.interp(cutoff_hz, at, response) == pytest.approx(0.5**0.5, abs=0.01)


def test_bell_mean_is_close_to_a_gaussian() -> None:
    impulse = np.zeros(1001)
    impulse[500] = 1.0
    bell = smooth(impulse, 1.0, 25.0)
    x = (np.arange(1001) - 500) / 25.0
    assert bell.sum() == pytest.approx(1.0)
    assert (bell * x**2).sum() ** 0.5 == pytest.approx(1.0, abs=0.03)
    assert np.allclose(box_mean(np.ones((50, 2)), 9), 1.0)


def test_smoother_recovers_a_stroke_through_a_constant_bias() -> None:
    """Constant bias, speed known to be zero before and after: then the exact answer is known."""
    t = np.arange(0, 12, 0.04)
    height, speed, acceleration = minimum_jerk(t - 5.0, 0.5, 2.0)
    n = len(t)
    sd = np.where((t < 4.8) | (t > 7.2), 0.02, np.inf)
    free = Pseudo(np.zeros(n), np.full(n, 100.0))
    still = Pseudo(np.zeros(n), sd)
    found = posed(acceleration + 0.3, 0.04, np.full(n, 0.05), np.full(n, 0.003), still, (free,)).solved()
    assert found.height_m[-1] - found.height_m[0] == pytest.approx(0.5, abs=0.01)
    assert np.abs(found.speed_m_s - speed).max() < 0.01
    assert np.abs(found.height_m - found.height_m[0] - height).max() < 0.012
    assert found.bias_m_s2[100] == pytest.approx(0.3, abs=0.02)
