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
    assert over.reasons[0].text == "The same again: 1 session was done in that week, and 2 make it whole."
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


def test_a_week_of_two_stays_whole_when_three_a_week_begin_after_week_eight() -> None:
    three = replace(PLAN, sessions_a_week=3, days_between=1)
    dates = [MONDAY + timedelta(weeks=week, days=extra) for week in range(8) for extra in (0, 3)]
    ninth = MONDAY + timedelta(weeks=8)
    assert ask(train(dates), ninth, three).reasons[0].rule == "step"
    two = ask(train([*dates, ninth, ninth + timedelta(days=2)]), ninth + timedelta(days=4), three)
    assert two.reasons[0].rule == "week"
    whole = [*dates, *(ninth + timedelta(days=extra) for extra in (0, 2, 4))]
    assert ask(train(whole), ninth + timedelta(days=7), three).reasons[0].rule == "step"
