"""Sessions that come whole, as a person tells them: all of them are written, or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from sqlalchemy import Connection, insert, update

from analysis.logbook.base import OpenFile, new_id
from analysis.logbook.entries import RunKind, Trainee
from analysis.logbook.notes import insert_statement
from analysis.logbook.outlines import settle
from analysis.logbook.people import insert_trainee
from analysis.logbook.rows import end_values
from analysis.logbook.schema import analysis_run, session
from analysis.logbook.sessions import insert_session, insert_set
from analysis.training.records import SessionRecord
from analysis.training.statements import Statement


@dataclass(frozen=True, slots=True)
class Entry:
    """A finished session, whose it is, and what was said with it.

    Attributes
    ----------
    trainee
        May be new.
    record
        None: only what was said.
    """

    trainee: Trainee
    record: SessionRecord | None
    said: tuple[Statement, ...] = ()


class Whole(OpenFile):
    """The part of the logbook about sessions that were not recorded as they went on."""

    def keep_whole(self, entries: Sequence[Entry], *, station: UUID, version: str) -> None:
        """Write sessions with all that belongs to them, and trainees who are new; all of it or nothing.

        Parameters
        ----------
        entries
            Finished sessions; their sets are written as the answer of one run, `RunKind.TYPED`.
        station
            Where they were typed in.
        version
            Of the program that judged them.

        Raises
        ------
        LogbookError
            When one of the sessions is in the logbook already, or a new trainee has somebody else's name.
        """
        with self._writing("One of these sessions is in the logbook already. Nothing was written.") as connection:
            for entry in entries:
                owner = insert_trainee(connection, entry.trainee)
                if entry.record is not None:
                    _insert_whole(connection, owner, entry.record, station, version)
                for said in entry.said:
                    insert_statement(connection, owner, said)


def _insert_whole(connection: Connection, owner: int, record: SessionRecord, station: UUID, version: str) -> None:
    number = insert_session(connection, record, station)
    run = insert(analysis_run).values(session_id=number, kind=RunKind.TYPED.value, version=version, parameters_sha="")
    run_number = new_id(connection, run)
    for one in record.sets:
        insert_set(connection, run_number, owner, one)
    ended_us = record.ended_utc_us or record.started_utc_us
    connection.execute(
        update(session)
        .where(session.c.id == number)
        .values(**end_values(ended_us, record.verdict))
        .values(rpe=record.rpe, minutes=record.minutes, note=record.note)
    )
    settle(connection, number, record.session_id)
