"""Reading sessions: which analysis answers for them, and how their parts are put together.

A later kind of run answers before an earlier one (`RunKind`), of one kind the last. A session that was broken off may
have sets that only the live answer reached: those that begin after the end of what the better run saw are added. What a
finished session's best run did not find is not there. Sessions that people corrected are returned as corrected
(`analysis.training.correcting`), whichever run found what they are about; what was measured stays in its tables.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Row, Select, or_, select

from analysis.logbook.as_corrected import as_corrected, without_reps
from analysis.logbook.entries import RunKind
from analysis.logbook.rep_rows import rep_columns
from analysis.logbook.rows import head_columns, session_of, set_of
from analysis.logbook.schema import analysis_run, correction, rep, rep_set, session, trainee
from analysis.training.corrections import Act
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.sharing import joined, part_of

_RANK = {kind.value: rank for rank, kind in enumerate(RunKind)}
_Row = Row[*tuple[Any, ...]]
_Rows = Sequence[_Row]


def sessions_of(connection: Connection, trainee_id: int) -> tuple[SessionRecord, ...]:
    """Return the sessions in which a trainee took part, with that trainee's sets and their reps."""
    part = select(analysis_run.c.session_id).join(rep_set).where(rep_set.c.trainee_id == trainee_id)
    uuid = UUID(connection.execute(select(trainee.c.uuid).where(trainee.c.id == trainee_id)).scalar_one())
    given = given_sets().where(str(uuid) == RECEIVER).with_only_columns(correction.c.session_id)
    mine = or_(session.c.trainee_id == trainee_id, session.c.id.in_(part), session.c.id.in_(given))
    chosen = select(session.c.id).where(mine)
    return tuple(joined(records(connection, chosen, with_reps=True, only=uuid)))


RECEIVER = correction.c.value["trainee"].as_string()
"""To whom a correction gives a set (UUID)."""


def given_sets() -> Select[tuple[int, str]]:
    """Select the sessions in which a set was given to somebody, undone or not, and to whom."""
    return select(correction.c.session_id, RECEIVER.label("receiver")).where(correction.c.kind == Act.GIVE.value)


def session_with(connection: Connection, session_uuid: UUID, *, with_reps: bool = True) -> SessionRecord | None:
    """Return one session with everybody's sets; None where there is none."""
    chosen = select(session.c.id).where(session.c.uuid == str(session_uuid))
    return next(records(connection, chosen, with_reps=with_reps, only=None), None)


def session_found(connection: Connection, session_uuid: UUID, run: int | None) -> SessionRecord | None:
    """Return one session as measured, by one run or by those that answer for it; None where there is none."""
    chosen = select(session.c.id).where(session.c.uuid == str(session_uuid))
    return next(records(connection, chosen, with_reps=True, only=None, measured=True, run=run), None)


def one_set(connection: Connection, number: int) -> SetRecord:
    """Return one set by its number, as measured."""
    by = select(rep_set, trainee.c.uuid.label("trainee_uuid")).join(trainee, rep_set.c.trainee_id == trainee.c.id)
    row = connection.execute(by.where(rep_set.c.id == number)).one()
    reps = connection.execute(select(*rep_columns()).where(rep.c.set_id == number).order_by(rep.c.ordinal)).all()
    return set_of(row, reps, UUID(row.trainee_uuid))


def records(
    connection: Connection,
    chosen: Select[tuple[int]],
    *,
    with_reps: bool,
    only: UUID | None,
    measured: bool = False,
    run: int | None = None,
) -> Iterator[SessionRecord]:
    """Yield sessions in order of time, with everybody's sets, or those of one trainee `only`."""
    heads = connection.execute(
        select(*head_columns(), trainee.c.uuid.label("owner"))
        .join(trainee)
        .where(session.c.id.in_(chosen))
        .order_by(session.c.started_utc_us, session.c.uuid)
    ).all()
    some = analysis_run.c.session_id.in_(chosen)
    runs = _by(
        connection.execute(select(analysis_run).where(some if run is None else analysis_run.c.id == run)).all(),
        "session_id",
    )
    sets = _by(connection.execute(_sets(_answering(heads, runs))).all(), "run_id")
    said = {} if measured else _by(connection.execute(_corrections(chosen)).all(), "session_id")
    closely = _answering([head for head in heads if with_reps or head.id in said], runs)
    reps = _by(connection.execute(_reps(closely)).all(), "set_id") if closely else {}
    for head in heads:
        answer = _answer(runs.get(head.id, ()), sets)
        found = _record(head, answer, reps)
        if head.id in said:
            record = as_corrected(found, said[head.id], _best_first(runs.get(head.id, ())))
            record = record if with_reps else without_reps(record)
        else:
            record = found
        part = record if only is None else part_of(record, only)
        if part is not None:
            yield part


def _record(head: _Row, answer: _Rows, reps: Mapping[int, _Rows]) -> SessionRecord:
    owner = UUID(head.owner)
    return session_of(head, tuple(set_of(row, reps.get(row.id, ()), owner) for row in answer), owner)


def _answering(heads: _Rows, runs: Mapping[int, _Rows]) -> list[int]:
    """Return the runs that answer for these sessions: of a finished one the best alone."""
    best_first = ((head, _best_first(runs.get(head.id, ()))) for head in heads)
    return [run.id for head, each in best_first for run in (each if head.ended_utc_us is None else each[:1])]


def _answer(runs: _Rows, sets: Mapping[int, _Rows]) -> _Rows:
    """Return the sets that answer for a session, in order of time."""
    answer: list[_Row] = []
    for run in _best_first(runs):
        seen_s = max((row.end_s for row in answer), default=float("-inf"))
        answer += [row for row in sets.get(run.id, ()) if row.start_s >= seen_s]
    return sorted(answer, key=lambda row: row.start_s)


def _best_first(runs: _Rows) -> _Rows:
    anew = max((run.id for run in runs if run.kind == RunKind.ANEW.value), default=0)
    return sorted((run for run in runs if run.id > anew), key=lambda run: (_RANK[run.kind], run.id), reverse=True)


def _corrections(chosen: Select[tuple[int]]) -> Select[Any]:
    return select(correction).where(correction.c.session_id.in_(chosen)).order_by(correction.c.id)


def _sets(runs: Sequence[int]) -> Select[Any]:
    return (
        select(rep_set, trainee.c.uuid.label("trainee_uuid"))
        .join(trainee, rep_set.c.trainee_id == trainee.c.id)
        .where(rep_set.c.run_id.in_(runs))
    )


def _reps(runs: Sequence[int]) -> Select[Any]:
    return (
        select(*rep_columns())
        .join(rep_set, rep.c.set_id == rep_set.c.id)
        .where(rep_set.c.run_id.in_(runs))
        .order_by(rep.c.set_id, rep.c.ordinal)
    )


def _by(rows: _Rows, column: str) -> dict[int, _Rows]:
    """Group rows by a column, keeping their order."""
    groups: dict[int, list[_Row]] = defaultdict(list)
    for row in rows:
        groups[getattr(row, column)].append(row)
    return dict(groups)
