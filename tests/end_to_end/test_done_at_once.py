"""Two laptops on one logbook that type in at the same moment."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from analysis.logbook.book import Logbook
from tui.book import done as done_command
from tui.book import meanwhile
from tui.cli import main
from tui.home import Home

ROOT = Path(__file__).parents[2]
JONAS = "Jonas Reiter"
MONDAY = date(2026, 3, 2)
ROUNDS = 8

TYPIST = """
import sys
from click.testing import CliRunner
from tui.cli import main

print("begun", flush=True)
for line in sys.stdin:
    found = CliRunner().invoke(main, line.split())
    print(found.exit_code, " ".join(found.output.split()), flush=True)
"""


class Typist:
    """A process of its own that does one command a line and prints the status and what was said."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-c", TYPIST], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        assert self.answer() == "begun"

    def do(self, *words: object) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(" ".join(map(str, words)) + "\n")
        self._process.stdin.flush()

    def answer(self) -> str:
        assert self._process.stdout is not None
        return self._process.stdout.readline().strip()

    def leave(self) -> None:
        self._process.communicate(timeout=60)


def at_once(typists: Sequence[Typist], *words: Sequence[object]) -> list[str]:
    """Let each do its command, all at the same moment."""
    for typist, said in zip(typists, words, strict=True):
        typist.do(*said)
    return [typist.answer() for typist in typists]


def sessions(home: Path) -> list[tuple[date, float]]:
    with Logbook.open(Home(home).logbook) as book:
        person = book.trainee("jonas")
        assert person is not None
        return [(one.day, one.prescription.rest_s) for one in book.sessions(person.id)]


def test_one_day_is_typed_in_once_whoever_is_first(tmp_path: Path) -> None:
    """Whatever the two processes do between each other: the first writes, the second is told what is there."""
    typists = [Typist(), Typist()]
    days = [MONDAY + timedelta(days=3 * number) for number in range(ROUNDS)]
    for day in days:
        words = ("--home", tmp_path, "done", "--trainee", "jonas", "--date", day, "--rest", 90, "--sets")
        answers = at_once(typists, (*words, "15,15,15"), (*words, "14,14,14"))
        assert sorted(one[0] for one in answers) == ["0", "2"], answers
        (refused,) = (one for one in answers if one[0] == "2")
        assert f"jonas has a session on {day} already" in refused
    words = ("--home", tmp_path, "done", "--trainee", "jonas", "--date", days[0], "--sets", "9", "--again")
    assert [one[0] for one in at_once(typists, words, words)] == ["0", "0"]
    for typist in typists:
        typist.leave()
    assert sorted(day for day, _ in sessions(tmp_path)) == sorted([*days, days[0], days[0]])


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def done(home: Path, day: date, *more: object) -> Result:
    return rungwise(home, "done", "--trainee", "jonas", "--date", day, "--sets", "15,15,15", "--rest", 90, *more)


@pytest.mark.parametrize("known", [False, True])
def test_who_is_overtaken_is_judged_by_what_the_log_holds_then(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, known: bool
) -> None:
    """Two sessions met at a rest of 90 s make a week: the third is asked with 85, although it was read before that."""
    if known:
        assert done(tmp_path, MONDAY).exit_code == 0
    others = [MONDAY + timedelta(days=3)] if known else [MONDAY, MONDAY + timedelta(days=3)]
    plain = done_command.read_of

    def overtaken(*given: object) -> meanwhile.Read:
        read = plain(*given)  # type: ignore[arg-type]
        monkeypatch.setattr(done_command, "read_of", plain)
        for day in others:
            assert done(tmp_path, day).exit_code == 0
        return read

    monkeypatch.setattr(done_command, "read_of", overtaken)
    found = done(tmp_path, MONDAY + timedelta(days=7))
    assert found.exit_code == 0, found.output
    assert "is new" not in found.output
    assert [rest_s for _, rest_s in sessions(tmp_path)] == [90, 90, 85]


def test_who_is_overtaken_again_and_again_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = done_command.read_of
    pains = iter(range(100))

    def overtaken(*given: object) -> meanwhile.Read:
        read = plain(*given)  # type: ignore[arg-type]
        assert rungwise(tmp_path, "tell", "jonas", "--date", MONDAY, "--pain", next(pains) % 3).exit_code == 0
        return read

    assert done(tmp_path, MONDAY).exit_code == 0
    monkeypatch.setattr(done_command, "read_of", overtaken)
    found = done(tmp_path, MONDAY + timedelta(days=3))
    assert found.exit_code == 2
    assert "Somebody else has just added to the log of jonas. Nothing was written. Give it again." in found.output
    assert next(pains) == meanwhile.TIMES
    assert len(sessions(tmp_path)) == 1
