"""A copy of the logbook as of one moment, while others write to it."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from pathlib import Path
from uuid import uuid4

from analysis.logbook.errors import LogbookError
from analysis.logbook.file import WAIT_S


def copy_logbook(source: Path, target: Path) -> None:
    """Copy an open logbook into a new file by SQLite's backup: whole, in one step, and complete by itself.

    Raises
    ------
    LogbookError
        When the target is there already, or cannot be written. What was there stays, nothing half is left.
    """
    try:
        target.open("xb").close()  # so that nobody else's file is written over, even one made just now
    except FileExistsError as problem:
        raise LogbookError(f"{target} is there already and left as it is. Name a new file for the copy.") from problem
    except OSError as problem:
        raise LogbookError(
            f"{target} cannot be written ({problem.strerror}). Check that its folder exists and can be written to."
        ) from problem
    try:
        _copy(source, target)
    except (sqlite3.Error, OSError) as problem:
        _leave_nothing(target)
        raise LogbookError(
            f"{source} could not be copied to {target} ({problem}). Nothing was left there."
        ) from problem
    except BaseException:
        _leave_nothing(target)
        raise


def _copy(source: Path, target: Path) -> None:
    with (
        closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True, timeout=WAIT_S)) as database,
        closing(sqlite3.connect(target)) as copy,
    ):
        database.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing left beside it
        with copy:  # put back, it tells other logbooks another history than the one that went on meanwhile
            copy.execute("UPDATE stream SET epoch = ?", (str(uuid4()),))
        ((sound,),) = copy.execute("PRAGMA quick_check(1)").fetchall()
        if sound != "ok":
            raise sqlite3.DatabaseError(sound)


def _leave_nothing(target: Path) -> None:
    for path in (target, *(target.with_name(f"{target.name}{end}") for end in ("-wal", "-shm", "-journal"))):
        with suppress(OSError):
            path.unlink(missing_ok=True)
