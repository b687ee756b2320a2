"""`rungwise log --backup` as a person types it."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from analysis.logbook.book import Logbook
from tui.cli import main


def test_a_backup_is_a_logbook_and_overwrites_nothing(tmp_path: Path) -> None:
    home, copy = tmp_path / "home", tmp_path / "copy.sqlite"
    with Logbook.open(home / "logbook.sqlite") as book:
        book.add_trainee("Jörg Öllinger")
    asked = ["--home", str(home), "log", "--backup", str(copy)]
    first, again = CliRunner().invoke(main, asked), CliRunner().invoke(main, asked)
    assert first.exit_code == 0, first.output
    assert str(copy) in first.output
    assert again.exit_code == 2
    assert "is there already and left as it is" in again.output
    with Logbook.open(copy) as book:
        assert [one.name for one in book.trainees()] == ["Jörg Öllinger"]


def test_a_backup_is_of_everybody(tmp_path: Path) -> None:
    asked = ["--home", str(tmp_path), "log", "Ines", "--backup", str(tmp_path / "copy.sqlite")]
    refused = CliRunner().invoke(main, asked)
    assert refused.exit_code == 2
    assert "copies the whole logbook" in refused.output
    assert not (tmp_path / "copy.sqlite").exists()
