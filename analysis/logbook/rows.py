"""Rows of the tables to values and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, Row

from analysis.logbook.codec import from_json, set_from_json, set_to_json, to_json
from analysis.logbook.entries import AnalysisRun, RunKind, Trainee
from analysis.motion.mounts import Mount, Place
from analysis.motion.results import Rep, RepKind, TimingSd, Untold, Why
from analysis.training.corrections import Act, Because, By, Correction
from analysis.training.decision import Reason
from analysis.training.judge import judge_session
from analysis.training.ladder import Method
from analysis.training.prescription import Prescription
from analysis.training.progression import NextSession
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.setup import UNSAID, SetUp
from analysis.training.statements import Form, Pain, Placement, Release, Signs, Statement
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome, RepVerdict, SessionVerdict

_PLAIN = tuple(field.name for field in fields(Rep) if field.name not in {"kind", "timing_sd", "untold"})
_SD = tuple(field.name for field in fields(TimingSd))
_UNTOLD = tuple(field.name for field in fields(Untold))


def _sd_column(name: str) -> str:
    """Name the column of a boundary's one-sigma: `start_s` → `start_sd_s`."""
    return f"{name.removesuffix('_s')}_sd_s"


def rep_values(rep: Rep, verdict: RepVerdict, ordinal: int) -> dict[str, Any]:
    """Return the columns of a rep, without its set."""
    return {
        "ordinal": ordinal,
        "kind": rep.kind.value,
        "verdict": to_json(verdict),
        **{name: getattr(rep, name) for name in _PLAIN},
        **{_sd_column(name): getattr(rep.timing_sd, name) for name in _SD},
        **{f"{name}_why": getattr(rep.untold, name) for name in _UNTOLD},
    }


def rep_of(row: Row[Any]) -> Rep:
    """Return the rep of a row."""
    return Rep(
        kind=RepKind(row.kind),
        timing_sd=TimingSd(*(getattr(row, _sd_column(name)) for name in _SD)),
        untold=Untold(*(None if why is None else Why(why) for why in (getattr(row, f"{n}_why") for n in _UNTOLD))),
        **{name: getattr(row, name) for name in _PLAIN},
    )


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
    }


def set_of(row: Row[Any], reps: Sequence[Row[Any]], owner: UUID) -> SetRecord:
    """Return the set of a row, with the rows of its reps (none where they were not asked for).

    Parameters
    ----------
    row
        Of `rep_set`, with `trainee_uuid`.
    reps
        Of `rep`, in their order.
    owner
        The session's own trainee.
    """
    by = UUID(row.trainee_uuid)
    return SetRecord(
        number=row.number,
        bouts=tuple(row.bouts),
        start_s=row.start_s,
        end_s=row.end_s,
        reps=tuple(rep_of(one) for one in reps),
        measured=row.measured,
        why=None if row.why is None else Why(row.why),
        rest_before_s=row.rest_before_s,
        clock_ratio=row.clock_ratio,
        verdict=set_from_json(row.verdict, tuple(from_json(one.verdict, RepVerdict) for one in reps)),
        trainee=None if by == owner else by,
        kind=SetKind(row.kind),
    )


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
        "set_up": None if record.set_up == UNSAID else to_json(record.set_up),
    }


def end_values(ended_utc_us: int, verdict: SessionVerdict) -> dict[str, Any]:
    """Return the columns of what a session ended with."""
    return {"ended_utc_us": ended_utc_us, "outcome": verdict.outcome.value, "summary": list(verdict.summary)}


def session_of(row: Row[Any], sets: tuple[SetRecord, ...], trainee: UUID, *, whole: bool) -> SessionRecord:
    """Return the session of a row.

    Parameters
    ----------
    row
        Of `session`.
    sets
        Its sets, or those of one trainee, of either kind.
    trainee
        Whose record it is.
    whole
        Whether `sets` are all of them: only then the verdict given at its end holds.
    """
    prescription = from_json(row.prescription, Prescription)
    own = tuple(one for one in sets if one.kind is SetKind.EXERCISE)
    verdicts = tuple(one.verdict for one in own)
    if whole and row.outcome is not None:
        verdict = SessionVerdict(verdicts, Outcome(row.outcome), tuple(row.summary or ()))
    else:
        verdict = judge_session(verdicts, prescription)
    return SessionRecord(
        session_id=UUID(row.uuid),
        trainee=trainee,
        day=row.day,
        started_utc_us=row.started_utc_us,
        ended_utc_us=row.ended_utc_us,
        rung=row.rung,
        prescription=prescription,
        mount=Mount(row.mount),
        sensor=row.sensor,
        recording=row.recording,
        sets=own,
        verdict=verdict,
        demo=row.demo,
        place=None if row.place is None else Place(row.place),
        partners=tuple(one for one in sets if one.kind is SetKind.PARTNER),
        warm_ups=tuple(one for one in sets if one.kind is SetKind.WARM_UP),
        method=Method(row.method),
        source=Source(row.source),
        seen_by=row.seen_by or "",
        set_up=UNSAID if row.set_up is None else from_json(row.set_up, SetUp),
        rpe=row.rpe,
        minutes=row.minutes,
        note=row.note or "",
    )


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


def correction_values(made: Correction) -> dict[str, Any]:
    """Return the columns of a correction, without its session."""
    return {
        "uuid": str(made.id),
        "start_s": made.start_s,
        "end_s": made.end_s,
        "kind": made.kind.value,
        "value": made.value,
        "reason": made.reason.value,
        "text": made.text,
        "who": made.who,
        "role": made.role.value,
        "made_utc_us": made.made_utc_us,
    }


def correction_of(row: Row[Any], session_id: UUID) -> Correction:
    """Return the correction of a row."""
    return Correction(
        id=UUID(row.uuid),
        session_id=session_id,
        start_s=row.start_s,
        end_s=row.end_s,
        kind=Act(row.kind),
        value=row.value,
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


_STATEMENTS: dict[str, type[Statement]] = {one.__name__.lower(): one for one in (Pain, Signs, Form, Release, Placement)}


def statement_values(said: Statement) -> dict[str, Any]:
    """Return the columns of what was said, without by whom it is about."""
    value = to_json(said)
    del value["day"], value["said_utc_us"]
    return {"kind": type(said).__name__.lower(), "day": said.day, "said_utc_us": said.said_utc_us, "value": value}


def statement_of(row: Row[Any]) -> Statement:
    """Return what was said."""
    whole = {**row.value, "day": row.day.isoformat(), "said_utc_us": row.said_utc_us}
    return from_json(whole, _STATEMENTS[row.kind])
