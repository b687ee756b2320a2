"""What a recording's file is known by, and what can be wrong with it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

APPLICATION_ID = 0x52756E67  # "Rung", at offset 68 of the file, where file(1) looks
FORMAT_VERSION = 1


class RecordingError(ValueError):
    """A file that cannot be used as a recording; the message names it and says what to do next."""


def check_format(path: Path, connection: sqlite3.Connection) -> None:
    """Expect a recording that this program reads.

    Raises
    ------
    RecordingError
        When the file is none, or one of a later version.
    """
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
