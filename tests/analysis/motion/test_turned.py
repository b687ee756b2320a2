"""Which way a set's first stroke went, and in which posture it was done."""

from __future__ import annotations

import pytest
from motion_scenes import REP, Step, after, scene, walking

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout

STILL: Step = (0.0, 4.0)


def only(steps: list[Step], *, base_deg: float = 20.0, lean_deg: float = 12.0, as_live: bool = False) -> Bout:
    moved = scene([STILL, *steps, STILL], base_deg=base_deg, lean_deg=lean_deg)[0]
    samples = after(walking(8.0), moved, walking(8.0))
    (found,) = analyse(samples, Mount.BODY, live=as_live).sets
    return found


PRESS_UP: list[Step] = [(-0.3, 0.9), (0.0, 0.3), (0.3, 0.8), (0.0, 0.5)]


def test_a_set_of_press_ups_began_at_its_top() -> None:
    assert only(PRESS_UP * 8, base_deg=80.0, lean_deg=-10.0).begins_down is True


def test_live_it_may_stay_open_which_way_the_first_stroke_went_and_the_posture_is_known() -> None:
    found = only(PRESS_UP * 8, base_deg=80.0, lean_deg=-10.0, as_live=True)
    assert found.begins_down is not False
    assert found.direction is not None


@pytest.mark.parametrize("as_live", [False, True])
def test_a_set_of_pulls_began_at_its_bottom(as_live: bool) -> None:
    assert only(list(REP * 6), as_live=as_live).begins_down is False


@pytest.mark.parametrize(("hop", "drop"), [((0.3, 0.6), (-0.3, 0.6)), ((-0.6, 0.9), (0.6, 0.9))])
def test_taking_hold_and_letting_go_are_no_strokes_of_the_set(hop: Step, drop: Step) -> None:
    """A jump to a high bar and the way off it; sitting down under a low bar and standing up: apart from the set."""
    assert only([hop, (0.0, 2.0), *REP * 6, (0.0, 2.0), drop]).begins_down is False


def test_one_side_alone_leaves_it_open() -> None:
    assert only([(-0.45, 1.5), (0.0, 0.8), *REP * 6]).begins_down is None


def test_postures_are_those_of_the_trunk() -> None:
    upright, lying = only(list(REP * 6)), only(PRESS_UP * 8, base_deg=80.0, lean_deg=-10.0)
    assert upright.direction is not None
    assert upright.direction[2] > 0.8
    assert lying.direction is not None
    assert lying.direction[0] > 0.9


def test_a_sensor_that_is_not_worn_shows_neither() -> None:
    samples = after(walking(8.0), scene([STILL, *REP * 6, STILL])[0], walking(8.0))
    for found in analyse(samples, Mount.MOVING_BAR).sets:
        assert (found.begins_down, found.direction) == (None, None)
