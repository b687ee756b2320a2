"""Bars that stay, and straps: hands on, slips, and which way is up, on motion with a known truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from motion_scenes import after, pendulum, scene

from analysis.motion.analysis import analyse
from analysis.motion.found import doubt
from analysis.motion.grid import Stretch
from analysis.motion.gripped import gripped_sets
from analysis.motion.grips import grips, shake_of
from analysis.motion.mounts import Mount
from analysis.motion.on_mount import in_grip
from analysis.motion.parameters import DEFAULTS, STANDARD_GRAVITY_M_S2
from analysis.motion.results import Why
from analysis.motion.samples import FloatArray, Samples
from analysis.motion.slips import without_slips

RATE_HZ = 25.0
HOLD_S = 20.0
"""When hands are put on."""
STILL_M_S2, HELD_M_S2 = 0.01, 0.08
"""Noise of a quiet sensor, and of one that is held: common orders of magnitude, no source."""


def minimum_jerk(share: FloatArray) -> FloatArray:
    """Flash & Hogan 1985, J Neurosci 5:1688."""
    x = np.clip(share, 0.0, 1.0)
    return np.asarray(x**3 * (10 - 15 * x + 6 * x * x))


def session(
    *,
    reps: int = 6,
    degrees: float = 6.0,
    slip_deg: float = 0.0,
    along_deg: float = 0.0,
    grab_deg: float = 15.0,
    quiet_rep: int | None = None,
    slips_within: bool = False,
    seed: int = 0,
) -> tuple[Stretch, list[tuple[float, float]]]:
    """Return a strap that is grabbed, turned by `degrees` up and down, and let go; and when the ways up were.

    After the third rep the sensor slips, by `slip_deg` across and by `along_deg` along the turning; with
    `slips_within` while the fourth goes up. During rep `quiet_rep` nobody holds the strap.

    Pauses in the hang are drawn from 0.2 to 2 s; top holds are 0.1 s: people rest in the hang (common practice, no
    source).
    """
    rng = np.random.default_rng(seed)
    t = np.arange(0.0, HOLD_S + 12.0 + 5.0 * reps + 25.0, 1.0 / RATE_HZ)
    angle = grab_deg * minimum_jerk((t - HOLD_S) / 0.6)
    at = HOLD_S + 5.0
    ups = []
    for _ in range(reps):
        up_s, down_s = rng.uniform(0.9, 1.1), rng.uniform(1.2, 1.5)
        ups.append((at, at + up_s))
        angle += degrees * minimum_jerk((t - at) / up_s)
        angle -= degrees * minimum_jerk((t - at - up_s - 0.1) / down_s)
        at += up_s + 0.1 + down_s + rng.uniform(0.2, 2.0)
    off = at + 2.0
    angle -= grab_deg * minimum_jerk((t - off) / 0.5)
    slip_s = 0.5 * sum(ups[3]) if slips_within else 0.5 * (ups[2][1] + ups[3][0]) + 0.5
    slipped = (t > slip_s).astype(float)
    pitch, roll = np.radians(angle + along_deg * slipped), np.radians(slip_deg * slipped)
    up = np.column_stack([np.sin(pitch), np.cos(pitch) * np.sin(roll), np.cos(pitch) * np.cos(roll)])
    held = (t > HOLD_S) & (t < off + 0.5)
    if quiet_rep is not None:
        held &= (t < ups[quiet_rep][0] - 0.5) | (t > ups[quiet_rep][1] + 2.0)
    noise = rng.normal(size=up.shape) * np.where(held, HELD_M_S2, STILL_M_S2)[:, None]
    force = STANDARD_GRAVITY_M_S2 * up + noise
    return Stretch(t, force, None, np.zeros(len(t), np.bool_)), ups


def test_hands_are_on_from_the_grab_to_the_release() -> None:
    stretch, ups = session()
    (grip,) = grips(shake_of(stretch, RATE_HZ), RATE_HZ, DEFAULTS.grip)
    assert stretch.t_s[grip.start] == pytest.approx(HOLD_S, abs=0.6)
    assert ups[-1][1] < stretch.t_s[grip.stop] < ups[-1][1] + 7.0


def test_a_free_swing_is_no_grip() -> None:
    """A pendulum of 1.5 m swings in 2.457 s (2π√(l/g)) and shakes nothing."""
    t = np.arange(0.0, 60.0, 1.0 / RATE_HZ)
    angle = np.radians(8.0) * np.exp(-t / 20.0) * np.sin(2 * np.pi * t / 2.457)
    up = np.column_stack([np.sin(angle), np.zeros(len(t)), np.cos(angle)])
    noise = np.random.default_rng(1).normal(size=up.shape) * STILL_M_S2
    stretch = Stretch(t, STANDARD_GRAVITY_M_S2 * up + noise, None, np.zeros(len(t), np.bool_))
    assert gripped_sets(stretch, Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION)) == []


@pytest.mark.parametrize("degrees", [6.0, -6.0])
@pytest.mark.parametrize("seed", [0, 1, 2])
def test_up_is_told_from_down_whichever_way_the_strap_turns(degrees: float, seed: int) -> None:
    stretch, ups = session(degrees=degrees, seed=seed)
    (found,) = gripped_sets(stretch, Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION))
    read = [float(found.track.t_s[(word.up.start + word.up.stop) // 2]) for word in found.group.words]
    assert len(read) == len(ups)
    assert all(start < middle < stop for middle, (start, stop) in zip(read, ups, strict=True))


def test_a_slip_of_the_sensor_loses_no_rep() -> None:
    stretch, ups = session(slip_deg=12.0)
    (found,) = gripped_sets(stretch, Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION))
    assert found.group.count == len(ups)


@pytest.mark.parametrize("seed", [1, 2])
def test_a_slip_within_a_stroke_of_a_strap_loses_no_rep(seed: int) -> None:
    """Six degrees of slip in a stroke of six: as large as taking hold, but too small a step to be taken out."""
    stretch, ups = session(along_deg=6.0, slips_within=True, seed=seed)
    (found,) = gripped_sets(stretch, Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION))
    assert found.group.count == len(ups)
    assert found.slips is not None
    assert found.slips[found.group.start : found.group.stop].any()


def test_a_strap_that_nobody_holds_for_a_rep_is_no_set() -> None:
    """It swings between two touches."""
    straps = in_grip(DEFAULTS, Mount.SUSPENSION)
    assert len(gripped_sets(session(reps=4)[0], Mount.SUSPENSION, straps)) == 1
    assert gripped_sets(session(reps=4, quiet_rep=1)[0], Mount.SUSPENSION, straps) == []


def test_half_a_degree_of_a_held_strap_is_no_rep() -> None:
    """Two centimetres sideways at the end of 2 m turn a strap by 0.6°: a hang sways as far, no rep is so short."""
    straps = in_grip(DEFAULTS, Mount.SUSPENSION)
    stretch, _ = session(degrees=0.5, grab_deg=1.0)
    assert gripped_sets(stretch, Mount.SUSPENSION, straps) == []


def test_a_slip_is_taken_out_of_the_direction() -> None:
    """A sine of 5° with a step of 25° in the same plane: what is left of the step is under a tenth of it."""
    t = np.arange(0.0, 40.0, 1.0 / RATE_HZ)
    step = np.radians(25.0) * minimum_jerk((t - 20.2) / 0.4)
    turn = np.radians(5.0) * np.sin(2 * np.pi * t / 3.0) + step
    direction = np.column_stack([turn, np.zeros(len(t)), np.ones(len(t))])
    steady, size = without_slips(direction, slice(0, len(t)), 1.0, RATE_HZ, DEFAULTS.grip)
    assert size == pytest.approx(10.0, rel=0.1)
    levels = np.degrees(steady[:, 0])
    assert abs(float(np.median(levels[-450:]) - np.median(levels[:450]))) < 2.5


def test_where_a_slip_took_place_is_kept_with_the_set() -> None:
    stretch, ups = session(along_deg=25.0)
    (found,) = gripped_sets(stretch, Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION))
    slipped_s = 0.5 * (ups[2][1] + ups[3][0]) + 0.5
    assert found.slips is not None
    where_s = found.track.t_s[found.slips]
    assert len(where_s) > 0
    assert np.abs(where_s - slipped_s).max() < 1.0
    (calm,) = gripped_sets(session()[0], Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION))
    assert calm.slips is None or not calm.slips[calm.group.start : calm.group.stop].any()


def test_a_set_of_doubtful_count_in_which_the_sensor_slipped_is_not_measured_for_the_slip() -> None:
    stretch, _ = session(along_deg=25.0)
    (found,) = gripped_sets(stretch, Mount.SUSPENSION, in_grip(DEFAULTS, Mount.SUSPENSION))
    doubtful = replace(found, left=1)
    assert doubt(doubtful, Mount.SUSPENSION, stretch, DEFAULTS) is Why.SLIPPED
    assert doubt(replace(doubtful, slips=None), Mount.SUSPENSION, stretch, DEFAULTS) is Why.NO_SET


@pytest.mark.parametrize("length_m", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("at", [0.3, 0.85])
def test_a_strap_that_swings_with_a_hand_on_it_is_not_measured_for_the_swing(length_m: float, at: float) -> None:
    swung = pendulum(40.0, length_m=length_m, at=at, degrees=12.0, decay_s=60.0, still_s=12.0)
    trembling = 0.35 * np.sin(2 * np.pi * 9 * swung.t_s) * (swung.t_s > 11.0)
    held = Samples(swung.t_s, swung.force_m_s2 + trembling[:, None])
    (bout,) = analyse(after(held, scene([(0.0, 15.0)], base_deg=0.0)[0]), Mount.SUSPENSION).sets
    assert (bout.reps, bout.measured, bout.why) == ((), False, Why.SWINGING)
