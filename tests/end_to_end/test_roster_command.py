"""A coach's group on one page."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from virtual_session import Gym

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from analysis.training.plan import default_plan
from analysis.training.roster import roster
from tui.book.plan_text import plan_text
from tui.book.roster import readable, roster_lines
from tui.cli import main
from tui.home import Home

MONDAY = date(2026, 3, 2)
LATER = MONDAY + timedelta(days=4)


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def rows(home: Path, *more: object) -> list[dict[str, Any]]:
    listed = rungwise(home, "roster", "--json", "--date", LATER, *more)
    assert listed.exit_code == 0, listed.output
    return [json.loads(line) for line in listed.stdout.splitlines()]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    for name, pain in (("Jonas Reiter", 0), ("Lea Amrein", 5), ("Tim Oberson", 8)):
        done = rungwise(tmp_path, "done", name, "--date", MONDAY, "--sets", "15,15,15", "--rest", 90, "--pain", pain)
        assert done.exit_code == 0, done.output
    for name in ("Jonas Reiter", "Tim Oberson"):
        path = Home(tmp_path).plan(name_key(name))
        path.parent.mkdir(exist_ok=True)
        path.write_text(plan_text(replace(default_plan(), group="valley"), name), encoding="utf-8")
    return tmp_path


def test_those_who_need_a_look_come_first(home: Path) -> None:
    found = rows(home)
    assert [one["trainee"] for one in found] == ["Tim Oberson", "Lea Amrein", "Jonas Reiter"]
    assert [[look["need"] for look in one["looks"]] for one in found] == [["stop"], ["pain"], []]
    assert [one["due"] for one in found] == [None, "2026-03-06", "2026-03-06"]
    assert [one["group"] for one in found] == ["valley", None, "valley"]
    assert (found[2]["rung"], found[2]["step"], found[2]["last"]) == ("feet-on-floor", 1, "2026-03-02")


def test_the_table_has_a_line_for_each(home: Path) -> None:
    lines = rungwise(home, "roster", "--date", LATER).stdout.splitlines()
    assert lines[1].startswith("Tim Oberson   feet-on-floor 1/7  02 Mar met     –")
    assert lines[1].endswith("stop: pain 8 of 10 on Mon 2 March 2026")
    assert lines[3].split()[:2] == ["Jonas", "Reiter"]
    assert lines[3].endswith("today       –")


def test_in_a_narrow_terminal_what_to_look_at_stands_below_whole(home: Path) -> None:
    with Logbook.open(Home(home).logbook) as logbook:
        people, _ = readable(Home(home), logbook, None)
    found = roster([(name, plan, log) for name, plan, log in people], LATER)
    wide, narrow = list(roster_lines(found, LATER, 200)), list(roster_lines(found, LATER, 80))
    assert wide == list(roster_lines(found, LATER))
    assert narrow[1:3] == [
        "Tim Oberson   feet-on-floor 1/7  02 Mar met     –",
        "    stop: pain 8 of 10 on Mon 2 March 2026",
    ]
    assert len(narrow) == 6
    assert max(map(len, narrow)) <= 80


def test_a_group_is_those_whose_plan_names_it(home: Path) -> None:
    assert [one["trainee"] for one in rows(home, "--group", "Valley")] == ["Tim Oberson", "Jonas Reiter"]
    nobody = rungwise(home, "roster", "--group", "north")
    assert nobody.exit_code == 2
    assert "groups: valley" in nobody.stderr


def test_who_only_did_a_demonstration_is_left_out(done: Gym) -> None:
    found = rungwise(done.home.folder, "roster")
    assert (found.exit_code, found.stdout) == (0, "")
    assert "nobody is in the logbook yet" in found.stderr


def test_a_plan_that_cannot_be_read_is_told_and_hides_nobody_else(home: Path) -> None:
    Home(home).plan("tim oberson").write_text("goal = 1", encoding="utf-8")
    for more in ((), ("--group", "valley"), ("--json",)):
        listed = rungwise(home, "roster", "--date", LATER, *more)
        assert listed.exit_code == 2
        assert "Jonas Reiter" in listed.stdout
        assert "tim_oberson.toml, line 1, goal" in listed.stderr
