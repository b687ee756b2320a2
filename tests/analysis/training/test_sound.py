"""What makes a plan impossible, and what is worth a look. The limits are common practice (from memory)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analysis.training.blocks import (
    ORDINARY,
    Step,
    box_steps,
    hold_steps,
    loaded,
    one_and_a_half,
    paused,
    slow_negative,
)
from analysis.training.ladder import Ladder
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Goal, Grip
from analysis.training.sound import flaws, harder_in, remarks

PLAN = default_plan()


def with_steps(*steps: Step) -> TrainingPlan:
    rungs = list(PLAN.ladder.rungs)
    rungs[1] = replace(rungs[1], steps=steps, gate="done")
    return replace(PLAN, ladder=Ladder(tuple(rungs)))


@pytest.mark.parametrize("goal", list(Goal))
def test_the_default_plan_has_no_flaw(goal: Goal) -> None:
    assert flaws(default_plan(goal)) == ()
    assert [one.where for one in remarks(default_plan(goal))] == [("acknowledged",)]


@pytest.mark.parametrize(
    "steps", [box_steps(), hold_steps(), paused(3, 10), one_and_a_half(3, 10), slow_negative(3, 10), loaded(5, 180)]
)
def test_every_kind_of_steps_makes_one_thing_harder_at_a_time(steps: tuple[Step, ...]) -> None:
    assert flaws(with_steps(*steps)) == ()


@pytest.mark.parametrize(
    ("often", "free", "weekdays", "where"),
    [
        (2, 2, (0, 3), None),  # Monday and Thursday: two and three free days between
        (2, 2, (0, 2), "weekdays"),  # Monday and Wednesday: one free day
        (2, 2, (0, 6), "weekdays"),  # Monday and Sunday follow each other
        (3, 1, (0, 2, 4), None),
        (3, 1, (0, 1, 2, 4), None),  # Monday, Wednesday and Friday are among them
        (3, 1, (0, 1, 2), "weekdays"),
        (3, 1, (), None),
        (3, 2, (), "days_between"),  # three sessions and six free days are nine
        (2, 1, (), "days_between"),  # one free day is for three sessions a week
        (1, 6, (4,), None),
        (2, 3, (), "days_between"),
    ],
)
def test_days_fit_into_the_week(often: int, free: int, weekdays: tuple[int, ...], where: str | None) -> None:
    plan = replace(PLAN, sessions_a_week=often, days_between=free, weekdays=weekdays)
    assert [one.where[0] for one in flaws(plan)] == ([where] if where else [])


def test_the_grip_that_a_history_leaves_must_be_at_hand() -> None:
    careful = replace(PLAN, elbow_history=True, equipment=frozenset({"low-bar"}))
    assert [one.where for one in flaws(careful)] == [("grips",)]
    assert flaws(replace(careful, grips_opened_by="Ruth")) == ()
    assert flaws(replace(careful, equipment=frozenset({"low-bar", "handles"}))) == ()


def test_a_rung_may_not_be_left_without_a_grip() -> None:
    rungs = list(PLAN.ladder.rungs)
    rungs[4] = replace(rungs[4], grips=(Grip.WIDE,))
    plan = replace(PLAN, ladder=Ladder(tuple(rungs)))
    assert [one.where for one in flaws(plan)] == [("rungs", 4, "grips")]
    assert flaws(replace(plan, grips=(*plan.grips, Grip.WIDE))) == ()


def test_steps_that_the_log_could_not_tell_apart_are_refused() -> None:
    step = Step(3, 8, ORDINARY, 90.0)
    (same,) = flaws(with_steps(step, replace(step, reps=9), step))
    assert same.text.startswith("step 3 asks for what a step before it asks for")
    (loads,) = flaws(with_steps(step, replace(step, load_kg=5.0)))
    assert "load_step_kg" in loads.text


def test_two_things_harder_at_once_are_refused_and_something_easier_beside_one_is_not() -> None:
    step = Step(3, 8, ORDINARY, 90.0)
    more = replace(step, reps=9, rest_s=85.0)
    assert harder_in(step, more) == ("reps", "rest")
    assert len(flaws(with_steps(step, more))) == 1
    assert flaws(with_steps(step, replace(step, reps=9, rest_s=95.0))) == ()


def test_what_the_goal_and_the_equipment_do_not_fit_is_remarked() -> None:
    odd = replace(PLAN, goal=Goal.SIZE, equipment=PLAN.equipment - {"block"})
    assert flaws(odd) == ()
    texts = {one.where[:2]: one.text for one in remarks(odd)}
    assert "8 to 15 reps and 90 s" in texts["rungs", 5]
    assert "block is not at hand" in texts["rungs", 2]


def test_what_high_blood_pressure_forbids_is_remarked_until_a_clinician_allows_it() -> None:
    careful = replace(PLAN, high_blood_pressure=True)
    assert [one.where for one in remarks(careful)][:-1] == [("rungs", 3), ("rungs", 5)]  # box and added load
    allowed = replace(careful, blood_pressure_cleared_by="Dr Amrein")
    assert [one.where for one in remarks(allowed)] == [("acknowledged",)]
