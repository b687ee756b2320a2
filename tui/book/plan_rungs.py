"""From a rung's table in a plan to the rung."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from analysis.motion.mounts import Mount
from analysis.training.blocks import ORDINARY, Step
from analysis.training.decision import step_words
from analysis.training.exercises import OURS
from analysis.training.guarding import FEWEST_REPS
from analysis.training.ladder import MOST_SETS, PLATEAU_METHODS, Method, Rung
from analysis.training.plan import EQUIPMENT
from analysis.training.prescription import Exercise, Grip, Tempo
from sensor.own.keys import shown
from tui.book.plan_keys import Faults, PlanKeys

MOST_REPS = 30
"""Of endurance work with load, the longest sets of the trade (common practice, no source)."""

REST_S = (10, 600)
"""Shortest and longest rest, seconds."""

MOST_STEPS = 100
TAPER = ("rest_from_s", "rest_to_s", "rest_by_s")
STEP_KEYS = ("sets", "reps", "tempo", "rest_s", *TAPER, "hold_s", "half_pause_s", "load_kg")
METHODS = tuple(one.value for one in PLATEAU_METHODS)
GRIPS = tuple(one.value for one in Grip)
MOUNTS = tuple(one.value for one in Mount)
PHASES = ("down", "top")
KEY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_STEPS = "[{reps = 3}, {reps = 4}]"


def rung_of(table: PlanKeys, faults: Faults) -> Rung:
    """Return the rung of one table; what is at fault is noted, and then the rung is of no use."""
    take = faults.take
    key = take(lambda: kebab(table, "key"), "")
    exercise = _exercise(table, faults)
    typed = take(lambda: table.truth("typed", False), True)
    steps = _steps(table, faults, fewest=1 if typed else FEWEST_REPS)
    gate = take(lambda: table.line("gate", _gate(steps)), "")
    methods = faults.some(lambda: table.several("plateau_methods", METHODS, METHODS))
    rung = Rung(
        key=key,
        exercise=exercise,
        steps=steps,
        gate=gate,
        methods=tuple(map(Method, methods)),
        needs=frozenset(faults.some(lambda: table.several("needs", EQUIPMENT))),
        load_step_kg=take(lambda: table.optional("load_step_kg", 0.25, 20), None),
        volume=take(lambda: table.truth("volume", False), False),
        gap_s=take(lambda: table.optional("gap_s", 10, 45), None),
        warm_ups=take(lambda: table.count("warm_ups", 0, 3, 0), 0),
        two_sided=faults.some(lambda: table.several("two_sided", PHASES)),
        typed=typed,
        grips=tuple(map(Grip, faults.some(lambda: table.several("grips", GRIPS)))),
    )
    with faults.noting():
        table.finish()
    return rung


def kebab(table: PlanKeys, key: str, default: str | None = None) -> str:
    """Return a short stable name."""
    allowed = 'a short name in small letters, for example "feet-on-floor"'
    value = table.text(key, allowed, default)
    if not KEY.fullmatch(value) or len(value) > 40:
        raise table.fault(key, f"{shown(value)} is not allowed; give {allowed}")
    return value


def _exercise(table: PlanKeys, faults: Faults) -> Exercise:
    """Return an exercise of ours by its key, or one of the coach's own, with what the plan says of it."""
    there = {key: table.has(key) for key in ("name", "mount", "cues")}  # known, whatever is at fault before them
    key = faults.take(lambda: kebab(table, "exercise"), "")
    if key not in OURS and not there["name"]:
        ours = ", ".join(OURS)
        words = f"{shown(key)} is none of {ours}; give one, or name, mount and cues of your own"
        faults.note(table.fault("exercise", words))
        return _ANY
    known = OURS.get(key, Exercise(key, "", Mount.BODY))
    usual = (known.mount.value, list(known.cues)) if key in OURS else (None, None)
    return replace(
        known,
        name=faults.take(lambda: _name(table, known.name), _ANY.name),
        mount=Mount(faults.take(lambda: table.choice("mount", MOUNTS, usual[0]), Mount.BODY.value)),
        cues=tuple(faults.some(lambda: tuple(table.texts("cues", usual[1], '["Start: arms long."]')))),
    )


_ANY = next(iter(OURS.values()))
"""Stands where an exercise is at fault: the plan is of no use then."""


