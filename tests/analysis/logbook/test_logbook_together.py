"""Two writers at once lose nothing; a copy made meanwhile is whole."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from analysis.logbook.book import Logbook, LogbookError

ROOT = Path(__file__).parents[3]

WRITER = """
import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4
from analysis.logbook.book import Logbook
from analysis.training.ladder import Position
from analysis.training.rungs import default_ladder
from analysis.training.statements import Pain
from tests.analysis.logbook.keeping import keep
from tests.analysis.training.builders import make_session, utc_us

path, name, times = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
with Logbook.open(path) as book:
    person = book.add_trainee(name).id
    print("begun", flush=True)
    sys.stdin.readline()
    for number in range(times):
        day = date(2026, 3, 2) + timedelta(days=number)
        keep(book, replace(make_session(day, default_ladder(), Position(1, 0)), session_id=uuid4()), person)
        book.say(person, Pain(said_utc_us=utc_us(day, 20), day=day, now=number % 4))
"""


def writer(path: Path, name: str, times: int) -> subprocess.Popen[bytes]:
    """A process that has opened the logbook and waits for a line."""
    process = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), name, str(times)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stdout.readline().strip() == b"begun"
    return process


def let_go(process: subprocess.Popen[bytes]) -> None:
    assert process.stdin is not None
    process.stdin.write(b"\n")
    process.stdin.flush()


def wait(process: subprocess.Popen[bytes]) -> None:
    process.communicate(timeout=120)
    assert process.returncode == 0


def test_two_processes_that_write_at_once_lose_nothing(path: Path) -> None:
    names, times = ("Ines", "Jonas"), 20
    processes = [writer(path, name, times) for name in names]
    for process in processes:
        let_go(process)
    for process in processes:
        wait(process)
    with Logbook.open(path) as book:
        for one in book.trainees():
            sessions = book.sessions(one.id, with_reps=True)
            assert [len(session.sets) for session in sessions] == [3] * times
            assert all(len(done.reps) == 15 for session in sessions for done in session.sets)
            assert len(book.statements(one.id)) == times
    with closing(sqlite3.connect(path)) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []


def test_a_copy_made_while_somebody_writes_is_whole(path: Path, tmp_path: Path) -> None:
    process = writer(path, "Ines", 30)
    let_go(process)
    sizes = []
    with Logbook.open(path) as book:
        while process.poll() is None:
            copy = tmp_path / f"copy {len(sizes)}.sqlite"
            book.copy_to(copy)
            sizes.append(_sessions(copy))
    wait(process)
    assert sizes == sorted(sizes)
    assert any(0 < size < 30 for size in sizes)
    with Logbook.open(path) as book:
        book.copy_to(tmp_path / "last.sqlite")
    assert _sessions(tmp_path / "last.sqlite") == 30
    assert not list(tmp_path.glob("*-wal"))


def _sessions(copy: Path) -> int:
    """Open a copy as a logbook, and count its sessions; all but the last are whole."""
    with closing(sqlite3.connect(copy)) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA journal_mode").fetchall() == [("delete",)]
        found = database.execute("SELECT count(*) FROM rep GROUP BY set_id").fetchall()
    assert {count for (count,) in found} <= {15}
    with Logbook.open(copy) as book:
        sessions = [one for person in book.trainees() for one in book.sessions(person.id)]
    assert all(one.ended_utc_us for one in sessions[:-1])
    return len(sessions)


def test_a_copy_overwrites_nothing_and_leaves_nothing_half(path: Path, tmp_path: Path) -> None:
    (tmp_path / "there.sqlite").write_text("mine")
    with Logbook.open(path) as book:
        with pytest.raises(LogbookError, match="is there already and left as it is"):
            book.copy_to(tmp_path / "there.sqlite")
        with pytest.raises(LogbookError, match="is there already"):
            book.copy_to(path)
        with pytest.raises(LogbookError, match=r"cannot be written .* Check that its folder exists"):
            book.copy_to(tmp_path / "no folder" / "copy.sqlite")
        path.with_name("damaged.sqlite").write_bytes(b"not a database, but long " * 200)
        book.path = path.with_name("damaged.sqlite")
        with pytest.raises(LogbookError, match="could not be copied"):
            book.copy_to(tmp_path / "copy.sqlite")
    assert (tmp_path / "there.sqlite").read_text() == "mine"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["home", "there.sqlite"]
