"""Too hard, skipped, stalled; load, volume, the gate; grip, equipment, blood pressure. Figures: common practice, no
source, but for the 2-for-2 rule (Baechle & Earle 2006)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from analysis.motion.mounts import Mount
from analysis.training.ladder import Method, Position
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Exercise, Grip
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord, Source
from analysis.training.setup import SetUp
from analysis.training.statements import Form, Question, Statement
from tests.analysis.training.builders import make_session, utc_us

PLAN = default_plan()
LADDER = PLAN.ladder
MONDAY = date(2026, 3, 2)
FLOOR = Position(1, 2)


def days(weeks: int, first: int = 0) -> list[date]:
    return [MONDAY + timedelta(weeks=week, days=extra) for week in range(first, first + weeks) for extra in (0, 3)]


def train(dates: Sequence[date], at: Position = FLOOR, **changes: object) -> list[SessionRecord]:
    return [make_session(day, LADDER, at, **changes) for day in dates]  # type: ignore[arg-type]


def ask(
    sessions: Sequence[SessionRecord], today: date, plan: TrainingPlan = PLAN, said: Sequence[Statement] = ()
) -> NextSession:
    return next_session(History(tuple(sessions), tuple(said)), plan, today)


def after(sessions: Sequence[SessionRecord], plan: TrainingPlan = PLAN, said: Sequence[Statement] = ()) -> NextSession:
    return ask(sessions, sessions[-1].day + timedelta(days=4), plan, said)


def answers(day: date, *, yes: bool = True) -> list[Form]:
    return [Form(said_utc_us=utc_us(day, 8), day=day, question=one, yes=yes, by="Ada Brunn") for one in Question]


QUICK = {"down_s": 0.5}
SHORT = {"counts": (15, 12, 15)}


def test_the_same_fault_once_is_cued_twice_takes_reps_off_and_then_a_rung() -> None:
    one = after(train(days(1)[:1], **QUICK))
    assert one.cue == "Slower: lowering too quick last time."
    assert (one.reasons[0].rule, one.prescription.reps) == ("not met", 15)  # type: ignore[union-attr]
    two = after(train(days(1), **QUICK))
    assert (two.reasons[0].rule, two.rung, two.prescription.reps) == ("too hard", "feet-on-floor", 10)  # type: ignore[union-attr]
    assert two.prescription.rest_s == 80  # type: ignore[union-attr]
    eased = replace(FLOOR, fewer_reps=5)
    more = [*train(days(1), **QUICK), *train(days(1, 1), eased, **QUICK)]
    assert (after(more).reasons[0].rule, after(more).rung) == ("too hard", "inverted-row")


def test_fewer_reps_done_well_lead_back_to_all_of_them() -> None:
    well = [*train(days(1), **QUICK), *train(days(1, 1), replace(FLOOR, fewer_reps=5))]
    back = after(well)
    assert (back.reasons[0].rule, back.prescription.reps, back.prescription.rest_s) == ("step", 15, 80)  # type: ignore[union-attr]
    assert back.reasons[0].text.startswith("Reps 10 → 15")


def test_another_fault_the_second_time_is_not_the_same_one() -> None:
    mixed = [*train(days(1)[:1], **QUICK), *train(days(1)[1:], up_s=3.0)]
    assert after(mixed).reasons[0].rule == "not met"


@pytest.mark.parametrize(("off", "rule", "rest_s"), [(7, "step", 75), (8, "skipped", 80), (13, "skipped", 80)])
def test_two_skipped_running_are_the_last_met_step_again(off: int, rule: str, rest_s: float) -> None:
    sessions = train(days(1))
    following = ask(sessions, sessions[-1].day + timedelta(days=off))
    assert (following.reasons[0].rule, following.prescription.rest_s) == (rule, rest_s)  # type: ignore[union-attr]


def test_what_was_skipped_goes_back_to_what_was_met_not_to_what_was_missed() -> None:
    sessions = [*train(days(1), Position(1, 1)), *train(days(1, 1), FLOOR, **SHORT)]
    following = ask(sessions, sessions[-1].day + timedelta(days=9))
    assert (following.reasons[0].rule, following.prescription.rest_s) == ("skipped", 85)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("changes", "method"),
    [
        (SHORT, Method.ONE_AND_A_HALF),
        ({**SHORT, "down_s": 0.5}, Method.SLOW_NEGATIVE),
    ],
)
def test_a_stall_of_two_weeks_takes_the_method_that_fits(changes: dict, method: Method) -> None:
    begun = train(days(2))
    stalled = [*begun, *train(days(2, 2), Position(1, 3), **changes)]
    if method is Method.SLOW_NEGATIVE:  # every other session: twice running would be too hard
        stalled = [
            *begun,
            *(
                one
                for pair in zip(
                    train(days(2, 2)[::2], Position(1, 3), **changes),
                    train(days(2, 2)[1::2], Position(1, 3), **SHORT),
                    strict=True,
                )
                for one in pair
            ),
        ]
    following = after(stalled)
    assert (following.reasons[0].rule, following.method, following.step) == ("stall", method, 1)
    assert following.prescription is not None
    assert (following.prescription.reps, following.prescription.rest_s) == (10, 90)


def test_a_stall_that_slows_near_the_top_takes_the_pauses() -> None:
    stalled = train(days(2), Position(1, 3), **SHORT)
    slow = [
        replace(one, sets=tuple(replace(each, verdict=replace(each.verdict, slowing=1.3)) for each in one.sets))
        for one in stalled
    ]
    assert after(slow).method is Method.PAUSED


def test_where_every_method_was_tried_a_harder_grip_is_the_answer_and_the_coach_where_there_is_none() -> None:
    tried = [*train(days(1), Position(1, 0, Method.ONE_AND_A_HALF)), *train(days(1, 1), Position(1, 0, Method.PAUSED))]
    stalled = train(days(2, 2), Position(1, 3), grip=Grip.NEUTRAL, **SHORT)
    harder = after([*tried, *stalled])
    assert (harder.reasons[0].rule, harder.method, harder.prescription.rest_s) == ("stall", Method.OWN, 75)  # type: ignore[union-attr]
    assert harder.prescription.grip is Grip.SUPINATED  # type: ignore[union-attr]
    nothing = after([*tried, *stalled], replace(PLAN, grips=(Grip.NEUTRAL,)))
    assert (nothing.reasons[0].rule, nothing.method, nothing.step) == ("stall", Method.OWN, 4)
    assert nothing.reasons[0].text.endswith("The same again; your coach decides what changes.")


def test_more_reps_another_grip_or_another_set_up_is_no_stall() -> None:
    begun, weeks = train(days(2)), days(2, 2)
    for later in (
        train(weeks[2:], Position(1, 3), counts=(15, 13, 15)),
        train(weeks[2:], Position(1, 3), grip=Grip.NEUTRAL, **SHORT),
        [replace(one, set_up=SetUp(bar_cm=105.0)) for one in train(weeks[2:], Position(1, 3), **SHORT)],
    ):
        following = after([*begun, *train(weeks[:2], Position(1, 3), **SHORT), *later])
        assert following.reasons[0].rule == "not met"


def test_a_stall_is_told_of_weeks_with_the_same_share_on_the_hands_only() -> None:
    begun, weeks = train(days(2)), days(2, 2)
    for share, rule in ((0.61, "stall"), (None, "stall"), (0.7, "not met"), (0.5, "not met")):
        first = [replace(one, set_up=SetUp(hand_share=0.6)) for one in train(weeks[:2], Position(1, 3), **SHORT)]
        later = [replace(one, set_up=SetUp(hand_share=share)) for one in train(weeks[2:], Position(1, 3), **SHORT)]
        following = after([*begun, *first, *later])
        assert following.reasons[0].rule == rule
        assert following.hand_share == (0.6 if share is None else share)


def test_a_plateau_method_leads_back_to_the_step_that_stalled_and_never_to_less_rest_and_more_reps_at_once() -> None:
    stalled = train(days(2), Position(1, 3), **SHORT)
    block = LADDER.rungs[1].block(Method.ONE_AND_A_HALF)
    done = train(days(1, 2), Position(1, len(block) - 1, Method.ONE_AND_A_HALF))
    back = after([*stalled, *done])
    assert (back.reasons[0].rule, back.method, back.prescription.rest_s) == ("plateau", Method.OWN, 75)  # type: ignore[union-attr]
    early = after([*stalled, *train(days(6, 2), Position(1, 1, Method.ONE_AND_A_HALF))])
    assert (early.reasons[0].rule, early.prescription.rest_s) == ("plateau", 85)  # type: ignore[union-attr]


def test_in_a_plateau_block_the_pause_and_the_rest_alternate() -> None:
    taper_end = after(train(days(1), Position(1, 6, Method.PAUSED))).prescription
    assert taper_end is not None
    assert (taper_end.tempo.top_s, taper_end.rest_s) == (3, 90)
    then = after(train(days(1), Position(1, 7, Method.PAUSED))).prescription
    assert then is not None
    assert (then.tempo.top_s, then.rest_s) == (3, 85)


def test_two_for_two_raises_the_load() -> None:
    # Baechle & Earle 2006: 3 × 5 with 7 reps in set 3, twice running
    at = Position(5, 0, load_kg=2.5)
    over = train(days(1), at, counts=(5, 5, 7))
    raised = after(over)
    assert (raised.reasons[0].rule, raised.prescription.load_kg) == ("load", 5.0)  # type: ignore[union-attr]
    once = [*train(days(1)[:1], at, counts=(5, 5, 6)), *over[1:]]
    assert (after(once).reasons[0].rule, after(once).prescription.load_kg) == ("load", 2.5)  # type: ignore[union-attr]


LAST = Position(1, 6)


def test_the_gate_waits_for_both_answers_and_says_so() -> None:
    sessions = train(days(1), LAST)
    today = sessions[-1].day + timedelta(days=4)
    waiting = ask(sessions, today)
    assert (waiting.rung, waiting.step, waiting.reasons[0].rule) == ("feet-on-floor", 7, "gate")
    for question in Question:
        assert question.value in waiting.reasons[0].text
    assert ask(sessions, today, said=answers(today)).rung == "heels-raised"
    assert ask(sessions, today, said=answers(today)[:1]).rung == "feet-on-floor"
    assert ask(sessions, today, said=answers(today, yes=False)).rung == "feet-on-floor"
    assert ask(sessions, today, said=answers(today - timedelta(days=14))).rung == "heels-raised"
    assert ask(sessions, today, said=answers(today - timedelta(days=15))).rung == "feet-on-floor"


@pytest.mark.parametrize("changes", [{"sd_s": 0.5}, {"rest_s": 66.0}, {"counts": (15, 15, 14)}, {"measured": False}])
def test_the_gate_opens_on_full_confirmed_reps_and_kept_rests_only(changes: dict) -> None:
    sessions = [*train(days(1)[:1], LAST), *train(days(1)[1:], LAST, **changes)]
    assert after(sessions, said=answers(sessions[-1].day)).rung == "feet-on-floor"
    kept = [*train(days(1)[:1], LAST), *train(days(1)[1:], LAST, rest_s=65.0)]
    assert after(kept, said=answers(kept[-1].day)).rung == "heels-raised"


def test_a_typed_session_opens_the_gate_only_where_somebody_saw_it() -> None:
    typed = [replace(one, source=Source.TYPED) for one in train(days(1), LAST)]
    said = answers(typed[-1].day)
    assert "nobody saw it" in after(typed, said=said).reasons[0].text
    seen = [replace(one, seen_by="Ada Brunn") for one in typed]
    assert after(seen, said=said).rung == "heels-raised"


def test_the_session_that_opens_the_gate_is_done_without_another_exercise_in_turn() -> None:
    squat = Exercise("squat", "squat", Mount.BODY)
    alone, last = train(days(1), LAST)
    in_turn = replace(last, prescription=replace(last.prescription, partner=squat))
    said = answers(last.day)
    waiting = after([alone, in_turn], said=said)
    assert waiting.rung == "feet-on-floor"
    assert "done without" in waiting.reasons[0].text
    assert after([alone, last], said=said).rung == "heels-raised"


def test_more_sets_only_where_the_coach_chose_volume_and_after_two_weeks_met() -> None:
    rungs = tuple(replace(rung, volume=rung.key == "feet-on-floor") for rung in LADDER.rungs)
    plan = replace(PLAN, ladder=replace(LADDER, rungs=rungs))
    one, two = train(days(1), LAST), train(days(2), LAST)
    said = answers(two[-1].day)
    assert after(one, plan, said).prescription.sets == 3  # type: ignore[union-attr]
    more = after(two, plan, said)
    assert (more.reasons[0].rule, more.prescription.sets, more.prescription.rest_s) == ("volume", 4, 60)  # type: ignore[union-attr]
    five = [make_session(day, plan.ladder, replace(LAST, more_sets=2), counts=(15,) * 5) for day in days(2)]
    assert after(five, plan, said).prescription.sets == 5  # type: ignore[union-attr]


def test_a_rung_whose_equipment_is_not_at_hand_is_passed_over_or_not_reached() -> None:
    without_block = replace(PLAN, equipment=PLAN.equipment - {"block"})
    sessions = train(days(1), LAST)
    assert after(sessions, without_block, answers(sessions[-1].day)).rung == "box"
    low_bar = replace(PLAN, equipment=frozenset({"low-bar"}))
    ends = after(sessions, low_bar, answers(sessions[-1].day))
    assert (ends.rung, ends.reasons[0].rule) == ("feet-on-floor", "top")
    assert "block" in ends.reasons[0].text
    nothing = ask([], MONDAY, replace(PLAN, equipment=frozenset()))
    assert nothing.prescription is None


def test_grip_changes_after_its_weeks_and_a_harder_one_is_the_one_harder_thing() -> None:
    sessions = [one for step in range(4) for one in train(days(1, step), Position(1, step))]
    easier = after(sessions)
    assert easier.prescription is not None
    assert (easier.prescription.grip, easier.prescription.rest_s) == (Grip.SUPINATED, 70)
    plan = replace(PLAN, grips=(Grip.NEUTRAL, Grip.PRONATED))
    neutral = [one for step in range(4) for one in train(days(1, step), Position(1, step), grip=Grip.NEUTRAL)]
    harder = after(neutral, plan)
    assert harder.prescription is not None
    assert (harder.prescription.grip, harder.prescription.rest_s) == (Grip.PRONATED, 75)
    assert any("the one harder thing" in reason.text for reason in harder.reasons)


def test_one_grip_for_each_day_of_the_week() -> None:
    plan = replace(PLAN, grip_by_weekday=True, weekdays=(0, 3))
    assert ask(train(days(1)[:1]), days(1)[1], plan).prescription.grip is Grip.SUPINATED  # type: ignore[union-attr]
    assert after(train(days(1)), plan).prescription.grip is Grip.PRONATED  # type: ignore[union-attr]


def test_with_a_shoulder_or_elbow_history_the_grip_is_neutral_until_the_coach_opens_others() -> None:
    careful = replace(PLAN, elbow_history=True)
    assert ask([], MONDAY, careful).prescription.grip is Grip.NEUTRAL  # type: ignore[union-attr]
    assert after(train(days(1)), careful).prescription.grip is Grip.NEUTRAL  # type: ignore[union-attr]
    opened = replace(careful, grips_opened_by="Ada Brunn")
    assert ask([], MONDAY, opened).prescription.grip is Grip.PRONATED  # type: ignore[union-attr]
    bar_only = replace(careful, equipment=frozenset({"low-bar", "high-bar"}))
    assert ask([], MONDAY, bar_only).prescription is None


def test_high_blood_pressure_keeps_from_long_and_heavy_holds_without_medical_advice() -> None:
    plan = replace(PLAN, high_blood_pressure=True)
    sessions = train(days(1), Position(2, 6))
    held = after(sessions, plan, answers(sessions[-1].day))
    assert [reason.rule for reason in held.reasons][:2] == ["gate", "blood pressure"]
    assert held.rung == "heels-raised"
    cleared = replace(plan, blood_pressure_cleared_by="Dr. Ost")
    assert after(sessions, cleared, answers(sessions[-1].day)).rung == "box"
