"""How two reps or sessions differ; the expected seconds follow from how they were made."""

from __future__ import annotations

import pytest
from retrace_feed import SETS, seen_rep, seen_set

from analysis.motion.events import Phase
from tui.retrace.compare import difference_words, mean_hill, mean_times, rep_words, set_pairs, times_of


def test_seconds_of_each_phase_that_differ() -> None:
    slow, quick = seen_rep(1, 0.0), seen_rep(2, 10.0, down_s=0.8)
    assert rep_words(quick, slow, "rep 1 of set 1") == "against rep 1 of set 1: up alike, top alike, down 1.2 s shorter"
    assert rep_words(slow, quick, "rep 2").endswith("down 1.2 s longer")


def test_a_difference_within_two_sigma_is_none() -> None:
    """Each duration has the sigma of its two ends, each difference that of both: 2 × sqrt(4) × 0.1 = 0.4 s."""
    for by_s, words in ((0.39, "down alike"), (0.41, "down 0.4 s longer")):
        one, other = seen_rep(1, 0.0, down_s=2.0 + by_s, sd_s=0.1), seen_rep(2, 10.0, sd_s=0.1)
        assert difference_words(times_of(one), times_of(other)).endswith(words)


def test_what_cannot_be_told_is_not_compared() -> None:
    one, other = seen_rep(1, 0.0, sd_s=None), seen_rep(2, 10.0, down_s=0.8)
    assert difference_words(times_of(one), times_of(other)) == "up not known, top not known, down not known"


def test_the_mean_rep_of_a_set() -> None:
    """Three of 2.0 s and one of 0.8 s: mean 1.7, standard error 0.6 / 2."""
    times = mean_times(SETS[0].reps)
    assert times[Phase.DOWN].duration_s == pytest.approx(1.7)
    assert times[Phase.DOWN].sd_s == pytest.approx(0.3)
    hill = mean_hill(SETS[0].reps)
    assert hill is not None
    assert (hill.up_s, hill.top_s, hill.down_s) == pytest.approx((1.0, 1.0, 1.7))


def test_sets_are_paired_by_their_number() -> None:
    pairs = set_pairs(SETS, (seen_set("1", 5.0, 6, down_s=4.0), seen_set("3", 90.0, 3)))
    assert [pair.name for pair in pairs] == ["set 1: 4 reps, then 6 reps", "set 2: 5 reps", "set 3: 3 reps"]
    assert pairs[0].words == "up alike, top alike, down 1.8 s shorter"
    assert (pairs[1].words, pairs[1].other) == ("only now", None)
    assert (pairs[2].words, pairs[2].hill) == ("only then", None)
