"""A group's day on a sheet of paper, and back."""

from __future__ import annotations

import csv
import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tui.cli import main

MONDAY = date(2026, 3, 2)
THURSDAY = MONDAY + timedelta(days=3)
JONAS, LEA, TIM = "Jonas Reiter", "Lea Amrein", "Tim Oberson"
FILLED = {"set_1": "15", "set_2": "15", "set_3": "12", "rest_s": "90 100", "pain": "2", "where": "elbow", "rpe": "7"}


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def logged(home: Path, *name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in rungwise(home, "log", *name, "--json").stdout.splitlines()]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    for name in (JONAS, LEA, TIM):
        rungwise(tmp_path, "done", name, "--date", MONDAY, "--sets", "15,15,15", "--rest", 90)
    rungwise(tmp_path, "tell", TIM, "--pain", 7, "--date", MONDAY)
    return tmp_path


@pytest.fixture
def path(home: Path) -> Path:
    path = home / "thursday.csv"
    written = rungwise(home, "done", "--sheet", path, "--date", THURSDAY)
    assert written.exit_code == 0, written.output
    return path


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def fill(path: Path, *changes: dict[str, str], separator: str = ",", encoding: str = "utf-8") -> None:
    """Fill in the first lines as a person would, in a spreadsheet that has its own ideas of CSV."""
    rows = rows_of(path)
    for row, change in zip(rows, changes, strict=False):
        row.update(change)
    with path.open("w", encoding=encoding, newline="") as file:
        table = csv.DictWriter(file, rows[0], delimiter=separator)
        table.writeheader()
        table.writerows(rows)


def test_the_sheet_says_what_is_asked_of_each_and_leaves_the_rest_empty(path: Path) -> None:
    jonas, _, tim = rows_of(path)
    assert (jonas["trainee"], jonas["date"], jonas["rung"]) == (JONAS, "2026-03-05", "feet-on-floor")
    assert (jonas["asked_sets"], jonas["asked_reps"], jonas["asked_rest_s"]) == ("3", "15", "90")
    assert jonas["asked_tempo"] == "up 1 · top 0 · down 1 · bottom 0, each rep from a dead hang"
    assert {jonas[column] for column in ("set_1", "set_5", "rest_s", "pain", "rpe", "note")} == {""}
    assert tim["exercise"].startswith("No session: pain 7 of 10")
    assert tim["rung"] == ""


def test_a_filled_sheet_is_read_back_and_twice_read_gives_nothing_twice(home: Path, path: Path) -> None:
    fill(path, FILLED, {"set_1": "15", "note": "left early, bus"}, {"pain": "5"})
    first = rungwise(home, "done", "--sheet", path)
    assert first.exit_code == 0, first.output
    assert "Jonas Reiter: feet-on-floor, 15, 15, 12, missed, pain 2" in first.stdout
    assert "Tim Oberson: no session, pain 5" in first.stdout
    everything = logged(home)
    assert "nothing new" in rungwise(home, "done", "--sheet", path).stdout
    assert logged(home) == everything
    (_, jonas) = logged(home, JONAS)
    assert [one["count"] for one in jonas["sets"]] == [15, 15, 12]
    assert [one["rest_before_s"] for one in jonas["sets"]] == [None, 90, 100]
    assert (jonas["rpe"], jonas["pain"]["where"], jonas["date"]) == (7, "elbow", "2026-03-05")
    assert logged(home, LEA)[-1]["note"] == "left early, bus"
    said = rungwise(home, "tell", TIM, "--list").stdout.splitlines()
    assert [line.split("pain ")[1] for line in said] == ["7 of 10", "5 of 10"]


def test_what_was_added_to_a_sheet_that_was_read_is_taken_too(home: Path, path: Path) -> None:
    fill(path, FILLED)
    rungwise(home, "done", "--sheet", path)
    fill(path, {}, FILLED)
    assert "1 of 3 lines are new" in rungwise(home, "done", "--sheet", path).stdout
    fill(path, {"pain": "4"})
    assert "Jonas Reiter: no session, pain 4" in rungwise(home, "done", "--sheet", path).stdout
    assert [len(logged(home, name)) for name in (JONAS, LEA, TIM)] == [2, 2, 1]


