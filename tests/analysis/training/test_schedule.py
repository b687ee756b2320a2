"""The coming weeks if all goes as asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.records import History
from analysis.training.schedule import schedule
from analysis.training.statements import Pain
from tests.analysis.training.builders import TRAINEE, make_session, utc_us

PLAN = default_plan()
MONDAY = date(2026, 3, 2)


def two_weeks(weeks: int = 2) -> History:
    """Met weeks on the second rung, with 90 s rest and then 5 s less a week."""
    days = [(MONDAY + timedelta(weeks=week, days=extra), week) for week in range(weeks) for extra in (0, 3)]
    return History(tuple(make_session(day, PLAN.ladder, Position(1, week)) for day, week in days))


def test_the_first_is_the_next_session_and_only_it_is_certain() -> None:
    today = MONDAY + timedelta(weeks=2)
    planned = schedule(two_weeks(), PLAN, today, trainee=TRAINEE)
    assert planned[0].proposal == next_session(two_weeks(), PLAN, today)
    assert [one.tentative for one in planned] == [False] + [True] * (len(planned) - 1)
    assert [one.number for one in planned] == list(range(5, 5 + len(planned)))


def test_met_weeks_go_on_with_the_taper_of_common_practice() -> None:
    """Rest 90, 85 done; 80, 75, 70, 65 follow, two sessions each."""
    planned = schedule(two_weeks(), PLAN, MONDAY + timedelta(weeks=2), trainee=TRAINEE)
    rests = [one.proposal.prescription.rest_s for one in planned if one.proposal.prescription]
    assert rests[:8] == [80, 80, 75, 75, 70, 70, 65, 65]


def test_days_keep_what_the_plan_says() -> None:
    today = MONDAY + timedelta(weeks=2)
    plan = replace(PLAN, weekdays=(1, 4))
    planned = schedule(two_weeks(), plan, today, trainee=TRAINEE)
    assert {one.day.weekday() for one in planned} == {1, 4}
    assert all((later.day - one.day).days > plan.days_between for one, later in pairwise(planned))
    assert planned[-1].day <= today + timedelta(weeks=4)
    fewer = schedule(two_weeks(), plan, today, trainee=TRAINEE, weeks=1)
    assert fewer == planned[: len(fewer)]
    assert 0 < len(fewer) < len(planned)


def test_where_no_session_is_allowed_nothing_is_planned() -> None:
    stop = Pain(said_utc_us=utc_us(MONDAY + timedelta(weeks=2)), day=MONDAY + timedelta(weeks=2), now=7)
    history = replace(two_weeks(), statements=(stop,))
    assert schedule(history, PLAN, MONDAY + timedelta(weeks=2), trainee=TRAINEE) == ()


def test_a_gate_that_waits_for_an_answer_stays_closed() -> None:
    """Seven met weeks; nobody has answered the questions of form, and planning ahead answers none."""
    planned = schedule(two_weeks(7), PLAN, MONDAY + timedelta(weeks=7), trainee=TRAINEE)
    assert {one.proposal.rung for one in planned} == {PLAN.ladder.rungs[1].key}


def test_a_new_trainee_has_a_schedule_from_today() -> None:
    planned = schedule(History(), PLAN, MONDAY, trainee=TRAINEE)
    assert (planned[0].day, planned[0].number) == (MONDAY, 1)
