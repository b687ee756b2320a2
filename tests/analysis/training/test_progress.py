"""How somebody gets on. What counts as progress is the issue's own list; Beckham et al. 2018 is in `test_figures`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from analysis.training.exercises import PULL_UP
from analysis.training.figures import most_pull_ups
from analysis.training.ladder import Method, Position
from analysis.training.plan import default_plan
from analysis.training.prescription import Grip, Tempo
from analysis.training.progress import Progress, gains, progress
from analysis.training.records import History, SessionRecord
from analysis.training.setup import SetUp
from tests.analysis.training.builders import make_session

PLAN = default_plan()
LADDER = PLAN.ladder
MONDAY = date(2026, 3, 2)


def session(week: int, extra: int, at: Position, **changes: object) -> SessionRecord:
    return make_session(MONDAY + timedelta(weeks=week, days=extra), LADDER, at, **changes)  # type: ignore[arg-type]


def taper(weeks: int, rung: int = 1) -> list[SessionRecord]:
    return [session(week, extra, Position(rung, week)) for week in range(weeks) for extra in (0, 3)]


def how(sessions: Sequence[SessionRecord], today: date | None = None) -> Progress:
    return progress(History(tuple(sessions)), PLAN, today or sessions[-1].day)


def measured(record: SessionRecord, speeds: Sequence[float], travel_m: float = 0.4) -> SessionRecord:
    """The session with a speed for each rep of its first set, the others without."""
    first, *others = record.sets
    reps = tuple(
        replace(rep, mean_velocity_m_s=speed, travel_m=travel_m) for rep, speed in zip(first.reps, speeds, strict=False)
    )
    return replace(record, sets=(replace(first, reps=reps), *others))


def test_nothing_done_is_no_progress_and_no_error() -> None:
    found = progress(History(), PLAN, MONDAY)
    assert (found.sessions, found.taper, found.gains, found.planned, found.estimate) == ((), None, (), 0, None)


def test_a_week_of_the_taper_is_told_beside_the_planned_one() -> None:
    on_time = how(taper(4), MONDAY + timedelta(weeks=3, days=3)).taper
    assert on_time is not None
    assert (on_time.week, on_time.planned_week, on_time.weeks, on_time.rest_s, on_time.planned_rest_s) == (
        4,
        4,
        7,
        75,
        75,
    )
    behind = how([*taper(2), *(session(week, 0, Position(1, 1)) for week in (2, 3))]).taper
    assert behind is not None
    assert (behind.week, behind.planned_week, behind.rest_s, behind.planned_rest_s) == (2, 4, 85, 75)
    late = how(taper(2), MONDAY + timedelta(weeks=30)).taper
    assert late is not None
    assert (late.planned_week, late.planned_rest_s) == (7, 60)


def test_the_taper_begins_anew_on_each_rung_and_stops_for_a_plateau_method() -> None:
    higher = [*taper(3), session(3, 0, Position(2, 0))]
    found = how(higher).taper
    assert found is not None
    assert (found.rung, found.week, found.planned_week) == ("heels-raised", 1, 1)
    assert how([*taper(3), session(3, 0, Position(1, 0, Method.PAUSED))]).taper is None


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (Position(1, 0), Position(1, 3), ("less rest: 90 → 75 s",)),
        (Position(4, 0), Position(4, 2), ("more reps: 3 → 5",)),
        (Position(1, 0, Method.PAUSED), Position(1, 7, Method.PAUSED), ("a longer pause: 2 → 3 s",)),
        (Position(1, 0, Method.SLOW_NEGATIVE), Position(1, 1, Method.SLOW_NEGATIVE), ("slower down: 2 → 3 s",)),
        (Position(1, 0), Position(1, 0, Method.ONE_AND_A_HALF), ("one and a half reps",)),
        (Position(5, 0), Position(5, 0, load_kg=2.5), ("more load: 0 → 2.5 kg",)),
        (Position(1, 6), Position(1, 6, more_sets=1), ("more sets: 3 → 4",)),
        (
            Position(1, 6),
            Position(2, 0),
            ("a higher rung: low-bar pull-up, feet on the floor → low-bar pull-up, heels raised",),
        ),
        (Position(2, 0), Position(1, 6), ()),
        (Position(1, 3), Position(1, 3), ()),
    ],
)
def test_progress_is_less_rest_more_reps_a_longer_pause_a_higher_rung_or_more_load(
    before: Position, after: Position, words: tuple[str, ...]
) -> None:
    assert gains(LADDER, before, after) == words


def test_gains_are_those_of_the_last_four_weeks() -> None:
    assert how(taper(7)).gains == ("less rest: 80 → 60 s",)
    assert how(taper(2), MONDAY + timedelta(weeks=30)).gains == ()


def test_adherence_counts_whole_weeks_and_no_more_than_planned_of_each() -> None:
    done = [session(0, 0, Position(1, 0)), session(0, 3, Position(1, 0)), session(0, 5, Position(1, 0))]
    later = session(2, 0, Position(1, 0))
    found = how([*done, later], MONDAY + timedelta(weeks=3, days=2))
    assert (found.done, found.planned) == (3, 6)
    assert (how(done).done, how(done).planned) == (0, 0)


def test_figures_of_a_session_are_means_and_sums_of_what_was_measured() -> None:
    found = how([measured(session(0, 0, Position(1, 0)), (0.5, 0.4, 0.3))]).sessions[0]
    assert found.velocity_m_s == pytest.approx(0.4)
    assert found.travel_m == pytest.approx(0.4)
    assert (found.reps, found.rest_s, found.rest_asked_s) == (45, 90, 90)
    assert found.tut_s == pytest.approx(45 * 2.0)  # 15 reps of a second up and a second down, three times
    bare = how([session(0, 0, Position(1, 0), rest_s=None)]).sessions[0]
    assert (bare.velocity_m_s, bare.travel_m, bare.rest_s) == (None, None, None)


def test_trends_are_of_sessions_that_compare_with_the_last() -> None:
    slower = [measured(session(n, 0, Position(1, n)), (0.5 - 0.05 * n,)) for n in range(5)]
    found = how(slower)
    speed = found.trends["velocity_m_s"]
    assert speed is not None
    assert (speed.direction, speed.points) == (-1, 5)
    assert speed.slope == pytest.approx(-0.05)
    other = replace(slower[0], set_up=SetUp(bar_cm=110))
    assert how([other, *slower[1:]]).alike == 4
    helped = [replace(one, set_up=SetUp(hand_share=0.5 + 0.03 * n)) for n, one in enumerate(slower)]
    assert how(helped).alike == 2  # .59 and .62: those before had more help of the feet
    turned = [*slower[:4], measured(session(4, 0, Position(1, 4), grip=Grip.NEUTRAL), (0.3,))]
    assert (how(turned).alike, how(turned).trends["velocity_m_s"]) == (1, None)


def test_the_most_pull_ups_are_estimated_only_from_full_effort_with_body_mass_alone() -> None:
    fast = session(0, 0, Position(4, 0))
    effort = replace(fast.prescription, tempo=Tempo(1, 0, None, 0))
    done = measured(replace(fast, prescription=effort), (0.45, 0.5, 0.4))
    assert effort.exercise.key == PULL_UP.key
    assert how([done]).estimate == most_pull_ups(0.5)
    paced = replace(done, prescription=fast.prescription)
    loaded = replace(done, prescription=replace(effort, load_kg=5.0))
    assert how([paced]).estimate is None
    assert how([loaded]).estimate is None
