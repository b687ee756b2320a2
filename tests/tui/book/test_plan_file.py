"""The plan as a file: what is written reads back, and what is wrong is told with file, line, key and what is allowed.

That a value is refused at all is checked in `tests/analysis/training/test_sound.py`; here that it is told.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings

from analysis.training.blocks import Step
from analysis.training.plan import TrainingPlan, default_plan
from analysis.training.prescription import Goal, Grip, Tempo
from analysis.training.sound import flaws
from tests.analysis.training.drawn_plans import plans
from tui.book.plan_file import PlanError, parse, training_plan, write_plans
from tui.book.plan_notes import PLAN_NOTES, RUNG_NOTES
from tui.book.plan_text import plan_text
from tui.floor.plans import BESIDE
from tui.home import FROM_COACH, Home

NAME = "Jonas Reiter"


@pytest.mark.parametrize("goal", list(Goal))
def test_the_default_plan_reads_back_as_itself(goal: Goal) -> None:
    assert parse(plan_text(default_plan(goal), NAME), "plan.toml") == (NAME, default_plan(goal))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(plans())
def test_any_plan_that_can_be_trained_reads_back_as_itself(plan: TrainingPlan) -> None:
    assume(not flaws(plan))
    assert parse(plan_text(plan, NAME), "plan.toml")[1] == plan


def test_every_key_of_the_default_plan_has_a_comment() -> None:
    text = plan_text(default_plan(), NAME)
    assert all(f"\n{key} = " in text or f"\n# {key} =\n" in text for key in PLAN_NOTES)
    assert all(f"#   {key}: " in text for key in RUNG_NOTES)
    assert text.count("cues = [") == len(default_plan().ladder.rungs)
    assert max(map(len, text.splitlines())) <= 120


def test_where_no_file_is_the_default_plan_holds(tmp_path: Path) -> None:
    assert training_plan(Home(tmp_path), NAME) == default_plan()


def test_the_file_is_the_trainees_whatever_the_case_and_spaces_of_the_name(tmp_path: Path) -> None:
    home = Home(tmp_path)
    wanted = replace(default_plan(), sessions_a_week=1)
    path = home.plan("jonas reiter")
    path.parent.mkdir()
    path.write_text(plan_text(wanted, NAME), encoding="utf-8")
    assert training_plan(home, " JONAS  Reiter ") == wanted
    assert path.name == "jonas_reiter.toml"


@pytest.mark.parametrize("name", ["../../etc", "a/b", "a\\b", ".", "nul:", "a_b", "a b", "a-b"])
def test_no_name_leaves_the_folder_of_the_plans(tmp_path: Path, name: str) -> None:
    home = Home(tmp_path)
    assert home.plan(name).parent == home.plans
    assert not set('/\\:*?"<>|') & set(home.plan(name).name)


def test_two_names_have_two_files(tmp_path: Path) -> None:
    home = Home(tmp_path)
    names = ["a b", "a_b", "a-b", "a%5fb", "a.b", "ab"]
    assert len({home.plan(name) for name in names}) == len(names)


@pytest.mark.parametrize("letter", ["a", "山", "'", "é"])
def test_the_longest_name_has_a_file_with_every_ending(tmp_path: Path, letter: str) -> None:
    home = Home(tmp_path)
    paths = [home.plan(letter * 199 + end) for end in "bc"]
    assert paths[0] != paths[1]
    for path in paths:
        for whole in (path, path.with_name(f"{path.stem}{FROM_COACH}"), path.with_name(f"{path.name}{BESIDE}")):
            write_plans(home, {whole: "text"})
            assert whole.read_text("utf-8") == "text"


HEAD = f'format = "rungwise.plan/1"\ntrainee = "{NAME}"\n'
RUNG = """
[[rungs]]
key = "rows"
exercise = "inverted-row"
sets = 3
reps = 8
rest_s = 90
"""
PLACES = 'start = "rows"\nshoulders_set_from = "rows"\n'
OWN = HEAD + PLACES + RUNG
"""A short file of one rung: the rung's table begins in line 6, its key is line 7."""


