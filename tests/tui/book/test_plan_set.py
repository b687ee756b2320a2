"""`rungwise plan set`: keys change, comments stay, what would be wrong is not written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from plan_desk import ILKA, JONAS, MONDAY, file_of, rungwise

from analysis.training.plan import default_plan
from tui.book.plan_file import training_plan
from tui.book.plan_text import plan_text
from tui.home import Home


def comments(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.startswith("#") and not line.endswith(" =")]


CHANGES = [
    ("goal=size", lambda plan: plan.goal, "size"),
    ("weekdays=monday, thursday", lambda plan: plan.weekdays, (0, 3)),
    ("times=18:30", lambda plan: [f"{one:%H:%M}" for one in plan.times], ["18:30"]),
    ("test_weeks=4", lambda plan: plan.test_weeks, 4),
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
