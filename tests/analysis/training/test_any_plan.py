"""What holds in any plan that can be trained, for who meets everything. The rules: common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import HealthCheck, assume, given, settings

from analysis.training.plan import TrainingPlan
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord
from analysis.training.sound import flaws, harder_beginning, remarks
from analysis.training.statements import Form, Question
from tests.analysis.training.builders import make_session, make_test, utc_us
from tests.analysis.training.drawn_plans import plans
from tests.analysis.training.half_years import Told, harder

BEGIN = date(2026, 1, 5)
ENDS = ("top", "load", "volume")
"""Rules with which the ladder ends, or goes on by kilograms or sets."""


def remarked(plan: TrainingPlan, before: str | None, after: str) -> bool:
    was, now = plan.ladder.number(before), plan.ladder.number(after)
    assert was is not None
    assert now is not None
    return bool(harder_beginning(plan, was, now)) and any(
        one.where == ("rungs", now) and "beside the rung itself" in one.text for one in remarks(plan)
    )


def answers(day: date) -> list[Form]:
    return [Form(said_utc_us=utc_us(day, 8), day=day, question=one, yes=True, by="Ada Brunn") for one in Question]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(plans())
def test_who_meets_everything_climbs_one_thing_at_a_time_to_the_top(plan: TrainingPlan) -> None:
    # By weekday the grip changes whatever else does, and with high blood pressure the holds end the way.
    plan = replace(plan, grip_by_weekday=False, high_blood_pressure=False)
    assume(not flaws(plan))
    sessions: list[SessionRecord] = []
    today = BEGIN
    said: NextSession | None = None
    for _ in range(110 * plan.sessions_a_week):
        history = History(tuple(sessions), tuple(answers(today)))
        said = next_session(history, plan, today)
        if said.prescription is None or said.reasons[0].rule in ENDS:
            break
        told = Told(today, history, said, plan)
        if said.prescription.is_test:
            sessions.append(make_test(said.due, said.prescription, said.rung))
            today = said.due + timedelta(days=1)
            continue
        steps = [one for one in sessions if not one.prescription.is_test]
        if steps:
            found = harder(steps[-1], told)
            # What begins harder on another rung was remarked, and the coach asks for it all the same.
            assert len(found) <= 1 or ("rung" in found and remarked(plan, steps[-1].rung, said.rung))
        at = plan.ladder.position(said.rung, said.prescription, said.method)
        assert at is not None
        assert said.prescription.grip in plan.grips_on(at.rung)
        count = said.prescription.sets
        pause_s = max(said.prescription.tempo.bottom_s, 0.3)
        sessions.append(
            make_session(
                said.due, plan.ladder, at, grip=said.prescription.grip, counts=(None,) * count, pause_s=pause_s
            )
        )
        today = said.due + timedelta(days=1)
    assert said is not None
    assert said.prescription is None or said.reasons[0].rule in ENDS
