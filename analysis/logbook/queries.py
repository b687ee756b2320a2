"""Reading sessions: which analysis answers for them, and how their parts are put together.

A later kind of run answers before an earlier one (`RunKind`), of one kind the last. A session that was broken off may
have sets that only the live answer reached: those that begin after the end of what the better run saw are added. What a
finished session's best run did not find is not there. Sessions that people corrected are returned as corrected
(`analysis.training.correcting`), whichever run found what they are about; what was measured stays in its tables.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Row, Select, or_, select

from analysis.logbook.entries import RunKind
from analysis.logbook.rows import correction_of, session_of, set_of
from analysis.logbook.schema import analysis_run, correction, rep, rep_set, session, trainee
from analysis.training.correcting import corrected
from analysis.training.judge import judge_session
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.scale import TrueTime

_RANK = {kind.value: rank for rank, kind in enumerate(RunKind)}
_Rows = Sequence[Row[Any]]


def sessions_of(connection: Connection, trainee_id: int, *, with_reps: bool) -> tuple[SessionRecord, ...]:
    """Return the sessions in which a trainee took part, with that trainee's sets, in order of time."""
    part = select(analysis_run.c.session_id).join(rep_set).where(rep_set.c.trainee_id == trainee_id)
    mine = or_(session.c.trainee_id == trainee_id, session.c.id.in_(part))
    chosen = select(session.c.id).where(mine)
    uuid = UUID(connection.execute(select(trainee.c.uuid).where(trainee.c.id == trainee_id)).scalar_one())
    return tuple(_read(connection, chosen, with_reps=with_reps, only=uuid))


def session_with(connection: Connection, session_uuid: UUID) -> SessionRecord | None:
    """Return one session with everybody's sets and all reps; None where there is none."""
    chosen = select(session.c.id).where(session.c.uuid == str(session_uuid))
    return next(_read(connection, chosen, with_reps=True, only=None), None)


def session_found(connection: Connection, session_uuid: UUID, run: int | None) -> SessionRecord | None:
    """Return one session as measured, by one run or by those that answer for it; None where there is none."""
    chosen = select(session.c.id).where(session.c.uuid == str(session_uuid))
    return next(_read(connection, chosen, with_reps=True, only=None, measured=True, run=run), None)


def _read(
    connection: Connection,
    chosen: Select[tuple[int]],
    *,
    with_reps: bool,
    only: UUID | None,
    measured: bool = False,
    run: int | None = None,
) -> Iterator[SessionRecord]:
    heads = connection.execute(
        select(session, trainee.c.uuid.label("owner"))
        .join(trainee)
        .where(session.c.id.in_(chosen))
        .order_by(session.c.started_utc_us, session.c.id)
    ).all()
    some = analysis_run.c.session_id.in_(chosen)
    runs = _by(
        connection.execute(select(analysis_run).where(some if run is None else analysis_run.c.id == run)).all(),
        "session_id",
    )
    sets = _by(connection.execute(_sets(chosen)).all(), "run_id")
    said = {} if measured else _by(connection.execute(_corrections(chosen)).all(), "session_id")
    read = chosen if with_reps else chosen.where(session.c.id.in_(list(said)))
    reps = _by(connection.execute(_reps(read)).all(), "set_id") if with_reps or said else {}
    for head in heads:
        answer = _answer(runs.get(head.id, ()), sets, finished=head.ended_utc_us is not None)
        if head.id in said:
            clock = _clock(runs.get(head.id, ()))
            record = _corrected(head, answer, said[head.id], reps, clock)
            yield _part(record if with_reps else _light(record), only)
        else:
            yield _record(head, answer, reps, only)


def _record(head: Row[Any], answer: _Rows, reps: Mapping[int, _Rows], only: UUID | None) -> SessionRecord:
    owner = UUID(head.owner)
    kept = [row for row in answer if only is None or row.trainee_uuid == str(only)]
    sets = tuple(set_of(row, reps.get(row.id, ()), owner) for row in kept)
    whole = len(kept) == len(answer) and only in (None, owner)
    return session_of(head, sets, only or owner, whole=whole)


