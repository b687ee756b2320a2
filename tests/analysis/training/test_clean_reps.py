"""The clean-rep test within a plan: when it is asked for (no source), and that nothing moves by it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from analysis.training.clean_reps import clean_rep_results
from analysis.training.ladder import Position
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Grip
from analysis.training.progress import progress
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord
from analysis.training.schedule import schedule
from tests.analysis.training.builders import TRAINEE, make_session, make_test

MONDAY = date(2026, 3, 2)
PLAN = replace(default_plan(), test_weeks=3)


def weeks(*steps: int, rung: int = 1, plan: TrainingPlan = PLAN, **changes: object) -> list[SessionRecord]:
    """Two sessions a week, each week at its step."""
    return [
        make_session(MONDAY + timedelta(weeks=week, days=extra), plan.ladder, Position(rung, step), **changes)  # type: ignore[arg-type]
        for week, step in enumerate(steps)
        for extra in (0, 3)
    ]


def after(sessions: list[SessionRecord], plan: TrainingPlan = PLAN) -> NextSession:
    return next_session(History(tuple(sessions)), plan, sessions[-1].day + timedelta(days=3))


def rule(sessions: list[SessionRecord], plan: TrainingPlan = PLAN) -> str:
    return after(sessions, plan).reasons[0].rule


def test_the_test_comes_after_so_many_weeks_and_the_step_after_it() -> None:
    done = weeks(0, 1)
    assert rule(done) == "step"
    done = weeks(0, 1, 2)
    asked = after(done)
    assert asked.prescription is not None
    assert asked.reasons[0].rule == "test"
    assert (asked.rung, asked.step) == ("feet-on-floor", 3)
    assert asked.prescription.is_test
    assert asked.prescription.tempo == done[-1].prescription.tempo
    assert "this rung began on Mon 2 March 2026" in asked.reasons[0].text

    tested = [*done, make_test(asked.due, asked.prescription, asked.rung)]
    following = after(tested)
    assert following.prescription is not None
    assert (following.reasons[0].rule, following.step, following.prescription.rest_s) == ("step", 4, 75)
    plain = after(done, replace(PLAN, test_weeks=None)).prescription
    assert following.prescription == plain  # as if there had been no test


def test_three_weeks_after_one_test_comes_the_next_and_names_the_last() -> None:
    test = make_test(
        MONDAY + timedelta(days=20), PLAN.ladder.prescription(Position(1, 2), Grip.PRONATED).as_test(), "x"
    )
    on_rung = replace(test, rung="feet-on-floor")
    later = [replace(one, day=one.day + timedelta(days=2)) for one in weeks(0, 1, 2, 3, 4, 5)[6:]]
    assert rule([*weeks(0, 1, 2), on_rung, *later[:4]]) == "step"
    asked = after([*weeks(0, 1, 2), on_rung, *later])
    assert asked.reasons[0].rule == "test"
    assert "the last one was on Sun 22 March 2026" in asked.reasons[0].text
    assert "last test: 12 clean of 12 (Sun 22 March 2026)" in asked.reasons[0].evidence


@pytest.mark.parametrize(
    ("plan", "sessions"),
    [
        (replace(PLAN, test_weeks=None), weeks(0, 1, 2)),
        (replace(PLAN, test_weeks=4), weeks(0, 1, 2)),
        (replace(PLAN, high_blood_pressure=True), weeks(0, 1, 2)),
        (PLAN, [*weeks(0, 1, 2)[:-1], *weeks(0, 1, 2, counts=(15, 15, 12))[-1:]]),  # not met
        (PLAN, weeks(0, 1, 2)[:-1]),  # within a week
        (PLAN, weeks(0, 1, 2, rung=3)),  # holds at the top
        (PLAN, weeks(3, 4, 5, rung=3)),  # slow lowerings
        (replace(PLAN, ladder=default_plan().ladder, start="inverted-row"), weeks(0, 0, 0, rung=0)),  # typed in
    ],
)
def test_where_no_test_is_asked_for(plan: TrainingPlan, sessions: list[SessionRecord]) -> None:
    assert rule(sessions, plan) != "test"


def test_a_clinician_may_allow_it_in_spite_of_high_blood_pressure() -> None:
    careful = replace(PLAN, high_blood_pressure=True, blood_pressure_cleared_by="Dr Amrein")
    assert rule(weeks(0, 1, 2), careful) == "test"


def test_not_within_two_weeks_after_a_lay_off() -> None:
    away = [replace(one, day=one.day + timedelta(days=30)) for one in weeks(2)]
    assert rule([*weeks(0, 1, 2), *away]) != "test"


def test_the_grip_of_a_test_is_that_of_the_weeks_before_it() -> None:
    turning = replace(PLAN, grip_weeks=3)
    asked = after(weeks(0, 1, 2), turning).prescription
    assert asked is not None
    assert (asked.is_test, asked.grip) == (True, Grip.PRONATED)


def test_the_tests_are_listed_with_how_they_went() -> None:
    asked = PLAN.ladder.prescription(Position(1, 2), Grip.PRONATED).as_test()
    hasty = make_test(MONDAY + timedelta(days=20), asked, "feet-on-floor", down_s=0.4)
    dark = make_test(MONDAY + timedelta(days=41), asked, "feet-on-floor", measured=False)
    found = progress(History((*weeks(0, 1, 2), hasty, dark)), PLAN, MONDAY + timedelta(days=50)).tests
    assert [(one.clean, one.count) for one in found] == [(0, 12), (None, 12)]
    assert found[0].words == "0 clean of 12 (Sun 22 March 2026)"
    assert "tempo not checked" in found[1].words
    assert not list(clean_rep_results(tuple(weeks(0, 1))))


def test_the_coming_weeks_hold_the_test_and_go_on_after_it() -> None:
    coming = schedule(History(tuple(weeks(0, 1, 2))), PLAN, MONDAY + timedelta(days=20), trainee=TRAINEE)
    asked = [one.proposal.prescription for one in coming]
    assert [number for number, one in enumerate(asked) if one and one.is_test] == [0, 7]
    assert [one.rest_s for one in asked if one][1:4] == [75, 75, 70]
