"""Forgetting a person: all that is theirs goes from the file, the UUID alone is kept so that nothing of it comes back.

Rows that are written once may go by this only, in one transaction. A session of theirs in which others have sets stays
for those, without its owner: it is `people.NOBODY`'s then. Rows of others that name the person as the one who said
something name nobody any more; what others wrote in their own words is left as it is.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass, replace
from uuid import UUID

from sqlalchemy import Connection, insert, select

from analysis.logbook.base import OpenFile, trainee_id_of
from analysis.logbook.change_tables import forgotten
from analysis.logbook.entries import Trainee
from analysis.logbook.forgetting_rows import Rows, tell_anew, tell_as_forgotten, tell_left, unlocked
from analysis.logbook.rows import trainee_of
from analysis.logbook.schema import trainee


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was removed of a person.

    Attributes
    ----------
    trainee
        Who.
    sessions
        Their own: gone, and their recordings should go.
    shared
        Those of them that stay for the sets of others.
    elsewhere
        Sessions of others from which their sets were taken.
    whole
        Whether nothing of them is left.
    wiped
        Whether their remains are gone from the file; else they go when the last other program closes it.
    """

    trainee: Trainee
    sessions: tuple[UUID, ...]
    shared: tuple[UUID, ...]
    elsewhere: tuple[UUID, ...]
    whole: bool = True
    wiped: bool = False


class Forgetting(OpenFile):
    """The part of the logbook about forgetting a person."""

    def forget(self, person: UUID) -> Forgotten:
        """Remove all that is kept of a trainee, for good, and tell it to other logbooks.

        Raises
        ------
        LogbookError
            When there is no such trainee.
        """
        with self._writing("") as connection:
            found = _forget(connection, person, None)
        return replace(found, wiped=self.wipe())

    def wipe(self) -> bool:
        """Write the file anew without the remains of what was removed; return whether nobody else had it open.

        Where somebody had, the remains go as soon as the last of them closes it.
        """
        with closing(self._engine.raw_connection()) as connection:
            connection.execute(f"PRAGMA busy_timeout = {round(1000 * self._wait_s)}")
            try:
                connection.execute("VACUUM")
                busy, _, _ = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            except sqlite3.OperationalError:
                return False  # what was removed is overwritten in its place all the same (`secure_delete`)
        return not busy

    def was_forgotten(self, person: UUID) -> bool:
        """Tell whether somebody was forgotten here."""
        with self._reading() as connection:
            return str(person) in connection.execute(select(forgotten.c.uuid)).scalars()


def forget_what_came_from(connection: Connection, person: UUID, station: int) -> Forgotten | None:
    """Forget a person in an open transaction because another logbook did; None where nobody of theirs is known here.

    What another station has of them stays, and so do they then.
    """
    known = connection.execute(select(trainee.c.id).where(trainee.c.uuid == str(person))).scalar()
    if known is not None:
        return _forget(connection, person, station)
    _keep_uuid(connection, person)
    return None


def _forget(connection: Connection, person: UUID, station: int | None) -> Forgotten:
    number = trainee_id_of(connection, person)
    who = trainee_of(connection.execute(select(trainee).where(trainee.c.id == number)).one())
    rows = Rows(connection, number, who.id, who.name, station)
    if station is None:
        _keep_uuid(connection, person)  # told before what follows from it
    with unlocked(connection):
        elsewhere = rows.take_from_others()
        gone, shared = rows.take_own_sessions()
        whole = station is None or not rows.have_sessions()
        rows.take_what_was_said(all_of_it=whole)
        if whole:
            rows.take_name()
            _keep_uuid(connection, person)
        tell_as_forgotten(connection, person)
    if station is None:
        tell_anew(connection, shared)
        tell_left(connection, (*elsewhere, *shared))
    return Forgotten(who, gone, shared, elsewhere, whole)


def _keep_uuid(connection: Connection, person: UUID) -> None:
    if connection.execute(select(forgotten.c.id).where(forgotten.c.uuid == str(person))).first() is None:
        connection.execute(insert(forgotten).values(uuid=str(person)))
