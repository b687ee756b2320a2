"""`rungwise plan` as a coach uses it."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from analysis.training.plan import default_plan
from analysis.training.prescription import Goal
from tui.book.plan_file import read_plan, training_plan
from tui.book.plan_text import plan_text
from tui.cli import main
from tui.home import Home

JONAS, ILKA = "Jonas Reiter", "Ilka Brandt"
MONDAY = date(2026, 3, 2)
COACH = ("--by", "Ada Brunn")


def rungwise(folder: Path, *words: object, status: int = 0) -> Result:
    done = CliRunner().invoke(main, ["--home", str(folder), *map(str, words)])
    assert done.exit_code == status, done.output
    return done


def file_of(folder: Path, name: str = JONAS) -> Path:
    return folder / "plans" / f"{name.lower().replace(' ', '_')}.toml"


@pytest.fixture
def written(tmp_path: Path) -> Path:
    rungwise(tmp_path, "plan", "new", "--trainee", JONAS)
    return tmp_path


def next_on(folder: Path, day: date, name: str = JONAS) -> dict[str, Any]:
    said = rungwise(folder, "next", "--trainee", name, "--json", "--date", day)
    loaded: dict[str, Any] = json.loads(said.stdout)
    return loaded


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


def comments(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.startswith("#") and not line.endswith(" =")]


CHANGES = [
    ("goal=size", lambda plan: plan.goal, "size"),
    ("weekdays=monday, thursday", lambda plan: plan.weekdays, (0, 3)),
    ("acknowledged=2026-03-02", lambda plan: plan.acknowledged, MONDAY),
    ("group=2026 recruits", lambda plan: plan.group, "2026 recruits"),
    ("group=7", lambda plan: plan.group, "7"),
    ("elbow_history=true", lambda plan: plan.elbow_history, True),
    ("grips=neutral,pronated", lambda plan: [one.value for one in plan.grips], ["neutral", "pronated"]),
    ('grips=["neutral"]', lambda plan: [one.value for one in plan.grips], ["neutral"]),
    ("pull-up.volume=true", lambda plan: plan.ladder.rungs[4].volume, True),
    ("pull-up.load_step_kg=1.25", lambda plan: plan.ladder.rungs[4].load_step_kg, 1.25),
    ("box.tempo.up_s=2", lambda plan: plan.ladder.rungs[3].steps[0].tempo.up_s, 2),
    ("box.tempo.up_s=fast", lambda plan: plan.ladder.rungs[3].steps[0].tempo.up_s, None),
    ("pull-up.steps.6=none", lambda plan: len(plan.ladder.rungs[4].steps), None),
    ("weighted.load_step_kg=none", lambda plan: plan.ladder.rungs[5].load_step_kg, None),
]


@pytest.mark.parametrize(("change", "read", "value"), CHANGES)
def test_set_changes_one_key_and_keeps_every_comment(written: Path, change: str, read: Any, value: Any) -> None:
    before = file_of(written).read_text(encoding="utf-8")
    if change == "pull-up.steps.6=none":  # the gate names what the step asked for: both together, or neither
        assert "gate" in rungwise(written, "plan", "set", change, status=2).stderr
        rungwise(written, "plan", "set", change, "pull-up.gate=none")
        value = 5
    else:
        rungwise(written, "plan", "set", change)
    after = file_of(written).read_text(encoding="utf-8")
    assert read(training_plan(Home(written), JONAS)) == value
    assert comments(after) == comments(before)


def test_a_key_that_is_taken_out_leaves_its_place(written: Path) -> None:
    before = file_of(written).read_text(encoding="utf-8")
    rungwise(written, "plan", "set", "equipment=none", "days_between=none")
    assert training_plan(Home(written), JONAS) == default_plan()
    gone = file_of(written).read_text(encoding="utf-8")
    assert "\n# equipment =\n" in gone
    rungwise(written, "plan", "set", "days_between=2")
    assert file_of(written).read_text(encoding="utf-8") == gone.replace("# days_between =", "days_between = 2")
    assert comments(before) == comments(gone)


def test_what_would_make_the_plan_wrong_is_told_and_nothing_is_written(written: Path) -> None:
    before = file_of(written).read_text(encoding="utf-8")
    wrong = [
        ("sessions_a_week=3", "give days_between = 1"),
        ("start=nowhere", "is no rung of this plan"),
        ("goal=power", '"strength" or "size" or "endurance"'),
        ("trainee=Ilka Brandt", "whose file this is"),
        ("sesions=1", "sesions is not known; allowed are group, goal"),
        ("sofa.sets=1", "RUNG one of inverted-row, feet-on-floor"),
        ("box.sofa=1", "is not known here; allowed are key"),
        ("box.steps.9.reps=4", "give a number from 1 to 8"),
        ("box.gate.x=4", "has no place"),
        ("box.sofa=none", "box.sofa is not there"),
        ("feet-on-floor.rest_s=60", "give one rest"),
    ]
    for change, allowed in wrong:
        assert allowed in rungwise(written, "plan", "set", "goal=size", change, status=2).stderr
    assert file_of(written).read_text(encoding="utf-8") == before
    rungwise(written, "plan", "set", "sessions_a_week=3", "days_between=1")


def test_a_dry_run_shows_the_difference_and_writes_nothing(written: Path) -> None:
    before = file_of(written).read_text(encoding="utf-8")
    said = rungwise(written, "plan", "set", "goal=size", "--dry-run").stdout
    assert '-goal = "strength"\n+goal = "size"' in said
    assert "look at weighted" in said
    assert "nothing was written" in said
    assert file_of(written).read_text(encoding="utf-8") == before


def test_who_has_no_file_gets_the_default_plan_with_the_change(tmp_path: Path) -> None:
    rungwise(tmp_path, "plan", "set", "grip_weeks=2", "--trainee", JONAS, "--dry-run")
    assert not file_of(tmp_path).exists()
    rungwise(tmp_path, "plan", "set", "grip_weeks=2", "--trainee", JONAS)
    assert file_of(tmp_path).read_text(encoding="utf-8") == plan_text(default_plan(), JONAS).replace(
        "grip_weeks = 4", "grip_weeks = 2"
    )


def test_a_group_is_changed_as_a_whole_or_not_at_all(written: Path) -> None:
    rungwise(written, "plan", "new", ILKA)
    rungwise(written, "plan", "new", "Sören Groß")
    for name in (JONAS, ILKA):
        rungwise(written, "plan", "set", "group=Recruits", "--trainee", name)
    said = rungwise(written, "plan", "set", "grip_weeks=3", "--group", "recruits", "--dry-run").stdout
    assert said.count("+grip_weeks = 3") == 2
    rungwise(written, "plan", "set", "grip_weeks=3", "--group", "recruits")
    home = Home(written)
    assert [training_plan(home, name).grip_weeks for name in (JONAS, ILKA, "sören groß")] == [3, 3, 4]
    rungwise(written, "plan", "set", "sessions_a_week=3", "days_between=1", "--trainee", ILKA)
    refused = rungwise(written, "plan", "set", "days_between=2", "--group", "recruits", status=2)
    assert str(file_of(written, ILKA)) in refused.stderr
    refused = rungwise(written, "plan", "set", "days_between=2", "sessions_a_week=2", "--group", "none", status=2)
    assert "groups: Recruits" in refused.stderr
    rungwise(written, "plan", "set", "days_between=2", "sessions_a_week=2", "--group", "recruits")
    assert training_plan(home, ILKA).sessions_a_week == 2


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


def test_without_figures_start_says_how_a_test_day_goes(tmp_path: Path) -> None:
    said = rungwise(tmp_path, "plan", "start").stdout
    assert "20 s at most" in said
    assert "two reps before the form breaks" in said


def test_a_test_day_decides_where_the_ladder_begins(written: Path) -> None:
    said = rungwise(written, "plan", "start", JONAS, "--rows", 9, "--date", MONDAY).stdout
    assert "inverted-row, step 1" in said
    assert "9 straight-bodied rows" in said
    first = next_on(written, MONDAY)
    assert (first["rung"], first["reasons"][0]["rule"]) == ("inverted-row", "placement")
    rungwise(written, "done", JONAS, "--date", MONDAY, "--sets", "15,15,15", "--rest", 90)
    assert next_on(written, MONDAY + timedelta(days=3))["reasons"][0]["rule"] != "placement"


def test_the_coach_may_decide_otherwise_and_the_proposal_is_kept(written: Path) -> None:
    words = ("--rows", 15, "--low-bar", 8, "--rung", "heels-raised", "--step", 3, *COACH)
    rungwise(written, "plan", "start", JONAS, *words, "--date", MONDAY)
    first = next_on(written, MONDAY)
    assert (first["rung"], first["rest_s"]) == ("heels-raised", 80)
    (kept,) = [json.loads(line) for line in rungwise(written, "tell", JONAS, "--list", "--json").stdout.splitlines()]
    assert (kept["kind"], kept["by"], kept["step"]) == ("placement", "Ada Brunn", 3)
    assert "instead of feet-on-floor, which the test day proposed" in kept["why"]


def test_a_place_that_is_none_is_refused(written: Path) -> None:
    refused = rungwise(written, "plan", "start", "--rung", "sofa", *COACH, status=2)
    assert "give one of inverted-row" in refused.stderr
    refused = rungwise(written, "plan", "start", "--rung", "feet-on-floor", "--step", 8, *COACH, status=2)
    assert "give --step 1 to 7" in refused.stderr
    refused = rungwise(written, "plan", "start", "--rows", 15, "--hang", 30, status=2)
    assert "20 s at most" in refused.stderr
    rungwise(written, "plan", "set", "shoulder_history=true")
    refused = rungwise(written, "plan", "start", "--rows", 15, "--hang", 10, status=2)
    assert "with a shoulder history no hang" in refused.stderr
    assert rungwise(written, "tell", JONAS, "--list").stdout == ""


def test_who_is_new_is_in_the_log_from_the_test_day_on(tmp_path: Path) -> None:
    rungwise(tmp_path, "plan", "start", "--rows", 15, "--low-bar", 9, "--trainee", ILKA, "--date", MONDAY)
    assert next_on(tmp_path, MONDAY, ILKA)["rung"] == "feet-on-floor"


def test_what_the_commands_write_reads_as_the_plan_that_was_meant(written: Path) -> None:
    found = read_plan(file_of(written), JONAS)
    assert (found.trainee, found.plan) == (JONAS, default_plan())
