"""Rows of the tables to values and back."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, Row, Text, cast

from analysis.logbook.codec import from_text, set_from_json, set_to_json, to_json
from analysis.logbook.entries import AnalysisRun, RunKind, Trainee
from analysis.logbook.rep_rows import rep_of, rep_verdicts
from analysis.logbook.schema import session
from analysis.logbook.unread import Unread
from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Why
from analysis.training.judge import judge_session
from analysis.training.ladder import Method
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.setup import UNSAID, SetUp
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome, SessionVerdict, SetVerdict


def set_values(record: SetRecord) -> dict[str, Any]:
    """Return the columns of a set, without its run and trainee."""
    return {
        "number": record.number,
        "bouts": list(record.bouts),
        "start_s": record.start_s,
        "end_s": record.end_s,
        "measured": record.measured,
        "why": None if record.why is None else record.why.value,
        "rest_before_s": record.rest_before_s,
        "clock_ratio": record.clock_ratio,
        "verdict": set_to_json(record.verdict),
        "kind": record.kind.value,
        "begins_down": record.begins_down,
        "direction": None if record.direction is None else list(record.direction),
    }


def set_of(row: Row[Any], reps: Sequence[Row[Any]], owner: UUID) -> SetRecord:
    """Return the set of a row, with the rows of its reps (none where they were not asked for).

    Parameters
    ----------
    row
        Of `rep_set`, with `trainee_uuid`.
    reps
        Of `rep_columns`, in their order.
    owner
        The session's own trainee.
    """
    by = UUID(row.trainee_uuid)
    return SetRecord(
        number=row.number,
        bouts=tuple(row.bouts),
        start_s=row.start_s,
        end_s=row.end_s,
        reps=tuple(map(rep_of, reps)),
        measured=row.measured,
        why=None if row.why is None else Why(row.why),
        rest_before_s=row.rest_before_s,
        clock_ratio=row.clock_ratio,
        verdict=set_from_json(row.verdict, rep_verdicts(reps)),
        trainee=None if by == owner else by,
        kind=SetKind(row.kind),
        begins_down=row.begins_down,
        direction=None if row.direction is None else _direction(*row.direction),
    )


def _direction(x: float, y: float, z: float) -> tuple[float, float, float]:
    return x, y, z


def session_values(record: SessionRecord) -> dict[str, Any]:
    """Return the columns of a session, without its trainee, its station and what it ended with."""
    return {
        "uuid": str(record.session_id),
        "day": record.day,
        "started_utc_us": record.started_utc_us,
        "rung": record.rung,
        "prescription": to_json(record.prescription),
        "mount": record.mount.value,
        "place": None if record.place is None else record.place.value,
        "sensor": record.sensor,
        "recording": record.recording,
        "demo": record.demo,
        "method": record.method.value,
        "source": record.source.value,
        "seen_by": record.seen_by,
        "set_up": set_up_value(record.set_up),
    }


def set_up_value(set_up: SetUp) -> Any:
    """Return a set-up as its column has it."""
    return None if set_up == UNSAID else to_json(set_up)


def end_values(ended_utc_us: int, verdict: SessionVerdict) -> dict[str, Any]:
    """Return the columns of what a session ended with."""
    return {"ended_utc_us": ended_utc_us, "outcome": verdict.outcome.value, "summary": list(verdict.summary)}


_BESIDE = ("id", "trainee_id", "own_sets", "partner_sets", "warm_up_sets", "outcome", "summary", "uuid")
_SAME = tuple(one.name for one in fields(SessionRecord) if one.name in session.columns)
"""The fields of a record that are columns of the same name."""
_FIRST = len(_BESIDE)


def head_columns() -> tuple[Any, ...]:
    """Return the columns of a session, its number and its trainee's first; JSON as text, since most of it repeats."""
    columns = (session.c[name] for name in (*_BESIDE, *_SAME))
    return tuple(cast(one, Text).label(one.name) if isinstance(one.type, JSON) else one for one in columns)


