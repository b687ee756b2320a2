"""Who needs a look, and in which order. The order is the issue's own list; no outside source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from analysis.training.ladder import Method, Position
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Grip
from analysis.training.records import History, SessionRecord, Source
from analysis.training.roster import Look, Need, RosterRow, roster
from analysis.training.statements import Form, Pain, Question, Release, Role, Signs, Statement
from tests.analysis.training.builders import make_session, utc_us

PLAN = default_plan()
MONDAY = date(2026, 3, 2)
TODAY = MONDAY + timedelta(days=28)
FLOOR, LAST = Position(1, 2), Position(1, 6)
SHORT = {"counts": (15, 12, 15)}


def train(weeks: Sequence[int], at: Position = FLOOR, **changes: object) -> tuple[SessionRecord, ...]:
    days = [MONDAY + timedelta(weeks=week, days=extra) for week in weeks for extra in (0, 3)]
    return tuple(make_session(day, PLAN.ladder, at, **changes) for day in days)  # type: ignore[arg-type]


def row(
    sessions: Sequence[SessionRecord] = (),
    said: Sequence[Statement] = (),
    plan: TrainingPlan = PLAN,
    today: date = TODAY,
) -> RosterRow:
    (found,) = roster([("Jonas", plan, History(tuple(sessions), tuple(said)))], today)
    return found


def needs(found: RosterRow) -> list[Need]:
    return [one.need for one in found.looks]


def pain(now: int, day: date = TODAY, **more: object) -> Pain:
    return Pain(said_utc_us=utc_us(day, 8), day=day, now=now, **more)  # type: ignore[arg-type]


def answer(question: Question, *, yes: bool, day: date = TODAY) -> Form:
    return Form(said_utc_us=utc_us(day, 8), day=day, question=question, yes=yes, by="Ada Brunn")


def test_who_is_on_the_way_needs_no_look() -> None:
    found = row(train([3]))
    assert found.looks == ()
    assert (found.upcoming.rung, found.upcoming.step, found.upcoming.steps) == ("feet-on-floor", 4, 7)
    assert (found.last, found.pain) == (MONDAY + timedelta(days=24), None)


def test_pain_and_stops_are_told_with_where_and_what_reopens_them() -> None:
    assert row(train([3]), [pain(3)]).looks == ()
    assert row(train([3]), [pain(4, where="elbow")]).looks == (Look(Need.PAIN, "4 of 10 (elbow)"),)
    stopped = row(train([3]), [pain(7)])
    assert stopped.looks == (Look(Need.STOP, "pain 7 of 10 on Mon 30 March 2026"),)
    assert stopped.upcoming.prescription is None
    sharp = row(train([3]), [pain(1, sharp=True)])
    assert sharp.looks[0].text.endswith("needs a release")
    released = Release(said_utc_us=utc_us(TODAY, 9), day=TODAY, role=Role.COACH, by="Ada Brunn")
    back = row(train([3]), [pain(1, sharp=True), released]).looks
    assert back == (Look(Need.PAIN, "one rung back after the stop of Mon 30 March 2026"),)
    signs = Signs(said_utc_us=utc_us(TODAY, 8), day=TODAY, any=True)
    assert row(train([3]), [signs]).looks[0].text.startswith("warning signs")


def test_a_stall_and_what_is_too_hard_are_told() -> None:
    assert row(train([2, 3], **SHORT)).looks == (Look(Need.STALL, "two weeks not met, now one-and-a-half"),)
    assert needs(row(train([3], down_s=0.5))) == [Need.TOO_HARD]


def test_a_stall_that_nothing_is_left_for_stays_in_sight_in_mid_week_too() -> None:
    plan = replace(PLAN, grips=(Grip.PRONATED,))
    tried = [method for method in Method if method is not Method.OWN]
    before = [make_session(MONDAY + timedelta(days=n), PLAN.ladder, Position(1, 0, one)) for n, one in enumerate(tried)]
    stuck = train([1, 2, 3], **SHORT)
    assert row([*before, *stuck[:-1]], plan=plan).looks == (Look(Need.STALL, "two weeks not met"),)
    whole = row([*before, *stuck], plan=plan)
    assert whole.looks == (Look(Need.STALL, "two weeks not met"),)
    assert whole.upcoming.reasons[0].text.endswith("your coach decides what changes.")


def test_skipped_sessions_are_counted() -> None:
    assert row(train([2]), today=TODAY).looks == (Look(Need.SKIPPED, "2 sessions, 11 days off"),)
    assert needs(row(train([0]))) == [Need.SKIPPED]
    assert needs(row(train([0]), [pain(8)])) == [Need.STOP]


def test_who_skips_one_each_week_is_seen_though_never_two_running() -> None:
    weekly = [make_session(MONDAY + timedelta(weeks=week), PLAN.ladder, FLOOR) for week in range(4)]
    today = MONDAY + timedelta(weeks=4)
    assert row(weekly, today=today).looks == (Look(Need.SKIPPED, "in each of the last two weeks a session"),)
    caught_up = [*weekly, *(make_session(today + timedelta(days=n), PLAN.ladder, FLOOR) for n in (0, 3))]
    assert row(caught_up, today=today + timedelta(days=4)).looks == ()


def test_a_step_up_waits_for_answers_and_says_for_which() -> None:
    at_gate = train([3], LAST)
    waiting = row(at_gate)
    assert needs(waiting) == [Need.STEP_UP, Need.FORM]
    assert waiting.looks[0].text == "waits for form"
    assert waiting.looks[1].text == f"{Question.BLADES.value}? {Question.BACK.value}?"
    one = row(at_gate, [answer(Question.BLADES, yes=True), answer(Question.BACK, yes=False)])
    assert one.looks[1] == Look(Need.FORM, f"not yet: {Question.BACK.value}")
    both = row(at_gate, [answer(one, yes=True) for one in Question])
    assert both.looks == (Look(Need.STEP_UP, "to heels-raised"),)


def test_a_step_up_waits_for_somebody_who_saw_what_was_typed_in() -> None:
    typed = [replace(one, source=Source.TYPED) for one in train([3], LAST)]
    said = [answer(one, yes=True) for one in Question]
    (alone,) = row(typed, said).looks
    assert alone.need is Need.STEP_UP
    assert alone.text.startswith("waits because a session of this week was typed in and nobody saw it")
    seen = [replace(one, seen_by="Ada Brunn") for one in typed]
    assert row(seen, said).looks == (Look(Need.STEP_UP, "to heels-raised"),)


def test_a_step_up_that_the_plan_holds_back_is_not_called_a_step_up() -> None:
    said = [answer(one, yes=True) for one in Question]
    pressed = replace(PLAN, high_blood_pressure=True)
    (held,) = row(train([3], Position(2, 6)), said, plan=pressed).looks
    assert held.need is Need.STEP_UP
    assert held.text.startswith("held back: With high blood pressure no long or heavy holds")
    assert row(train([3], Position(2, 6)), said).looks == (Look(Need.STEP_UP, "to box"),)


def test_questions_of_form_are_open_from_the_last_step_on_and_not_where_the_ladder_ends() -> None:
    assert needs(row(train([3], LAST)[:1], today=MONDAY + timedelta(days=24))) == [Need.FORM]
    assert needs(row(train([3], Position(1, 5)))) == []
    assert needs(row(train([3], Position(5, 0)))) == []


def test_a_plan_that_allows_no_session_is_told() -> None:
    bare = TrainingPlan(ladder=PLAN.ladder, equipment=frozenset())
    assert needs(row(train([3]), plan=bare)) == [Need.NO_SESSION]


def test_those_come_first_who_need_a_look_most_then_who_is_longest_away() -> None:
    people = {
        "well": History(train([3])),
        "new": History(),
        "gate": History(train([3], LAST)),
        "away": History(train([1])),
        "longer away": History(train([0])),
        "stalled": History(train([2, 3], **SHORT)),
        "sore": History(train([3]), (pain(5),)),
        "stopped": History(train([3]), (pain(6),)),
    }
    rows = roster([(name, PLAN, log) for name, log in people.items()], TODAY)
    assert [one.name for one in rows] == [
        "stopped",
        "sore",
        "stalled",
        "longer away",
        "away",
        "gate",
        "new",
        "well",
    ]