@pytest.mark.parametrize(("separator", "encoding"), [(";", "utf-8"), (",", "utf-8-sig"), (";", "utf-8-sig")])
def test_a_spreadsheet_may_write_it_its_own_way(home: Path, path: Path, separator: str, encoding: str) -> None:
    fill(path, {**FILLED, "load_kg": "2,5" if separator == ";" else "2.5"}, separator=separator, encoding=encoding)
    found = rungwise(home, "done", "--sheet", path)
    assert found.exit_code == 0, found.output
    assert logged(home, JONAS)[-1]["prescribed"]["load_kg"] == 2.5


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"pain": "11"}, "line 2, column pain: '11' is not allowed; give a number from 0 to 10"),
        ({"set_2": "x"}, "line 2, column set_2: 'x' is not allowed"),
        ({"set_2": "12.5"}, "line 2, column set_2: 12.5 is not allowed; give a whole number"),
        ({"set_2": ""}, "line 2, column set_2: empty before a set that is filled in"),
        ({"rest_s": "90 90 90"}, "line 2, column rest_s: one for all, or 2"),
        ({"date": "2999-01-01"}, "line 2, column date: 2999-01-01 is still to come"),
        ({"date": "5.3.2026"}, "line 2, column date: '5.3.2026' is no day; give it as YYYY-MM-DD"),
        ({"date": "2026-03-02"}, "line 2, column set_1: Jonas Reiter has another session on 2026-03-02 (15, 15, 15)"),
        ({"grip": "hook"}, "line 2, column grip: hook is not allowed; give one of pronated"),
        ({"rung": "dip"}, "line 2, column rung: dip is no rung of this plan"),
        ({"trainee": ""}, "line 2, column trainee: a name is missing"),
        ({"pain": ""}, "line 2, column pain: empty, and where says more"),
    ],
)
def test_a_fault_is_told_with_its_place_and_no_line_is_kept(
    home: Path, path: Path, change: dict[str, str], said: str
) -> None:
    before = logged(home)
    fill(path, {**FILLED, **change}, FILLED)
    refused = rungwise(home, "done", "--sheet", path)
    assert refused.exit_code == 2
    assert f"thursday.csv, {said}" in refused.stderr
    assert "Nothing was written" in refused.stderr
    assert logged(home) == before


def test_a_session_that_was_not_allowed_needs_its_rung(home: Path, path: Path) -> None:
    fill(path, {}, {}, {"set_1": "5"})
    assert "line 4, column rung: No session: pain 7" in rungwise(home, "done", "--sheet", path).stderr
    fill(path, {}, {}, {"set_1": "5", "rung": "inverted-row"})
    assert rungwise(home, "done", "--sheet", path).exit_code == 0
    assert logged(home, TIM)[-1]["rung"] == "inverted-row"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("trainee,date\n", "line 1: the column set_1 is missing"),
        ("trainee,date,set_1,mood\n", "line 1, column mood: unknown"),
        ("trainee,date,set_1,set_1\n", "line 1, column set_1: there twice"),
        ("trainee,date,set_1\nLea,2026-03-05,15,15\n", "line 2: 4 cells under 3 columns"),
        ('trainee,date,set_1\nLea,2026-03-05,"15\n', "no CSV"),
    ],
)
def test_a_table_that_is_no_sheet_says_why(home: Path, text: str, said: str) -> None:
    other = home / "other.csv"
    other.write_text(text)
    refused = rungwise(home, "done", "--sheet", other)
    assert refused.exit_code == 2
    assert f"other.csv, {said}" in refused.stderr or said in refused.stderr


def test_someone_new_on_the_sheet_is_added_and_two_days_follow_each_other(home: Path) -> None:
    other = home / "other.csv"
    other.write_text(
        "trainee,date,set_1,set_2,set_3,rest_s\n"
        + "".join(f"Nia Berg,{day},15,15,15,90\n" for day in (MONDAY, THURSDAY, MONDAY + timedelta(days=7)))
    )
    found = rungwise(home, "done", "--sheet", other)
    assert "Nia Berg is new in the logbook" in found.stdout
    assert [one["prescribed"]["rest_s"] for one in logged(home, "Nia Berg")] == [90, 90, 85]


def test_a_dash_prints_the_sheet_and_other_options_do_not_go_with_it(home: Path) -> None:
    printed = rungwise(home, "done", "--sheet", "-", "--date", THURSDAY)
    assert printed.stdout.startswith("trainee,date,rung,exercise,asked_sets,")
    assert len(printed.stdout.splitlines()) == 4
    assert rungwise(home, "done", "--sheet", "-", "--rpe", 7).exit_code == 2
    assert rungwise(home, "done", JONAS, "--group", "valley", "--sets", "15").exit_code == 2


def test_import_sends_a_sheet_to_the_command_that_reads_it(home: Path) -> None:
    sheet = home / "sheet.csv"
    sheet.write_text(rungwise(home, "done", "--sheet", "-", "--date", THURSDAY).stdout)
    refused = rungwise(home, "import", sheet)
    assert refused.exit_code == 2
    assert "sheet.csv is a sheet of rungwise done --sheet" in refused.stderr
