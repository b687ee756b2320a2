"""Session load, week by week (Foster et al. 2001, JSCR 15:109; figures of the example worked out by hand)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from analysis.training.ladder import Position
from analysis.training.load import minutes_of, session_load, spread, weeks
from analysis.training.plan import default_plan
from analysis.training.records import SessionRecord, Source
from tests.analysis.training.builders import make_session

MONDAY = date(2026, 3, 2)
LADDER = default_plan().ladder


def session(day: date, rpe: int | None, minutes: float | None, **more: object) -> SessionRecord:
    made = make_session(day, LADDER, Position(1, 0))
    return replace(made, rpe=rpe, minutes=minutes, **more)  # type: ignore[arg-type]


def test_the_week_of_the_source() -> None:
    """240, 0, 175, 0, 315, 0, 0: total 730, SD (n − 1) 136.21, monotony 104.29 / 136.21 = .766."""
    found = spread((240, 0, 175, 0, 315, 0, 0))
    assert found.total == 730
    assert found.sd == pytest.approx(136.21, abs=0.005)
    assert found.monotony == pytest.approx(0.766, abs=0.0005)


def test_seven_days_alike_have_no_monotony() -> None:
    assert spread((0,) * 7).monotony is None


@pytest.mark.parametrize(
    ("rpe", "minutes", "source", "load"),
    [
        (6, 40, Source.TYPED, 240),
        (0, 40, Source.TYPED, 0),
        (6, None, Source.SENSOR, 360),  # from six to seven
        (6, None, Source.TYPED, None),
        (None, 40, Source.SENSOR, None),
    ],
)
def test_load_is_exertion_times_minutes(
    rpe: int | None, minutes: float | None, source: Source, load: float | None
) -> None:
    assert session_load(session(MONDAY, rpe, minutes, source=source)) == load


def test_a_session_broken_off_took_nobody_knows_how_long() -> None:
    assert minutes_of(session(MONDAY, 6, None, ended_utc_us=None)) is None


def test_the_same_week_from_sessions_and_the_change_to_the_next() -> None:
    first = [
        session(MONDAY + timedelta(days=n), rpe, minutes) for n, rpe, minutes in ((0, 6, 40), (2, 5, 35), (4, 7, 45))
    ]
    later = session(MONDAY + timedelta(days=20), 5, 20)
    one, two, three = weeks([later, *first])
    assert (one.monday, one.sessions, one.known, one.reps) == (MONDAY, 3, 3, 135)
    assert one.spread == spread((240, 0, 175, 0, 315, 0, 0))
    assert one.change is None
    assert (two.sessions, two.spread.total, two.change) == (0, 0, -730)  # type: ignore[union-attr]
    assert (three.monday, three.change) == (MONDAY + timedelta(days=14), 100)


def test_a_week_with_an_unknown_load_has_no_total_and_no_change() -> None:
    sessions = [session(MONDAY, 6, 40), session(MONDAY + timedelta(days=3), None, None, source=Source.TYPED)]
    unknown, after = weeks([*sessions, session(MONDAY + timedelta(days=7), 6, 40)])
    assert (unknown.spread, unknown.known, unknown.sessions) == (None, 1, 2)
    assert after.change is None


def test_no_session_no_week() -> None:
    assert weeks([]) == ()