def test_a_short_file_is_enough() -> None:
    _, plan = parse(HEAD, "plan.toml")
    assert plan == default_plan()
    _, plan = parse(HEAD + 'goal = "size"\n', "plan.toml")
    assert plan == default_plan(Goal.SIZE)


def test_one_rung_of_few_words_means_what_the_rest_means_by_itself() -> None:
    (rung,) = parse(OWN, "plan.toml")[1].ladder.rungs
    assert rung.steps == (Step(3, 8, Tempo(1, 0, 1, 0), 90.0),)
    assert rung.gate == "3 × 8 with 90 s rest, a week long"


def test_steps_say_what_differs_and_each_has_its_taper() -> None:
    text = OWN.replace("rest_s = 90", 'tempo = {up_s = "fast"}\nrest_from_s = 90\nrest_to_s = 80\n').replace(
        "reps = 8", "steps = [{reps = 8}, {reps = 8, tempo = {top_s = 2}}]"
    )
    (rung,) = parse(text, "plan.toml")[1].ladder.rungs
    assert [(one.rest_s, one.tempo) for one in rung.steps] == [
        (rest_s, Tempo(1, 0, None, top_s)) for top_s in (0, 2) for rest_s in (90, 85, 80)
    ]


def test_a_rung_may_be_the_coachs_own_and_name_its_grips() -> None:
    text = OWN.replace(
        '"inverted-row"', '"ring-row"\nname = "row in rings"\nmount = "suspension"\ncues = ["x"]\ngrips = ["neutral"]'
    )
    plan = parse(text, "plan.toml")[1]
    (rung,) = plan.ladder.rungs
    assert (rung.exercise.key, rung.exercise.name, rung.exercise.mount) == ("ring-row", "row in rings", "suspension")
    assert plan.grips_on(0) == (Grip.NEUTRAL,)


