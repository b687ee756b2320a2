"""What every part of the logbook needs: the open file, its transactions, and numbers for UUIDs."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self
from uuid import UUID

from sqlalchemy import Connection, Engine, Table, insert, select
from sqlalchemy.exc import IntegrityError

from analysis.logbook.copying import copy_logbook
from analysis.logbook.errors import LogbookError
from analysis.logbook.file import WAIT_S, open_engine, reading, writing
from analysis.logbook.schema import session, station, trainee


class OpenFile:
    """An open logbook, without what it knows."""

    def __init__(self, engine: Engine, path: Path) -> None:
        self._engine = engine
        self._wait_s: float = WAIT_S
        self.path = path

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open a logbook, make it where there is none, or bring an older one up to date.

        Raises
        ------
        LogbookError
            When the file is not a logbook, newer than this program, damaged, or out of reach. It is left as it is.
        """
        return cls(open_engine(path), path)

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def copy_to(self, target: Path) -> None:
        """Copy the logbook into a new file, as of now and while others write.

        Raises
        ------
        LogbookError
            When the file is there already, or cannot be written.
        """
        copy_logbook(self.path, target)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def hurried(self) -> Iterator[None]:
        """Wait for no other writer within the block: what cannot be written at once raises `LogbookError`."""
        self._wait_s = 0.0
        try:
            yield
        finally:
            self._wait_s = WAIT_S

    def _reading(self) -> AbstractContextManager[Connection]:
        """One reading transaction."""
        return reading(self._engine, self.path)

    @contextmanager
    def _writing(self, broken: str) -> Iterator[Connection]:
        """One writing transaction; `broken` is what to say when a rule of the tables forbids it."""
        try:
            with writing(self._engine, self.path, self._wait_s) as connection:
                yield connection
        except IntegrityError as problem:
            refused = f"The logbook refuses this: {problem.orig}. Nothing was written."
            raise LogbookError(refused if "NULL" in str(problem.orig) else broken or refused) from problem


def new_id(connection: Connection, row: Any) -> int:
    """Insert a row and return its number."""
    key = connection.execute(row).inserted_primary_key
    assert key is not None  # every table has one
    return int(key[0])


def _number(connection: Connection, table: Table, uuid: UUID) -> int | None:
    return connection.execute(select(table.c.id).where(table.c.uuid == str(uuid))).scalar()


def trainee_id_of(connection: Connection, uuid: UUID) -> int:
    """Return the number of a trainee, or raise `LogbookError`."""
    number = _number(connection, trainee, uuid)
    if number is None:
        raise LogbookError(f"There is no trainee {uuid} in the logbook. Add the trainee first.")
    return number


def session_id_of(connection: Connection, uuid: UUID) -> int:
    """Return the number of a session, or raise `LogbookError`."""
    number = _number(connection, session, uuid)
    if number is None:
        raise LogbookError(f"There is no session {uuid} in the logbook. Start it first.")
    return number


def station_id_of(connection: Connection, uuid: UUID) -> int:
    """Return the number of a station; one not known yet is noted as a foreign one."""
    number = _number(connection, station, uuid)
    return number if number is not None else new_id(connection, insert(station).values(uuid=str(uuid), local=False))
