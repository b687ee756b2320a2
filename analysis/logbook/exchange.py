"""Everything that the logbook holds, as plain data for another logbook: `rungwise.export/1`.

Rows become objects with the columns' names. Small numbers of this file are left out: who and which is said by UUID, and
what belongs to a session stands within it. Reading it back adds what is not there yet, all of it or nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Column, Connection, Row, Select, Table, select

from analysis.logbook.base import OpenFile
from analysis.logbook.exchange_forms import EXPORT_FORMAT, plain
from analysis.logbook.exchange_in import Added, Incoming
from analysis.logbook.queries import RECEIVER, given_sets
from analysis.logbook.schema import REVISIONS, analysis_run, correction, next_session, rep, rep_set, session, statement
from analysis.logbook.schema import station as station_table
from analysis.logbook.schema import trainee as trainee_table
from analysis.training.corrections import Act

Document = dict[str, Any]


class Exchange(OpenFile):
    """The part of the logbook about whole exports."""

    def dump(self, people: Collection[UUID] | None = None) -> Document:
        """Return all that is kept of these people (None: of everybody), as JSON takes it.

        A session in which others had sets too is there as a whole, and those others are named.
        """
        with self._reading() as connection:
            return _Outgoing(connection, people).document()

    def load(
        self,
        document: Any,
        *,
        as_trainee: UUID | None = None,
        dry_run: bool = False,
        also: Callable[[], None] = lambda: None,
    ) -> Added:
        """Add what a document holds and the logbook does not: by UUID, so that nothing is there twice.

        A session that is here already stays as it is; corrections of it that are not here are added.

        Parameters
        ----------
        document
            As `dump` gives it.
        as_trainee
            Whose everything is, where the document is of one person only; None: as it says.
        dry_run
            Only tell what would be added.
        also
            Done once all of it is known to be right and before it is committed: what it raises leaves nothing behind.

        Raises
        ------
        LogbookError
            When it is not of this form, or does not fit what is here; the message names the place in the document.
        """
        with self._writing("") as connection:
            added = Incoming(connection, document, as_trainee).add()
            also()
            if dry_run:
                connection.rollback()
        return added


@dataclass(frozen=True, slots=True)
class _Names:
    """UUIDs by number."""

    trainees: Mapping[int, str]
    stations: Mapping[int, str]
    sessions: Mapping[int, str]


class _Outgoing:
    def __init__(self, connection: Connection, people: Collection[UUID] | None) -> None:
        self._connection = connection
        self._whose = None if people is None else [str(one) for one in people]
        uuids = {
            table.name: {row.id: row.uuid for row in connection.execute(select(table.c.id, table.c.uuid))}
            for table in (trainee_table, station_table, session)
        }
        self._names = _Names(uuids["trainee"], uuids["station"], uuids["session"])

    def document(self) -> Document:
        sessions = list(self._sessions())
        named = {trainee for one in sessions for trainee in _named(one)}
        everybody = select(trainee_table).order_by(trainee_table.c.name_key)
        people = [row for row in self._connection.execute(everybody) if self._is_asked(row.uuid) or row.uuid in named]
        return {
            "format": EXPORT_FORMAT,
            "form": REVISIONS[-1],
            "trainees": [{"uuid": row.uuid, "name": row.name} for row in people],
            "sessions": sessions,
            "statements": self._of_people(statement, statement.c.said_utc_us),
            "proposals": self._of_people(next_session, next_session.c.made_utc_us),
        }

    def _is_asked(self, uuid: str) -> bool:
        return self._whose is None or uuid in self._whose

    def _chosen(self) -> Select[tuple[int]]:
        if self._whose is None:
            return select(session.c.id)
        mine = select(trainee_table.c.id).where(trainee_table.c.uuid.in_(self._whose))
        part = select(analysis_run.c.session_id).join(rep_set).where(rep_set.c.trainee_id.in_(mine))
        given = given_sets().where(RECEIVER.in_(self._whose)).with_only_columns(correction.c.session_id)
        took_part = session.c.id.in_(part) | session.c.id.in_(given)
        return select(session.c.id).where(session.c.trainee_id.in_(mine) | took_part)

    def _sessions(self) -> Iterator[Document]:
        chosen = self._chosen()
        asked = select(session).where(session.c.id.in_(chosen)).order_by(session.c.started_utc_us, session.c.uuid)
        for row in self._connection.execute(asked).all():
            yield {
                **plain(session, row),
                "trainee": self._names.trainees[row.trainee_id],
                "station": self._names.stations[row.station_id],
                "runs": self._runs(row.id),
                "corrections": [
                    plain(correction, one)
                    for one in self._within(correction.c.session_id, [row.id], correction.c.made_utc_us)
                ],
            }

    def _runs(self, session_number: int) -> list[Document]:
        """Return the answers of a session, with their sets and reps."""
        runs = self._within(analysis_run.c.session_id, [session_number])
        sets = self._within(rep_set.c.run_id, [one.id for one in runs], rep_set.c.start_s)
        reps: dict[int, list[Document]] = defaultdict(list)
        for one in self._within(rep.c.set_id, [one.id for one in sets]):
            reps[one.set_id].append(plain(rep, one))
        done: dict[int, list[Document]] = defaultdict(list)
        for one in sets:
            whose = self._names.trainees[one.trainee_id]
            done[one.run_id].append({**plain(rep_set, one), "trainee": whose, "reps": reps[one.id]})
        return [{**plain(analysis_run, one), "sets": done[one.id]} for one in runs]

    def _of_people(self, table: Table, when: Any) -> list[Document]:
        rows = self._connection.execute(select(table).order_by(when, table.c.id)).all()
        found = [(row, self._names.trainees[row.trainee_id]) for row in rows]
        return [
            {**plain(table, row), "trainee": whose, **self._after(table, row)}
            for row, whose in found
            if self._is_asked(whose)
        ]

    def _after(self, table: Table, row: Row[Any]) -> Document:
        if table is not next_session:
            return {}
        return {"after_session": self._names.sessions.get(row.after_session_id)}

    def _within(self, which: Column[Any], numbers: list[int], by: Column[Any] | None = None) -> list[Row[Any]]:
        """Return the rows of a table that belong to one of these, in the order of a column or as they were written."""
        asked = select(which.table).where(which.in_(numbers)).order_by(*(() if by is None else (by,)), which.table.c.id)
        return list(self._connection.execute(asked)) if numbers else []


def _named(one: Document) -> Iterator[str]:
    yield one["trainee"]
    yield from (done["trainee"] for run in one["runs"] for done in run["sets"])
    yield from (made["value"]["trainee"] for made in one["corrections"] if made["kind"] == Act.GIVE.value)
