"""Cluster sets, warm-up sets, tests and two-sided phases, through the same grouping as straight sets.

A cluster set's gap of 10–45 s does not end the set: Tufano, Brown & Haff 2017, JSCR 31:848.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from builders import make_bout, make_reps, with_sd
from hypothesis import given
from hypothesis import strategies as st

from analysis.motion.mounts import Mount
from analysis.motion.results import Bout, RepKind, Why
from analysis.training.exercises import FEET_ON_FLOOR
from analysis.training.judge import judge_session, judge_set
from analysis.training.prescription import Exercise, Prescription, Tempo
from analysis.training.scale import TrueTime
from analysis.training.sets import group_bouts, judged, may_go_on
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome

STRAIGHT = Prescription(
    exercise=FEET_ON_FLOOR, sets=2, reps=6, tempo=Tempo(down_s=3, bottom_s=2, up_s=1, top_s=0), rest_s=120
)
CLUSTER = replace(STRAIGHT, gap_s=20.0)


def bouts(*parts: tuple[int, float], pause_s: float = 2.0) -> list[Bout]:
    """Bouts of so many reps as asked, each so many seconds after the end of the one before."""
    made: list[Bout] = []
    at_s = 10.0
    for number, (count, after_s) in enumerate(parts):
        at_s = made[-1].end_s + after_s if made else at_s
        made.append(make_bout(number, make_reps(count, start_s=at_s, down_s=3.0, pause_s=pause_s)))
    return made


def test_a_planned_gap_does_not_end_the_set() -> None:
    groups = group_bouts(bouts((3, 0), (3, 20), (3, 120), (3, 24)), CLUSTER)
    assert [(one.number, one.bouts, len(one.reps)) for one in groups] == [(1, (0, 1), 6), (2, (2, 3), 6)]
    assert groups[1].rest_before_s == pytest.approx(120.0)
    first = judged(groups[0], CLUSTER)
    # closed form: six reps of 1 s up and 3 s down, the gap outside
    assert first.verdict.tut_s == pytest.approx(24.0)
    assert (first.verdict.count, first.verdict.outcome) == (6, Outcome.MET)
    assert judge_session([judged(one, CLUSTER).verdict for one in groups], CLUSTER).outcome is Outcome.MET


def test_without_a_planned_gap_each_bout_is_a_set() -> None:
    assert [one.bouts for one in group_bouts(bouts((3, 0), (3, 20)), STRAIGHT)] == [(0,), (1,)]


def test_the_pause_at_the_gap_is_not_judged_as_a_bottom_pause() -> None:
    """Two seconds at the bottom are asked; the twenty of the gap are none of them."""
    (group,) = group_bouts(bouts((3, 0), (3, 20)), CLUSTER)
    verdict = judged(group, CLUSTER).verdict
    pauses = [[phase.name for phase in one.phases].count("bottom") for one in verdict.reps]
    assert pauses == [1, 1, 0, 1, 1, 0]
    assert {one.outcome for one in verdict.reps} == {Outcome.MET}


@pytest.mark.parametrize(
    ("gap_s", "rest_s", "longest_s"),
    # half as long again, and never nearer to the rest than to the gap
    [(20.0, 120.0, 30.0), (40.0, 60.0, 50.0), (45.0, 30.0, 45.0)],
)
def test_how_long_a_gap_may_be(gap_s: float, rest_s: float, longest_s: float) -> None:
    asked = replace(CLUSTER, gap_s=gap_s, rest_s=rest_s)
    assert asked.longest_gap_s == longest_s
    for after_s, sets in ((longest_s - 0.1, 1), (longest_s + 0.1, 2)):
        assert len(group_bouts(bouts((3, 0), (3, after_s)), asked)) == sets


def test_a_part_that_is_not_measured_leaves_the_whole_set_so() -> None:
    first, second = bouts((3, 0), (3, 20))
    second = replace(second, measured=False, why=Why.SLIPPED)
    (group,) = group_bouts([first, second], CLUSTER)
    assert (group.measured, group.why) == (False, Why.SLIPPED)
    assert judged(group, CLUSTER).verdict.outcome is Outcome.NOT_MEASURABLE


def test_a_cluster_set_may_go_on_while_reps_are_missing_and_its_gap_lasts() -> None:
    (group,) = group_bouts(bouts((3, 0)), CLUSTER)
    record = judged(group, CLUSTER)
    assert may_go_on(record, CLUSTER, 29)
    assert not may_go_on(record, CLUSTER, 31)
    assert not may_go_on(record, STRAIGHT, 0)
    (whole,) = group_bouts(bouts((3, 0), (3, 20)), CLUSTER)
    assert not may_go_on(judged(whole, CLUSTER), CLUSTER, 1)


@given(st.lists(st.tuples(st.integers(1, 4), st.sampled_from([12.0, 20.0, 90.0, 130.0])), min_size=1, max_size=8))
def test_no_rep_is_lost_or_told_twice(parts: list[tuple[int, float]]) -> None:
    made = bouts(*parts)
    groups = group_bouts(made, replace(CLUSTER, warm_ups=1))
    assert [rep for one in groups for rep in one.reps] == [rep for one in made for rep in one.reps]
    gaps = [later.start_s - sooner.end_s for sooner, later in pairwise(groups[1:])]
    assert all(gap > CLUSTER.longest_gap_s for gap in gaps)


@given(
    st.lists(st.tuples(st.integers(1, 4), st.sampled_from([12.0, 20.0, 90.0])), min_size=1, max_size=8),
    st.integers(1, 8),
)
def test_sets_so_far_stay_but_for_a_last_one_that_goes_on(parts: list[tuple[int, float]], cut: int) -> None:
    made = bouts(*parts)
    whole, so_far = group_bouts(made, CLUSTER), group_bouts(made[:cut], CLUSTER)
    assert whole[: len(so_far) - 1] == so_far[:-1]
    assert whole[len(so_far) - 1].bouts[: len(so_far[-1].bouts)] == so_far[-1].bouts


def test_the_first_sets_are_warm_ups_and_not_judged() -> None:
    asked = replace(STRAIGHT, warm_ups=2)
    groups = group_bouts(bouts((5, 0), (4, 50), (6, 200), (6, 120)), asked)
    records = [judged(one, asked) for one in groups]
    assert [(one.kind, one.number) for one in records] == [
        (SetKind.WARM_UP, 1),
        (SetKind.WARM_UP, 2),
        (SetKind.EXERCISE, 1),
        (SetKind.EXERCISE, 2),
    ]
    warm = records[0].verdict
    assert (warm.count, warm.target_reps, warm.outcome, warm.remark) == (
        5,
        0,
        Outcome.NOT_MEASURABLE,
        "Warm-up; not judged.",
    )
    # the first set that counts has no rest before it: what came before was no set
    assert [one.rest_before_s for one in records] == [None, None, None, pytest.approx(120.0)]


def test_warm_ups_are_no_cluster() -> None:
    asked = replace(CLUSTER, warm_ups=2)
    groups = group_bouts(bouts((3, 0), (3, 20), (3, 20), (3, 20)), asked)
    assert [(one.told.kind, one.bouts) for one in groups] == [
        (SetKind.WARM_UP, (0,)),
        (SetKind.WARM_UP, (1,)),
        (SetKind.EXERCISE, (2, 3)),
    ]


def test_in_a_superset_the_partners_set_is_no_warm_up_and_the_rest_runs_from_its_end() -> None:
    asked = replace(STRAIGHT, warm_ups=1, partner=Exercise("press-up", "press-up", Mount.BODY))
    upright, lying = (0.2, 0.0, 0.98), (0.98, 0.0, 0.2)
    made = [
        replace(one, direction=lying if number == 2 else upright, begins_down=number == 2)
        for number, one in enumerate(bouts((6, 0), (6, 60), (6, 10), (6, 120)))
    ]
    groups = group_bouts(made, asked)
    assert [one.told.kind for one in groups] == [
        SetKind.WARM_UP,
        SetKind.EXERCISE,
        SetKind.PARTNER,
        SetKind.EXERCISE,
    ]
    assert groups[3].rest_before_s == pytest.approx(made[3].start_s - made[2].end_s)


def test_within_a_cluster_it_is_not_yet_the_partners_turn() -> None:
    asked = replace(CLUSTER, partner=Exercise("press-up", "press-up", Mount.BODY))
    upright = (0.2, 0.0, 0.98)
    made = [replace(one, direction=upright) for one in bouts((3, 0), (3, 20))]  # the first stroke is not known
    (group,) = group_bouts(made, asked)
    assert (group.bouts, group.told.unsure) == ((0, 1), False)


def test_a_test_counts_clean_full_reps() -> None:
    asked = replace(STRAIGHT, sets=1, reps=0, tempo=Tempo(down_s=1, bottom_s=0, up_s=1, top_s=0))
    assert asked.is_test
    reps = make_reps(9)
    reps[3] = replace(reps[3], kind=RepKind.PARTIAL, reached=0.6)
    reps[6:] = [replace(rep, down_s=rep.end_s - 0.4, hold_top_s=0.6) for rep in reps[6:]]  # let down too quickly
    verdict = judge_set(reps, asked, rest_before_s=None)
    assert (verdict.count, verdict.clean, verdict.outcome) == (8, 3, Outcome.MET)  # form broke at the partial rep
    whole = [rep for rep in reps if rep.kind is RepKind.FULL]
    verdict = judge_set(whole, asked, rest_before_s=None)
    assert (verdict.count, verdict.clean, verdict.outcome) == (8, 5, Outcome.MET)  # at the first hasty lowering
    blurred = [with_sd(rep, 0.5) if number == 1 else rep for number, rep in enumerate(whole)]
    assert judge_set(blurred, asked, rest_before_s=None).clean == 4  # neither clean nor the end
    assert judge_set(reps, asked, rest_before_s=None, measured=False).clean is None
    assert judge_set([], asked, rest_before_s=None).outcome is Outcome.MISSED
    assert judge_set(reps, STRAIGHT, rest_before_s=None).clean is None


@pytest.mark.parametrize(("half_s", "outcome"), [(1.0, Outcome.MET), (2.5, Outcome.MET), (0.0, Outcome.MISSED)])
def test_time_under_tension_of_one_and_a_half_reps_is_a_minimum(half_s: float, outcome: Outcome) -> None:
    """Down to half and up again takes time of its own, which no tempo names: 6 × 5 s were asked for, -8 % is 27.6 s."""
    asked = replace(STRAIGHT, tempo=Tempo(down_s=2, bottom_s=0, up_s=1, top_s=1), half_pause_s=1.0)
    verdict = judge_set(make_reps(6, top_s=1.0, down_s=2.0, half_s=half_s), asked, rest_before_s=None)
    assert (verdict.target_tut_s, verdict.tut_outcome, verdict.tut_is_least) == (30.0, outcome, True)
    judged_before = replace(verdict, tut_s=40.0, tut_outcome=Outcome.MISSED)
    assert not judged_before.tut_is_least  # by both sides, and so it is told
    long = judge_set(make_reps(6, top_s=1.0, down_s=3.5), replace(asked, half_pause_s=None), rest_before_s=None)
    assert (long.tut_outcome, long.tut_is_least) == (Outcome.MISSED, False)


@pytest.mark.parametrize(
    ("name", "off"), [("down", {"down_s": 4.0}), ("top", {"top_s": 3.0}), ("half", {"half_s": 3.0})]
)
def test_two_sided_phases_must_not_be_longer_either(name: str, off: dict[str, float]) -> None:
    asked = replace(STRAIGHT, tempo=Tempo(down_s=2, bottom_s=0, up_s=1, top_s=1), half_pause_s=1.0)
    reps = make_reps(6, **{"top_s": 1.0, "down_s": 2.0, "half_s": 1.0, **off})
    assert judge_set(reps, asked, rest_before_s=None).outcome is Outcome.MET
    both = judge_set(reps, replace(asked, two_sided=(name,)), rest_before_s=None)
    assert both.outcome is Outcome.MISSED
    assert (both.faults[0].phase, both.faults[0].direction) == (name, 1)


def test_a_cluster_is_judged_in_true_seconds() -> None:
    (group,) = group_bouts(bouts((3, 0), (3, 20)), CLUSTER)
    assert judged(group, CLUSTER, TrueTime(ratio=1.01)).verdict.tut_s == pytest.approx(24.0 * 1.01)