WRONG = [
    # what is written, in which line it is told, as which key, and words of what is allowed
    (HEAD + "goal = strength", 3, "", '"strength"'),
    (HEAD + 'goal = "power"', 3, "goal", '"strength" or "size" or "endurance"'),
    (HEAD + "sessions = 2", 3, "sessions", "sessions_a_week"),
    (HEAD + "grip_week = 4", 3, "grip_week", "is not known here; perhaps grip_weeks is meant; allowed are"),
    (HEAD + "sessions_a_week = 4", 3, "sessions_a_week", "a whole number from 1 to 3"),
    (HEAD + "sessions_a_week = 2.5", 3, "sessions_a_week", "a whole number from 1 to 3"),
    (HEAD + "days_between = 1", 3, "days_between", "only with sessions_a_week = 3"),
    (HEAD + "days_between = 3", 3, "days_between", "do not fit into a week; give days_between = 2"),
    (HEAD + "sessions_a_week = 3", 3, "sessions_a_week", "do not fit into a week; give days_between = 1"),
    (HEAD + 'weekdays = ["Monday"]', 3, "weekdays.1", '"monday" or "tuesday"'),
    (HEAD + 'weekdays = ["monday",\n"tuesday"]', 3, "weekdays", "2 sessions have 2 free days between"),
    (HEAD + 'weekdays = ["monday",\n"monday"]', 4, "weekdays.2", "give each once"),
    (HEAD + 'sessions_a_week = 3\ndays_between = 1\nweekdays = ["monday", "wednesday", "saturday"]', 0, "", ""),
    (HEAD + 'times = ["7:30"]', 3, "times.1", 'from 00:00 to 23:59, for example "18:30"'),
    (HEAD + 'times = ["07:30", "24:00"]', 3, "times.2", "from 00:00 to 23:59"),
    (HEAD + 'times = ["07:30", "08:00"]', 3, "times", "give one for all days"),
    (HEAD + 'weekdays = ["monday", "friday"]\ntimes = ["07:30", "18:00"]', 0, "", ""),
    (HEAD + 'weekdays = ["monday", "friday"]\ntimes = ["07:30", "18:00", "19:00"]', 4, "times", "the 2 of weekdays"),
    (HEAD + "test_weeks = 2", 3, "test_weeks", "a whole number from 3 to 12"),
    (HEAD + "grips = []", 3, "grips", "give at least one"),
    (HEAD + 'grips = ["hook"]', 3, "grips.1", '"pronated"'),
    (HEAD + 'grips = ["neutral"]\nequipment = ["low-bar"]', 3, "grips", "handles, rings, straps or a towel"),
    (HEAD + 'elbow_history = true\nequipment = ["low-bar"]', 4, "equipment", "grips_opened_by"),
    (HEAD + "grip_weeks = 5", 3, "grip_weeks", "2 to 4"),
    (HEAD + 'equipment = ["rope"]', 3, "equipment.1", '"low-bar"'),
    (HEAD + "equipment = []", 3, "equipment", "add low-bar"),
    (HEAD + 'acknowledged = "2026-03-02"', 3, "acknowledged", "a day without quotes"),
    (HEAD + "shoulder_history = 1", 3, "shoulder_history", "true or false"),
    (HEAD + 'start = "floor"', 3, "start", "inverted-row, feet-on-floor"),
    (HEAD + 'shoulders_set_from = "floor"', 3, "shoulders_set_from", "inverted-row, feet-on-floor"),
    ('trainee = "x"', 1, "format", '"rungwise.plan/1"'),
    (HEAD.replace("Jonas", "Jona"), 2, "trainee", "give 'Jonas Reiter'"),
    (HEAD + "[rungs]", 3, "rungs", "write [[rungs]]"),
    (OWN + RUNG, 14, "rows.key", "give each rung a key of its own"),
    (OWN.replace('key = "rows"', 'key = "Rows!"'), 7, "Rows!.key", "a short name in small letters"),
    (OWN.replace('start = "rows"', ""), 1, "start", "is missing; give the key of a rung: rows"),
    (OWN.replace("inverted-row", "ring-row"), 8, "rows.exercise", "name, mount and cues of your own"),
    (OWN + 'mount = "wrist"', 12, "rows.mount", '"limb"'),
    (OWN.replace("sets = 3", "sets = 6"), 9, "rows.sets", "a whole number from 1 to 5"),
    (OWN.replace("sets = 3\n", ""), 6, "rows.sets", "is missing; give a whole number from 1 to 5"),
    (OWN.replace("reps = 8", "reps = 1"), 10, "rows.reps", "a whole number from 2 to 30"),
    (OWN.replace("reps = 8", "repps = 8"), 10, "rows.repps", "reps is missing, and this is not it"),
    (OWN + "tempo = {up_s = 'slow'}", 12, "rows.tempo.up_s", 'a number from 0.5 to 10, or "fast"'),
    (OWN + "tempo = {down = 4}", 12, "rows.tempo.down", "up_s, down_s, bottom_s, top_s"),
    (OWN + "tempo = {down_s = 31}", 12, "rows.tempo.down_s", "a number from 0.5 to 30"),
    (OWN.replace("rest_s = 90", "rest_s = 5"), 11, "rows.rest_s", "a number from 10 to 600"),
    (OWN + "rest_to_s = 60", 11, "rows.rest_s", "give one rest"),
    (OWN.replace("rest_s = 90", "rest_from_s = 60\nrest_to_s = 90"), 12, "rows.rest_to_s", "give 60 or less"),
    (OWN.replace("rest_s = 90", "rest_from_s = 90\nrest_to_s = 61"), 6, "rows.rest_by_s", "give a part of 29"),
    (OWN + "hold_s = 2", 12, "rows.hold_s", "a number from 3 to 120"),
    (OWN + "hold_s = 20", 10, "rows.reps", "a whole number from 1 to 1"),
    (OWN + "gap_s = 5", 12, "rows.gap_s", "a number from 10 to 45"),
    (OWN + "load_step_kg = 0", 12, "rows.load_step_kg", "a number from 0.25 to 20"),
    (OWN + 'plateau_methods = ["drop"]', 12, "rows.plateau_methods.1", '"one-and-a-half"'),
    (OWN + 'two_sided = ["up"]', 12, "rows.two_sided.1", '"down" or "top"'),
    (OWN + 'grips = ["wide"]', 12, "rows.grips", "give one of pronated, supinated, neutral"),
    (OWN + "steps = []", 12, "rows.steps", "a list of 1 to 100"),
    (OWN + "steps = [\n{reps = 8},\n{reps = 1}]", 14, "rows.steps.2.reps", "a whole number from 2 to 30"),
    (OWN + "steps = [{reps = 8},\n{rep = 9}]", 13, "rows.steps.2.rep", "is not known here"),
    (OWN + "steps = [{reps = 8}, {reps = 8}]", 12, "rows.steps", "step 2 asks for what a step before it asks for"),
    (OWN + "steps = [{}, {load_kg = 5}]", 12, "rows.steps", "load_step_kg"),
    (OWN + "steps = [{}, {reps = 9, rest_s = 80}]", 12, "rows.steps", "one thing harder at a time"),
    (OWN + 'gate = "3 × 15, at last"', 12, "rows.gate", "says 3 × 15, and the last step asks for 3 × 8"),
]


