"""How somebody gets on, as people and programs read it."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

from click.testing import CliRunner, Result
from virtual_session import Gym

from tui.cli import main


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def test_what_was_typed_in_shows_place_gains_and_adherence(tmp_path: Path) -> None:
    today = datetime.now().astimezone().date()
    first = today - timedelta(days=17)
    for days, rest in ((0, 90), (3, 90), (7, 85), (10, 85), (14, 80), (17, 80)):
        rungwise(
            tmp_path, "done", "Lea Amrein", "--date", first + timedelta(days=days), "--sets", "15,15,15", "--rest", rest
        )
    lines = rungwise(tmp_path, "log", "Lea Amrein", "--progress").stdout.splitlines()
    assert lines[0] == "Lea Amrein · feet-on-floor, week 3 of 7, rest 80 s"
    assert lines[1] == "  in 28 days: less rest: 90 → 80 s"
    assert lines[2] == "  4 of 4 planned sessions done, in the whole weeks so far"
    assert lines[-7].split() == ["date", "rung", "rest,", "s", "reps"]  # nothing else was told
    assert lines[-1].split()[1:] == ["feet-on-floor", "80", "of", "80", "45", "met"]
    found = json.loads(rungwise(tmp_path, "log", "--progress", "--json").stdout)
    assert (found["format"], found["trainee"], found["done"]) == ("rungwise.progress/1", "Lea Amrein", 4)
    assert found["trends"]["velocity_m_s"] is None
    assert found["trends"]["reps"]["direction"] == 0
    assert [one["rest_s"] for one in found["sessions"]] == [90, 90, 85, 85, 80, 80]


def test_what_the_sensor_measured_is_among_the_figures(done: Gym) -> None:
    found = json.loads(rungwise(done.home.folder, "log", "--progress", "--json").stdout)
    (session,) = found["sessions"]
    assert session["reps"] == 15
    assert 0.1 < session["velocity_m_s"] < 1
    assert 0.2 < session["travel_m"] < 0.6


def test_two_tables_are_not_asked_for_at_once(tmp_path: Path) -> None:
    assert rungwise(tmp_path, "log", "--weeks", "--progress").exit_code == 2
