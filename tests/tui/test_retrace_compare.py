"""How two reps or sessions differ; the expected seconds follow from how they were made."""

from __future__ import annotations

from dataclasses import replace

import pytest
from retrace_feed import SETS, seen_rep, seen_set

from analysis.motion.events import Phase
from tui.retrace.compare import (
    Lasted,
    against_words,
    alike,
    before,
    difference_words,
    following,
    mean_hill,
    mean_times,
    set_pair,
    times_of,
)
from tui.retrace.view import SeenRep


def test_seconds_of_each_phase_that_differ() -> None:
    slow, quick = seen_rep(1, 0.0), seen_rep(2, 10.0, down_s=0.8)
    assert (
        against_words(quick, slow, "rep 1 of set 1")
        == "against rep 1 of set 1: up alike, top alike, down 1.2 s shorter"
    )
    assert against_words(slow, quick, "rep 2").endswith("down 1.2 s longer")


def test_a_rep_against_itself_and_no_rep_have_no_difference() -> None:
    one = seen_rep(1, 0.0)
    assert against_words(one, one, "rep 1 of set 1") == "rep 1 of set 1 lies behind every rep now"
    assert against_words(None, one, "rep 1 of set 1") == "against rep 1 of set 1"


def test_a_difference_within_two_sigma_is_none() -> None:
    """Each duration has the sigma of its two ends, each difference that of both: 2 × sqrt(4) × 0.1 = 0.4 s."""
    for by_s, words in ((0.39, "down alike"), (0.41, "down 0.4 s longer")):
        one, other = seen_rep(1, 0.0, down_s=2.0 + by_s, sd_s=0.1), seen_rep(2, 10.0, sd_s=0.1)
        assert difference_words(times_of(one), times_of(other)).endswith(words)


def test_what_cannot_be_told_is_not_compared() -> None:
    one, other = seen_rep(1, 0.0, sd_s=None), seen_rep(2, 10.0, down_s=0.8)
    assert difference_words(times_of(one), times_of(other)) == "up not known, top not known, down not known"


def halved(number: int) -> SeenRep:
    rep = seen_rep(number, 10.0 * number)
    return replace(rep, hill=replace(rep.hill, two_summits=True, top_s=0.5))


def test_the_mean_of_one_and_a_half_reps_has_two_summits() -> None:
    """Most of them decide: of three, two."""
    two, one = (halved(1), halved(2), seen_rep(3, 30.0)), (halved(1), seen_rep(2, 20.0), seen_rep(3, 30.0))
    assert [hill.two_summits for reps in (two, one) if (hill := mean_hill(reps))] == [True, False]


def test_where_the_first_hold_of_a_one_and_a_half_rep_ends_has_no_sigma_to_compare_by() -> None:
    assert times_of(halved(1))[Phase.TOP] == Lasted(0.5, None)
    assert difference_words(times_of(halved(1)), times_of(halved(2))) == "up alike, top not known, down alike"


def test_the_mean_rep_of_a_set() -> None:
    """Three of 2.0 s and one of 0.8 s: mean 1.7, standard error 0.6 / 2."""
    times = mean_times(SETS[0].reps)
    assert times[Phase.DOWN].duration_s == pytest.approx(1.7)
    assert times[Phase.DOWN].sd_s == pytest.approx(0.3)
    hill = mean_hill(SETS[0].reps)
    assert hill is not None
    assert (hill.up_s, hill.top_s, hill.down_s) == pytest.approx((1.0, 1.0, 1.7))


def test_a_set_over_another_and_over_none() -> None:
    pair = set_pair(SETS[0], seen_set("3", 5.0, 6, down_s=4.0))
    assert pair.name == "set 1: 4 reps, over set 3: 6 reps"
    assert pair.words == "up alike, top alike, down 1.8 s shorter"
    alone = set_pair(seen_set("2", 5.0, 1), None)
    assert (alone.name, alone.words, alone.other) == ("set 2: 1 rep, over none", "", None)


def test_sets_lie_over_those_of_the_same_exercise_at_the_same_place_among_them() -> None:
    """A warm-up and another exercise in between shift the numbers, not what belongs together."""
    mine = [seen_set(label, 0.0, 3, exercise=of) for label, of in (("1", "pull"), ("2", "row"), ("3", "pull"))]
    then = [seen_set(label, 0.0, 3, exercise=of) for label, of in (("w", "warm-up pull"), ("1", "row"), ("2", "pull"))]
    assert alike(mine, then) == (2, 1, None)
    assert alike(then, mine) == (None, 1, 0)
    assert alike(mine, []) == (None, None, None)
    assert before(mine) == (None, None, 0)


def test_each_set_can_be_chosen_and_none_and_so_round_and_round() -> None:
    for by, seen in ((1, [0, 1, 2, None, 0]), (-1, [2, 1, 0, None, 2])):
        index: int | None = None
        walked = []
        for _ in seen:
            index = following(index, 3, by)
            walked.append(index)
        assert walked == seen
    assert following(None, 0, 1) is None