@pytest.mark.parametrize(("text", "line", "key", "allowed"), WRONG)
def test_what_is_wrong_is_told_with_line_and_key_and_what_is_allowed(
    text: str, line: int, key: str, allowed: str
) -> None:
    if line == 0:  # the one next to it that is right
        parse(text, "plan.toml")
        return
    with pytest.raises(PlanError) as told:
        parse(text, "plan.toml", NAME if "Jona" in text else None)
    (sentence,) = str(told.value).split("\n")
    assert sentence.startswith(f"plan.toml, line {line}, {key}: " if key else f"plan.toml, line {line}: ")
    assert allowed in sentence


def test_all_that_is_wrong_is_told_at_once_in_the_order_of_the_file() -> None:
    text = OWN.replace("sets = 3", "sets = 9").replace("reps = 8", "reps = 99") + "mound = 1"
    with pytest.raises(PlanError) as told:
        parse("goal = 1\n" + text, "plan.toml")
    assert [line.split(": ")[0] for line in str(told.value).split("\n")] == [
        "plan.toml, line 1, goal",
        "plan.toml, line 10, rows.sets",
        "plan.toml, line 13, rows.mound",
    ]


def test_a_wrong_mount_is_told_alone_and_makes_no_other_key_unknown() -> None:
    text = plan_text(default_plan(), NAME).replace('mount = "body"', 'mount = "boddy"', 1)
    with pytest.raises(PlanError) as told:
        parse(text, "plan.toml")
    (sentence,) = str(told.value).split("\n")
    assert "inverted-row.mount: 'boddy' is not allowed" in sentence


def test_a_day_is_read_as_a_day() -> None:
    assert parse(HEAD + "acknowledged = 2026-03-02", "plan.toml")[1].acknowledged == date(2026, 3, 2)


def test_what_is_no_text_or_too_long_is_told(tmp_path: Path) -> None:
    home = Home(tmp_path)
    home.plans.mkdir()
    path = home.plan("jonas reiter")
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(PlanError, match="is no text"):
        training_plan(home, NAME)
    path.write_text("#" * 300_000)
    with pytest.raises(PlanError, match="longer than"):
        training_plan(home, NAME)


def test_the_same_rung_elsewhere_is_told_with_its_own_line_each_time() -> None:
    """What a rung says is read once where it is sound; what is wrong in one depends on where it stands."""
    wrong = '\n[[rungs]]\nkey = "bar"\nexercise = "pull-up"\nsets = 9\nreps = 5\n'
    right = '\n[[rungs]]\nkey = "row"\nexercise = "inverted-row"\nsets = 3\nreps = 15\n'
    head = HEAD + 'start = "bar"\n'
    for text, line in ((head + wrong, 8), (head + right + wrong, 14), (head + wrong, 8)):
        with pytest.raises(PlanError) as told:
            parse(text, "plan.toml")
        assert [one for one in str(told.value).splitlines() if "bar.sets" in one] == [
            f"plan.toml, line {line}, bar.sets: 9 is not allowed; give a whole number from 1 to 5"
        ]
