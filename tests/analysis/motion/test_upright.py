"""Lean at the top is an angle against the vertical, whatever the sensor's own axes; unknown where nobody walks."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import REP, after, pendulum, scene, walking

from analysis.motion.analysis import analyse
from analysis.motion.grid import Gridder, Stretch
from analysis.motion.mounts import Mount
from analysis.motion.parameters import GridParameters
from analysis.motion.results import Rep
from analysis.motion.samples import Samples
from analysis.motion.upright import upright_near
from analysis.motion.upright import walking as where_walking

SET = scene([(0.0, 4.0), *REP * 5, (0.0, 12.0)], base_deg=20.0, lean_deg=12.0)[0]


def turned(samples: Samples, seed: int) -> Samples:
    """The same motion as a sensor feels it that sits some other way round."""
    axes, _ = np.linalg.qr(np.random.default_rng(seed).standard_normal((3, 3)))
    return Samples(samples.t_s, samples.force_m_s2 @ axes)


def reps_of(samples: Samples, mount: Mount = Mount.BODY) -> list[Rep]:
    return [rep for bout in analyse(samples, mount).sets for rep in bout.reps]


def stretch_of(samples: Samples) -> Stretch:
    return Gridder(GridParameters()).push(samples)


@pytest.mark.parametrize("seed", range(4))
def test_lean_is_the_angle_against_the_vertical_at_the_top(seed: int) -> None:
    # The scene leans by 20° in the hang and by 12° more at the top; the walk before it is upright.
    reps = reps_of(turned(after(walking(12.0), SET), seed))
    assert len(reps) == 5
    assert [rep.lean_deg for rep in reps] == pytest.approx([32.0] * 5, abs=2.5)


@pytest.mark.parametrize(("start_s", "end_s", "known"), [(13.0, 40.0, True), (-40.0, -1.0, True), (80.0, 90.0, False)])
def test_a_walk_before_or_after_a_set_tells_but_not_a_minute_away(start_s: float, end_s: float, known: bool) -> None:
    felt = stretch_of(walking(12.0))
    up = upright_near(felt, where_walking(felt, 25.0), start_s, end_s, 25.0)
    assert (up is not None) is known
    assert up is None or up == pytest.approx([0.0, 0.0, 1.0], abs=0.03)


def test_lean_is_unknown_where_nobody_is_seen_to_walk() -> None:
    assert {rep.lean_deg for rep in reps_of(SET)} == {None}


def test_only_a_body_leans() -> None:
    assert {rep.lean_deg for rep in reps_of(after(walking(12.0), SET), Mount.MOVING_BAR)} == {None}


@pytest.mark.parametrize("step_hz", [1.4, 1.9, 2.4])
def test_steps_are_walking(step_hz: float) -> None:
    felt = stretch_of(walking(20.0, step_hz=step_hz))
    assert where_walking(felt, 25.0)[75:-75].mean() > 0.95


def test_reps_stillness_and_a_swing_are_no_walking() -> None:
    quick = scene([(0.0, 4.0), *((0.4, 0.5), (-0.4, 0.5)) * 10, (0.0, 4.0)])[0]
    for samples in (SET, quick, pendulum(20.0, length_m=1.0, at=0.5)):
        assert not where_walking(stretch_of(samples), 25.0).any()
