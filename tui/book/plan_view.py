"""A plan as people and as programs read it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from analysis.training.cautions import ALL
from analysis.training.decision import step_words
from analysis.training.ladder import Rung
from analysis.training.plan import EQUIPMENT, TrainingPlan
from analysis.training.progression import NextSession
from analysis.training.sound import Flaw, remarks
from analysis.training.words import listing
from tui.book.plan_file import WEEKDAYS
from tui.book.plan_text import plan_values

VIEW_FORMAT = "rungwise.plan-view/1"


def plan_lines(name: str, plan: TrainingPlan, path: Path | None, now: NextSession) -> Iterator[str]:
    """Yield a plan as text: what holds, the rungs and where the trainee stands, what is worth a look, the cautions.

    Parameters
    ----------
    path
        Its file; None where the default plan holds.
    now
        What comes next: its rung is where the trainee stands.
    """
    yield f"{name} · {plan.goal.value}{f' · {plan.group}' if plan.group else ''}"
    yield f"  {path or 'the default plan; rungwise plan new writes it out'}"
    yield f"  {_days(plan)}"
    yield f"  {_grips(plan)}"
    if plan.test_weeks is not None:
        yield f"  a clean-rep test every {plan.test_weeks} weeks"
    yield f"  at hand: {', '.join(one for one in EQUIPMENT if one in plan.equipment) or 'nothing'}"
    yield from (f"  {one}" for one in _histories(plan))
    yield "rungs"
    for rung in plan.ladder.rungs:
        here = rung.key == now.rung
        yield f"{'>' if here else ' '} {rung.key}: {rung.exercise.name}"
        yield f"      {_steps(rung)}{_at(now) if here else ''}"
        yield f"      {f'gate: {rung.gate}' if rung.gate else 'the ladder ends here'}"
        yield from (f"      {cue}" for cue in rung.exercise.cues if here)
    for one in remarks(plan):
        yield f"look at {remark_words(one, plan)}"
    yield "cautions"
    yield from (f"  {text}" for text in ALL)


def remark_words(remark: Flaw, plan: TrainingPlan) -> str:
    """Return a remark with the key that it is about."""
    where = [plan.ladder.rungs[part].key if isinstance(part, int) else part for part in remark.where]
    return f"{'.'.join(where).removeprefix('rungs.')}: {remark.text}"


def plan_document(name: str, plan: TrainingPlan, path: Path | None, now: NextSession) -> dict[str, Any]:
    """Return a plan as `rungwise.plan-view/1`: every step written out; times in seconds, loads in kg."""
    return {
        **plan_values(plan, name),
        "format": VIEW_FORMAT,
        "file": None if path is None else str(path),
        "grips_allowed": [one.value for one in plan.grips_allowed],
        "acknowledged": None if plan.acknowledged is None else plan.acknowledged.isoformat(),
        "rungs": [_rung_document(rung) for rung in plan.ladder.rungs],
        "at": {
            "rung": now.rung,
            "step": now.step,
            "steps": now.steps,
            "method": now.method.value,
            "due": now.due.isoformat(),
            "session": now.prescription is not None,
        },
        "remarks": [remark_words(one, plan) for one in remarks(plan)],
        "cautions": list(ALL),
    }


def _rung_document(rung: Rung) -> dict[str, Any]:
    return {
        "key": rung.key,
        "exercise": rung.exercise.key,
        "name": rung.exercise.name,
        "mount": rung.exercise.mount.value,
        "cues": list(rung.exercise.cues),
        "typed": rung.typed,
        "steps": [asdict(step) for step in rung.steps],
        "gate": rung.gate or None,
        "plateau_methods": [one.value for one in rung.methods],
        "needs": sorted(rung.needs),
        "grips": [one.value for one in rung.grips],
        "load_step_kg": rung.load_step_kg,
        "warm_ups": rung.warm_ups,
        "gap_s": rung.gap_s,
        "two_sided": list(rung.two_sided),
        "volume": rung.volume,
    }


def _steps(rung: Rung) -> str:
    """Return the first step and the last, as one where only the rest differs."""
    first, last = rung.steps[0], rung.steps[-1]
    if len(rung.steps) == 1:
        return step_words(first)
    if replace(first, rest_s=last.rest_s) == last:
        asked = step_words(first).replace(f"{first.rest_s:g} s rest", f"{first.rest_s:g} → {last.rest_s:g} s rest")
    else:
        asked = f"{step_words(first)} → {step_words(last)}"
    return f"{asked}, {len(rung.steps)} steps"


def _at(now: NextSession) -> str:
    how = "" if now.method.value == "own" else f" of {now.method.value} reps"
    return f"; now step {now.step} of {now.steps}{how}"


def _days(plan: TrainingPlan) -> str:
    often = "1 session" if plan.sessions_a_week == 1 else f"{plan.sessions_a_week} sessions"
    named = [f"{WEEKDAYS[day]}{_each_at(plan, place)}" for place, day in enumerate(plan.weekdays)]
    days = listing(named) if named else "any day"
    days += f" at {plan.times[0]:%H:%M}" if len(plan.times) == 1 else ""
    between = f"{plan.days_between} free day{'s' if plan.days_between > 1 else ''}"
    return f"{often} a week, at least {between} between, on {days}"


def _each_at(plan: TrainingPlan, place: int) -> str:
    return f" at {plan.times[place]:%H:%M}" if len(plan.times) > 1 else ""


def _grips(plan: TrainingPlan) -> str:
    grips = " → ".join(one.value for one in plan.grips_allowed)
    if len(plan.grips_allowed) == 1:
        return f"grip {grips}"
    every = "one each of the week's days" if plan.grip_by_weekday else f"changing every {plan.grip_weeks} weeks"
    return f"grips {grips}, {every}"


def _histories(plan: TrainingPlan) -> Iterator[str]:
    for name, holds, by in (
        ("shoulder history", plan.shoulder_history, plan.grips_opened_by),
        ("elbow history", plan.elbow_history, plan.grips_opened_by),
    ):
        if holds:
            yield f"{name}: {f'other grips opened by {by}' if by else 'the neutral grip only'}"
    if plan.high_blood_pressure:
        by = plan.blood_pressure_cleared_by
        yield f"high blood pressure: {f'long and heavy holds allowed by {by}' if by else 'no long or heavy holds'}"
