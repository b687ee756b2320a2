"""How sure a count is, against sums over all readings written out."""

from __future__ import annotations

from itertools import pairwise
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from motion_scenes import REP, scene

from analysis.motion.analysis import analyse
from analysis.motion.mounts import Mount
from analysis.motion.odds import Arc, count_shares, log_odds


def test_one_word_against_two_skips() -> None:
    shares = count_shares([Arc(0, 1, 1.0, 0), Arc(0, 2, 0.5, 1), Arc(1, 2, 1.0, 0)], 2)
    assert shares[1] == pytest.approx(exp(-0.5) / (exp(-0.5) + exp(-2.0)))
    assert log_odds(shares, 1) == pytest.approx(1.5)


def all_paths(arcs: list[Arc], at: int, n: int) -> list[tuple[float, int]]:
    if at == n:
        return [(0.0, 0)]
    steps = [a for a in arcs if a.start == at]
    return [(a.cost + cost, a.reps + reps) for a in steps for cost, reps in all_paths(arcs, a.stop, n)]


@given(st.lists(st.tuples(st.floats(0.0, 5.0), st.floats(0.0, 5.0)), min_size=2, max_size=8))
def test_shares_are_the_sums_over_all_readings(costs: list[tuple[float, float]]) -> None:
    n = len(costs)
    arcs = [a for i, (skip, _) in enumerate(costs) for a in [Arc(i, i + 1, skip, 0)]]
    arcs += [Arc(i, min(i + 2, n), word, 1) for i, (_, word) in enumerate(costs[:-1])]
    arcs.sort(key=lambda a: a.start)
    expected = np.zeros(n + 2)
    for cost, reps in all_paths(arcs, 0, n):
        expected[reps] += exp(-cost)
    assert count_shares(arcs, n) == pytest.approx(expected / expected.sum(), abs=1e-3)


def test_long_readings_stay_in_range() -> None:
    arcs = [Arc(i, i + 1, 900.0, 0) for i in range(60)]
    assert count_shares(arcs, 60)[0] == pytest.approx(1.0)
    assert log_odds(count_shares(arcs, 60), 5) == pytest.approx(log(2e-9))


def test_a_set_with_a_half_way_rep_at_its_end_is_less_sure_than_a_clean_one() -> None:
    """A last stroke two thirds as long as the others may be a rep or an attempt; the count is then not claimed."""
    lead, tail = [(0.0, 6.0)], [(0.0, 14.0)]
    doubtful = ((0.3, 1.0), (0.0, 0.5), (-0.3, 1.3), (0.0, 0.8))
    clean, _ = scene([*lead, *REP * 6, *tail])
    odd, _ = scene([*lead, *REP * 6, *doubtful, *tail])
    assert analyse(clean, Mount.BODY).sets[0].measured
    assert not analyse(odd, Mount.BODY).sets[0].measured


def test_shares_sum_to_one_and_rise_with_the_evidence() -> None:
    odds = [log_odds(count_shares([Arc(0, 1, cost, 0), Arc(0, 1, 0.0, 1)], 1), 1) for cost in (0.0, 1.0, 4.0)]
    assert all(a < b for a, b in pairwise(odds))
    assert odds == pytest.approx([0.0, 1.0, 4.0])
