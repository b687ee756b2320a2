"""The climb of a rung. Expected figures follow from the default ladder's rest taper (90, 85, … 60 s, one a week)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from analysis.training.climb import Climb, climb
from analysis.training.ladder import Method, Position
from analysis.training.plan import default_plan
from analysis.training.records import History, SessionRecord
from analysis.training.verdict import Outcome
from tests.analysis.training.builders import make_session

PLAN = default_plan()
MONDAY = date(2026, 3, 2)


def session(days: int, rung: int, step: int, method: Method = Method.OWN, **changes: object) -> SessionRecord:
    at = Position(rung, step, method)
    return make_session(MONDAY + timedelta(days=days), PLAN.ladder, at, **changes)  # type: ignore[arg-type]


def climbed(*sessions: SessionRecord, days: int) -> Climb:
    found = climb(History(sessions), PLAN, MONDAY + timedelta(days=days))
    assert found is not None
    return found


def test_before_the_first_session_there_is_none() -> None:
    assert climb(History(), PLAN, MONDAY) is None


def test_the_rest_taper_is_planned_week_by_week_and_done_as_it_was_kept() -> None:
    found = climbed(session(0, 1, 0), session(3, 1, 0, rest_s=97.0), session(7, 1, 1), days=10)
    assert (found.rung, found.of_rest, found.planned) == ("feet-on-floor", True, (90, 85, 80, 75, 70, 65, 60))
    assert found.week == pytest.approx(10 / 7)
    assert [(one.week, one.asked, one.kept) for one in found.done] == [(0, 90, 90), (3 / 7, 90, 97), (1, 85, 85)]
    assert {one.outcome for one in found.done} == {Outcome.MET}


def test_a_rest_that_is_not_known_is_not_made_up() -> None:
    made = session(0, 1, 0)
    first, second, third = made.sets
    found = climbed(replace(made, sets=(first, replace(second, rest_before_s=None), third)), days=1)
    assert [one.kept for one in found.done] == [None]


def test_a_rung_whose_steps_ask_for_more_reps_is_climbed_in_steps() -> None:
    found = climbed(session(0, 4, 0), session(3, 4, 1), days=3)
    assert (found.rung, found.of_rest, found.planned) == ("pull-up", False, (1, 2, 3, 4, 5, 6))
    assert [one.asked for one in found.done] == [1, 2]


def test_it_begins_anew_with_each_rung_and_each_method() -> None:
    found = climbed(session(0, 1, 0), session(3, 2, 0), session(7, 2, 1), session(14, 1, 3), days=14)
    assert [one.asked for one in found.done] == [75]
    paused = climbed(session(0, 1, 6), session(7, 1, 0, Method.PAUSED), days=7)
    assert (paused.method, len(paused.done), paused.week) == (Method.PAUSED, 1, 0)
    assert not paused.of_rest  # 90 to 60 s three times over, each with a longer pause
