"""Sessions that come whole, as a person tells them: all of them are written, or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from sqlalchemy import Connection, func, insert, select, update

from analysis.logbook.base import OpenFile, new_id
from analysis.logbook.entries import RunKind, Trainee
from analysis.logbook.errors import OvertakenError
from analysis.logbook.notes import insert_statement
from analysis.logbook.outlines import settle
from analysis.logbook.people import insert_trainee, name_key
from analysis.logbook.rows import end_values
from analysis.logbook.schema import analysis_run, correction, rep_set, session, statement, trainee
from analysis.logbook.sessions import insert_session, insert_set
from analysis.training.records import SessionRecord
from analysis.training.statements import Statement


@dataclass(frozen=True, slots=True)
class Entry:
    """A session, whose it is, and what was said with it.

    Attributes
    ----------
    trainee
        May be new.
    record
        None: only what was said.
    edition
        Of the trainee's log as this was judged (`Whole.edition`).
    """

    trainee: Trainee
    record: SessionRecord | None
    said: tuple[Statement, ...] = ()
    edition: int = 0


class Whole(OpenFile):
    """The part of the logbook about sessions that were not recorded as they went on."""

    def edition(self, trainee: UUID) -> int:
        """Return how far a trainee's log is; 0 of somebody new. Read it before the log, for what is judged by that."""
        with self._reading() as connection:
            return _edition(connection, trainee)

    def keep_whole(self, entries: Sequence[Entry], *, station: UUID, version: str) -> None:
        """Write sessions with all that belongs to them, and trainees who are new; all of it or nothing.

        Parameters
        ----------
        entries
            Sessions, finished or broken off; their sets are written as the answer of one run, `RunKind.TYPED`.
        station
            Where they were typed in.
        version
            Of the program that judged them.

        Raises
        ------
        OvertakenError
            When somebody added to one of the logs after its edition was read.
        LogbookError
            When one of the sessions is in the logbook already, or two new trainees have one name.
        """
        with self._writing("One of these sessions is in the logbook already. Nothing was written.") as connection:
            for person, edition in dict.fromkeys((one.trainee, one.edition) for one in entries):
                _still(connection, person, edition)
            for entry in entries:
                owner = insert_trainee(connection, entry.trainee)
                if entry.record is not None:
                    _insert_whole(connection, owner, entry.record, station, version)
                for said in entry.said:
                    insert_statement(connection, owner, said)


def _still(connection: Connection, person: Trainee, edition: int) -> None:
    """Refuse what rests on a log that is another one now."""
    # where several may write at once, the next one waits here; SQLite lets one write at a time
    same_name = select(trainee.c.uuid).where(trainee.c.name_key == name_key(person.name)).with_for_update()
    known = connection.execute(same_name).scalar()
    if known not in (None, str(person.id)) or _edition(connection, person.id) != edition:
        raise OvertakenError(
            f"Somebody else has just added to the log of {person.name}. Nothing was written. Give it again."
        )


def _edition(connection: Connection, person: UUID) -> int:
    """Count what tells of a trainee: rows are only ever added, so as many are the same ones."""
    number = select(trainee.c.id).where(trainee.c.uuid == str(person)).scalar_subquery()
    own = select(session.c.id).where(session.c.trainee_id == number)
    rows = (
        own,
        select(rep_set.c.id).where(rep_set.c.trainee_id == number),
        select(statement.c.id).where(statement.c.trainee_id == number),
        select(correction.c.id).where(correction.c.session_id.in_(own)),
    )
    return sum(connection.execute(select(func.count()).select_from(one.subquery())).scalar_one() for one in rows)


def _insert_whole(connection: Connection, owner: int, record: SessionRecord, station: UUID, version: str) -> None:
    number = insert_session(connection, record, station)
    run = insert(analysis_run).values(session_id=number, kind=RunKind.TYPED.value, version=version, parameters_sha="")
    run_number = new_id(connection, run)
    for one in (*record.sets, *record.partners, *record.warm_ups):
        insert_set(connection, run_number, owner, one)
    beside = {"rpe": record.rpe, "minutes": record.minutes, "note": record.note}
    end = {} if record.ended_utc_us is None else end_values(record.ended_utc_us, record.verdict)
    connection.execute(update(session).where(session.c.id == number).values(**end, **beside))
    if record.ended_utc_us is not None:
        settle(connection, number, record.session_id)
