"""Rows of what people say and of what was proposed, to values and back."""

from __future__ import annotations

import json
from dataclasses import fields
from datetime import date
from functools import lru_cache
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, Row, Text, cast

from analysis.logbook.codec import from_json, to_json
from analysis.logbook.schema import statement
from analysis.training.corrections import Act, Because, By, Correction, Given
from analysis.training.decision import Reason
from analysis.training.ladder import Method
from analysis.training.prescription import Prescription
from analysis.training.progression import NextSession
from analysis.training.statements import Form, Note, Pain, Placement, Reference, Release, Signs, Statement, Worn


def correction_values(made: Correction) -> dict[str, Any]:
    """Return the columns of a correction, without its session."""
    return {
        "uuid": str(made.id),
        "start_s": made.start_s,
        "end_s": made.end_s,
        "kind": made.kind.value,
        "value": plain_value(made),
        "reason": made.reason.value,
        "text": made.text,
        "who": made.who,
        "role": made.role.value,
        "made_utc_us": made.made_utc_us,
    }


def plain_value(made: Correction) -> Any:
    """Return what holds instead, as JSON has it."""
    return to_json(made.value) if isinstance(made.value, Given) else made.value


def correction_of(row: Row[Any], session_id: UUID) -> Correction:
    """Return the correction of a row."""
    return Correction(
        id=UUID(row.uuid),
        session_id=session_id,
        start_s=row.start_s,
        end_s=row.end_s,
        kind=Act(row.kind),
        value=from_json(row.value, Given) if row.kind == Act.GIVE.value else row.value,
        reason=Because(row.reason),
        who=row.who,
        made_utc_us=row.made_utc_us,
        role=By(row.role),
        text=row.text,
    )


def proposal_values(proposal: NextSession) -> dict[str, Any]:
    """Return the columns of what was proposed, without for whom and when."""
    return {
        "due": proposal.due,
        "rung": proposal.rung,
        "step": proposal.step,
        "steps": proposal.steps,
        # JSON's null, not the database's: no session
        "prescription": JSON.NULL if proposal.prescription is None else to_json(proposal.prescription),
        "reasons": to_json(proposal.reasons),
        "cautions": list(proposal.cautions),
        "method": proposal.method.value,
        "cue": proposal.cue,
    }


def proposal_of(row: Row[Any]) -> NextSession:
    """Return what was proposed."""
    return NextSession(
        rung=row.rung,
        step=row.step,
        steps=row.steps,
        prescription=None if row.prescription is None else from_json(row.prescription, Prescription),
        due=row.due,
        reasons=tuple(from_json(one, Reason) for one in row.reasons),
        cautions=tuple(row.cautions),
        method=Method(row.method),
        cue=row.cue or "",
    )


_KINDS: tuple[type[Statement], ...] = (Pain, Signs, Form, Release, Placement, Reference, Worn, Note)
_STATEMENTS: dict[str, type[Statement]] = {one.__name__.lower(): one for one in _KINDS}


def statement_values(said: Statement) -> dict[str, Any]:
    """Return the columns of what was said, without by whom it is about."""
    value = to_json(said)
    del value["day"], value["said_utc_us"]
    return {"kind": type(said).__name__.lower(), "day": said.day, "said_utc_us": said.said_utc_us, "value": value}


STATEMENT = (
    statement.c.trainee_id,
    statement.c.kind,
    cast(statement.c.value, Text),
    statement.c.day,
    statement.c.said_utc_us,
)
"""The columns of a statement, its JSON as text."""


def statement_of(kind: str, value: str, day: date, said_utc_us: int) -> Statement:
    """Return what was said, from the columns after the first of `STATEMENT`."""
    form, said = _said(kind, value)
    return form(day=day, said_utc_us=said_utc_us, **said)


@lru_cache(maxsize=4096)
def _said(kind: str, value: str) -> tuple[type[Statement], dict[str, Any]]:
    """Return the kind of a statement, and what it says without its day: the same is said again and again."""
    form = _STATEMENTS[kind]
    one = from_json({**json.loads(value), "day": "1970-01-01", "said_utc_us": 0}, form)
    names = {field.name for field in fields(form)} - {"day", "said_utc_us"}
    return form, {name: getattr(one, name) for name in names}
