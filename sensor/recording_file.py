"""What a recording's file is known by, and what can be wrong with it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

APPLICATION_ID = 0x52756E67  # "Rung", at offset 68 of the file, where file(1) looks
FORMAT_VERSION = 1
_BUSY_TIMEOUT_S = 5.0
_HELD_KIB = 128
"""How much of a file that is written is held in memory: nothing of it is read again meanwhile."""


class RecordingError(ValueError):
    """A file that cannot be used as a recording; the message names it and says what to do next."""


def opened_to_write(path: Path, *, synced: bool) -> sqlite3.Connection:
    """Open a file to write in, made where there is none; `synced` as of `Recording.create`."""
    connection = sqlite3.connect(path, timeout=_BUSY_TIMEOUT_S, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute(f"PRAGMA synchronous = {'FULL' if synced else 'NORMAL'}")
    connection.execute(f"PRAGMA cache_size = -{_HELD_KIB}")
    return connection


def opened_to_read(path: Path) -> sqlite3.Connection:
    """Open a file for reading only.

    Raises
    ------
    RecordingError
        When the file is no recording that this program reads.
    """
    uri = f"{path.absolute().as_uri()}?mode=ro"
    connection = sqlite3.connect(uri, uri=True, timeout=_BUSY_TIMEOUT_S, isolation_level=None)
    try:
        _check_format(path, connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _check_format(path: Path, connection: sqlite3.Connection) -> None:
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    if application != APPLICATION_ID:
        raise RecordingError(f"{path}: is not a recording; give the path of one made by rungwise")
    if version != FORMAT_VERSION:
        raise RecordingError(f"{path}: has format {version}, this program reads {FORMAT_VERSION}; update rungwise")


@contextmanager
def named_errors(path: Path, advice: str) -> Iterator[None]:
    """Name the file, and what to do, in what goes wrong with it."""
    try:
        yield
    except sqlite3.ProgrammingError:  # used after closing: a fault of ours, not of the file
        raise
    except sqlite3.Error as error:
        raise RecordingError(f"{path}: {error}; {advice}") from error
