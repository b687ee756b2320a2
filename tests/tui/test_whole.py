"""Files are written all or none, each as a whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from tui.whole import write_whole


def test_all_files_are_written_and_nothing_else_is_left(tmp_path: Path) -> None:
    old, new = tmp_path / "a", tmp_path / "b"
    old.write_text("before")
    old.chmod(0o640)
    write_whole({old: "ä\n", new: "b"})
    assert (old.read_text(encoding="utf-8"), new.read_text()) == ("ä\n", "b")
    assert old.stat().st_mode & 0o777 == 0o640
    assert sorted(one.name for one in tmp_path.iterdir()) == ["a", "b"]


def test_where_one_cannot_be_written_all_are_as_they_were(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    old, new, last = tmp_path / "a", tmp_path / "b", tmp_path / "c"
    old.write_text("before")
    last.write_text("before")
    replace = Path.replace

    def refusing(path: Path, target: Path) -> Path:
        if target == last:
            raise OSError("no")
        return replace(path, target)

    monkeypatch.setattr(Path, "replace", refusing)
    with pytest.raises(OSError, match="no"):
        write_whole({old: "after", new: "after", last: "after"})
    assert {one.name: one.read_text() for one in tmp_path.iterdir()} == {"a": "before", "c": "before"}


def test_a_folder_that_is_not_there_changes_nothing(tmp_path: Path) -> None:
    old = tmp_path / "a"
    old.write_text("before")
    with pytest.raises(OSError, match="No such file"):
        write_whole({old: "after", tmp_path / "none" / "b": "after"})
    assert [one.name for one in tmp_path.iterdir()] == ["a"]
    assert old.read_text() == "before"
