"""Writes a plan as commented TOML that reads back as the same plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from textwrap import wrap
from typing import Any

import tomlkit

from analysis.training.blocks import ORDINARY, Step
from analysis.training.decision import step_words
from analysis.training.exercises import OURS
from analysis.training.ladder import Rung
from analysis.training.plan import EQUIPMENT, TrainingPlan
from analysis.training.prescription import Tempo
from tui.book.plan_file import FORMAT, WEEKDAYS
from tui.book.plan_keys import FAST
from tui.book.plan_notes import HEAD, PLAN_NOTES, RUNG_NOTES
from tui.book.plan_rungs import METHODS, STEP_KEYS, TAPER

WIDTH = 100


def plan_text(plan: TrainingPlan, trainee: str) -> str:
    """Return the file of a plan, with a comment to each key."""
    lines = [line for paragraph in HEAD for line in _comment(paragraph)] + [""]
    for key, value in plan_values(plan, trainee).items():
        lines += [*_comment(PLAN_NOTES[key]), _assigned(key, value), ""]
    lines += _comment("The rungs, the easiest first: each [[rungs]] is one variation. What a rung may say:")
    lines += [one for key, note in RUNG_NOTES.items() for one in _comment(f"{key}: {note}", "#   ")]
    for rung in plan.ladder.rungs:
        lines += ["", "[[rungs]]", *_rung_lines(rung)]
    return "\n".join(lines) + "\n"


def plan_values(plan: TrainingPlan, trainee: str) -> dict[str, Any]:
    """Return what a plan says beside its rungs, by key, as the file has it."""
    values = {
        "format": FORMAT,
        "trainee": trainee,
        "group": plan.group,
        "goal": plan.goal.value,
        "acknowledged": plan.acknowledged,
        "start": plan.start,
        "sessions_a_week": plan.sessions_a_week,
        "days_between": plan.days_between,
        "weekdays": [WEEKDAYS[day] for day in plan.weekdays],
        "times": [f"{one:%H:%M}" for one in plan.times],
        "equipment": [one for one in EQUIPMENT if one in plan.equipment],
        "grips": [one.value for one in plan.grips],
        "grip_weeks": plan.grip_weeks,
        "grip_by_weekday": plan.grip_by_weekday,
        "shoulder_history": plan.shoulder_history,
        "elbow_history": plan.elbow_history,
        "grips_opened_by": plan.grips_opened_by,
        "high_blood_pressure": plan.high_blood_pressure,
        "blood_pressure_cleared_by": plan.blood_pressure_cleared_by,
        "plateau_weeks": plan.plateau_weeks,
        "test_weeks": plan.test_weeks,
        "shoulders_set_from": plan.shoulders_set_from,
    }
    return {key: values[key] for key in PLAN_NOTES}


def _rung_lines(rung: Rung) -> Iterator[str]:
    exercise, base, entries = rung.exercise, *_folded(rung.steps)
    ours = OURS.get(exercise.key)
    values: dict[str, Any] = {
        "key": rung.key,
        "exercise": exercise.key,
        "name": None if ours and ours.name == exercise.name else exercise.name,
        "mount": exercise.mount.value,
        "cues": list(exercise.cues),
        "typed": rung.typed or None,
        **base,
        "load_step_kg": rung.load_step_kg,
        "steps": entries or None,
        "gate": None if rung.gate == f"{step_words(rung.steps[-1])}, a week long" else rung.gate,
        "plateau_methods": [one for one in METHODS if one in rung.methods],
        "needs": [one for one in EQUIPMENT if one in rung.needs],
        "grips": [one.value for one in rung.grips] or None,
        "warm_ups": rung.warm_ups or None,
        "gap_s": rung.gap_s,
        "two_sided": list(rung.two_sided) or None,
        "volume": rung.volume or None,
    }
    for key, value in values.items():
        if value is not None:
            yield _assigned(key, value)


Entry = dict[str, Any]


def _folded(steps: Sequence[Step]) -> tuple[Entry, list[Entry]]:
    """Return what all steps have in common, and entries with what differs; no entries where one is enough."""
    entries = [_entry(run) for run in _runs(steps)]
    if len(entries) == 1:
        return entries[0], []
    common = {key: value for key, value in entries[0].items() if all(one.get(key) == value for one in entries)}
    if not all(_same_taper(one, entries[0]) for one in entries):
        common = {key: value for key, value in common.items() if not key.startswith("rest_")}
    if "tempo" not in common:
        phases = [one["tempo"] for one in entries]
        shared = {key: value for key, value in phases[0].items() if all(one[key] == value for one in phases)}
        common["tempo"] = {**_ORDINARY, **shared}
    varied = [{key: value for key, value in one.items() if key not in common or key == "tempo"} for one in entries]
    return {key: common[key] for key in STEP_KEYS if key in common}, [_beside(one, common) for one in varied]


def _same_taper(one: Entry, other: Entry) -> bool:
    return all(one.get(key) == other.get(key) for key in ("rest_s", *TAPER))


def _beside(entry: Entry, common: Entry) -> Entry:
    """Return an entry with only those phases that are others than the common ones."""
    tempo = {key: value for key, value in entry["tempo"].items() if value != common["tempo"][key]}
    rest = {key: value for key, value in entry.items() if key != "tempo"}
    return {**rest, **({"tempo": tempo} if tempo else {})}


def _runs(steps: Sequence[Step]) -> Iterator[list[Step]]:
    """Yield steps that differ only in a rest that falls by the same seconds; others alone."""
    run: list[Step] = []
    for step in steps:
        if run and not _goes_on(run, step):
            yield run
            run = []
        run.append(step)
    yield run


def _goes_on(run: Sequence[Step], step: Step) -> bool:
    by = run[-1].rest_s - step.rest_s
    whole = all(one.rest_s.is_integer() for one in (*run, step))
    even = len(run) == 1 or by == run[-2].rest_s - run[-1].rest_s
    return replace(run[-1], rest_s=step.rest_s) == step and whole and even and 1 <= by <= 60


def _entry(run: Sequence[Step]) -> Entry:
    step = run[0]
    values: Entry = {
        "sets": step.sets,
        "reps": None if step.hold_s else step.reps,
        "tempo": _phases(step.tempo),
        **_rests(run),
        "hold_s": step.hold_s,
        "half_pause_s": step.half_pause_s,
        "load_kg": step.load_kg or None,
    }
    return {key: value for key, value in values.items() if value is not None}


def _rests(run: Sequence[Step]) -> Entry:
    if len(run) == 1:
        return {"rest_s": run[0].rest_s}
    first, second, last = run[0].rest_s, run[1].rest_s, run[-1].rest_s
    return {"rest_from_s": int(first), "rest_to_s": int(last), "rest_by_s": int(first - second)}


def _phases(tempo: Tempo) -> Entry:
    up = FAST if tempo.up_s is None else tempo.up_s
    return {"down_s": tempo.down_s, "bottom_s": tempo.bottom_s, "up_s": up, "top_s": tempo.top_s}


_ORDINARY = _phases(ORDINARY)


def _assigned(key: str, value: Any) -> str:
    """Return a key and its value; one without a value as a comment that shows where it goes."""
    return f"# {key} =" if value is None else f"{key} = {_value(value)}"


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_value(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        inner = [_value(one) for one in value]
        line = f"[{', '.join(inner)}]"
        return line if len(line) < WIDTH - 20 else "[\n" + "".join(f"    {one},\n" for one in inner) + "]"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(tomlkit.item(value).as_string())


def _comment(text: str, lead: str = "# ") -> list[str]:
    """Return a paragraph as comment lines, those that go on set in below a "- " or a deeper lead."""
    hanging = lead + ("  " if text.startswith("- ") or len(lead) > 2 else "")
    lines = wrap(text, WIDTH, initial_indent=lead, subsequent_indent=hanging, break_on_hyphens=False)
    return lines or [lead.rstrip()]
