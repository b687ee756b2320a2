"""Sessions that people tell. What they count for is the ladder's own rule, no outside source."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from analysis.training.ladder import Method, Position
from analysis.training.plan import default_plan
from analysis.training.prescription import Grip
from analysis.training.progression import next_session
from analysis.training.records import History, SessionRecord, Source
from analysis.training.rungs import top_hold_rung
from analysis.training.standing import standing
from analysis.training.statements import Pain
from analysis.training.told import (
    AS_TOLD,
    ToldError,
    ToldSession,
    asked_on,
    judge_told,
    pain_after,
    told_session,
    told_sets,
)
from analysis.training.verdict import Outcome
from tests.analysis.training.builders import TRAINEE, make_session, utc_us

PLAN = default_plan()
FLOOR = PLAN.ladder.prescription(Position(1, 0), Grip.PRONATED)
HOLD = top_hold_rung().prescription(0)
MONDAY = date(2026, 3, 2)


def told(day: date = MONDAY, counts: tuple[int, ...] = (15, 15, 15), **more: object) -> ToldSession:
    return ToldSession(day=day, counts=counts, **{"rests_s": (90.0,), **more})  # type: ignore[arg-type]


def record(said: ToldSession, history: History = History()) -> SessionRecord:  # noqa: B008
    began = utc_us(said.day)
    return told_session(said, history, PLAN, session_id=TRAINEE, trainee=TRAINEE, span_utc_us=(began, began))


@pytest.mark.parametrize(
    ("count", "rest_s", "outcome", "rest", "remark"),
    [
        (15, None, Outcome.MET, Outcome.NOT_MEASURABLE, AS_TOLD),
        (17, 95.0, Outcome.MET, Outcome.MET, AS_TOLD),
        (15, 96.0, Outcome.MET, Outcome.MISSED, "Rested 96 s, asked 90 s."),
        (14, 96.0, Outcome.MISSED, Outcome.MISSED, "14 of 15 reps."),
        (0, 90.0, Outcome.MISSED, Outcome.MET, "0 of 15 reps."),
    ],
)
def test_a_told_set_is_judged_by_count_and_rest(
    count: int, rest_s: float | None, outcome: Outcome, rest: Outcome, remark: str
) -> None:
    found = judge_told(count, FLOOR, rest_before_s=rest_s)
    assert (found.outcome, found.rest_outcome, found.remark) == (outcome, rest, remark)
    assert found.tempo_outcome is Outcome.NOT_MEASURABLE
    assert (found.tut_s, found.in_tempo, found.reps) == (None, 0, ())


@pytest.mark.parametrize(("seconds", "outcome"), [(10, Outcome.MET), (8, Outcome.MET), (7, Outcome.MISSED)])
def test_a_told_hold_is_judged_by_its_seconds(seconds: int, outcome: Outcome) -> None:
    """10 s asked; the tolerance of every phase is 20 %."""
    found = judge_told(seconds, HOLD, rest_before_s=None)
    assert (found.outcome, found.tut_s, found.target_tut_s, found.held) == (outcome, float(seconds), 10.0, True)


def test_one_rest_holds_for_every_gap_and_each_gap_may_have_its_own() -> None:
    assert [one.rest_before_s for one in told_sets((15, 15, 15), FLOOR, (90,))] == [None, 90, 90]
    assert [one.rest_before_s for one in told_sets((15, 15, 15), FLOOR, (90, 80))] == [None, 90, 80]
    assert [one.rest_before_s for one in told_sets((15, 15), FLOOR, ())] == [None, None]
    assert [one.rest_before_s for one in told_sets((15,), FLOOR, (90,))] == [None]
    with pytest.raises(ToldError, match="2 rests"):
        told_sets((15, 15, 15), FLOOR, (90, 80, 70))


def test_a_session_is_met_by_its_sets_and_counts_on_the_ladder_only_with_its_rests() -> None:
    done = record(told())
    assert (done.outcome, done.source, done.confirmed) == (Outcome.MET, Source.TYPED, False)
    assert standing(done).outcome is Outcome.MET
    assert record(told(seen_by="Ada Brunn")).confirmed
    assert standing(record(told(rests_s=()))).outcome is Outcome.NOT_MEASURABLE
    assert standing(record(told(rests_s=(120.0,)))).outcome is Outcome.MISSED
    assert record(told(counts=(15, 15))).outcome is Outcome.MISSED
    assert AS_TOLD in done.verdict.summary


def test_what_was_asked_is_what_was_proposed_that_day_whatever_came_later() -> None:
    first = [record(told(MONDAY + timedelta(days=extra))) for extra in (0, 3)]
    later = [record(told(MONDAY + timedelta(days=7)), History(tuple(first)))]
    history = History((*first, *later))
    day = MONDAY + timedelta(days=7)
    assert later[0].prescription.rest_s == 85
    assert asked_on(History(tuple(first)), PLAN, day).prescription.rest_s == 85
    assert asked_on(history, PLAN, MONDAY).prescription == first[0].prescription
    assert (
        asked_on(History(tuple(first)), PLAN, day).prescription
        == next_session(History(tuple(first)), PLAN, day).prescription
    )


def test_another_rung_is_taken_where_it_was_left() -> None:
    heels = make_session(MONDAY, PLAN.ladder, Position(2, 4), grip=Grip.SUPINATED)
    floor = make_session(MONDAY + timedelta(days=3), PLAN.ladder, Position(1, 2))
    history, day = History((heels, floor)), MONDAY + timedelta(days=7)
    there = asked_on(history, PLAN, day, "heels-raised")
    assert (there.prescription.rest_s, there.prescription.grip) == (70, Grip.SUPINATED)
    fresh = asked_on(history, PLAN, day, "inverted-row")
    assert (fresh.rung, fresh.method, fresh.prescription.exercise.key) == ("inverted-row", Method.OWN, "inverted-row")
    with pytest.raises(ToldError, match="feet-on-floor"):
        asked_on(history, PLAN, day, "dip")


def test_where_no_session_was_allowed_the_rung_must_be_named() -> None:
    pain = Pain(said_utc_us=utc_us(MONDAY, 8), day=MONDAY, now=7)
    history = History((), (pain,))
    with pytest.raises(ToldError, match=r"pain 7 of 10.*--rung"):
        asked_on(history, PLAN, MONDAY)
    assert asked_on(history, PLAN, MONDAY, "feet-on-floor").prescription.reps == 15
    assert asked_on(history, PLAN, MONDAY - timedelta(days=1)).prescription.reps == 15


def test_grip_and_load_are_as_used_and_pain_is_said_after_it() -> None:
    said = told(grip=Grip.NEUTRAL, load_kg=-10.0, pain=4, where="elbow")
    done = record(said)
    assert done.prescription == replace(
        asked_on(History(), PLAN, MONDAY).prescription, grip=Grip.NEUTRAL, load_kg=-10.0
    )
    pain = pain_after(said, done)
    assert pain is not None
    assert (pain.now, pain.where, pain.day) == (4, "elbow", MONDAY)
    assert pain.said_utc_us > done.started_utc_us
    assert pain_after(told(), done) is None
