"""Plans drawn wide: own exercises, every kind of step, every key."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

from hypothesis import strategies as st

from analysis.motion.mounts import Mount
from analysis.training.blocks import Step, box_steps, hold_steps, one_and_a_half, paused, rest_taper, slow_negative
from analysis.training.exercises import OURS
from analysis.training.ladder import PLATEAU_METHODS, Ladder, Rung
from analysis.training.plan import EQUIPMENT, TrainingPlan
from analysis.training.prescription import Exercise, Goal, Grip, Tempo

LINES = st.text(st.characters(min_codepoint=32, exclude_categories=("C", "Z")) | st.just(" "), max_size=20)
NAMES = LINES.filter(lambda text: text.strip())
KEYS = st.from_regex(r"[a-z]{1,6}(-[a-z0-9]{1,4})?", fullmatch=True)
SECONDS = st.integers(2, 40).map(lambda quarters: quarters / 4)
TEMPOS = st.builds(Tempo, down_s=SECONDS, bottom_s=SECONDS, up_s=st.none() | SECONDS, top_s=SECONDS)


@st.composite
def _own_steps(draw: st.DrawFn) -> tuple[Step, ...]:
    """One rest or a taper, then more reps; sometimes with assistance or load from the start."""
    by, count, reps = draw(st.integers(1, 30)), draw(st.integers(1, 4)), draw(st.integers(3, 20))
    base = Step(draw(st.integers(1, 5)), reps, draw(TEMPOS), float(draw(st.integers(120, 300))))
    base = replace(base, load_kg=draw(st.sampled_from([0.0, -12.5, 10.0])))
    taper = [replace(base, rest_s=base.rest_s - by * n) for n in range(count)]
    more = [replace(taper[-1], reps=reps + n) for n in range(1, draw(st.integers(1, 4)))]
    return (*taper, *more)


STEPS = st.one_of(
    _own_steps(),
    st.sampled_from(
        [box_steps(), hold_steps(), paused(3, 10), one_and_a_half(4, 8), slow_negative(3, 6), rest_taper(3, 15)]
    ),
)
OWN = st.builds(Exercise, KEYS, NAMES, st.sampled_from(Mount), st.lists(LINES, max_size=3).map(tuple))


def _some(values: object) -> st.SearchStrategy[tuple]:
    return st.lists(st.sampled_from(values), unique=True).map(tuple)


RUNGS = st.builds(
    Rung,
    key=KEYS,
    exercise=st.sampled_from(list(OURS.values())) | OWN,
    steps=STEPS,
    gate=LINES,
    methods=_some(PLATEAU_METHODS).map(lambda some: tuple(one for one in PLATEAU_METHODS if one in some)),
    needs=_some(EQUIPMENT).map(frozenset),
    load_step_kg=st.none() | SECONDS,
    volume=st.booleans(),
    gap_s=st.none() | st.integers(10, 45).map(float),
    warm_ups=st.integers(0, 3),
    two_sided=_some(("down", "top")),
    typed=st.booleans(),
    grips=_some(list(Grip)),
)


@st.composite
def plans(draw: st.DrawFn) -> TrainingPlan:
    rungs = draw(st.lists(RUNGS, min_size=1, max_size=4, unique_by=lambda rung: rung.key))
    keys = st.sampled_from([rung.key for rung in rungs])
    often, free = draw(st.sampled_from([(1, 2), (1, 6), (2, 2), (3, 1)]))
    return TrainingPlan(
        ladder=Ladder(tuple(rungs)),
        start=draw(keys),
        goal=draw(st.sampled_from(Goal)),
        sessions_a_week=often,
        days_between=free,
        weekdays=draw(st.sampled_from([(), (0, 2, 4), (5, 0, 2)])),
        times=draw(st.sampled_from([(), (time(18, 30),), (time(7), time(7), time(23, 59))])),
        grips=draw(_some(list(Grip)).filter(bool)),
        grip_weeks=draw(st.integers(2, 4)),
        grip_by_weekday=draw(st.booleans()),
        grips_opened_by=draw(LINES),
        plateau_weeks=draw(st.integers(1, 12)),
        test_weeks=draw(st.none() | st.integers(3, 12)),
        equipment=frozenset(draw(_some(EQUIPMENT))),
        shoulder_history=draw(st.booleans()),
        elbow_history=draw(st.booleans()),
        high_blood_pressure=draw(st.booleans()),
        blood_pressure_cleared_by=draw(LINES),
        shoulders_set_from=draw(keys),
        group=draw(LINES),
        acknowledged=draw(st.none() | st.dates(date(2020, 1, 1))),
    )
