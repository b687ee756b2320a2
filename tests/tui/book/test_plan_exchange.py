"""Plans go out with an export and come in again; one that is here is never lost."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from plan_desk import ILKA, JONAS, file_of, rungwise

from tui.book.plan_file import training_plan
from tui.home import Home


@pytest.fixture
def out(written: Path, tmp_path: Path) -> Path:
    """An export of two people, one with a plan of his own and a comment in it."""
    rungwise(written, "plan", "new", ILKA)
    rungwise(written, "plan", "set", "sessions_a_week=1", "--trainee", JONAS)
    file = file_of(written)
    file.write_text("# for the spring\n" + file.read_text(encoding="utf-8"), encoding="utf-8")
    said = rungwise(written, "export", "--out", tmp_path / "all.json").stdout
    assert said.endswith(": 2 plans\n")
    return tmp_path / "all.json"


def test_a_plan_is_restored_where_there_is_none(written: Path, out: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    tried = rungwise(other, "import", out, "--dry-run").stdout
    assert f"{JONAS}: plan would be written: {file_of(other)}" in tried
    assert not (other / "plans").exists()
    rungwise(other, "import", out)
    for name in (JONAS, ILKA):
        assert file_of(other, name).read_text(encoding="utf-8") == file_of(written, name).read_text(encoding="utf-8")
    assert training_plan(Home(other), JONAS).sessions_a_week == 1
    assert rungwise(other, "import", out).stdout == "all.json: nothing new\n"


def test_where_another_plan_is_here_both_are_kept_and_what_differs_is_shown(out: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    rungwise(other, "import", out)
    rungwise(other, "plan", "set", "grip_weeks=2", "--trainee", JONAS)
    mine = file_of(other).read_text(encoding="utf-8")
    beside = file_of(other).with_suffix(".toml.imported")
    tried = rungwise(other, "import", out, "--dry-run").stdout
    assert "another plan is here and stays; the imported one would be written beside it" in tried
    assert not beside.exists()
    said = rungwise(other, "import", out).stdout
    assert f"{JONAS}: another plan is here and stays; the imported one written beside it: {beside}" in said
    assert "-grip_weeks = 2\n+grip_weeks = 4" in said
    assert file_of(other).read_text(encoding="utf-8") == mine
    assert beside.read_text(encoding="utf-8").startswith("# for the spring")
    assert rungwise(other, "import", out).stdout == "all.json: nothing new\n"
    rungwise(other, "plan", "check")

    document = json.loads(out.read_text(encoding="utf-8"))
    document["plans"][1]["text"] += "# later\n"
    assert document["plans"][1]["trainee"] in {one["uuid"] for one in document["trainees"] if one["name"] == JONAS}
    out.write_text(json.dumps(document), encoding="utf-8")
    rungwise(other, "import", out)
    assert beside.with_name(f"{beside.name}-2").read_text(encoding="utf-8").endswith("# later\n")


def test_under_another_name_the_plan_bears_it(written: Path, tmp_path: Path) -> None:
    rungwise(written, "export", JONAS, "--out", tmp_path / "jonas.json")
    other = tmp_path / "other"
    rungwise(other, "done", ILKA, "--sets", "15,15,15", "--rest", 90)
    rungwise(other, "import", tmp_path / "jonas.json", "--trainee", ILKA)
    assert training_plan(Home(other), ILKA) == training_plan(Home(written), JONAS)


def test_a_plan_with_a_slip_is_kept_as_it_is_and_told(written: Path, tmp_path: Path) -> None:
    file_of(written).write_text("goal = 3\n", encoding="utf-8")
    rungwise(written, "export", JONAS, "--out", tmp_path / "jonas.json")
    said = rungwise(tmp_path / "other", "import", tmp_path / "jonas.json").stdout
    assert "it cannot be trained by as it is" in said
    assert "line 1, goal" in said
    assert file_of(tmp_path / "other").read_text(encoding="utf-8") == "goal = 3\n"


@pytest.mark.parametrize("wrong", [{"trainee": "nobody", "text": ""}, {"trainee": None}, "text", {"text": 3}])
def test_what_is_no_plan_is_told_and_nothing_is_written(out: Path, tmp_path: Path, wrong: object) -> None:
    document = json.loads(out.read_text(encoding="utf-8"))
    document["plans"].append(wrong)
    out.write_text(json.dumps(document), encoding="utf-8")
    other = tmp_path / "other"
    assert "plans[2]" in rungwise(other, "import", out, status=2).stderr
    assert not (other / "plans").exists()
    assert "nobody is in the logbook" in rungwise(other, "roster").stderr
