"""Pitfalls of physics, one test each, from closed forms; where a usual shortcut falls in, the test shows it falling."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from motion_scenes import REP, Array, Step, minimum_jerk, scene
from scipy.signal import butter, sosfiltfilt
from scipy.spatial.transform import Rotation

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.results import Bout
from analysis.motion.samples import Samples
from analysis.motion.tilt import main_turning

BEFORE, AFTER = (0.0, 6.0), (0.0, 14.0)
INSET = 0.0594


def one_set(samples: Samples, mount: Mount = Mount.BODY) -> Bout:
    (bout,) = analyse(samples, mount).sets
    return bout


def with_force(samples: Samples, force: Array) -> Samples:
    return Samples(samples.t_s, force, samples.rate_rad_s)


def upward(samples: Samples) -> Array:
    return np.asarray(np.linalg.norm(samples.force_m_s2, axis=1) - STANDARD_GRAVITY_M_S2)


def gained(height: Array, starts: list[float], step: int, rate_hz: float = 100.0) -> float:
    a, b = (round(starts[k] * rate_hz) for k in (step, step + 1))
    return float(height[b] - height[a])


def test_a_hard_zero_speed_update_would_erase_a_four_second_negative() -> None:
    slow: tuple[Step, ...] = ((0.45, 1.0), (0.0, 0.6), (-0.45, 4.5), (0.0, 1.0))
    samples, starts = scene([BEFORE, *slow * 4, AFTER])
    bout = one_set(samples)
    assert bout.count == 4
    for rep in bout.reps:
        assert rep.down_s is not None
        assert rep.end_s - rep.down_s == pytest.approx(4.5 * (1 - 2 * INSET), abs=0.75)
    hard = hard_update_height(upward(samples))
    assert abs(gained(hard, starts, 3)) < 0.5 * 0.45


def hard_update_height(acceleration: Array, rate_hz: float = 100.0) -> Array:
    """Integrate twice, and set the speed to zero wherever the force is quiet for half a second: the shortcut."""
    quiet = np.convolve(np.abs(acceleration), np.ones(50) / 50, mode="same") < 0.15
    speed = np.cumsum(acceleration) / rate_hz
    last = np.maximum.accumulate(np.where(quiet, np.arange(len(quiet)), 0))
    return np.asarray(np.cumsum(speed - speed[last]) / rate_hz)


def test_high_pass_integration_would_invent_strokes_in_holds() -> None:
    held: tuple[Step, ...] = ((0.45, 1.2), (0.0, 6.0), (-0.45, 1.5), (0.0, 1.2))
    samples, starts = scene([BEFORE, *held * 4, AFTER], tremor_m_s2=0.15)
    bout = one_set(samples)
    assert bout.count == 4
    assert [r.hold_top_s for r in bout.reps] == pytest.approx([6.0 + INSET * 2.7] * 4, abs=0.2)
    sos = butter(2, 0.3, "highpass", fs=100, output="sos")
    height = sosfiltfilt(sos, np.cumsum(sosfiltfilt(sos, np.cumsum(upward(samples)) / 100)) / 100)
    a, b = (round(starts[k] * 100) for k in (6, 7))
    assert np.ptp(height[a:b]) > 0.05  # in the second hold, where nothing moves: more than a shoulder-blade rise


@pytest.mark.parametrize("gyro", [False, True])
def test_bias_times_tilt_is_no_slow_rep(gyro: bool) -> None:
    """30 mg across, leaning by 20°: .030 × sin 20° = 10.3 mg on the vertical, as much as a 5 s stroke of .45 m has."""
    bias, lean = 0.030 * STANDARD_GRAVITY_M_S2, 20.0
    assert 30 * np.sin(np.radians(lean)) == pytest.approx(10.3, abs=0.05)
    slow_mg = 10 / 3**0.5 * 0.45 / 5.0**2 / STANDARD_GRAVITY_M_S2 * 1000
    assert slow_mg == pytest.approx(10.6, abs=0.05)
    leaning, _ = scene([(0.0, 60.0)])
    angle = np.radians(lean) * 0.5 * (1 - np.cos(2 * np.pi * leaning.t_s / 10.0))
    force = STANDARD_GRAVITY_M_S2 * np.column_stack([np.sin(angle), 0 * angle, np.cos(angle)])
    force = force + np.array([bias, 0.0, 0.0]) + 0.02 * np.random.default_rng(1).standard_normal(force.shape)
    rate = np.column_stack([0 * angle, -np.gradient(angle, leaning.t_s), 0 * angle]) if gyro else None
    assert analyse(Samples(leaning.t_s, force, rate), Mount.BODY).sets == ()
    slow: tuple[Step, ...] = ((0.45, 2.5), (0.0, 1.0), (-0.45, 4.0), (0.0, 1.0))
    samples, _ = scene([BEFORE, *slow * 4, AFTER], lean_deg=lean, bias_m_s2=bias, gyro=gyro)
    bout = one_set(samples)
    assert bout.count == 4
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 4, abs=0.05)


def test_the_sign_of_turning_does_not_flip_between_windows() -> None:
    """A strap that turns about itself by 150° in 100 s while it nods; windows of their own have signs of their own."""
    t = np.arange(0.0, 100.0, 0.04)
    nod, twist = np.radians(4.0) * np.sin(2 * np.pi * 0.4 * t), np.radians(150.0) * t / 100.0
    direction = np.column_stack([np.sin(nod) * np.cos(twist), np.sin(nod) * np.sin(twist), np.cos(nod)])
    direction += 0.002 * np.random.default_rng(2).standard_normal(direction.shape)
    found = main_turning(direction, 25.0, 8.0, 25.0)
    signs = {np.sign(np.corrcoef(found[a:b], nod[a:b])[0, 1]) for a, b in pairwise(range(0, 2501, 125))}
    assert len(signs) == 1
    line = direction[:, 0] - direction[:, 0].mean()  # fixed in the sensor: it sees the nod mirrored in the end
    assert np.corrcoef(line[:500], nod[:500])[0, 1] > 0.9
    assert np.corrcoef(line[-500:], nod[-500:])[0, 1] < -0.9


def test_a_pull_down_goes_down_first() -> None:
    down: tuple[Step, ...] = ((-0.5, 0.9), (0.0, 0.4), (0.5, 1.6), (0.0, 0.7))
    samples, starts = scene([BEFORE, *down * 7, AFTER], lean_deg=0.0, gyro=True)
    bout = one_set(samples, Mount.MOVING_BAR)
    assert bout.count == 7
    assert [r.start_s for r in bout.reps] == pytest.approx([starts[1 + 4 * k] + INSET * 0.9 for k in range(7)], abs=0.1)
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.5] * 7, abs=0.04)


@pytest.mark.parametrize("mode_hz", [50.6, 53.2, 103.0])
def test_flex_modes_that_alias_at_52_hz_are_no_strokes(mode_hz: float) -> None:
    """A bar that rings at 50.6 Hz, sampled at 52 Hz, seems to swing at 1.4 Hz; no filter after sampling can tell."""
    samples, starts = scene([BEFORE, *REP * 6, AFTER], 52.0)
    force = samples.force_m_s2.copy()
    for at in starts[1:-1:2]:  # struck whenever a stroke begins
        since = samples.t_s - at
        force[:, 2] += np.where(since > 0, 1.5 * np.exp(-since / 0.25) * np.sin(2 * np.pi * mode_hz * since), 0.0)
    bout = one_set(with_force(samples, force), Mount.MOVING_BAR)
    assert bout.count == 6
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 6, abs=0.09)
    rung, _ = scene([(0.0, 60.0)], 52.0)
    force = rung.force_m_s2.copy()
    for at in np.arange(8.0, 50.0, 2.5).tolist():
        since = rung.t_s - at
        force[:, 2] += np.where(since > 0, 1.5 * np.exp(-since / 0.25) * np.sin(2 * np.pi * mode_hz * since), 0.0)
    assert analyse(with_force(rung, force), Mount.MOVING_BAR).sets == ()


def test_knocks_are_no_reps_and_spoil_none() -> None:
    knock = np.array([15.0, -20.0, 25.0])
    still, _ = scene([(0.0, 60.0)])
    force = still.force_m_s2.copy()
    for at in range(1000, 3000, 400):
        force[at : at + 4] += knock
    assert analyse(with_force(still, force), Mount.BODY).sets == ()
    samples, starts = scene([BEFORE, *REP * 6, AFTER])
    force = samples.force_m_s2.copy()
    for at_s in (starts[1] + 0.4, starts[7] + 0.5, starts[10] + 0.2, starts[16] + 0.3):
        force[round(at_s * 100) : round(at_s * 100) + 4] += knock
    bout = one_set(with_force(samples, force))
    assert bout.count == 6
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 6, abs=0.05)


@pytest.mark.parametrize("gyro", [False, True])
@pytest.mark.parametrize("at_step", [9, 12], ids=["in a rise", "in a pause"])
def test_a_clip_that_slips_costs_no_rep(at_step: int, gyro: bool) -> None:
    """It turns by 30° within .3 s in the middle of a set of six."""
    samples, starts = scene([BEFORE, *REP * 6, AFTER], gyro=gyro)
    share = np.clip((samples.t_s - starts[at_step] - 0.3) / 0.3, 0.0, 1.0)
    turned = Rotation.from_rotvec(np.radians(30.0) * share[:, None] * np.array([0.6, 0.8, 0.0])).inv()
    rate = samples.rate_rad_s
    if rate is not None:
        own = np.radians(30.0) * np.gradient(share, samples.t_s)[:, None] * np.array([0.6, 0.8, 0.0])
        rate = turned.apply(rate) + own
    bout = one_set(Samples(samples.t_s, turned.apply(samples.force_m_s2), rate))
    assert bout.count == 6


@pytest.mark.parametrize("step_deg", [4.0, 8.0])
def test_the_tilt_of_grabbing_a_strap_is_no_rep(step_deg: float) -> None:
    """Tension pulls the strap straight as it is grabbed, and lets it fall back when it is let go; six reps between."""
    rep: tuple[Step, ...] = ((0.45, 1.0), (0.0, 0.6), (-0.45, 1.4), (0.0, 1.0))
    steps: list[Step] = [(0.0, 10.0), *rep * 6, (0.0, 14.0)]
    starts = np.concatenate([[0.0], np.cumsum([s for _, s in steps])])
    t = np.arange(0.0, starts[-1], 0.01)
    height = sum(minimum_jerk(t - at, d, s)[0] for (d, s), at in zip(steps, starts[:-1], strict=True) if d)
    grab = minimum_jerk(t - 7.0, 1.0, 0.6)[0] - minimum_jerk(t - starts[-2] - 2.0, 1.0, 0.6)[0]
    angle = np.radians(10.0 + step_deg * grab + 6.0 * np.asarray(height) / 0.45)
    random = np.random.default_rng(7)
    hands = np.convolve(random.standard_normal(len(t)), np.ones(8) / 8, mode="same") * 0.5 * grab
    size = STANDARD_GRAVITY_M_S2 + hands
    force = np.column_stack([size * np.sin(angle), 0 * t, size * np.cos(angle)])
    bouts = analyse(Samples(t, force + 0.02 * random.standard_normal(force.shape)), Mount.SUSPENSION).sets
    assert [b.count for b in bouts] == [6]
