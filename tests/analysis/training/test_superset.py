"""Whose set it was, from order, posture and first stroke; and what follows for number, rest and verdict."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import make_bout, reps_for

from analysis.motion.mounts import Mount
from analysis.motion.results import Bout
from analysis.training.prescription import Exercise
from analysis.training.rungs import default_ladder
from analysis.training.sets import GroupedSet, Said, group_bouts, judged
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome

PLAIN = default_ladder().rungs[4].prescription(0)
ASKED = replace(PLAIN, partner=Exercise("press-up", "press-up", Mount.BODY))
UPRIGHT = (0.2, 0.0, 0.98)
LYING = (0.98, 0.0, 0.2)
OWN, PARTNER = SetKind.EXERCISE, SetKind.PARTNER


def bouts(*seen: tuple[bool | None, tuple[float, float, float] | None]) -> list[Bout]:
    made = []
    for number, (down, direction) in enumerate(seen):
        one = make_bout(number, reps_for(ASKED, start_s=100.0 * number))
        made.append(replace(one, begins_down=down, direction=direction))
    return made


def kinds_of(groups: tuple[GroupedSet, ...]) -> list[SetKind]:
    return [group.told.kind for group in groups]


PULL = (False, UPRIGHT)


@pytest.mark.parametrize(
    ("second", "kind", "unsure"),
    [
        ((True, LYING), PARTNER, False),
        ((True, UPRIGHT), PARTNER, False),  # a squat, a dip
        ((None, LYING), PARTNER, False),
        ((False, LYING), OWN, True),  # what speaks against it makes it unsure, not lost
        ((None, UPRIGHT), OWN, True),
        ((None, None), OWN, True),  # a sensor that is not worn
        ((False, UPRIGHT), OWN, False),  # the partner was skipped
    ],
)
def test_the_second_set_of_a_superset(
    second: tuple[bool | None, tuple[float, float, float] | None], kind: SetKind, unsure: bool
) -> None:
    told = group_bouts(bouts(PULL, second), ASKED)[1].told
    assert (told.kind, told.unsure) == (kind, unsure)


def test_out_of_order_both_other_signs_are_needed() -> None:
    for third, kind in (((True, LYING), PARTNER), ((None, LYING), OWN), ((True, UPRIGHT), OWN)):
        groups = group_bouts(bouts(PULL, (True, LYING), third), ASKED)
        assert groups[2].told.kind is kind
        assert groups[2].told.unsure == (kind is OWN)


def test_the_first_set_is_a_pull_whatever_it_looks_like() -> None:
    groups = group_bouts(bouts((True, LYING)), ASKED)
    assert kinds_of(groups) == [OWN]
    assert groups[0].told.unsure


def test_a_first_stroke_says_nothing_where_pulls_begin_with_sitting_down() -> None:
    sitting = (True, UPRIGHT)
    groups = group_bouts(bouts((None, UPRIGHT), sitting), replace(ASKED))
    assert kinds_of(groups) == [OWN, PARTNER]
    said = [Said(100.0, 101.0, OWN)]  # a person says that the second was a pull: now the third is read by that
    assert kinds_of(group_bouts(bouts((None, UPRIGHT), sitting, sitting), ASKED, said)) == [OWN, OWN, OWN]


def test_without_a_partner_every_set_counts() -> None:
    assert kinds_of(group_bouts(bouts(PULL, (True, LYING), PULL), PLAIN)) == [OWN] * 3


def test_sets_are_numbered_apart_and_the_rest_runs_from_the_partners_end() -> None:
    found = bouts(PULL, (True, LYING), PULL, (True, LYING))
    groups = group_bouts(found, ASKED)
    assert [(group.number, group.told.kind) for group in groups] == [(1, OWN), (1, PARTNER), (2, OWN), (2, PARTNER)]
    assert groups[2].rest_before_s == pytest.approx(200.0 - found[1].end_s)


def test_the_rest_is_not_known_where_the_partner_was_not_seen() -> None:
    groups = group_bouts(bouts(PULL, PULL), ASKED)
    assert groups[1].rest_before_s is None
    assert judged(groups[1], ASKED).verdict.rest_outcome is Outcome.NOT_MEASURABLE


def test_a_partners_set_is_kept_with_its_reps_and_counts_nothing() -> None:
    record = judged(group_bouts(bouts(PULL, (True, LYING)), ASKED)[1], ASKED)
    assert record.kind is PARTNER
    assert record.verdict.count == 0
    assert len(record.reps) == len(record.verdict.reps) == ASKED.reps
    assert record.verdict.outcome is Outcome.NOT_MEASURABLE


def test_an_unsure_set_counts_and_says_so() -> None:
    verdict = judged(group_bouts(bouts(PULL, (None, UPRIGHT)), ASKED)[1], ASKED).verdict
    assert verdict.count == ASKED.reps
    assert verdict.outcome is Outcome.MET
    assert verdict.remark == "Counted; it may have been the press-up."


def test_what_comes_later_does_not_change_whose_set_it_was() -> None:
    found = bouts(PULL, (True, LYING), PULL, (None, LYING), (False, LYING))
    whole = kinds_of(group_bouts(found, ASKED))
    for length in range(len(found)):
        assert kinds_of(group_bouts(found[:length], ASKED)) == whole[:length]
