"""What makes a plan impossible, and what is worth a look. The limits are common practice (from memory)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analysis.training.blocks import (
    ORDINARY,
    Step,
    box_steps,
    hold_steps,
    one_and_a_half,
    paused,
    slow_negative,
)
from analysis.training.ladder import Ladder
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Goal, Grip
from analysis.training.rungs import loaded_steps
from analysis.training.sound import flaws, harder_beginning, harder_in, remarks

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
    "steps",
    [box_steps(), hold_steps(), paused(3, 10), one_and_a_half(3, 10), slow_negative(3, 10), loaded_steps(Goal.SIZE)],
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


@pytest.mark.parametrize(
    ("last", "first", "harder"),
    [
        (Step(3, 15, ORDINARY, 60.0), Step(3, 15, ORDINARY, 90.0), ()),  # as the trade: back at 90 s
        (Step(3, 15, ORDINARY, 90.0), Step(3, 15, ORDINARY, 60.0), ("rest",)),
        (Step(3, 8, ORDINARY, 120.0), Step(3, 20, ORDINARY, 60.0), ("reps", "rest")),
        (Step(3, 8, ORDINARY, 120.0), Step(4, 8, ORDINARY, 120.0, load_kg=5.0), ("sets", "the load")),
        (Step(3, 8, ORDINARY, 90.0), Step(3, 8, replace(ORDINARY, top_s=2.0), 90.0), ("the top hold",)),
        (Step(3, 15, ORDINARY, 60.0), Step(3, 3, replace(ORDINARY, top_s=5.0), 90.0), ()),  # a hold for twelve reps
        (Step(3, 1, ORDINARY, 90.0, hold_s=30.0), Step(3, 3, ORDINARY, 120.0), ()),
    ],
)
def test_a_rung_that_begins_harder_than_the_one_before_ended_is_remarked(
    last: Step, first: Step, harder: tuple[str, ...]
) -> None:
    rungs = (replace(PLAN.ladder.rungs[1], steps=(last,)), replace(PLAN.ladder.rungs[2], steps=(first,)))
    plan = replace(PLAN, ladder=Ladder(rungs))
    assert harder_beginning(plan, 0, 1) == harder
    found = [one for one in remarks(plan) if one.where == ("rungs", 1)]
    assert len(found) == bool(harder)
    assert all(name in one.text for one in found for name in harder)


def test_a_grip_that_gets_harder_with_the_rung_is_remarked() -> None:
    rungs = list(PLAN.ladder.rungs[1:3])
    rungs = [replace(rungs[0], grips=(Grip.NEUTRAL,)), replace(rungs[1], grips=(Grip.PRONATED,))]
    assert harder_beginning(replace(PLAN, ladder=Ladder(tuple(rungs))), 0, 1) == ("the grip",)
    assert harder_beginning(replace(PLAN, ladder=Ladder(tuple(rungs[::-1]))), 0, 1) == ()


def test_a_rung_that_is_passed_over_for_lack_of_equipment_is_not_what_the_next_one_follows() -> None:
    rungs = list(PLAN.ladder.rungs)
    rungs[2] = replace(rungs[2], steps=(Step(5, 15, ORDINARY, 60.0),), gate="done")
    over = [
        one.text for one in remarks(replace(PLAN, ladder=Ladder(tuple(rungs)))) if "beside the rung itself" in one.text
    ]
    assert len(over) == 1
    assert "feet-on-floor" in over[0]
    without = replace(PLAN, ladder=Ladder(tuple(rungs)), equipment=PLAN.equipment - {"block"})
    assert not [one for one in remarks(without) if "beside the rung itself" in one.text]


def test_a_gate_may_be_empty_only_where_the_ladder_ends() -> None:
    rungs = list(PLAN.ladder.rungs)
    rungs[1] = replace(rungs[1], gate=" ")
    assert [one.where for one in flaws(replace(PLAN, ladder=Ladder(tuple(rungs))))] == [("rungs", 1, "gate")]
    rungs[1:] = [replace(rungs[1], gate="")]
    assert not [one for one in flaws(replace(PLAN, ladder=Ladder(tuple(rungs)))) if one.where[0] == "rungs"]
