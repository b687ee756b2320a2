"""What the commands of every day load: the log's, and not the motion core with its numbers."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from analysis.logbook.errors import LogbookError
from tui.expected import EXPECTED
from tui.trouble import Trouble, clear_errors

ROOT = Path(__file__).parents[2]
EVERY_DAY = ("next", "roster", "show", "done", "tell", "sheet_back", "plan")
HEAVY = ("numpy", "scipy", "textual", "bleak", "bumble")


@pytest.mark.parametrize("command", EVERY_DAY)
def test_a_command_around_the_log_loads_no_motion_core(command: str) -> None:
    program = f"import sys, tui.book.{command}; print(*(one for one in {HEAVY} if one in sys.modules))"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=True, capture_output=True, text=True)
    assert done.stdout.split() == []


def test_the_first_picture_waits_for_no_logbook_no_numbers_and_no_radio() -> None:
    late = ("numpy", "scipy", "sqlalchemy", "alembic", "bleak", "bumble", "analysis.training")
    late += ("tui.training.live", "tui.words.format")
    program = f"import sys, tui.cli, tui.running, tui.app; print(*(one for one in {late} if one in sys.modules))"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=True, capture_output=True, text=True)
    assert done.stdout.split() == []


@pytest.mark.parametrize("kind", EXPECTED)
def test_what_is_expected_to_go_wrong_is_one_line(kind: type[Exception]) -> None:
    error = kind.__new__(kind)
    error.args = ("what to do next",)
    with pytest.raises(Trouble) as told, clear_errors():
        raise error
    assert told.value.exit_code == 2
    assert told.value.__cause__ is error


def test_what_is_not_expected_and_what_is_told_already_pass_as_they_are() -> None:
    for error in (ZeroDivisionError("a slip"), Trouble("told"), KeyboardInterrupt()):
        with pytest.raises(type(error)) as passed, clear_errors():
            raise error
        assert passed.value is error
    with pytest.raises(Trouble, match="there already"), clear_errors():
        raise LogbookError("there already")
