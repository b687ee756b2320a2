"""What a plan must keep to so that it can be trained, and what a coach should know of it. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from analysis.training.blocks import Step
from analysis.training.decision import step_words
from analysis.training.ladder import Rung
from analysis.training.limits import presses
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Goal
from analysis.training.words import listing

WEEK = 7
THREE = 3
"""One free day between only in a plan of so many sessions a week (common practice, no source)."""

GOAL_REPS = {Goal.STRENGTH: (4, 8), Goal.SIZE: (8, 15), Goal.ENDURANCE: (15, 30)}
"""Reps with added load, by goal (common practice, no source)."""

GOAL_REST_S = {Goal.STRENGTH: (180, 300), Goal.SIZE: (90, 90), Goal.ENDURANCE: (60, 60)}
"""Rest with added load, seconds (common practice, no source)."""

_AMOUNT = re.compile(r"(\d+)\s*×\s*(\d+)")


@dataclass(frozen=True, slots=True)
class Flaw:
    """Something that cannot be, or is odd.

    Attributes
    ----------
    where
        Keys of the plan from the outermost in; a number is a place, from 0.
    text
        What it is and what to give instead.
    instead
        Keys that decide as well, where those of `where` are left to their default; empty: none.
    """

    where: tuple[str | int, ...]
    text: str
    instead: tuple[str | int, ...] = ()


def flaws(plan: TrainingPlan) -> tuple[Flaw, ...]:
    """Return what makes a plan impossible, each in one sentence; nothing where it can be trained."""
    return (*_keys(plan), *_week(plan), *_times(plan), *_grips(plan), *_equipment(plan), *_rungs(plan))


def remarks(plan: TrainingPlan) -> tuple[Flaw, ...]:
    """Return what is allowed and yet worth a look."""
    return (*_by_goal(plan), *_out_of_reach(plan), *_beginnings(plan), *_pressing(plan), *_unread(plan))


def _keys(plan: TrainingPlan) -> Iterator[Flaw]:
    keys = [rung.key for rung in plan.ladder.rungs]
    for place, key in enumerate(keys):
        if key in keys[:place]:
            yield Flaw(("rungs", place, "key"), f"{key!r} is there already; give each rung a key of its own")
    for name, key in (("start", plan.start), ("shoulders_set_from", plan.shoulders_set_from)):
        if key not in keys:
            yield Flaw((name,), f"{key!r} is no rung of this plan; give one of {', '.join(keys)}")


def _week(plan: TrainingPlan) -> Iterator[Flaw]:
    often, free = plan.sessions_a_week, plan.days_between
    if free == 1 and often != THREE:
        text = f"1 is allowed only with sessions_a_week = {THREE}; give 2 or more"
        yield Flaw(("days_between",), text)
    elif often * (free + 1) > WEEK:
        most = max(WEEK // often - 1, 1)
        text = f"{often} sessions with {free} free days between do not fit into a week; give days_between = {most}"
        yield Flaw(("days_between",), text, instead=("sessions_a_week",))
    elif plan.weekdays and not _fits(plan.weekdays, often, free):
        days = f"days on which {often} sessions have {free} free days between, or none for any day"
        yield Flaw(("weekdays",), f"do not fit; give {days}")
    elif plan.weekdays and often == THREE and not _fits(plan.weekdays, 2, 2):
        text = "leave no two days with 2 free days between, as the first eight weeks need; give such days"
        yield Flaw(("weekdays",), text)


def _times(plan: TrainingPlan) -> Iterator[Flaw]:
    if len(plan.times) > 1 and len(plan.times) != len(plan.weekdays):
        days = f"the {len(plan.weekdays)} of weekdays, in their order" if plan.weekdays else "weekdays; none is named"
        yield Flaw(("times",), f"holds {len(plan.times)}; give one for all days, or one for each of {days}")


def _fits(weekdays: tuple[int, ...], often: int, free: int) -> bool:
    return any(_apart(days, free) for days in combinations(sorted(weekdays), often))


def _apart(days: tuple[int, ...], free: int) -> bool:
    around = (*days, days[0] + WEEK)
    return all(after - before > free for before, after in pairwise(around))


def _grips(plan: TrainingPlan) -> Iterator[Flaw]:
    if not plan.grips:
        yield Flaw(("grips",), "holds none; give at least one")
        return
    if not plan.grips_allowed:
        careful = (plan.shoulder_history or plan.elbow_history) and not plan.grips_opened_by
        why = " (with a shoulder or elbow history the neutral one only, until grips_opened_by names who opens others)"
        text = (
            f"none of them is allowed{why if careful else ''} with the equipment at hand; give other grips, or name "
            "handles, rings, straps or a towel in equipment"
        )
        yield Flaw(("grips",), text, instead=("equipment",))
        return
    for place in range(len(plan.ladder.rungs)):
        if not plan.grips_on(place):
            able = ", ".join(one.value for one in plan.grips_allowed)
            text = f"holds none that the plan allows; give one of {able}, or leave it out"
            yield Flaw(("rungs", place, "grips"), text)


def _equipment(plan: TrainingPlan) -> Iterator[Flaw]:
    rungs = plan.ladder.rungs
    if not any(rung.needs <= plan.equipment for rung in rungs):
        lacking = ", ".join(sorted(min((rung.needs for rung in rungs), key=len) - plan.equipment))
        yield Flaw(("equipment",), f"no rung can be done with it; add {lacking}")


def _rungs(plan: TrainingPlan) -> Iterator[Flaw]:
    for place, rung in enumerate(plan.ladder.rungs):
        yield from _steps(place, rung)
        if not rung.gate.strip() and place + 1 < len(plan.ladder.rungs):
            yield Flaw(("rungs", place, "gate"), "is empty; say what opens the way to the next rung, or leave it out")
        asked = _AMOUNT.search(rung.gate)
        last = rung.steps[-1]
        if asked and (int(asked[1]), int(asked[2])) != (last.sets, int(last.hold_s or last.reps)):
            text = f"says {asked[0]}, and the last step asks for {step_words(last)}; say that, or leave it out"
            yield Flaw(("rungs", place, "gate"), text)


def _steps(place: int, rung: Rung) -> Iterator[Flaw]:
    where = ("rungs", place, "steps")
    seen: dict[Step, list[float]] = {}
    """The loads with which each step was there before."""
    for number, step in enumerate(rung.steps, start=1):
        loads = seen.setdefault(replace(step, load_kg=0.0), [])
        if step.load_kg in loads:
            yield Flaw(where, f"step {number} asks for what a step before it asks for; leave it out")
        elif loads:
            text = f"step {number} differs from one before it in load_kg only; the load rises by load_step_kg instead"
            yield Flaw(where, text)
        loads.append(step.load_kg)
    for number, (before, after) in enumerate(pairwise(rung.steps), start=2):
        harder = harder_in(before, after)
        if len(harder) > 1:
            text = f"step {number} makes {listing(harder)} harder at once; make one thing harder at a time"
            yield Flaw(where, text)


def harder_in(before: Step, after: Step) -> tuple[str, ...]:
    """Name the things in which one step asks for more than another."""
    pairs = (
        ("sets", before.sets, after.sets),
        ("reps", before.reps, after.reps),
        ("rest", -before.rest_s, -after.rest_s),
        ("the lowering", before.tempo.down_s, after.tempo.down_s),
        ("the top hold", before.tempo.top_s, after.tempo.top_s),
        ("the hold", before.hold_s or 0.0, after.hold_s or 0.0),
        ("the half-way pause", before.half_pause_s or 0.0, after.half_pause_s or 0.0),
        ("the load", before.load_kg, after.load_kg),
    )
    return tuple(name for name, was, now in pairs if now > was)


def _by_goal(plan: TrainingPlan) -> Iterator[Flaw]:
    (low, high), (short, long) = GOAL_REPS[plan.goal], GOAL_REST_S[plan.goal]
    rest = f"{short} s" if short == long else f"{short} to {long} s"
    for place, rung in enumerate(plan.ladder.rungs):
        step = rung.steps[-1]
        if rung.load_step_kg and not (low <= step.reps <= high and short <= step.rest_s <= long):
            text = (
                f"asks for {step.reps} reps and {step.rest_s:g} s rest; with the goal {plan.goal.value}, "
                f"{low} to {high} reps and {rest} are common practice (no source)"
            )
            yield Flaw(("rungs", place), text)


def _out_of_reach(plan: TrainingPlan) -> Iterator[Flaw]:
    for place, rung in enumerate(plan.ladder.rungs):
        lacking = sorted(rung.needs - plan.equipment)
        if lacking:
            yield Flaw(("rungs", place, "needs"), f"{listing(lacking)} is not at hand: this rung is never prescribed")


def _beginnings(plan: TrainingPlan) -> Iterator[Flaw]:
    """Remark rungs that begin harder than the one before ended: the rung itself is the one harder thing of its week."""
    rungs = plan.ladder.rungs
    able = [place for place, rung in enumerate(rungs) if rung.needs <= plan.equipment]
    for before, after in pairwise(able):
        harder = harder_beginning(plan, before, after)
        if harder:
            steps = f"{step_words(rungs[before].steps[-1])}, then {step_words(rungs[after].steps[0])}"
            text = (
                f"begins with more than {rungs[before].key} ends with: beside the rung itself it makes "
                f"{listing(harder)} harder ({steps}); one thing "
                "harder at a time is common practice (no source)"
            )
            yield Flaw(("rungs", after), text)


def harder_beginning(plan: TrainingPlan, before: int, after: int) -> tuple[str, ...]:
    """Name what gets harder together with the rung where one rung follows another.

    Sets, rest and load compare on any two rungs. Reps, holds and slow phases are what a rung is about: they are named
    only where none of them gets easier instead, as when 15 reps become 3 with a hold.
    """
    last, first = plan.ladder.rungs[before].steps[-1], plan.ladder.rungs[after].steps[0]
    harder, easier = harder_in(last, first), harder_in(first, last)
    traded = any(name in easier for name in _MATTER)
    grip = ("the grip",) if _harder_grip(plan, before, after) else ()
    return (*(name for name in harder if not (traded and name in _MATTER)), *grip)


_MATTER = ("reps", "the lowering", "the top hold", "the hold", "the half-way pause")


def _harder_grip(plan: TrainingPlan, before: int, after: int) -> bool:
    """Whether the easiest grip of a rung is harder than one with which the rung before may end."""
    able = plan.grips_on(after)
    gone = [grip for grip in plan.grips_on(before) if grip not in able]
    return any(grip.hardness < min(one.hardness for one in able) for grip in gone) if able else False


def _pressing(plan: TrainingPlan) -> Iterator[Flaw]:
    if not plan.high_blood_pressure or plan.blood_pressure_cleared_by:
        return
    for place, rung in enumerate(plan.ladder.rungs):
        if any(presses(rung, step) for step in rung.steps):
            text = (
                "holds long or adds load: with high blood pressure that is not prescribed until "
                "blood_pressure_cleared_by names the clinician who allows it"
            )
            yield Flaw(("rungs", place), text)


def _unread(plan: TrainingPlan) -> Iterator[Flaw]:
    if plan.acknowledged is None:
        yield Flaw(("acknowledged",), "nobody has read the cautions yet, or nobody wrote down when")
