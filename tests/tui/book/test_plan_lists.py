"""`rungwise plan set KEY+=VALUE`: steps, rungs and words come and go, comments stay."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from plan_desk import ILKA, JONAS, file_of, rungwise

from analysis.training.plan import TrainingPlan
from tui.book.plan_file import training_plan
from tui.home import Home

ROWS = '{key = "ring-row", exercise = "inverted-row", sets = 3, reps = 8, rest_s = 90}'


def plan_of(folder: Path, name: str = JONAS) -> TrainingPlan:
    return training_plan(Home(folder), name)


def keys(folder: Path) -> list[str]:
    return [rung.key for rung in plan_of(folder).ladder.rungs]


def comments(folder: Path) -> list[str]:
    lines = file_of(folder).read_text(encoding="utf-8").splitlines()
    return [line.partition("#")[2] for line in lines if "#" in line and not line.endswith(" =")]


def reps(folder: Path, rung: int) -> list[int]:
    return [step.reps for step in plan_of(folder).ladder.rungs[rung].steps]


CHANGES: list[tuple[list[str], Any, Any]] = [
    (["pull-up.steps+={reps = 9}", "pull-up.gate=none"], lambda f: reps(f, 4), [3, 4, 5, 6, 7, 8, 9]),
    (["pull-up.steps.2=none", "pull-up.steps.2+={reps = 4}"], lambda f: reps(f, 4), [3, 4, 5, 6, 7, 8]),
    (["pull-up.steps.1=none"], lambda f: reps(f, 4), [4, 5, 6, 7, 8]),
    (["weighted.steps+={reps = 6}"], lambda f: reps(f, 5), [5, 6]),
    ([f"rungs+={ROWS}", "weighted.gate=none"], lambda f: keys(f)[-2:], ["weighted", "ring-row"]),
    ([f"rungs.feet-on-floor+={ROWS}"], lambda f: keys(f)[:3], ["inverted-row", "ring-row", "feet-on-floor"]),
    ([f"rungs.inverted-row+={ROWS}"], lambda f: keys(f)[:2], ["ring-row", "inverted-row"]),
    (["weighted=none", "pull-up.gate="], lambda f: keys(f)[-1], "pull-up"),
    (["heels-raised=none"], lambda f: keys(f)[1:3], ["feet-on-floor", "box"]),
    (["equipment-=rings, straps"], lambda f: "rings" in plan_of(f).equipment, False),
    (["grips+=wide"], lambda f: [one.value for one in plan_of(f).grips][-1], "wide"),
    (["pull-up.needs+=handles"], lambda f: sorted(plan_of(f).ladder.rungs[4].needs), ["handles", "high-bar"]),
    (
        ["box.cues+=Top: chin over the bar, then hold."],
        lambda f: plan_of(f).ladder.rungs[3].exercise.cues[-1][:4],
        "Top:",
    ),
]


@pytest.mark.parametrize(("changes", "read", "value"), CHANGES)
def test_what_a_list_holds_comes_and_goes_and_comments_stay(
    written: Path, changes: list[str], read: Any, value: Any
) -> None:
    file = file_of(written)
    text = file.read_text(encoding="utf-8").replace('[[rungs]]\nkey = "box"', '# Ours.\n[[rungs]]\nkey = "box"')
    text = text.replace('key = "heels-raised"', 'key = "heels-raised" # with the block')
    file.write_text(text, encoding="utf-8")
    before = comments(written)
    rungwise(written, "plan", "set", *changes)
    assert read(written) == value
    within = [" with the block"] if changes[0] == "heels-raised=none" else []
    assert comments(written) == [one for one in before if one not in within]


LISTED = """
steps = [ # from the easiest
    {reps = 3}, # three are enough to tell
    # four at last
    {reps = 4},
    {reps = 6},
]
gate = "six"
"""


def test_a_comment_beside_a_step_stays_with_it(written: Path) -> None:
    file = file_of(written)
    head, _, rest = file.read_text(encoding="utf-8").partition('key = "pull-up"')
    table, _, after = rest.partition("[[rungs]]")
    kept = [line for line in table.splitlines() if not line.startswith(("steps", "gate"))]
    own = "\n".join(['key = "pull-up"', *kept[1:], *LISTED.strip().splitlines(), "", "[[rungs]]"])
    file.write_text(head + own + after, encoding="utf-8")
    rungwise(written, "plan", "set", "pull-up.steps.3+={reps = 5}", "pull-up.steps.2+={reps = 3, rest_s = 115}")
    assert """    {reps = 3}, # three are enough to tell
    {reps = 3, rest_s = 115},
    # four at last
    {reps = 4},
    {reps = 5},
    {reps = 6},
]""" in file.read_text(encoding="utf-8")
    rungwise(written, "plan", "set", "pull-up.steps.2=none", "pull-up.steps+={reps = 7}")
    assert reps(written, 4) == [3, 4, 5, 6, 7]
    assert "# four at last\n    {reps = 4}," in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("pull-up.steps+=9", "9 is no step; give one as a table, for example '{reps = 9}'"),
        ("pull-up.steps.9+={reps = 9}", "9 is not allowed; give a number from 1 to 6"),
        ("pull-up.steps+={reps = 9}", "say that, or leave it out"),  # the gate names the step that was the last
        ("pull-up.steps+={reps = 8}", "asks for what a step before it asks for"),
        ("pull-up.steps-=2", "a step is taken out by its number: RUNG.steps.NUMBER=none"),
        ("rungs-=box", "a rung is taken out by its key: RUNG=none"),
        ("sofa.steps+={reps = 9}", "RUNG one of inverted-row"),
        (f"rungs.sofa+={ROWS}", "RUNG one of inverted-row"),
        ("rungs+={exercise = 'pull-up'}", "key: is missing"),
        ("pull-up.gate=", "is empty; say what opens the way to the next rung"),
        ("feet-on-floor=none", "give one of inverted-row, heels-raised"),
        ("equipment+=sofa", "'sofa' is not allowed; give"),
        ("sofa.needs+=box", "RUNG one of inverted-row"),
        ("pull-up.grips+=wide", "is left out in this plan; give the whole list"),
        ("goal+=size", "goal is no list; allowed are cues, equipment"),
        ("+=size", "is no KEY=VALUE"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_written(written: Path, change: str, told: str) -> None:
    before = file_of(written).read_text(encoding="utf-8")
    assert told in rungwise(written, "plan", "set", "goal=size", change, status=2).stderr
    assert file_of(written).read_text(encoding="utf-8") == before


def test_a_list_that_is_left_out_begins_with_what_holds_by_default(written: Path) -> None:
    rungwise(written, "plan", "set", "equipment=none", "grips=none")
    rungwise(written, "plan", "set", "equipment-=straps", "grips+=towel")
    assert "straps" not in plan_of(written).equipment
    assert len(plan_of(written).equipment) == 8
    assert [one.value for one in plan_of(written).grips] == ["pronated", "supinated", "neutral", "towel"]


def test_a_group_gets_a_rung_more_or_nobody_does(written: Path) -> None:
    rungwise(written, "plan", "new", ILKA)
    for name in (JONAS, ILKA):
        rungwise(written, "plan", "set", "group=recruits", "--trainee", name)
    words = ("plan", "set", f"rungs.box+={ROWS}", "--group", "recruits")
    said = rungwise(written, *words, "--dry-run").stdout
    assert said.count('+key = "ring-row"') == 2
    assert "ring-row" not in keys(written)
    rungwise(written, *words)
    assert all("ring-row" in file_of(written, name).read_text(encoding="utf-8") for name in (JONAS, ILKA))
    assert "give each rung a key of its own" in rungwise(written, *words, status=2).stderr


def test_a_rung_that_begins_harder_is_told_when_it_is_put_in(written: Path) -> None:
    harder = ROWS.replace("rest_s = 90", "rest_s = 45")
    said = rungwise(written, "plan", "set", f"rungs.heels-raised+={harder}").stdout
    assert (
        "look at ring-row: begins with more than feet-on-floor ends with: beside the rung itself it makes rest harder"
        in said
    )


def test_what_is_so_already_changes_nothing_so_that_a_group_may_differ(written: Path) -> None:
    rungwise(written, "plan", "new", ILKA)
    for name in (JONAS, ILKA):
        rungwise(written, "plan", "set", "group=recruits", "--trainee", name)
    rungwise(written, "plan", "set", "equipment-=towel,rings", "--trainee", ILKA)
    said = rungwise(written, "plan", "set", "equipment+=towel", "--group", "recruits").stdout
    assert f"{JONAS}: it is so already" in said
    assert all("towel" in plan_of(written, name).equipment for name in (JONAS, ILKA))
    assert "it is so already" in rungwise(written, "plan", "set", "equipment-=rings", "--trainee", ILKA).stdout


def test_comments_within_a_list_of_words_stay(written: Path) -> None:
    file = file_of(written)
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('    "block",\n', '    "block", # the low one\n'), encoding="utf-8")
    rungwise(written, "plan", "set", "equipment-=straps", "equipment-=rings", "equipment+=rings")
    assert '    "block", # the low one\n' in file.read_text(encoding="utf-8")
    assert '    "towel",\n    "rings",\n]' in file.read_text(encoding="utf-8")
