"""Promises about the tree itself."""

from __future__ import annotations

import ast
import subprocess
import tomllib
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGES = ("sensor", "analysis", "tui", "firmware_notes")
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"} | {
    "sensor",
    "firmware_notes",
    "analysis",
    "tui",
    "tests",
}
MOST_LINES = 300


def sources() -> list[Path]:
    return sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))


def tracked() -> list[str]:
    if not (ROOT / ".git").exists():
        pytest.skip("not a git checkout")
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, check=True, capture_output=True, text=True)
    return listed.stdout.splitlines()


def test_the_top_level_holds_what_was_agreed_and_dot_files() -> None:
    found = {name.split("/")[0] for name in tracked()}
    assert {name for name in found if not name.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(ROOT)))
def test_a_file_is_short(path: Path) -> None:
    assert len(path.read_text().splitlines()) <= MOST_LINES


@pytest.mark.parametrize(
    "path",
    [path for path in sources() if path.name == "__init__.py" and "migrations" not in path.parts],
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_a_package_file_is_one_docstring(path: Path) -> None:
    body = ast.parse(path.read_text()).body
    assert len(body) == 1
    assert isinstance(body[0], ast.Expr)


def test_a_test_file_has_a_name_of_its_own() -> None:
    """Most folders of tests are no packages, so pytest tells two files of one name apart nowhere."""
    names = Counter(path.name for path in (ROOT / "tests").rglob("test_*.py"))
    assert [name for name, times in names.items() if times > 1] == []


def test_the_test_extra_includes_all_other_extras() -> None:
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    (included,) = [need for need in extras["test"] if need.startswith("rungwise[")]
    assert set(included[len("rungwise[") : -1].split(",")) == extras.keys() - {"test"}


def test_the_readme_has_the_two_commands_and_begins_with_the_job() -> None:
    readme = (ROOT / "README.md").read_text()
    assert "python3 -m venv .venv && .venv/bin/pip install '.[demo]' && .venv/bin/rungwise demo" in readme
    assert "python3 -m venv .venv && .venv/bin/pip install '.[test]' && .venv/bin/pytest" in readme
    assert readme.startswith("# Rungwise\n\nA coach takes people from no pull-up to many")
