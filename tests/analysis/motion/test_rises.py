"""Shoulder-blade rises: reported, never a rep, never lost in the pull; and none where there is none."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, Step, scene
from naive_counter import naive_count

from analysis.motion.analysis import analyse
from analysis.motion.lobes import Track
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.rises import rise_before
from analysis.motion.words import Stroke

LEAD, TAIL = (0.0, 6.0), (0.0, 14.0)


def shrugged(rise_m: float, pause_s: float, bottom_s: float = 0.8) -> tuple[Step, ...]:
    """A rep of .45 m whose first `rise_m` come from the shoulder blades."""
    pause: tuple[Step, ...] = ((0.0, pause_s),) if pause_s else ()
    return ((rise_m, 0.45), *pause, (0.45 - rise_m, 0.9), (0.0, 0.4), (-0.45, 1.3), (0.0, bottom_s))


@pytest.mark.parametrize("gyro", [False, True])
@pytest.mark.parametrize("pause_s", [0.0, 0.3, 0.9])
@pytest.mark.parametrize("rise_m", [0.025, 0.05])
def test_a_rise_before_each_pull_is_reported_and_no_rep(rise_m: float, pause_s: float, gyro: bool) -> None:
    rep = shrugged(rise_m, pause_s)
    samples, starts = scene([LEAD, *rep * 6, TAIL], gyro=gyro, tremor_m_s2=0.1)
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 6
    rises, pulls = starts[1 :: len(rep)][:6], starts[2 + bool(pause_s) :: len(rep)][:6]
    assert [r.shrug_start_s for r in bout.reps] == pytest.approx(rises, abs=0.12)
    assert [r.start_s for r in bout.reps] == pytest.approx([s + 0.06 for s in pulls], abs=0.12)
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 6, abs=0.03)


def test_a_rise_right_after_the_way_down_is_not_held_still() -> None:
    samples, starts = scene([LEAD, *shrugged(0.04, 0.6, 0.0) * 6, TAIL])
    (bout,) = analyse(samples, Mount.BODY).sets
    assert [r.shrug_start_s for r in bout.reps] == pytest.approx(starts[1::6][:6], abs=0.15)


@pytest.mark.parametrize("rep", [REP, ((0.45, 2.5), (-0.45, 2.0), (0.0, 0.2)), ((0.3, 0.5), (-0.3, 0.5))])
def test_plain_reps_have_no_rise(rep: tuple[Step, ...]) -> None:
    samples, _ = scene([LEAD, *rep * 6, TAIL], tremor_m_s2=0.2)
    (bout,) = analyse(samples, Mount.BODY).sets
    assert bout.count == 6
    assert {r.shrug_start_s for r in bout.reps} == {None}


def test_a_sticking_point_half_way_is_no_rise() -> None:
    rep: tuple[Step, ...] = ((0.22, 0.8), (0.23, 0.9), (0.0, 0.5), (-0.45, 1.4), (0.0, 0.7))
    samples, starts = scene([LEAD, *rep * 6, TAIL])
    (bout,) = analyse(samples, Mount.BODY).sets
    assert {r.shrug_start_s for r in bout.reps} == {None}
    assert [r.start_s for r in bout.reps] == pytest.approx([s + 0.06 for s in starts[1::5][:6]], abs=0.08)


def test_a_naive_counter_takes_rises_for_reps_or_loses_reps() -> None:
    samples, _ = scene([LEAD, *shrugged(0.05, 0.9) * 6, TAIL])
    assert naive_count(samples) != 6


@pytest.mark.parametrize(("lost_m_s", "found"), [(0.12, True), (0.03, False)])
def test_what_tells_a_rise_is_the_speed_it_loses(lost_m_s: float, found: bool) -> None:
    """Speed rises to a peak, falls by `lost_m_s` and grows to the pull's 0.8 m/s."""
    t = np.arange(0.0, 3.0, 0.04)
    speed = np.interp(t, [0.5, 0.7, 0.9, 1.3, 1.9], [0.0, 0.14, 0.14 - lost_m_s, 0.8, 0.0])
    track = Track(t, np.cumsum(speed) * 0.04, speed, 25.0, 0.012)
    rise = rise_before(track, Stroke(0, 0, 1, 20, 46, None, 0.45, 0.8), 0, DEFAULTS.stroke)
    assert (rise is not None) is found
    if rise is not None:
        assert rise.start / 25.0 == pytest.approx(0.5, abs=0.06)
        assert rise.pull / 25.0 == pytest.approx(0.92, abs=0.08)
