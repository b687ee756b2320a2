"""Which sessions make a week. The issue: skipped is not done; a week is met when all its planned sessions are met."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from analysis.training.ladder import Position
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Grip
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord
from tests.analysis.training.builders import make_session

PLAN = default_plan()
MONDAY = date(2026, 3, 2)


def train(dates: Sequence[date]) -> list[SessionRecord]:
    return [make_session(day, PLAN.ladder, Position(1, 2)) for day in dates]


def ask(sessions: Sequence[SessionRecord], today: date, plan: TrainingPlan = PLAN) -> NextSession:
    return next_session(History(tuple(sessions), ()), plan, today)


def test_a_week_with_a_skipped_session_is_not_met_and_the_next_one_begins_anew() -> None:
    first, thursday, second = MONDAY, MONDAY + timedelta(days=10), MONDAY + timedelta(days=7)
    over = ask(train([first]), second)
    assert (over.reasons[0].rule, over.step) == ("week", 3)
    assert over.reasons[0].text == "The same again: of that week's 2 sessions 1 was done, the rest skipped."
    lacking = ask(train([first, second]), thursday)
    assert (lacking.reasons[0].rule, lacking.step) == ("week", 3)
    whole = ask(train([first, second, thursday]), MONDAY + timedelta(days=14))
    assert (whole.reasons[0].rule, whole.step) == ("step", 4)
    late = ask(train([first, MONDAY + timedelta(days=6)]), MONDAY + timedelta(days=9))
    assert late.reasons[0].rule == "step"  # put off within its week is not skipped


def test_who_skips_one_of_two_each_week_gets_no_less_rest_and_yet_another_grip() -> None:
    weekly = [MONDAY + timedelta(weeks=week) for week in range(8)]
    again = ask(train(weekly), MONDAY + timedelta(weeks=8))
    assert (again.reasons[0].rule, again.step) == ("week", 3)
    assert again.prescription is not None
    assert again.prescription.grip is Grip.SUPINATED
    once = replace(PLAN, sessions_a_week=1)
    assert ask(train(weekly[:1]), weekly[1], once).reasons[0].rule == "step"
