"""A rung that names its grips is done with these, and beside them every rule stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from analysis.training.ladder import Ladder, Position
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Grip
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History
from tests.analysis.training.builders import make_session

MONDAY = date(2026, 3, 2)


def plan_with(*grips: Grip) -> TrainingPlan:
    plan = default_plan()
    rungs = list(plan.ladder.rungs)
    rungs[1] = replace(rungs[1], grips=grips)
    return replace(plan, ladder=Ladder(tuple(rungs)))


def after_weeks(plan: TrainingPlan, weeks: int, grip: Grip) -> NextSession:
    """All on one step, not met and getting better: nothing but the grip's rotation could change."""
    days = [MONDAY + timedelta(weeks=week, days=extra) for week in range(weeks) for extra in (0, 3)]
    done = [
        make_session(day, plan.ladder, Position(1, 2), grip=grip, counts=(5 + n // 2, 5, 5))
        for n, day in enumerate(days)
    ]
    return next_session(History(tuple(done)), plan, days[-1] + timedelta(days=4))


def test_the_first_session_has_the_first_grip_that_the_rung_allows() -> None:
    said = next_session(History(), plan_with(Grip.NEUTRAL, Grip.SUPINATED), MONDAY)
    assert said.prescription is not None
    assert said.prescription.grip is Grip.SUPINATED  # before neutral in the plan's own order


def test_the_rotation_keeps_to_the_rungs_grips() -> None:
    (free,) = {one.prescription.grip for one in [after_weeks(plan_with(), 4, Grip.PRONATED)] if one.prescription}
    assert free is Grip.SUPINATED
    kept = after_weeks(plan_with(Grip.PRONATED, Grip.NEUTRAL), 4, Grip.PRONATED)
    assert kept.prescription is not None
    assert kept.prescription.grip is Grip.NEUTRAL
    only = after_weeks(plan_with(Grip.PRONATED), 4, Grip.PRONATED)
    assert only.prescription is not None
    assert only.prescription.grip is Grip.PRONATED


def test_a_rung_without_an_allowed_grip_has_no_session_and_says_so() -> None:
    said = next_session(History(), plan_with(Grip.WIDE), MONDAY)
    assert said.prescription is None
    assert said.reasons[0].text.startswith("No session: the plan's grips hold none that the rung allows")
