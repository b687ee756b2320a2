"""`rungwise forget`: asked by name, gone from the home folder, and what is beyond reach is named."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from analysis.logbook.book import Logbook
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.test_logbook_outlines import given, session
from tests.brokers.coach import target
from tui.book.forget import BEYOND
from tui.cli import main
from tui.home import Home
from tui.share.answered import keep_answers

TARN, JONAS = "Qvistine Tarn", "Jonas Reiter"


def rungwise(home: Path, *words: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *words], input=typed)


@pytest.fixture
def home(tmp_path: Path) -> Home:
    """Two trainees with a session, a recording and a plan each."""
    home = Home(tmp_path / "home")
    with Logbook.open(home.logbook) as book:
        for number, name in enumerate((TARN, JONAS)):
            record = session(number)
            keep(book, record, book.add_trainee(name).id)
            home.recording(record.session_id).write_bytes(name.encode())
            home.recording(record.session_id).with_suffix(".rungwise-wal").write_bytes(name.encode())
    for name in (TARN, JONAS):
        assert rungwise(home.folder, "plan", "new", "--trainee", name).exit_code == 0
    return home


def holds(home: Home, text: str) -> list[str]:
    files = (path for path in home.folder.rglob("*") if path.is_file())
    return [path.name for path in files if text.encode() in path.read_bytes() or text.casefold() in path.name]


def test_nothing_in_the_home_folder_names_a_forgotten_person(home: Home) -> None:
    assert len(holds(home, TARN)) == 4
    told = rungwise(home.folder, "forget", TARN, "--yes")
    assert told.exit_code == 0, told.output
    assert holds(home, TARN) == []
    assert [path.name for path in home.plans.iterdir()] == ["jonas_reiter.toml"]
    assert len(holds(home, JONAS)) == 4
    assert told.output.startswith(f"{TARN} is forgotten: 1 session and 1 recording are removed")
    assert all(line in " ".join(told.output.split()) for line in BEYOND)


def test_what_a_coach_asked_of_them_today_goes_too(home: Home) -> None:
    keep_answers(home.answered, [], [target(TARN, reps=8), target(JONAS, reps=8)], "2026-03-02")
    assert "answered.json" in holds(home, TARN)
    assert rungwise(home.folder, "forget", TARN, "--yes").exit_code == 0
    assert holds(home, TARN) == []
    assert "answered.json" in holds(home, JONAS)


def test_it_asks_for_the_name(home: Home) -> None:
    refused = rungwise(home.folder, "forget", TARN, typed="Tarn\n")
    assert refused.exit_code == 2
    assert "that is another name: nothing was removed" in refused.output
    assert rungwise(home.folder, "forget", TARN, typed="").exit_code != 0
    assert len(holds(home, TARN)) == 4
    told = rungwise(home.folder, "forget", TARN, typed="qvistine  TARN\n")
    assert told.exit_code == 0, told.output
    assert holds(home, TARN) == []


def test_an_unknown_name_is_told(home: Home) -> None:
    told = rungwise(home.folder, "forget", "Mara", "--yes")
    assert told.exit_code == 2
    assert "Mara is not in the logbook" in told.output


def test_an_open_logbook_is_told(home: Home) -> None:
    with Logbook.open(home.logbook) as other, other._reading() as connection:
        connection.exec_driver_sql("SELECT * FROM trainee").fetchall()
        told = rungwise(home.folder, "forget", TARN, "--yes")
    assert told.exit_code == 0, told.output
    assert "Another Rungwise has the logbook open" in told.output
    assert holds(home, TARN) == []


def test_sessions_shared_with_others_are_named(home: Home) -> None:
    with Logbook.open(home.logbook) as book:
        tarn, jonas = (book.trainee(name) for name in (TARN, JONAS))
        assert tarn is not None
        assert jonas is not None
        book.add_correction(given(session(0), jonas.id, into=None))
        book.add_correction(given(session(1), tarn.id, into=None))
    told = " ".join(rungwise(home.folder, "forget", TARN, "--yes").output.split())
    assert f"1 session ({str(session(0).session_id)[:8]}) stay without a name, for the sets of others" in told
    assert f"Sets were taken out of 1 session of others ({str(session(1).session_id)[:8]})" in told
    assert "0 sessions and 1 recording are removed" in told
    assert holds(home, TARN) == []
    log = rungwise(home.folder, "log", JONAS, "--json")
    assert log.output.count("rungwise.session/1") == 2


def test_a_name_that_looks_like_a_pattern_takes_no_other_plan_along(tmp_path: Path) -> None:
    home = Home(tmp_path / "home")
    for name in ("Mara*", "Mara", "Mara Lindt"):
        assert rungwise(home.folder, "plan", "new", "--trainee", name).exit_code == 0
        with Logbook.open(home.logbook) as book:
            if book.trainee(name) is None:
                book.add_trainee(name)
    (home.plans / "mara.toml.before").write_text("x")
    assert rungwise(home.folder, "forget", "Mara", "--yes").exit_code == 0
    assert sorted(path.name for path in home.plans.iterdir()) == ["mara%2A.toml", "mara_lindt.toml"]
