"""A bar that goes sideways: read along its level line or by what little it rises; an idle swinging bar is no set."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, Step, minimum_jerk

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.results import Why
from analysis.motion.samples import Samples

RATE_HZ = 100.0


def row(steps: list[Step], turn_deg: float = 10.0, seed: int = 3, rise_deg: float = 0.0) -> tuple[Samples, list[float]]:
    """A cable row along `steps`, `rise_deg` above the level; the bar turns about its length by `turn_deg` per .45 m."""
    starts = np.concatenate([[0.0], np.cumsum([s for _, s in steps])])
    t = np.arange(0.0, starts[-1], 1.0 / RATE_HZ)
    way, along = np.zeros_like(t), np.zeros_like(t)
    for (travel, duration_s), start in zip(steps, starts[:-1], strict=True):
        if travel:
            h, _, a = minimum_jerk(t - start, travel, duration_s)
            way, along = way + h, along + a
    turn = np.radians(turn_deg) * way / 0.45
    g = STANDARD_GRAVITY_M_S2 + along * np.sin(np.radians(rise_deg))
    along = along * np.cos(np.radians(rise_deg))
    force = np.column_stack(
        [along * np.cos(turn) + g * np.sin(turn), np.zeros_like(t), g * np.cos(turn) - along * np.sin(turn)]
    )
    rate = np.column_stack([np.zeros_like(t), -np.gradient(turn, t), np.zeros_like(t)])
    noise = np.random.default_rng(seed).standard_normal((2, *force.shape))
    return Samples(t, force + 0.03 * noise[0], rate + 0.001 * noise[1]), starts.tolist()


@pytest.mark.parametrize("turn_deg", [0.0, 10.0])
def test_a_cable_row_is_counted_and_timed_without_travel(turn_deg: float) -> None:
    samples, starts = row([(0.0, 6.0), *REP * 6, (0.0, 12.0)], turn_deg)
    (bout,) = analyse(samples, Mount.MOVING_BAR).sets
    assert bout.count == 6
    assert [r.start_s for r in bout.reps] == pytest.approx([s + 0.06 for s in starts[1::4][:6]], abs=0.08)
    assert [r.end_s for r in bout.reps] == pytest.approx([s - 0.09 for s in starts[4::4][:6]], abs=0.1)
    assert {(r.travel_m, r.mean_velocity_m_s, r.lean_deg) for r in bout.reps} == {(None, None, None)}


def test_without_a_gyro_a_row_is_counted_by_what_little_it_rises() -> None:
    """15° above the level, .45 m along the path: 12 cm of height, by |f| − g alone, claimed by nobody."""
    samples, _ = row([(0.0, 6.0), *REP * 6, (0.0, 12.0)], rise_deg=15.0)
    (bout,) = analyse(Samples(samples.t_s, samples.force_m_s2), Mount.MOVING_BAR).sets
    assert (bout.count, bout.measured, bout.why) == (6, False, Why.SIGN_UNRESOLVED)
    assert {rep.top_s for rep in bout.reps} == {None}
    assert {(r.travel_m, r.mean_velocity_m_s) for r in bout.reps} == {(None, None)}


@pytest.mark.parametrize(("turn_deg", "rise_deg"), [(0.0, 0.0), (3.0, 0.0), (10.0, 20.0), (25.0, 25.0)])
def test_without_a_gyro_a_row_is_counted_where_it_turns_little_or_rises(turn_deg: float, rise_deg: float) -> None:
    """A turn by 10° weighs as much as the acceleration of a rep; what the bar rises is free of it."""
    samples, starts = row([(0.0, 6.0), *REP * 6, (0.0, 12.0)], turn_deg, rise_deg=rise_deg)
    (bout,) = analyse(Samples(samples.t_s, samples.force_m_s2), Mount.MOVING_BAR).sets
    assert (bout.count, bout.measured) == (6, False)
    assert [r.start_s for r in bout.reps] == pytest.approx([s + 0.06 for s in starts[1::4][:6]], abs=0.25)


@pytest.mark.parametrize("turn_deg", [0.0, 10.0])
def test_a_row_whose_hands_sway_along_it_is_counted_by_what_it_rises(turn_deg: float) -> None:
    """2 cm of sway at .9 Hz spoil the level line, but not 15 cm of height; a gyro keeps the height free of turns."""
    samples, _ = row([(0.0, 6.0), *REP * 6, (0.0, 12.0)], turn_deg, rise_deg=20.0)
    w = 2 * np.pi * 0.9
    sway = -0.02 * w**2 * np.sin(w * samples.t_s) * ((samples.t_s > 4) & (samples.t_s < 34))
    force = samples.force_m_s2 + sway[:, None] * [1.0, 0.0, 0.0]
    (bout,) = analyse(Samples(samples.t_s, force, samples.rate_rad_s), Mount.MOVING_BAR).sets
    assert (bout.count, bout.measured) == (6, True)
    assert {rep.travel_m for rep in bout.reps} == {None}


@pytest.mark.parametrize("gyro", [True, False])
def test_an_idle_bar_that_swings_on_its_cable_is_no_set(gyro: bool) -> None:
    """2 m of cable: 2.84 s a swing (2π√(l/g)), 4° wide at first and dying away."""
    t = np.arange(0.0, 60.0, 1.0 / RATE_HZ)
    w = np.sqrt(STANDARD_GRAVITY_M_S2 / 2.0)
    angle = np.radians(4.0) * np.exp(-0.05 * t) * np.cos(w * t)
    speed = np.gradient(angle, t)
    size = STANDARD_GRAVITY_M_S2 * np.cos(angle) + 2.0 * speed**2
    noise = np.random.default_rng(1).standard_normal((2, len(t), 3))
    force = np.column_stack([0 * t, 0 * t, size]) + 0.03 * noise[0]
    rate = np.column_stack([0 * t, speed, 0 * t]) + 0.001 * noise[1]
    assert analyse(Samples(t, force, rate if gyro else None), Mount.MOVING_BAR).sets == ()
