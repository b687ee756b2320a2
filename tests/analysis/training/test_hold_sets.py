"""Sets of one hold: judged by seconds, a minimum; grouped, logged and climbed as any other set."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from builders import make_bout, make_reps, make_session
from corrections_made import correction

from analysis.logbook.codec import from_json, set_from_json, set_to_json, to_json
from analysis.motion.mounts import Mount
from analysis.motion.results import Bout, Hold, Where
from analysis.training.correcting import corrected
from analysis.training.corrections import Act, By
from analysis.training.judge import judge_session
from analysis.training.ladder import Ladder, Position
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Exercise, Prescription
from analysis.training.progression import next_session
from analysis.training.records import History, SessionRecord
from analysis.training.rungs import top_hold_rung
from analysis.training.scale import TrueTime
from analysis.training.sets import group_bouts, judged
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome

RUNG = top_hold_rung()
LADDER = Ladder((RUNG,))
ASKED = RUNG.prescription(0)


def bout(number: int, start_s: float, held_s: float) -> Bout:
    hold = Hold(start_s, start_s + held_s, Where.TOP)
    return Bout(number=number, start_s=hold.start_s, end_s=hold.end_s, reps=(), holds=(hold,))


def verdict_of(held_s: float, clock_ratio: float = 1.0) -> Outcome:
    (group,) = group_bouts([bout(0, 5.0, held_s)], ASKED)
    return judged(group, ASKED, TrueTime(ratio=clock_ratio)).verdict.outcome


@pytest.mark.parametrize(
    ("held_s", "outcome"),
    [(14.0, Outcome.MET), (10.0, Outcome.UNSURE), (8.5, Outcome.UNSURE), (2.5, Outcome.MISSED)],
)
def test_a_hold_is_judged_by_its_seconds_as_a_minimum(held_s: float, outcome: Outcome) -> None:
    assert verdict_of(held_s) is outcome


def test_a_hold_is_judged_in_true_seconds() -> None:
    assert verdict_of(13.0) is Outcome.UNSURE
    assert verdict_of(13.0, clock_ratio=1.015) is Outcome.MET


def test_holds_are_sets_only_where_holds_are_asked_for() -> None:
    bouts = [bout(0, 5.0, 12.0), bout(1, 100.0, 7.0)]
    groups = group_bouts(bouts, ASKED)
    assert [group.number for group in groups] == [1, 2]
    assert groups[1].rest_before_s == 83.0
    assert judged(groups[1], ASKED).verdict.remark == "Held 7 ± 3 s of 10 s."
    assert group_bouts(bouts, replace(ASKED, hold_s=None)) == ()


def test_the_log_keeps_prescription_and_verdict_of_holds() -> None:
    verdict = judged(group_bouts([bout(0, 5.0, 12.0)], ASKED)[0], ASKED).verdict
    assert set_from_json(set_to_json(verdict), ()) == verdict
    assert from_json(to_json(ASKED), Prescription) == ASKED


def test_from_another_mount_a_hold_is_not_measurable() -> None:
    bar = replace(ASKED, exercise=replace(ASKED.exercise, mount=Mount.FIXED_BAR))
    verdict = judged(group_bouts([bout(0, 5.0, 30.0)], bar)[0], bar).verdict
    assert verdict.outcome is Outcome.NOT_MEASURABLE
    assert "not measurable from this mount" in verdict.remark


def test_between_holds_a_set_of_reps_is_the_partners() -> None:
    in_turn = replace(ASKED, partner=Exercise("squat", "squat", Mount.BODY))
    squats = make_bout(1, make_reps(8, start_s=40.0))
    groups = group_bouts([bout(0, 5.0, 12.0), squats, bout(2, 120.0, 12.0)], in_turn)
    assert [group.told.kind for group in groups] == [SetKind.EXERCISE, SetKind.PARTNER, SetKind.EXERCISE]
    assert groups[2].rest_before_s == 120.0 - squats.end_s
    assert len(group_bouts([bout(0, 5.0, 12.0), squats], ASKED)) == 1


def session(day: date) -> SessionRecord:
    groups = group_bouts([bout(n, 5.0 + 100.0 * n, 14.0) for n in range(3)], ASKED)
    sets = tuple(judged(group, ASKED) for group in groups)
    verdict = judge_session([one.verdict for one in sets], ASKED)
    done = make_session(day, LADDER, Position(0, 0))
    return replace(done, sets=sets, verdict=verdict)


def test_a_week_of_holds_climbs_to_the_next_step() -> None:
    days = [date(2026, 3, 2), date(2026, 3, 5)]
    proposal = next_session(
        History(tuple(session(day) for day in days)), TrainingPlan(ladder=LADDER, start="top-hold"), date(2026, 3, 9)
    )
    assert proposal.prescription is not None
    assert proposal.prescription.hold_s == 15.0
    assert proposal.reasons[0].text.startswith("Hold 10 → 15 s")
    assert "14 s, 14 s, 14 s held" in proposal.reasons[0].evidence[0]


def test_a_hold_that_the_trainee_tells_is_met_by_that_word_alone_and_a_coach_may_tell_it_too() -> None:
    whole = session(date(2026, 3, 2))
    two = whole.sets[:2]
    measured = replace(whole, sets=two, verdict=judge_session([one.verdict for one in two], ASKED))
    span = (whole.sets[2].start_s, whole.sets[2].end_s)
    for role in By:
        made = correction(Act.ADD, *span, {"held_s": 14}, role=role)
        found = corrected(measured, [made])
        assert [one.verdict.tut_s for one in found.sets] == [14.0, 14.0, 14.0]
        assert (found.outcome, found.self_told) == (Outcome.MET, role is By.TRAINEE)
        assert not found.marks[0].disagrees
    short = corrected(measured, [correction(Act.ADD, *span, {"held_s": 5})])
    assert short.sets[2].verdict.outcome is Outcome.MISSED
