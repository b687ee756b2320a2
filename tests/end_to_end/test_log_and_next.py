"""What was done and what comes next, as people and as programs read it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from virtual_session import Gym

from analysis.logbook import sessions
from analysis.logbook.book import Logbook
from tui.book.show import log_rows
from tui.cli import main
from tui.home import Home

# design of `rungwise.next/1`: the keys that outside tools rely on
NEXT_KEYS = {"format", "trainee", "date", "rung", "exercise", "sets", "reps", "tempo", "rest_s", "grip", "load_kg"}


def rungwise(gym: Gym, *words: str) -> Result:
    return CliRunner().invoke(main, ["--home", str(gym.home.folder), *words])


def document(result: Result) -> dict[str, Any]:
    assert result.exit_code == 0, result.output
    loaded: dict[str, Any] = json.loads(result.stdout)
    return loaded


def test_log_prints_one_line_a_session(done: Gym) -> None:
    result = rungwise(done, "log")
    (record,) = done.records()
    assert result.exit_code == 0
    (line,) = result.stdout.splitlines()
    assert line.startswith(str(record.session_id)[:8])
    assert "Mara Lindt" in line
    assert "sets: 5 5 5" in line


def test_log_as_json_holds_every_rep(done: Gym) -> None:
    session = document(rungwise(done, "log", "--json"))
    assert session["format"] == "rungwise.session/1"
    assert [one["count"] for one in session["sets"]] == [len(one["reps"]) for one in session["sets"]] == [5, 5, 5]
    assert session["sets"][0]["reps"][0]["timing_sd_s"]["top"] > 0


def test_the_log_screens_rows_hold_the_hills(done: Gym) -> None:
    (record,) = done.records()
    (trainee,) = done.logbook.trainees()
    (row,) = log_rows(done.logbook, trainee)
    assert row.session == str(record.session_id)
    assert [len(one.hills) for one in row.done] == [5, 5, 5]


def test_next_as_json_says_what_and_why(done: Gym) -> None:
    found = document(rungwise(done, "next", "Mara Lindt", "--json"))
    assert found.keys() == NEXT_KEYS | {"reasons", "cautions", "method", "step", "steps", "cue", "start", "hand_share"}
    assert found["tempo"] == {"down_s": 2, "bottom_s": 0, "up_s": 1, "top_s": 1}
    assert all(reason.keys() == {"rule", "text", "evidence"} for reason in found["reasons"])
    assert any("pain stops" in caution.lower() for caution in found["cautions"])


def test_next_in_words_shows_the_cautions(done: Gym) -> None:
    result = rungwise(done, "next", "Mara Lindt")
    assert "Pain stops the set" in result.stdout
    assert "up 1 · top 1 · down 2 · bottom 0" in result.stdout


def test_a_name_that_is_not_in_the_log_is_named_with_those_that_are(done: Gym) -> None:
    result = rungwise(done, "next", "Nobody")
    assert result.exit_code == 2
    assert "Mara Lindt" in result.stderr


def test_an_empty_log_says_what_to_do(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["--home", str(tmp_path), "next"])
    assert result.exit_code == 2
    assert "rungwise train" in result.stderr


def test_a_file_that_is_no_logbook_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    path.write_text("shopping list")
    result = CliRunner().invoke(main, ["--home", str(tmp_path), "log"])
    assert result.exit_code == 2
    assert path.read_text() == "shopping list"


def test_next_reads_the_log_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plain, read = sessions.outlines, []

    def counted(*given: Any) -> Any:
        read.append(given)
        return plain(*given)

    monkeypatch.setattr(sessions, "outlines", counted)
    with Logbook.open(Home(tmp_path).logbook) as book:
        book.add_trainee("Jonas Reiter")
    found = CliRunner().invoke(main, ["--home", str(tmp_path), "next", "jonas reiter"])
    assert found.exit_code == 0, found.output
    assert len(read) == 1