def _corrected(head: Row[Any], answer: _Rows, said: _Rows, reps: Mapping[int, _Rows], clock: TrueTime) -> SessionRecord:
    """Return a session with everybody's sets, as it stands with what people said against it."""
    owner = UUID(head.owner)
    sets = tuple(set_of(row, reps.get(row.id, ()), owner) for row in answer)
    found = session_of(head, sets, owner, whole=True)
    return corrected(found, [correction_of(row, found.session_id) for row in said], clock)


def _part(record: SessionRecord, only: UUID | None) -> SessionRecord:
    """Return one trainee's part of a session."""
    if only is None:
        return record
    his = None if only == record.trainee else only
    sets = tuple(one for one in record.sets if one.trainee == his)
    others = {
        "partners": tuple(one for one in record.partners if one.trainee == his),
        "warm_ups": tuple(one for one in record.warm_ups if one.trainee == his),
    }
    if his is None and len(sets) == len(record.sets):
        return replace(record, **others)
    verdict = judge_session([one.verdict for one in sets], record.prescription)
    return replace(record, trainee=only, sets=sets, verdict=verdict, **others)


def _light(record: SessionRecord) -> SessionRecord:
    """Return a session without its reps."""
    sets = tuple(_without_reps(one) for one in record.sets)
    others = {
        "partners": tuple(_without_reps(one) for one in record.partners),
        "warm_ups": tuple(_without_reps(one) for one in record.warm_ups),
    }
    verdict = replace(record.verdict, sets=tuple(one.verdict for one in sets))
    return replace(record, sets=sets, verdict=verdict, **others)


def _without_reps(one: SetRecord) -> SetRecord:
    return replace(one, reps=(), verdict=replace(one.verdict, reps=()))


def _clock(runs: _Rows) -> TrueTime:
    """Return the sensor's clock as known at last by the run that answers."""
    best = max(runs, key=lambda run: (_RANK[run.kind], run.id), default=None)
    if best is None:
        return TrueTime(ratio_sd=UNKNOWN_SD)
    sd = UNKNOWN_SD if best.clock_sd_ppm is None else best.clock_sd_ppm * 1e-6
    return TrueTime(ratio=best.clock_ratio or 1.0, ratio_sd=sd, moment_sd_s=best.moment_sd_s or 0.0)


UNKNOWN_SD = 0.015
"""One sigma of a clock of which no run tells anything: on-chip oscillators go up to 1.5 % wrong."""


def _answer(runs: _Rows, sets: Mapping[int, _Rows], *, finished: bool) -> _Rows:
    """Return the sets that answer for a session, in order of time."""
    best_first = sorted(runs, key=lambda run: (_RANK[run.kind], run.id), reverse=True)
    if not best_first:
        return ()
    answer = list(sets.get(best_first[0].id, ()))
    for run in () if finished else best_first[1:]:
        seen_s = max((row.end_s for row in answer), default=float("-inf"))
        answer += [row for row in sets.get(run.id, ()) if row.start_s >= seen_s]
    return sorted(answer, key=lambda row: row.start_s)


def _corrections(chosen: Select[tuple[int]]) -> Select[Any]:
    return select(correction).where(correction.c.session_id.in_(chosen)).order_by(correction.c.id)


def _sets(chosen: Select[tuple[int]]) -> Select[Any]:
    return (
        select(rep_set, trainee.c.uuid.label("trainee_uuid"))
        .join(analysis_run, rep_set.c.run_id == analysis_run.c.id)
        .join(trainee, rep_set.c.trainee_id == trainee.c.id)
        .where(analysis_run.c.session_id.in_(chosen))
    )


def _reps(chosen: Select[tuple[int]]) -> Select[Any]:
    return (
        select(rep)
        .join(rep_set, rep.c.set_id == rep_set.c.id)
        .join(analysis_run, rep_set.c.run_id == analysis_run.c.id)
        .where(analysis_run.c.session_id.in_(chosen))
        .order_by(rep.c.set_id, rep.c.ordinal)
    )


def _by(rows: _Rows, column: str) -> dict[int, _Rows]:
    """Group rows by a column, keeping their order."""
    groups: dict[int, list[Row[Any]]] = defaultdict(list)
    for row in rows:
        groups[getattr(row, column)].append(row)
    return dict(groups)
