"""The motion behind a replay. Closed forms: a ramp's envelope is its own ends; the made-up height is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from retrace_feed import FIRST_S, LIVES, REP_S, signals, view

from tui.retrace.signals import HOLE_S, envelope, with_motion


def test_each_column_holds_the_least_and_the_greatest_of_its_time() -> None:
    t_s = np.arange(0.0, 10.0, 0.1)
    found = envelope(t_s, t_s, 2.0, 6.0, 4)
    assert found == tuple((pytest.approx(a), pytest.approx(a + 0.9)) for a in (2.0, 3.0, 4.0, 5.0))


def test_a_spike_is_never_left_out() -> None:
    t_s = np.arange(0.0, 100.0, 0.01)
    values = np.zeros_like(t_s)
    values[4321] = 7.0
    assert [one[1] for one in envelope(t_s, values, 0.0, 100.0, 80) if one].count(7.0) == 1


def test_between_two_samples_the_line_goes_on_but_not_over_a_hole() -> None:
    t_s = np.array([0.0, 0.2, 0.4, 5.0, 5.2])
    found = envelope(t_s, t_s * 10, 0.0, 5.2, 520)
    assert found[10] == (pytest.approx(1.05), pytest.approx(1.05))
    assert all(one is None for one in found[42:499])
    assert 0.2 < HOLE_S < 4.6


def test_out_of_sight_there_is_nothing() -> None:
    t_s = np.arange(0.0, 10.0, 0.1)
    assert envelope(t_s, t_s, 20.0, 30.0, 5) == (None,) * 5
    assert envelope(t_s, t_s, -9.0, -1.0, 5) == (None,) * 5
    assert envelope(t_s, t_s, 1.0, 2.0, 0) == ()


def test_travel_of_the_made_up_set_is_as_it_was_made() -> None:
    """0.4 m, at the top between 1 and 2 s of each rep; the smoother may be off by 5 cm."""
    sight = signals().sight(FIRST_S, FIRST_S + REP_S, 90)
    assert sight.position is not None
    assert (sight.position.name, sight.position.unit) == ("travel", "m")
    middle = [(one[0] + one[1]) / 2 for one in sight.position.columns if one]
    assert middle[30] == pytest.approx(0.4, abs=0.05)
    assert middle[-3] == pytest.approx(0.0, abs=0.05)


def test_ways_go_up_and_down_with_the_reps() -> None:
    ways = signals().sight(FIRST_S, FIRST_S + 4 * REP_S, 90).ways
    assert [way.up for way in ways] == [True, False] * 4
    for index, way in enumerate(ways[::2]):
        start_s = FIRST_S + index * REP_S
        assert start_s <= way.start_s < way.end_s <= start_s + 1.2


def test_a_knock_does_not_flatten_the_rest() -> None:
    """Of 200 columns one reads 40 m/s² more: the edges stay where the others are, and it is marked."""
    whole = signals()
    force = whole.samples.force_m_s2.copy()
    force[round(30.0 * 50), 2] += 40.0
    knocked = replace(whole, samples=replace(whole.samples, force_m_s2=force)).sight(FIRST_S, 34.0, 200).acceleration
    calm = whole.sight(FIRST_S, 34.0, 200).acceleration
    assert knocked.over
    assert knocked.high < 15.0
    assert knocked.low == pytest.approx(calm.low, abs=1.0)
    assert not calm.over


def test_far_from_any_set_only_the_acceleration_is_known() -> None:
    sight = signals().sight(35.0, 39.0, 40)
    assert sight.position is None
    assert sight.ways == ()
    assert all(one is not None for one in sight.acceleration.columns)


def test_the_motion_tells_of_gaps_and_of_the_end() -> None:
    found = with_motion(view(faults=(), end_s=140.0), signals())
    assert [(round(one.start_s), round(one.end_s)) for one in found.faults] == [(40, 46)]
    assert found.end_s == pytest.approx(99.98)


def test_a_rep_finds_what_was_told_of_it() -> None:
    one = view()
    reps = tuple(one.reps)
    assert one.live_beside(reps[0]) == LIVES[0]
    assert one.live_beside(reps[-1]) is None
