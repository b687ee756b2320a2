"""Who trains, and where."""

from __future__ import annotations

import unicodedata
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import Connection, Select, insert, select

from analysis.logbook.base import OpenFile, new_id
from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.rows import trainee_of
from analysis.logbook.schema import session, station, trainee


class People(OpenFile):
    """The part of the logbook about trainees and stations."""

    def add_trainee(self, name: str) -> Trainee:
        """Add a person.

        Raises
        ------
        LogbookError
            When the name is empty, or known already (a difference of case is none).
        """
        added = newcomer(name)
        self.keep_trainee(added)
        return added

    def keep_trainee(self, person: Trainee) -> None:
        """Add a person, who may be there already.

        Raises
        ------
        LogbookError
            When somebody else has that name (a difference of case is none).
        """
        if self.trainee(person.name) == person:
            return
        with self._writing(f"{person.name} is in the logbook already. Choose another name.") as connection:
            insert_trainee(connection, person)

    def trainee(self, name: str) -> Trainee | None:
        """Return the person of that name (a difference of case is none), or None."""
        with self._reading() as connection:
            row = connection.execute(everybody().where(trainee.c.name_key == name_key(name))).first()
        return None if row is None else trainee_of(row)

    def trainees(self) -> tuple[Trainee, ...]:
        """Return everybody, by name."""
        with self._reading() as connection:
            return tuple(trainee_of(row) for row in connection.execute(everybody()))

    def last_trainee(self) -> Trainee | None:
        """Return who trained last (demonstrations aside), else who was added last, else None."""
        somebody = trainee.c.uuid != str(NOBODY.id)
        trained = (
            select(trainee).join(session).where(somebody, ~session.c.demo).order_by(session.c.started_utc_us.desc())
        )
        added = select(trainee).where(somebody).order_by(trainee.c.id.desc())
        with self._reading() as connection:
            row = connection.execute(trained.limit(1)).first() or connection.execute(added.limit(1)).first()
        return None if row is None else trainee_of(row)

    def station(self) -> UUID:
        """Return the identity of this laptop; made at the first call, the same ever after."""
        local = select(station.c.uuid).where(station.c.local)
        with self._writing("") as connection:
            known = connection.execute(local).scalar()
            if known is None:
                known = str(uuid4())
                connection.execute(insert(station).values(uuid=known, local=True))
        return UUID(known)


NOBODY = Trainee(UUID("6d3b1c0e-0d5f-5c9a-8f0e-7a1d2b4c9e55"), "(forgotten)")
"""Whose the sessions are in which others have sets, once their own trainee was forgotten; the same in every logbook."""


def everybody() -> Select[Any]:
    """Select all trainees by name."""
    return select(trainee).where(trainee.c.uuid != str(NOBODY.id)).order_by(trainee.c.name_key)


def newcomer(name: str) -> Trainee:
    """Return a person who is in no logbook yet, and is not by this.

    Raises
    ------
    LogbookError
        When the name is empty.
    """
    shown = " ".join(name.split())
    if not shown:
        raise LogbookError("A trainee needs a name.")
    return Trainee(uuid4(), shown)


def insert_trainee(connection: Connection, person: Trainee) -> int:
    """Write a person who is not there yet, and return the number."""
    known = connection.execute(select(trainee.c.id).where(trainee.c.uuid == str(person.id))).scalar()
    if known is not None:
        return int(known)
    return new_id(
        connection, insert(trainee).values(uuid=str(person.id), name=person.name, name_key=name_key(person.name))
    )


def free_name(connection: Connection, name: str, uuid: UUID, called: str) -> str:
    """Return a name, or one beside it where somebody else has it; `called` is the station that tells it."""
    number, shown = 1, name
    while True:
        same = select(trainee.c.uuid).where(trainee.c.name_key == name_key(shown))
        if connection.execute(same).scalar() in (None, str(uuid)):
            return shown
        shown = f"{name} ({called})" if number == 1 else f"{name} ({called}, {number})"
        number += 1


def name_key(name: str) -> str:
    """Return a name as it is compared."""
    return unicodedata.normalize("NFKC", " ".join(name.split())).casefold()
