"""`rungwise plan` as a coach uses it."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest
from plan_desk import ILKA, JONAS, MONDAY, file_of, next_on, rungwise

from analysis.training.plan import default_plan
from analysis.training.prescription import Goal
from tui.book.plan_file import read_plan, training_plan
from tui.home import Home


@pytest.mark.parametrize("command", ["new", "check", "show", "set", "start"])
def test_each_command_has_examples(tmp_path: Path, command: str) -> None:
    assert f"rungwise plan {command}" in rungwise(tmp_path, "plan", command, "--help").stdout.split("Examples:")[1]


@pytest.mark.parametrize("goal", list(Goal))
def test_new_writes_the_default_plan_and_the_trainee_is_known(tmp_path: Path, goal: Goal) -> None:
    said = rungwise(tmp_path, "plan", "new", JONAS, "--goal", goal.value).stdout
    assert str(file_of(tmp_path)) in said
    assert training_plan(Home(tmp_path), JONAS) == default_plan(goal)
    first = next_on(tmp_path, MONDAY)
    assert (first["rung"], first["sets"], first["reps"], first["rest_s"]) == ("feet-on-floor", 3, 15, 90)


def test_new_leaves_a_plan_alone_and_with_force_keeps_it_beside(written: Path) -> None:
    rungwise(written, "plan", "set", "goal=size")
    mine = file_of(written).read_text(encoding="utf-8")
    refused = rungwise(written, "plan", "new", JONAS.upper(), status=2)
    assert "--force" in refused.stderr
    assert file_of(written).read_text(encoding="utf-8") == mine
    rungwise(written, "plan", "new", JONAS, "--force")
    assert training_plan(Home(written), JONAS) == default_plan()
    assert file_of(written).with_suffix(".toml.before").read_text(encoding="utf-8") == mine


def test_next_follows_the_file(written: Path) -> None:
    rungwise(written, "plan", "set", "feet-on-floor.reps=12", "start=heels-raised", "heels-raised.rest_from_s=80")
    first = next_on(written, MONDAY)
    assert (first["rung"], first["reps"], first["rest_s"]) == ("heels-raised", 15, 80)


def test_seven_met_weeks_of_the_first_rung_take_the_rest_from_90_to_60(written: Path) -> None:
    """The taper of the trade: 90, 85, 80, 75, 70, 65, 60 (common practice, from memory)."""
    rests = []
    for week in range(7):
        rests.append(next_on(written, MONDAY + timedelta(weeks=week))["rest_s"])
        for extra in (0, 3):
            day = MONDAY + timedelta(weeks=week, days=extra)
            rungwise(written, "done", JONAS, "--date", day, "--sets", "15,15,15", "--rest", f"{rests[-1]:g}")
    assert rests == [90, 85, 80, 75, 70, 65, 60]


def test_a_file_that_is_no_plan_stops_next_with_line_and_key(written: Path) -> None:
    file = file_of(written)
    text = file.read_text(encoding="utf-8").replace("sessions_a_week = 2", "sessions_a_week = 9")
    file.write_text(text, encoding="utf-8")
    line = text.split("\n").index("sessions_a_week = 9") + 1
    for words in (("next", JONAS), ("plan", "check"), ("plan", "show", JONAS), ("plan", "set", "goal=size")):
        said = rungwise(written, *words, status=2)
        assert f"{file}, line {line}, sessions_a_week: 9 is not allowed; give a whole number from 1 to 3" in said.stderr
    rungwise(written, "plan", "new", JONAS, "--force")
    rungwise(written, "next", JONAS)


@pytest.mark.parametrize("words", [("new",), ("set", "goal=size"), ("start", "--rows", 15, "--low-bar", 12)])
def test_a_new_name_is_told_with_the_one_it_may_be_a_slip_for(written: Path, words: tuple[object, ...]) -> None:
    slip = rungwise(written, "plan", *words, "--trainee", f"{JONAS}r").stdout
    assert f"{JONAS}r is new in the logbook; beside {JONAS}, who is spelt much alike" in slip
    again = rungwise(written, "plan", "set", "goal=endurance", "--trainee", f"{JONAS}r").stdout
    assert "is new" not in again


def test_check_tells_of_each_plan_what_is_wrong_and_what_is_worth_a_look(written: Path) -> None:
    rungwise(written, "plan", "new", ILKA)
    rungwise(written, "plan", "set", "goal=size", "--trainee", ILKA)
    said = rungwise(written, "plan", "check").stdout
    assert said.count("nothing is wrong") == 2
    assert "look at weighted: asks for 5 reps" in said
    file_of(written).write_text("goal = 3\nhome = 2\n", encoding="utf-8")
    wrong = rungwise(written, "plan", "check", status=2)
    assert f"{ILKA}: nothing is wrong" in wrong.stdout
    assert [one.split(": ")[0].split(", ", 1)[1] for one in wrong.stderr.removeprefix("rungwise: ").splitlines()] == [
        "line 1, format",
        "line 1, goal",
        "line 1, trainee",
        "line 2, home",
    ]


def test_check_finds_a_plan_that_nobody_would_read(written: Path) -> None:
    file_of(written).rename(written / "plans" / "copy.toml")
    assert "whose file is jonas_reiter.toml" in rungwise(written, "plan", "check", status=2).stderr


def test_without_any_plan_check_says_which_holds(tmp_path: Path) -> None:
    assert "the default plan holds for everybody" in rungwise(tmp_path, "plan", "check").stdout


def test_show_tells_rungs_place_and_cautions(written: Path) -> None:
    rungwise(written, "done", JONAS, "--date", MONDAY, "--sets", "15,15,15", "--rest", 90)
    said = rungwise(written, "plan", "show", JONAS).stdout
    for key in (rung.key for rung in default_plan().ladder.rungs):
        assert f" {key}: " in said
    assert "\n> " in said
    assert "Pain stops the set" in said
    shown = json.loads(rungwise(written, "plan", "show", JONAS, "--json").stdout)
    assert shown["format"] == "rungwise.plan-view/1"
    assert [step["rest_s"] for step in shown["rungs"][1]["steps"]] == [90, 85, 80, 75, 70, 65, 60]
    assert shown["at"]["rung"] in {one["key"] for one in shown["rungs"]}
    assert shown["cautions"]
    assert shown["file"] == str(file_of(written))


def test_who_has_no_file_is_shown_the_default_plan(tmp_path: Path) -> None:
    rungwise(tmp_path, "done", JONAS, "--sets", "15,15,15", "--rest", 90)
    assert "the default plan; rungwise plan new writes it out" in rungwise(tmp_path, "plan", "show").stdout
    assert json.loads(rungwise(tmp_path, "plan", "show", "--json").stdout)["file"] is None


@pytest.mark.parametrize(
    "words",
    [
        ("set", "goal"),
        ("set", "=size"),
        ("set", "goal=size", "--trainee", JONAS, "--group", "x"),
        ("set", "goal=size", "--group", ""),
        ("new",),
        ("new", JONAS, "--trainee", ILKA),
        ("start", "--rung", "box"),
        ("start", "--by", "Ada Brunn"),
        ("start", "--step", "2", "--rows", "3"),
        ("start", "--rows", "-1"),
    ],
)
def test_a_wrong_use_is_told_with_status_2_and_changes_nothing(written: Path, words: tuple[str, ...]) -> None:
    before = file_of(written).read_text(encoding="utf-8")
    assert rungwise(written, "plan", *words, status=2).stderr.startswith(f"Usage: main plan {words[0]}")
    assert file_of(written).read_text(encoding="utf-8") == before
    assert rungwise(written, "tell", JONAS, "--list").stdout == ""


def test_what_the_commands_write_reads_as_the_plan_that_was_meant(written: Path) -> None:
    found = read_plan(file_of(written), JONAS)
    assert (found.trainee, found.plan) == (JONAS, default_plan())
