"""Corrections as people make them, for the tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from analysis.training.corrections import Act, Because, By, Correction
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.records import SessionRecord, SetRecord
from tests.analysis.training.builders import SPACE, make_session, utc_us

MONDAY = date(2026, 3, 2)
LADDER = default_plan().ladder


def session(**changes: Any) -> SessionRecord:
    return make_session(MONDAY, LADDER, Position(1, 0), **changes)


def correction(
    kind: Act, start_s: float, end_s: float, value: Any = None, *, number: int = 1, role: By = By.COACH
) -> Correction:
    return Correction(
        id=uuid5(SPACE, f"{number} {kind}"),
        session_id=session().session_id,
        start_s=start_s,
        end_s=end_s,
        kind=kind,
        value=value,
        reason=Because.OTHER,
        who="Ada" if role is By.COACH else "Ines",
        role=role,
        made_utc_us=utc_us(MONDAY, 20) + number,
    )


def about_reps(kind: Act, start_s: float, end_s: float, *reps: tuple[float, float, str], **more: Any) -> Correction:
    told = [{"start_s": start, "end_s": end, "kind": of} for start, end, of in reps]
    return correction(kind, start_s, end_s, {"reps": told}, **more)


def about_set(kind: Act, one: SetRecord, value: Any = None, **more: Any) -> Correction:
    return correction(kind, one.start_s, one.end_s, value, **more)


def drop_rep(one: SetRecord, nth: int, **more: Any) -> Correction:
    rep = one.reps[nth - 1]
    return about_reps(Act.DROP_REP, rep.start_s, rep.end_s, **more)


def undo(made: Correction, number: int) -> Correction:
    return replace(correction(Act.UNDO, made.start_s, made.end_s, str(made.id)), id=UUID(int=number))