def session_of(row: Row[Any], sets: tuple[SetRecord, ...], trainee: UUID) -> SessionRecord:
    """Return the session of a row, with everybody's sets.

    Parameters
    ----------
    row
        Of `head_columns`.
    sets
        Its sets, of every kind.
    trainee
        Its own.
    """
    others = tuple(one for one in sets if one.trainee is not None)
    theirs = tuple(one for one in sets if one.trainee is None)
    own, partners, warm_ups = (tuple(one for one in theirs if one.kind is kind) for kind in SetKind)
    verdicts = tuple(one.verdict for one in own)
    if row.outcome is not None:
        verdict = SessionVerdict(verdicts, Outcome(row.outcome), _summary(row.summary))
    else:
        verdict = judge_session(verdicts, from_text(row.prescription, Prescription))
    found = _session(row.uuid, row[_FIRST:], trainee, (own, partners, warm_ups), verdict)
    return replace(found, others=others) if others else found


@dataclass(frozen=True, slots=True)
class Shelf:
    """Where the sets of unread sessions are, by the number of the session."""

    sets: Callable[[int], Sequence[SetRecord]]
    partners: Callable[[int], Sequence[SetRecord]]
    warm_ups: Callable[[int], Sequence[SetRecord]]
    verdicts: Callable[[int], Sequence[SetVerdict]]


def unread_session_of(row: Row[Any], trainee: UUID, shelf: Shelf) -> SessionRecord:
    """Return the session of a row whose sets are read only when somebody looks.

    Parameters
    ----------
    row
        Of `head_columns`; how many sets answer for it is known.
    trainee
        Whose all of them are.
    shelf
        Where they are.
    """
    number, _, own, partners, warm_ups, outcome, summary, uuid = row[:_FIRST]
    sets = (
        Unread(own, shelf.sets, number),
        Unread(partners, shelf.partners, number) if partners else (),
        Unread(warm_ups, shelf.warm_ups, number) if warm_ups else (),
    )
    verdict = SessionVerdict(Unread(own, shelf.verdicts, number), _outcome(outcome), _summary(summary))
    return _session(uuid, row[_FIRST:], trainee, sets, verdict)


def _session(
    uuid: str,
    same: Sequence[Any],
    trainee: UUID,
    sets: tuple[Sequence[SetRecord], Sequence[SetRecord], Sequence[SetRecord]],
    verdict: SessionVerdict,
) -> SessionRecord:
    """Return a session with its sets, those of the exercise, of its partner, and the warm-up's; `same` as `_SAME`."""
    own, partners, warm_ups = sets
    head = dict(zip(_SAME, same, strict=False))
    set_up = head["set_up"]
    mount, place, method, source = _words(head["mount"], head["place"], head["method"], head["source"])
    head |= {
        "session_id": UUID(uuid),
        "trainee": trainee,
        "prescription": from_text(head["prescription"], Prescription),
        "mount": mount,
        "sets": own,
        "verdict": verdict,
        "place": place,
        "partners": partners,
        "warm_ups": warm_ups,
        "method": method,
        "source": source,
        "seen_by": head["seen_by"] or "",
        "set_up": UNSAID if set_up is None else from_text(set_up, SetUp),
        "note": head["note"] or "",
    }
    return SessionRecord.of(head)


_outcome = lru_cache(Outcome)


@lru_cache
def _words(mount: str, place: str | None, method: str, source: str) -> tuple[Mount, Place | None, Method, Source]:
    return Mount(mount), None if place is None else Place(place), Method(method), Source(source)


@lru_cache(maxsize=4096)
def _summary(text: str | None) -> tuple[str, ...]:
    return () if text is None else tuple(json.loads(text))


def trainee_of(row: Row[Any]) -> Trainee:
    """Return the trainee of a row."""
    return Trainee(UUID(row.uuid), row.name)


def run_of(row: Row[Any]) -> AnalysisRun:
    """Return the analysis run of a row."""
    return AnalysisRun(
        id=row.id,
        kind=RunKind(row.kind),
        version=row.version,
        parameters_sha=row.parameters_sha,
        clock_ratio=row.clock_ratio,
        clock_sd_ppm=row.clock_sd_ppm,
        moment_sd_s=row.moment_sd_s,
    )
