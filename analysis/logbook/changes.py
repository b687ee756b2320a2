"""The logbook as outbox and as inbox: what was written here in its order, and what was written elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import Connection, Row, func, insert, select, update

from analysis.logbook.base import trainee_id_of
from analysis.logbook.change_tables import change, plan_text
from analysis.logbook.change_tables import stream as stream_table
from analysis.logbook.changes_out import rows_as_told
from analysis.logbook.people import People
from analysis.logbook.schema import station


@dataclass(frozen=True, slots=True)
class Stream:
    """What a logbook has to tell.

    Attributes
    ----------
    station
        Its identity.
    epoch
        UUID of the history that the sequence belongs to; a copy of the logbook that is put back has another one.
    last
        Sequence of the newest change; 0 where there is none.
    """

    station: UUID
    epoch: str
    last: int


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a logbook.

    Attributes
    ----------
    sequence
        Its place, from 1, without holes.
    kind
        trainee, session, run, set, correction, statement, proposal, plan, forgotten, left.
    session
        That it is about; None where it is about none.
    at_utc_us, before_utc_us
        When it was written by the clock there, µs since 1970-01-01 UTC, and when the one before it was (0: there is
        none). Nothing is ordered by them: they tell whether it follows what a reader has.
    data
        epoch, change and row, as the schema of a record has them.
    """

    sequence: int
    kind: str
    session: UUID | None
    at_utc_us: int
    before_utc_us: int
    data: dict[str, Any]


class Outbox(People):
    """The part of the logbook that tells what was written here."""

    def stream(self) -> Stream:
        """Return which history of changes this is, and how far it goes."""
        with self._reading() as connection:
            epoch = _epoch(connection)
            last = connection.execute(select(func.max(change.c.sequence))).scalar() or 0
            known = connection.execute(select(station.c.uuid).where(station.c.local)).scalar()
        return Stream(self.station() if known is None else UUID(known), epoch, last)

    def changes(self, after: int, most: int) -> list[Change]:
        """Return the changes that follow one, in their order; each row as it is now.

        Parameters
        ----------
        after
            Sequence; 0 for the first.
        most
            So many at once.
        """
        asked = select(change).where(change.c.sequence >= after).order_by(change.c.sequence).limit(most + 1)
        with self._reading() as connection:
            epoch = _epoch(connection)
            read = connection.execute(asked).all()
            before, found = _after(read, after, most)
            rows = rows_as_told(connection, {(one.what, one.row_id) for one in found})
        # a row that somebody took out of the file by hand leaves an empty one: a hole would stop all that follow
        told = [rows.get((one.what, one.row_id), {}) for one in found]
        times = [before, *(one.at_utc_us for one in found)]
        return [_told(epoch, one, at, row) for one, at, row in zip(found, times, told, strict=False)]

    def new_epoch(self) -> str:
        """Begin another history of changes, which tells all anew, and return its UUID."""
        epoch = str(uuid4())
        with self._writing("") as connection:
            connection.execute(update(stream_table).values(epoch=epoch))
        return epoch

    def note_plan(self, trainee: UUID, text: str, *, noted_utc_us: int) -> bool:
        """Keep the text of a trainee's plan for another logbook; return whether it is another one than the last."""
        with self._writing("") as connection:
            number = trainee_id_of(connection, trainee)
            if _plan(connection, number) == text:
                return False
            connection.execute(insert(plan_text).values(trainee_id=number, text=text, noted_utc_us=noted_utc_us))
        return True

    def noted_plan(self, trainee: UUID) -> str | None:
        """Return the plan of a trainee as it was noted last, here or elsewhere; None where none was."""
        with self._reading() as connection:
            return _plan(connection, trainee_id_of(connection, trainee))


def _plan(connection: Connection, trainee: int) -> str | None:
    newest = select(plan_text.c.text).where(plan_text.c.trainee_id == trainee).order_by(plan_text.c.id.desc()).limit(1)
    return connection.execute(newest).scalar()


def _epoch(connection: Connection) -> str:
    return str(connection.execute(select(stream_table.c.epoch)).scalar_one())


def _after(read: Sequence[Row[Any]], after: int, most: int) -> tuple[int, Sequence[Row[Any]]]:
    """Return when a change was written, and those that follow it."""
    if read and read[0].sequence == after:
        return int(read[0].at_utc_us), read[1:]
    return 0, read[:most]


def _told(epoch: str, noted: Row[Any], before_utc_us: int, row: dict[str, Any]) -> Change:
    uuid = row.get("uuid") if noted.what == "session" else row.get("session")
    session = None if uuid is None else UUID(uuid)
    data = {"epoch": epoch, "change": noted.what, "row": row}
    return Change(noted.sequence, noted.what, session, noted.at_utc_us, before_utc_us, data)
