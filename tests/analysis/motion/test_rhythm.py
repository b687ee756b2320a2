"""Quick sets of a limb: the period of the whole path, how often it goes round, and reps cut off by the samples' ends.

All paths here are closed forms; recordings of the same kind are counted in `test_open_data.py`.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.motion.bouts import Group
from analysis.motion.cut import completed, ends_of, filled
from analysis.motion.grid import Gridder, Stretch
from analysis.motion.lobes import Lobes
from analysis.motion.loop import mean_loop, times_round
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS, STANDARD_GRAVITY_M_S2
from analysis.motion.refine import refine
from analysis.motion.rhythm import rhythm_of
from analysis.motion.samples import FloatArray, Samples
from analysis.motion.words import Kind, Stroke, Word

RATE_HZ = 25.0


def rolling_wrist(turns: FloatArray) -> FloatArray:
    """Force on a wrist that turns once a rep and rolls in and out twice: the roll is the larger part, shape (n, 3)."""
    lift = 0.35 * np.sin(2 * np.pi * turns)
    roll = 0.6 * np.sin(4 * np.pi * turns + 0.7)
    return STANDARD_GRAVITY_M_S2 * np.column_stack([roll, lift, np.sqrt(1 - lift**2 - roll**2)])


def steady(period_s: float, reps: float) -> FloatArray:
    """Turns gone at each grid point."""
    return np.arange(round(reps * period_s * RATE_HZ)) / (period_s * RATE_HZ)


@pytest.mark.parametrize("period_s", [0.8, 1.2, 2.0, 3.2])
def test_a_wrist_that_rolls_twice_a_rep_is_not_counted_twice(period_s: float) -> None:
    force = rolling_wrist(steady(period_s, 12))
    rhythm = rhythm_of(force, RATE_HZ, DEFAULTS.rhythm)
    assert rhythm is not None
    assert rhythm.period_s == pytest.approx(period_s, abs=0.5 / RATE_HZ)
    assert rhythm.unlike < 0.05
    alone = force[:, 0] - force[:, 0].mean()
    assert np.sum((alone[:-1] < 0) & (alone[1:] >= 0)) >= 23, "its largest component alone rises twice a rep"


def test_what_never_repeats_has_no_rhythm() -> None:
    noise = np.random.default_rng(4).normal(size=(800, 3))
    assert rhythm_of(noise, RATE_HZ, DEFAULTS.rhythm) is None


def test_a_stretch_shorter_than_three_periods_has_no_rhythm() -> None:
    assert rhythm_of(rolling_wrist(steady(2.0, 0.9)), RATE_HZ, DEFAULTS.rhythm) is None


@given(reps=st.floats(6.2, 12.8), first=st.floats(0.0, 1.0), drift=st.floats(-0.15, 0.15))
def test_rounds_are_counted_with_their_fraction(reps: float, first: float, drift: float) -> None:
    period_s = 2.0
    share = steady(period_s, reps) / reps
    turns = first + reps * (share + drift * share * (1 - share))
    whole = np.arange(np.ceil(turns[0]), np.floor(turns[-1]) + 1)
    marks = np.searchsorted(turns, whole).tolist()
    assert times_round(rolling_wrist(turns), marks, DEFAULTS.rhythm.pace_price) == pytest.approx(reps, abs=0.12)


def test_standing_still_is_no_round() -> None:
    turns = steady(1.6, 8.0)
    turns = np.concatenate([turns, np.full(100, turns[-1])])
    marks = [round(k * 1.6 * RATE_HZ) for k in range(8)]
    assert times_round(rolling_wrist(turns), marks, DEFAULTS.rhythm.pace_price) == pytest.approx(8.0, abs=0.15)


def test_the_mean_loop_of_equal_reps_is_a_rep() -> None:
    path = rolling_wrist(steady(2.0, 6))
    loop = mean_loop(path, [0, 50, 100, 150, 200, 250])
    assert loop.shape == (50, 3)
    assert np.abs(loop - path[:50]).max() < 0.12


def on_grid(force: FloatArray) -> Stretch:
    gridder = Gridder(DEFAULTS.grid)
    t_s = np.arange(len(force)) / RATE_HZ
    a, b = gridder.push(Samples(t_s, force)), gridder.finish()
    return Stretch(
        np.concatenate([a.t_s, b.t_s]),
        np.concatenate([a.force_m_s2, b.force_m_s2]),
        None,
        np.concatenate([a.hole, b.hole]),
    )


@pytest.mark.parametrize("first", [0.0, 0.1, 0.25, 0.35, 0.5, 0.75])
@pytest.mark.parametrize("period_s", [1.2, 2.0])
def test_a_set_trimmed_in_the_middle_of_a_rep_has_all_its_reps(first: float, period_s: float) -> None:
    """Whichever phase the samples begin with: eleven rounds and three quarters are twelve reps."""
    force = rolling_wrist(first + steady(period_s, 11.75))
    bouts = refine(on_grid(force), Mount.LIMB, DEFAULTS)
    assert [b.count for b in bouts] == [12]


@pytest.mark.parametrize(("first", "swing"), [(-0.25, 0.6), (0.0, 0.9), (0.25, -0.6), (0.5, -0.9)])
def test_putting_the_weight_down_after_a_set_is_no_rep(first: float, swing: float) -> None:
    """It turns up and down by more than a rep does, without the roll: it goes round nothing."""
    reps = rolling_wrist(first + steady(1.6, 12))
    down = np.zeros((40, 3))
    down[:, 1] = swing * STANDARD_GRAVITY_M_S2 * np.sin(np.pi * steady(1.6, 1.0)) ** 2
    rest = np.tile(reps[-1], (100, 1))
    bouts = refine(on_grid(np.vstack([reps, reps[-1] + down, rest])), Mount.LIMB, DEFAULTS)
    assert [b.count for b in bouts] == [12]


def test_a_set_at_rest_before_and_after_gains_no_rep() -> None:
    turns = np.concatenate([np.zeros(200), steady(1.6, 10), np.full(200, 10.0)])
    bouts = refine(on_grid(rolling_wrist(turns - 0.25)), Mount.LIMB, DEFAULTS)
    assert [b.count for b in bouts] == [10]


def test_a_way_up_at_the_end_of_the_samples_is_completed_by_one_of_no_length() -> None:
    start = np.arange(0, 140, 20)
    side = np.array([1, -1, 1, -1, 1, -1, 1])
    pieces = Lobes(start, start + 18, side, np.full(7, 40.0), np.full(7, 60.0))
    strokes = [Stroke(k, k, int(side[k]), int(start[k]), int(start[k]) + 18, None, 40.0, 60.0) for k in range(7)]
    words = tuple(Word((strokes[k], strokes[k + 1]), Kind.FULL, 8.0) for k in (0, 2, 4))
    group = Group(words, 40.0)
    ends = ends_of(group, pieces, 138, 40.0, 6.0)
    assert (ends.before, ends.after, ends.most) == (0.0, 0.5, 0.5)
    assert ends_of(group, pieces, 400, 40.0, 6.0).most == 0.0, "the samples go on: nothing is cut off"
    last = completed(group, pieces, 138, ends).words[-1]
    assert (last.start, last.stop, last.kind) == (120, 138, Kind.FULL)
    assert last.down.stop - last.down.start == 1


def test_a_small_rep_between_two_others_is_filled_in_where_there_is_time_for_one() -> None:
    start = np.array([0, 20, 40, 60, 84, 96, 120, 140])
    side = np.array([1, -1] * 4)
    travel = np.array([40.0, 40.0, 40.0, 40.0, 14.0, 14.0, 40.0, 40.0])
    pieces = Lobes(start, start + 10, side, travel, np.full(8, 60.0))
    strokes = [Stroke(k, k, int(side[k]), int(start[k]), int(start[k]) + 10, None, 40.0, 60.0) for k in range(8)]
    group = Group(tuple(Word((strokes[k], strokes[k + 1]), Kind.FULL, 8.0) for k in (0, 2, 6)), 40.0)
    whole = filled(group, pieces, 24.0)
    assert whole is not None
    assert [(w.start, w.stop) for w in whole.words] == [(0, 30), (40, 70), (84, 106), (120, 150)]
    assert filled(group, pieces, 60.0) is None
