"""A coach at the command line."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from tui.cli import main

JONAS, ILKA = "Jonas Reiter", "Ilka Brandt"
MONDAY = date(2026, 3, 2)
COACH = ("--by", "Ada Brunn")


def rungwise(folder: Path, *words: object, status: int = 0) -> Result:
    done = CliRunner().invoke(main, ["--home", str(folder), *map(str, words)])
    assert done.exit_code == status, done.output
    return done


def file_of(folder: Path, name: str = JONAS) -> Path:
    return folder / "plans" / f"{name.lower().replace(' ', '_')}.toml"


def next_on(folder: Path, day: date, name: str = JONAS) -> dict[str, Any]:
    said = rungwise(folder, "next", "--trainee", name, "--json", "--date", day)
    loaded: dict[str, Any] = json.loads(said.stdout)
    return loaded
