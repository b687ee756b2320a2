"""Half-years of training at random: trainees who meet, miss, fall ill, stall or cannot wait, and what they are told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from random import Random

from analysis.training.ladder import Ladder, Position
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Goal, Grip, Prescription
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord, Source
from analysis.training.statements import Form, Pain, Placement, Question, Release, Role, Statement
from tests.analysis.training.builders import make_session, make_test, utc_us

BEGIN = date(2026, 1, 5)
DAYS = 182
HOW: dict[str, dict[str, object]] = {
    "met": {},
    "short": {"counts": (None, 2, None)},
    "quick": {"down_s": 0.4},
    "late": {"rest_s": 200.0},
    "unsure": {"sd_s": 0.5},
    "dark": {"measured": False},
}
CHARACTERS = {
    "steady": ((20, 1, 1, 1, 1, 1), 0.02, 0.05),
    "wobbly": ((3, 2, 2, 1, 1, 1), 0.05, 0.2),
    "stalled": ((1, 8, 1, 0, 0, 0), 0.02, 0.05),
    "hasty": ((2, 0, 6, 0, 0, 0), 0.05, 0.0),
    "sore": ((6, 1, 1, 0, 0, 0), 0.4, 0.1),
    "eager": ((20, 1, 0, 0, 0, 0), 0.02, 0.0),
}
"""Weights of `HOW`, chance of pain at a session, chance that one is put off."""


@dataclass(frozen=True)
class Told:
    """What was said on a day, and all it rests on."""

    today: date
    history: History
    said: NextSession
    plan: TrainingPlan


@lru_cache(maxsize=4096)
def _done(plan: TrainingPlan, position: Position, grip: Grip, how: str) -> SessionRecord:
    return make_session(BEGIN, plan.ladder, position, grip=grip, **HOW[how])  # type: ignore[arg-type]


def half_year(seed: int) -> Iterator[Told]:
    """Yield what one random trainee is told before each session of half a year."""
    random = Random(seed)
    character = random.choice(list(CHARACTERS))
    weights, sore, late = CHARACTERS[character]
    plan = _plan(random)
    sessions: list[SessionRecord] = []
    statements: list[Statement] = list(_placement(random))
    today = BEGIN
    while (today - BEGIN).days < DAYS:
        statements.extend(_statements(random, today, sore))
        history = History(tuple(sessions), tuple(statements))
        told = Told(today, history, next_session(history, plan, today), plan)
        yield told
        early = character == "eager" and random.random() < 0.3
        if told.said.prescription is None or (told.said.due > today and not early):
            today = (
                max(told.said.due, today + timedelta(days=1)) if told.said.prescription else today + timedelta(days=3)
            )
            continue
        how = random.choices(list(HOW), weights)[0]
        sessions.append(_session(told, told.said.prescription, how, random))
        today += timedelta(days=1 + (random.choice([2, 5, 8, 16]) if random.random() < late else 0))


def _plan(random: Random) -> TrainingPlan:
    plan = default_plan(random.choice(list(Goal)))
    only = {0: (Grip.NEUTRAL,), 2: (Grip.NEUTRAL, Grip.SUPINATED), 4: (Grip.PRONATED, Grip.NEUTRAL)}
    rungs = [replace(rung, grips=only.get(n, ())) for n, rung in enumerate(plan.ladder.rungs)]
    return replace(
        plan,
        ladder=random.choice([plan.ladder, plan.ladder, Ladder(tuple(rungs))]),
        sessions_a_week=random.choice([1, 2, 2, 3]),
        days_between=random.choice([1, 2, 2]),
        grip_weeks=random.choice([2, 3, 4]),
        test_weeks=random.choice([None, 3, 4, 6]),
        elbow_history=random.random() < 0.2,
        high_blood_pressure=random.random() < 0.2,
        start=random.choice(["inverted-row", "feet-on-floor", "heels-raised", "box", "pull-up", "weighted"]),
    )


def _placement(random: Random) -> Iterator[Statement]:
    """Sometimes a coach begins high on the box."""
    if random.random() < 0.1:
        yield Placement(said_utc_us=utc_us(BEGIN, 7), day=BEGIN, rung="box", step=random.randint(2, 7), by="coach")


def _statements(random: Random, today: date, sore: float) -> Iterator[Statement]:
    at = utc_us(today, 8)
    if random.random() < sore:
        level = random.choice([4, 4, 5, 6, 8])
        yield Pain(said_utc_us=at, day=today, now=level, worst=level, sharp=random.random() < 0.1)
    elif random.random() < 0.7:
        yield Pain(said_utc_us=at, day=today, now=random.randint(0, 3), worst=random.randint(0, 3))
    if random.random() < 0.05:
        yield Release(said_utc_us=at + 1, day=today, role=random.choice(list(Role)), by="coach")
    for question in Question:
        if random.random() < 0.15:
            yield Form(said_utc_us=at + 2, day=today, question=question, yes=random.random() < 0.8, by="coach")


def _session(told: Told, asked: Prescription, how: str, random: Random) -> SessionRecord:
    if asked.is_test:
        done = make_test(told.today, asked, told.said.rung)
    else:
        position = told.plan.ladder.position(told.said.rung, asked, told.said.method)
        assert position is not None
        done = _done(told.plan, position, asked.grip, how)
    return replace(
        done,
        day=told.today,
        started_utc_us=utc_us(told.today),
        ended_utc_us=utc_us(told.today, 19),
        source=Source.TYPED if random.random() < 0.1 else Source.SENSOR,
    )


def harder(before: SessionRecord, told: Told) -> list[str]:
    """Name what is harder than in the session before; on a lower rung nothing is."""
    was, asked = before.prescription, told.said.prescription
    assert asked is not None
    rungs = told.plan.ladder
    up = (rungs.number(told.said.rung) or 0) - (rungs.number(before.rung) or 0)
    if up < 0:
        return []
    amount = {
        "sets": asked.sets > was.sets,
        "rest": asked.rest_s < was.rest_s,
        "grip": asked.grip.hardness > was.grip.hardness,
        "load": asked.load_kg > was.load_kg,
    }
    form = {
        "reps": asked.reps > was.reps,
        "top": asked.tempo.top_s > was.tempo.top_s,
        "down": asked.tempo.down_s > was.tempo.down_s,
        "half": (asked.half_pause_s or 0) > (was.half_pause_s or 0),
        "hold": (asked.hold_s or 0) > (was.hold_s or 0),
    }
    found = {**amount, "rung": True} if up else {**amount, **form}
    return [name for name, is_harder in found.items() if is_harder]
