"""Opening: new, ours, strange, newer, damaged, out of reach, two at once."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import create_engine

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.codec import set_to_json, to_json
from analysis.logbook.schema import APPLICATION_ID, REVISIONS
from analysis.training.corrections import Act, Because, By
from analysis.training.ladder import Method, Position
from analysis.training.records import Source
from analysis.training.rungs import default_ladder
from tests.analysis.training.builders import TRAINEE, make_session


def make_newer(path: Path) -> None:
    Logbook.open(path).close()
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")


def make_strange(path: Path) -> None:
    path.parent.mkdir(parents=True)
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("CREATE TABLE rep (note TEXT)")


def make_text(path: Path) -> None:
    path.parent.mkdir(parents=True)
    path.write_text("squats, mostly\n" * 100)


def make_damaged(path: Path) -> None:
    Logbook.open(path).close()
    content = bytearray(path.read_bytes())
    content[100:4096] = bytes(len(content[100:4096]))
    path.write_bytes(content)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (make_newer, "newer Rungwise .* Update Rungwise"),
        (make_strange, "not a Rungwise logbook"),
        (make_text, "not a Rungwise logbook"),
        (make_damaged, "damaged and left as it is"),
    ],
)
def test_what_is_not_ours_is_named_and_left_as_it_is(path: Path, make: object, says: str) -> None:
    make(path)  # type: ignore[operator]
    before = path.read_bytes()
    with pytest.raises(LogbookError, match=says):
        Logbook.open(path)
    assert path.read_bytes() == before


def test_a_folder_in_its_place_or_no_folder_to_make_it_in(tmp_path: Path) -> None:
    with pytest.raises(LogbookError, match="cannot be used"):
        Logbook.open(tmp_path)
    (tmp_path / "file").write_text("x")
    with pytest.raises(LogbookError, match="cannot be used"):
        Logbook.open(tmp_path / "file" / "logbook.db")


def test_an_empty_file_and_an_interrupted_beginning_become_a_logbook(tmp_path: Path) -> None:
    empty, begun = tmp_path / "empty.db", tmp_path / "begun.db"
    empty.touch()
    with closing(sqlite3.connect(begun)) as database:
        database.execute("PRAGMA journal_mode = WAL")
    for path in (empty, begun):
        with Logbook.open(path) as book:
            assert book.trainees() == ()


def test_names_with_special_letters_in_the_path(tmp_path: Path) -> None:
    path = tmp_path / "100 % Übung #1?" / "log book.db"
    with Logbook.open(path) as book:
        book.add_trainee("Ines")
    with Logbook.open(path) as book:
        assert [one.name for one in book.trainees()] == ["Ines"]


def test_opening_again_changes_nothing(path: Path) -> None:
    Logbook.open(path).close()
    before = path.read_bytes()
    with Logbook.open(path) as book:
        assert book.last_trainee() is None
    assert path.read_bytes() == before


def test_several_may_open_a_new_logbook_at_once_and_lose_nothing(path: Path) -> None:
    def one(number: int) -> None:
        with Logbook.open(path) as book:
            for part in range(3):
                book.add_trainee(f"recruit {number}.{part}")

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(one, range(4)))
    with Logbook.open(path) as book:
        assert len(book.trainees()) == 12
    with closing(sqlite3.connect(path)) as database:
        assert database.execute("SELECT version_num FROM alembic_version").fetchall() == [(REVISIONS[-1],)]


def test_a_file_held_by_another_program_is_named(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("analysis.logbook.file.WAIT_S", 0)
    with Logbook.open(path) as book, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError, match="in use by another program"):
            book.add_trainee("Ines")
        assert book.trainees() == ()  # reading waits for nobody
    fresh = path.with_name("fresh.db")
    with closing(sqlite3.connect(fresh, isolation_level=None)) as other:
        other.execute("PRAGMA journal_mode = WAL")
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError, match="in use by another program"):
            Logbook.open(fresh)


KILLED = """
import sys
from pathlib import Path
from analysis.logbook.book import Logbook
book = Logbook.open(Path(sys.argv[1]))
book.add_trainee("Ines")
print("written", flush=True)
sys.stdin.readline()
"""


def test_what_was_written_survives_a_killed_process(path: Path) -> None:
    root = Path(__file__).parents[3]
    process = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(path)],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stdin is not None
    with process.stdout, process.stdin:
        assert process.stdout.readline().strip() == b"written"
        process.send_signal(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
        process.wait()
    with Logbook.open(path) as book:
        assert book.trainee("ines") is not None


def test_a_full_disk_is_told_with_what_to_do(tmp_path: Path) -> None:
    """SQLite itself says that it is full: no page beyond those that the file has may be used."""
    with Logbook.open(tmp_path / "logbook.sqlite") as logbook:
        with logbook._engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA max_page_count = 1")
        with pytest.raises(LogbookError, match=r"disk is full\. Free some space"):
            _fill(logbook)


def _fill(logbook: Logbook) -> None:
    for number in range(2000):
        logbook.add_trainee(f"Recruit {number:04d} {'of the mountain-rescue team ' * 20}")


def make_older(path: Path, revision: str) -> None:
    """A logbook of an older form, with a session that was done then (columns of the first form only)."""
    config = Config()
    config.set_main_option("script_location", "analysis.logbook:migrations")
    config.set_main_option("path_separator", "os")
    path.parent.mkdir(parents=True)
    engine = create_engine(f"sqlite:///{path}")
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, revision)
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        for row in (*OLD_ROWS, OLD_CORRECTION if revision < "0005" else CORRECTION):
            connection.exec_driver_sql(row)
        if revision >= "0006":  # from then on a session is kept with how many sets answer for it
            connection.exec_driver_sql("UPDATE session SET own_sets = 1, partner_sets = 0, warm_up_sets = 0")
    engine.dispose()


ASKED = make_session(date(2026, 3, 2), default_ladder(), Position(1, 0))
VERDICT = json.dumps(set_to_json(ASKED.sets[0].verdict))
OLD_ROWS = (
    f"INSERT INTO trainee (id, uuid, name, name_key) VALUES (1, '{TRAINEE}', 'Ines', 'ines')",
    "INSERT INTO station (id, uuid, local) VALUES (1, '00000000-0000-0000-0000-000000000001', 1)",
    "INSERT INTO session (id, uuid, trainee_id, station_id, day, started_utc_us, ended_utc_us, rung, prescription, "
    f"mount, sensor, recording, demo, outcome) VALUES (1, '{ASKED.session_id}', 1, 1, '2026-03-02', 1, 2, "
    f"'feet-on-floor', '{json.dumps(to_json(ASKED.prescription))}', 'body', 's', 'r', 0, 'met')",
    "INSERT INTO analysis_run (id, session_id, kind, version, parameters_sha) VALUES (1, 1, 'refined', '0.1.0', 'x')",
    "INSERT INTO rep_set (id, run_id, trainee_id, number, bouts, start_s, end_s, measured, clock_ratio, verdict) "
    f"VALUES (1, 1, 1, 1, '[0]', 0.0, 40.0, 1, 1.0, '{VERDICT}')",
    "INSERT INTO rep (id, set_id, ordinal, start_s, top_s, down_s, end_s, kind, verdict) "
    'VALUES (1, 1, 1, 0.0, 1.0, 1.0, 2.0, \'full\', \'{"phases": [], "outcome": "met"}\')',
)
OLD_CORRECTION = (
    "INSERT INTO correction (id, session_id, start_s, end_s, kind, value, reason, who, made_utc_us) "
    "VALUES (1, 1, 60.0, 80.0, 'relabel', '\"partner\"', 'relabelled by key', 'Ines', 7)"
)
CORRECTION = (
    "INSERT INTO correction (id, uuid, session_id, start_s, end_s, kind, value, reason, text, who, role, made_utc_us) "
    "VALUES (1, '00000000-0000-0000-0000-000000000002', 1, 60.0, 80.0, 'relabel', '\"partner\"', 'other', "
    "'relabelled by key', 'Ines', 'trainee', 7)"
)


@pytest.mark.parametrize("revision", REVISIONS[:-1])
def test_every_older_form_is_brought_up_to_date_with_what_it_holds(path: Path, revision: str) -> None:
    make_older(path, revision)
    with Logbook.open(path) as book:
        (session,) = book.sessions(TRAINEE, with_reps=True)
        assert (session.session_id, session.day, session.rung) == (ASKED.session_id, ASKED.day, "feet-on-floor")
        assert session.prescription == ASKED.prescription
        assert (session.source, session.method, session.rpe, session.note) == (Source.SENSOR, Method.OWN, None, "")
        assert session.sets[0].verdict.count == 15
        assert [(rep.start_s, rep.top_s, rep.mean_velocity_sd_m_s) for rep in session.sets[0].reps] == [
            (0.0, 1.0, None)
        ]
        (made,) = book.corrections(ASKED.session_id)
        assert (made.start_s, made.kind, made.value, made.made_utc_us) == (60.0, Act.RELABEL, "partner", 7)
        assert (made.who, made.role, made.reason, made.text) == ("Ines", By.TRAINEE, Because.OTHER, "relabelled by key")
    with closing(sqlite3.connect(path)) as database:
        assert database.execute("SELECT version_num FROM alembic_version").fetchall() == [(REVISIONS[-1],)]
        assert database.execute("SELECT own_sets, partner_sets, warm_up_sets FROM session").fetchall() == [(1, 0, 0)]
