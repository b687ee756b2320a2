"""A plan with clean-rep tests, as a coach uses it."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tui.cli import main

MONDAY = date(2026, 3, 2)
JONAS = "Jonas Reiter"


def rungwise(home: Path, *words: object) -> str:
    done = CliRunner().invoke(main, ["--home", str(home), *map(str, words)])
    assert done.exit_code == 0, done.output
    return done.stdout


def next_on(home: Path, days: int) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(rungwise(home, "next", JONAS, "--json", "--date", MONDAY + timedelta(days=days)))
    return found


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Three weeks that were met, in a plan with a test every three."""
    rungwise(tmp_path, "plan", "set", "test_weeks=3", "--trainee", JONAS)
    for week, rest in enumerate((90, 85, 80)):
        for extra in (0, 3):
            day = MONDAY + timedelta(weeks=week, days=extra)
            rungwise(tmp_path, "done", JONAS, "--date", day, "--sets", "15,15,15", "--rest", rest)
    return tmp_path


def test_next_asks_for_the_test_and_goes_on_after_it(home: Path) -> None:
    asked = next_on(home, 21)
    assert (asked["test"], asked["sets"], asked["reps"], asked["rung"]) == (True, 1, 0, "feet-on-floor")
    said = rungwise(home, "next", JONAS, "--date", MONDAY + timedelta(days=21))
    assert "1 × as many clean reps as possible" in said
    assert "A test in the place of a session" in said
    told = rungwise(home, "done", JONAS, "--date", MONDAY + timedelta(days=21), "--sets", 22)
    assert "done 22: met" in told
    later = next_on(home, 24)
    assert (later["reasons"][0]["rule"], later["rest_s"], later["reps"]) == ("step", 75, 15)
    assert "clean-rep tests: 22 reps, tempo not checked (Mon 23 March 2026)" in rungwise(home, "log", "--progress")
    assert "a clean-rep test every 3 weeks" in rungwise(home, "plan", "show", JONAS)


def test_who_did_the_sets_instead_did_no_test(home: Path) -> None:
    rungwise(home, "done", JONAS, "--date", MONDAY + timedelta(days=21), "--sets", "15,15,15", "--rest", 80)
    later = next_on(home, 24)
    assert (later["reasons"][0]["rule"], later["rest_s"], later["reps"]) == ("week", 80, 15)
