"""What the sensor feels between sets: closed forms, and the virtual trainee's walking and resting."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.motion.samples import Samples
from analysis.motion.touch import KEPT_S, SHOWN_S, Felt, Touch
from sensor.virtual.motion import TraineeFeed, load_motion
from sensor.virtual.script import Beat, regular_script

G = 9.80665  # CGPM 1901
STEP_S = 0.04


def still(seconds: float, rate_hz: float = 100.0, noise_m_s2: float = 0.02) -> Samples:
    t_s = np.arange(round(seconds * rate_hz)) / rate_hz
    force = np.random.default_rng(1).normal(0.0, noise_m_s2, (len(t_s), 3))
    force[:, 2] += G
    return Samples(t_s, force)


def cut(samples: Samples, start_s: float, end_s: float) -> Samples:
    inside = (samples.t_s >= start_s) & (samples.t_s < end_s)
    return Samples(samples.t_s[inside], samples.force_m_s2[inside])


def felt(samples: Samples, packet: int = 10) -> Felt:
    touch = Touch()
    for at in range(0, len(samples), packet):
        touch.push(Samples(samples.t_s[at : at + packet], samples.force_m_s2[at : at + packet]))
    return touch.felt


def test_before_the_first_sample_nothing_is_felt() -> None:
    assert Touch().felt == Felt()


def test_a_tap_shows_where_it_was_and_how_strong() -> None:
    """A sine of 2 m/s² for 40 ms, 3 s before the end, on one axis: its peak on a mean that it hardly moves."""
    samples = still(12.0, noise_m_s2=0.0)
    tapped = (samples.t_s >= 9.0) & (samples.t_s < 9.0 + STEP_S)
    samples.force_m_s2[tapped, 0] = 2.0 * np.sin(np.pi * (samples.t_s[tapped] - 9.0) / STEP_S)
    trace = np.array(felt(samples).trace_m_s2)
    assert len(trace) == SHOWN_S / STEP_S
    assert int(trace.argmax()) == len(trace) - round(3.0 / STEP_S)
    assert trace.max() == pytest.approx(2.0, rel=0.05)
    assert trace[: round(6.9 / STEP_S)].max() == pytest.approx(0.0, abs=1e-9)


def test_at_rest_only_the_noise_shows() -> None:
    """Three axes of σ = .02 m/s²: beyond .12 m/s² (6σ) a length is as good as never."""
    shown = felt(still(12.0))
    assert 0.0 < max(shown.trace_m_s2) < 0.12
    assert (shown.still_s, shown.steps_s) == (12, 0)


def test_a_posture_that_changed_fades_within_the_second_that_the_mean_takes() -> None:
    samples = still(12.0, noise_m_s2=0.0)
    turned = samples.t_s >= 5.0
    samples.force_m_s2[turned] = [G, 0.0, 0.0]
    trace = np.array(felt(samples).trace_m_s2)
    assert trace.max() == pytest.approx(G * np.sqrt(2.0), rel=0.05)
    assert trace[-round(5.0 / STEP_S) :].max() == pytest.approx(0.0, abs=1e-9)


def test_stillness_is_counted_since_the_last_movement_and_no_longer_than_is_kept() -> None:
    samples = still(60.0)
    assert felt(samples).still_s == pytest.approx(KEPT_S, abs=1)
    moved = (samples.t_s >= 52.0) & (samples.t_s < 54.0)
    samples.force_m_s2[moved, 0] += np.sin(2 * np.pi * samples.t_s[moved])
    assert felt(samples).still_s == 6


def test_a_hole_begins_anew() -> None:
    samples = still(30.0)
    touch = Touch()
    touch.push(cut(samples, 0.0, 10.0))
    touch.push(cut(samples, 20.0, 24.0))
    assert len(touch.felt.trace_m_s2) == 4.0 / STEP_S
    assert touch.felt.still_s == 4


@pytest.mark.parametrize("packet", [1, 10, 170])
def test_it_is_the_same_however_the_stream_is_cut(packet: int) -> None:
    samples = still(12.0)
    assert felt(samples, packet) == felt(samples, len(samples))


@pytest.mark.parametrize("rate_hz", [12.5, 25.0, 400.0])
def test_any_rate_gives_a_line(rate_hz: float) -> None:
    assert felt(still(12.0, rate_hz)).trace_m_s2


def test_whoever_walks_is_felt_to_and_whoever_does_reps_is_not() -> None:
    """The virtual trainee walks before her first set: five seconds of it running, and never so many in her set."""
    script = regular_script(trainee="Mara Lindt", sets=1, reps=6, beat=Beat(1.0, 1.0, 2.0, 0.5), rest_s=30.0)
    motion = load_motion(TraineeFeed(script, seed=7))
    samples = Samples(motion.t_s, motion.force_m_s2)
    touch, steps = Touch(), []
    for start_s in np.arange(0.0, samples.t_s[-1], 1.0):
        touch.push(cut(samples, start_s, start_s + 1.0))
        steps.append(touch.felt.steps_s)
    assert max(steps) >= 4
