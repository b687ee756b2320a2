"""The logbook's file: is it ours, of which form, and how it is opened and brought up to date.

Nothing is written before it is certain that the file is new or ours: a stranger's, a newer or a damaged file is left as
it is.
"""

from __future__ import annotations

import json
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, IntegrityError, StatementError

from analysis.logbook.errors import LogbookError
from analysis.logbook.schema import APPLICATION_ID, REVISIONS

_HEADER = b"SQLite format 3\0"
WAIT_S = 10
"""How long one writer waits for another."""
_LOOK_AGAIN_S = 0.02


def open_engine(path: Path) -> Engine:
    """Open the file, create it or bring it up to date.

    Raises
    ------
    LogbookError
        When it is not a logbook, newer than this program, damaged, or out of reach.
    """
    revision = _revision(path)
    if revision is None:
        _make_folder(path)
    engine = _engine(path)
    try:
        if revision != REVISIONS[-1]:
            with writing(engine, path) as connection:
                _upgrade(connection)
    except LogbookError:
        engine.dispose()
        raise
    return engine


@contextmanager
def writing(engine: Engine, path: Path, wait_s: float = WAIT_S) -> Iterator[Connection]:
    """One transaction that writes: all of it or nothing, and one writer at a time; `wait_s` as `WAIT_S`."""
    options = {"begin": "IMMEDIATE", "wait_s": wait_s}
    with _named(path), engine.connect() as connection, connection.execution_options(**options).begin():
        yield connection


@contextmanager
def reading(engine: Engine, path: Path) -> Iterator[Connection]:
    """One transaction that reads: it sees the logbook as of one moment, and waits for nobody."""
    with _named(path), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """Turn what the database says into words; broken rules of the tables are left to the caller."""
    try:
        yield
    except IntegrityError:
        raise
    except StatementError as problem:
        if isinstance(problem, DatabaseError):
            raise _trouble(path, problem.orig) from problem
        raise LogbookError(f"This cannot be written to {path}: {problem.orig}") from problem


def _trouble(path: Path, problem: BaseException | None) -> LogbookError:
    text = str(problem)
    if "locked" in text or "busy" in text:
        return LogbookError(f"{path} is in use by another program. Close it there and try again.")
    if "malformed" in text or "not a database" in text:
        return LogbookError(f"{path} is damaged and left as it is ({text}). Restore a copy, or move it away.")
    if "disk is full" in text:
        return LogbookError(f"{path} cannot be written: the disk is full. Free some space; what is in it stays.")
    return LogbookError(f"{path} cannot be used ({text}). Check that the folder exists and can be written to.")


def _revision(path: Path) -> str | None:
    """Return the form of an existing logbook, None where there is none yet."""
    try:
        if not path.exists() or path.stat().st_size == 0:
            return None
        with path.open("rb") as file:
            ours = file.read(len(_HEADER)) == _HEADER
        if not ours:
            raise _stranger(path)
        return _revision_inside(path)
    except OSError as problem:
        raise _trouble(path, problem) from problem


def _revision_inside(path: Path) -> str | None:
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=WAIT_S)) as database:
            (application,) = database.execute("PRAGMA application_id").fetchone()
            (tables,) = database.execute("SELECT count(*) FROM sqlite_master").fetchone()
            if application == 0 and tables == 0:
                return None  # created, then interrupted before its first form was written
            if application != APPLICATION_ID:
                raise _stranger(path)
            found = database.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.DatabaseError as problem:
        raise _trouble(path, problem) from problem
    revision = str(found[0]) if found else ""
    if revision not in REVISIONS:
        raise LogbookError(
            f"{path} was written by a newer Rungwise (form {revision}; this one knows forms up to {REVISIONS[-1]}) and "
            "is left as it is. Update Rungwise, or name another folder with --home."
        )
    return revision


def _stranger(path: Path) -> LogbookError:
    return LogbookError(f"{path} is not a Rungwise logbook and is left as it is. Move it away, or use --home DIR.")


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise _trouble(path, problem) from problem


def _engine(path: Path) -> Engine:
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        connect_args={"timeout": WAIT_S},
        json_serializer=partial(json.dumps, ensure_ascii=False, allow_nan=False),
    )
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _record: object) -> None:
    """Durable, with references checked, and what is deleted overwritten.

    Transactions begin where SQLAlchemy says, not where sqlite3 guesses.
    """
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")
    _write_ahead(connection)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA secure_delete = ON")


def _write_ahead(connection: Any) -> None:
    """Keep a write-ahead log; SQLite itself does not wait for the lock that this takes where several begin at once."""
    until_s = time.monotonic() + WAIT_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError:
            if time.monotonic() > until_s:
                raise
            time.sleep(_LOOK_AGAIN_S)
        else:
            return


def _begin(connection: Connection) -> None:
    options = connection.get_execution_options()
    connection.exec_driver_sql(f"PRAGMA busy_timeout = {round(1000 * options.get('wait_s', WAIT_S))}")
    connection.exec_driver_sql(f"BEGIN {options.get('begin', '')}")


def _upgrade(connection: Connection) -> None:
    """Bring the open file to the present form, in the caller's transaction."""
    from alembic import command  # imported late: only a new or old logbook needs it
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", "analysis.logbook:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
    connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
