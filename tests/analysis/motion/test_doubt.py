"""A set that was seen is not always a set that can be counted; the answer says why."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, scene

from analysis.motion.analysis import analyse
from analysis.motion.found import goes_sideways
from analysis.motion.grid import Stretch
from analysis.motion.mounts import Mount
from analysis.motion.results import Why
from analysis.motion.samples import Samples
from sensor.virtual.script import demo_script
from sensor.virtual.trainee import perform

SET, STARTS = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)])


def test_a_clean_set_is_measured() -> None:
    (bout,) = analyse(SET, Mount.BODY).sets
    assert (bout.measured, bout.why, bout.count) == (True, None, 6)


def test_a_rep_may_vanish_in_a_long_hole() -> None:
    start = STARTS[1 + 4 * 3]
    kept = (SET.t_s < start) | (SET.t_s > start + 3.0)
    (bout,) = analyse(Samples(SET.t_s[kept], SET.force_m_s2[kept]), Mount.BODY).sets
    assert not bout.measured
    assert bout.why is Why.GAP
    assert analyse(Samples(SET.t_s[kept], SET.force_m_s2[kept]), Mount.BODY).gaps[0].start_s == pytest.approx(
        start, abs=0.02
    )


@pytest.mark.parametrize("mount", [Mount.FIXED_BAR, Mount.SUSPENSION])
def test_mirror_symmetric_mounts_show_no_travel(mount: Mount) -> None:
    samples, _ = scene([(0.0, 6.0), *REP * 6, (0.0, 14.0)], lean_deg=8.0)
    for bout in analyse(samples, mount).sets:
        assert {r.travel_m for r in bout.reps} == {None}
        assert {r.peak_velocity_m_s for r in bout.reps} == {None}


def test_a_sideways_path_is_told_from_an_upright_one() -> None:
    t = np.arange(0, 10, 0.04)
    wave = np.sin(2 * np.pi * 0.8 * t)
    for along, across, sideways in ((2.0, 1.0, False), (0.4, 2.0, True)):
        force = np.column_stack([across * wave, 0 * t, 9.81 + along * wave])
        assert goes_sideways(Stretch(t, force, None, t < 0), 25.0, 1.5) is sideways


def test_a_bar_whose_concentric_goes_down() -> None:
    """A pull-down: the bar hangs high, comes down with every rep and goes back up; six reps, not five."""
    down = ((-0.45, 1.0), (0.0, 0.7), (0.45, 1.4), (0.0, 1.1))
    samples, starts = scene([(0.0, 6.0), *down * 6, (0.0, 14.0)], lean_deg=0.0)
    (bout,) = analyse(samples, Mount.MOVING_BAR).sets
    assert bout.count == 6
    assert bout.reps[0].start_s == pytest.approx(starts[1] + 0.06, abs=0.06)
    assert [r.travel_m for r in bout.reps] == pytest.approx([0.45] * 6, abs=0.03)


@pytest.mark.parametrize("seed", [1, 17, 18])
def test_standing_up_after_the_last_rep_is_no_rep(seed: int) -> None:
    """Upright, the sensor's bias reads as sinking; where a gyro shows that it is another posture, no rep ends there."""
    done = perform(demo_script(), seed)
    sets = analyse(Samples(done.t_s, done.force_m_s2, done.rate_rad_s), Mount.BODY).sets
    assert [(bout.count, bout.measured) for bout in sets] == [(5, True)] * 3
