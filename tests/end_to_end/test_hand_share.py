"""The share of body weight on the hands, by a scale under the feet: 1 − scale / body weight (statics)."""

from __future__ import annotations

import csv
import json
from datetime import date
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from tui.cli import main

JONAS = "Jonas Reiter"
MONDAY = date(2026, 3, 2)


def rungwise(home: Path, *words: object, status: int = 0) -> Result:
    done = CliRunner().invoke(main, ["--home", str(home), *map(str, words)])
    assert done.exit_code == status, done.output
    return done


def done(home: Path, day: int, *more: object, status: int = 0) -> Result:
    on = MONDAY.replace(day=day)
    return rungwise(home, "done", JONAS, "--date", on, "--sets", "15,15,15", "--rest", 90, *more, status=status)


def shares(home: Path) -> list[Any]:
    return [json.loads(one)["set_up"]["hand_share"] for one in rungwise(home, "log", "--json").stdout.splitlines()]


def test_done_keeps_the_share_and_next_log_and_export_show_it(tmp_path: Path) -> None:
    done(tmp_path, 2, "--scale", 28, "--body", 70, "--bar", 105)
    assert shares(tmp_path) == [0.6]
    assert "bar 105 cm, 60 % of body weight on the hands" in rungwise(tmp_path, "log").stdout
    assert (
        "feet help as last time: 60 % of body weight on the hands"
        in rungwise(tmp_path, "next", "--date", "2026-03-06").stdout
    )
    assert json.loads(rungwise(tmp_path, "next", "--json", "--date", "2026-03-08").stdout)["hand_share"] == 0.6
    assert rungwise(tmp_path, "log", "--progress").stdout.splitlines()[-1].split()[-2:] == ["%", "met"]
    rungwise(tmp_path, "export", "--format", "csv", "--out", tmp_path / "out")
    with (tmp_path / "out" / "sessions.csv").open(encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    assert row["hand_share"] == "0.6"


def test_the_body_weight_is_nowhere_in_the_logbook(tmp_path: Path) -> None:
    done(tmp_path, 2, "--scale", 28.125, "--body", 71.875)
    rungwise(tmp_path, "export", "--format", "json", "--out", tmp_path / "all.json")
    text = (tmp_path / "all.json").read_text(encoding="utf-8")
    assert "0.609" in text  # 1 − 28.125 / 71.875 = .6087
    assert "71.875" not in text
    assert "28.125" not in text
    assert b"71.875" not in (tmp_path / "logbook.sqlite").read_bytes()


def test_tell_gives_the_last_session_or_a_days_its_share(tmp_path: Path) -> None:
    done(tmp_path, 2, "--bar", 105)
    done(tmp_path, 5, "--bar", 105)
    said = rungwise(tmp_path, "tell", JONAS, "--scale", 35, "--body", 70).stdout
    assert "set-up of Thu 5 March 2026: bar 105 cm, 50 % of body weight on the hands" in said
    rungwise(tmp_path, "tell", JONAS, "--scale", 28, "--body", 70, "--pain", 1, "--date", "2026-03-02")
    assert shares(tmp_path) == [0.6, 0.5]
    assert json.loads(rungwise(tmp_path, "next", "--json", "--date", "2026-03-08").stdout)["hand_share"] == 0.5
    weighed = ("--scale", 28, "--body", 70)
    refused = rungwise(tmp_path, "tell", JONAS, *weighed, "--pain", 9, "--date", "2026-03-03", status=2)
    assert "has no session on Tue 3 March 2026" in refused.stderr
    assert "pain 9" not in rungwise(tmp_path, "tell", JONAS, "--list").stdout


def test_what_cannot_be_weighed_is_told(tmp_path: Path) -> None:
    assert "go together" in done(tmp_path, 2, "--scale", 28, status=2).stderr
    assert "must show 0 to 70 kg, not 71" in done(tmp_path, 2, "--scale", 71, "--body", 70, status=2).stderr
    done(tmp_path, 2)
    assert "go together" in rungwise(tmp_path, "tell", JONAS, "--body", 70, status=2).stderr
    assert "must show" in rungwise(tmp_path, "tell", JONAS, "--scale", 71, "--body", 70, status=2).stderr