def _name(table: PlanKeys, usual: str) -> str:
    name = table.line("name", usual)
    if not name.strip():
        raise table.fault("name", "is empty; give the exercise's name")
    return name


def _gate(steps: Sequence[Step]) -> str:
    return f"{step_words(steps[-1])}, a week long" if steps else ""


def _steps(rung: PlanKeys, faults: Faults, fewest: int) -> tuple[Step, ...]:
    """Return all steps: those listed, each with what the rung says for all, each with its taper of rests."""
    for key in STEP_KEYS:
        rung.has(key)
    entries = faults.some(lambda: rung.entries("steps", MOST_STEPS, _STEPS)) or (None,)
    steps: list[Step] = []
    for entry in entries:
        with faults.noting():
            steps += _tapered((rung,) if entry is None else (entry, rung), fewest)
    if len(steps) > MOST_STEPS:
        with faults.noting():
            raise rung.fault("key", f"has {len(steps)} steps; give {MOST_STEPS} at most")
    return tuple(steps)


def _tapered(layers: Sequence[PlanKeys], fewest: int) -> list[Step]:
    """Return the steps of one entry: of several layers the first that has a key says it."""
    for key in STEP_KEYS if len(layers) > 1 else ():
        layers[0].has(key)
    hold_s = _first(layers, "hold_s").optional("hold_s", 3, 120)
    allowed = (1, 1) if hold_s else (fewest, MOST_REPS)
    step = Step(
        sets=_first(layers, "sets").count("sets", 1, MOST_SETS),
        reps=_first(layers, "reps").count("reps", *allowed, 1 if hold_s else None),
        tempo=_tempo(layers),
        rest_s=0.0,
        hold_s=hold_s,
        half_pause_s=_first(layers, "half_pause_s").optional("half_pause_s", 0.5, 5),
        load_kg=_first(layers, "load_kg").number("load_kg", -100, 100, 0.0),
    )
    rests = _rests(layers)
    if len(layers) > 1:
        layers[0].finish()
    return [replace(step, rest_s=rest) for rest in rests]


def _first(layers: Sequence[PlanKeys], *keys: str) -> PlanKeys:
    """Return the first layer that has one of the keys, else the last."""
    return next((layer for layer in layers if any(layer.has(key) for key in keys)), layers[-1])


def _tempo(layers: Sequence[PlanKeys]) -> Tempo:
    tables = [layer.table("tempo") for layer in layers if layer.has("tempo")] or [PlanKeys({}, (*layers[-1].path,))]
    up = _first(tables, "up_s")
    tempo = Tempo(
        down_s=_first(tables, "down_s").number("down_s", 0.5, 30, ORDINARY.down_s),
        bottom_s=_first(tables, "bottom_s").number("bottom_s", 0, 10, ORDINARY.bottom_s),
        up_s=up.seconds_or_fast("up_s", 0.5, 10, ORDINARY.up_s or 0.0),
        top_s=_first(tables, "top_s").number("top_s", 0, 30, ORDINARY.top_s),
    )
    for table in tables:
        for key in ("down_s", "bottom_s", "up_s", "top_s"):
            table.has(key)
        table.finish()
    return tempo


def _rests(layers: Sequence[PlanKeys]) -> list[float]:
    """Return the rest, or those of a taper from the longest to the shortest, seconds."""
    layer = _first(layers, "rest_s", *TAPER)
    tapering = [key for key in TAPER if layer.has(key)]
    if not tapering:
        return [layer.number("rest_s", *REST_S)]
    if layer.has("rest_s"):
        raise layer.fault("rest_s", f"stands beside {tapering[0]}; give one rest, or {', '.join(TAPER)}")
    longest, shortest = layer.count("rest_from_s", *REST_S), layer.count("rest_to_s", *REST_S)
    by = layer.count("rest_by_s", 1, 60, 5)
    if shortest > longest:
        raise layer.fault("rest_to_s", f"{shortest} is more than rest_from_s = {longest}; give {longest} or less")
    if (longest - shortest) % by:
        text = f"{by} leads from {longest} not to {shortest}; give a part of {longest - shortest}"
        raise layer.fault("rest_by_s", text)
    return [float(rest) for rest in range(longest, shortest - 1, -by)]
