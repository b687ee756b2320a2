"""Sessions typed in, and what follows from them."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from analysis.training.prescription import Grip
from analysis.training.setup import Support
from tui.book import done as done_command
from tui.cli import main
from tui.commands.told import GRIPS, SUPPORTS

MONDAY = date(2026, 3, 2)
JONAS = "Jonas Reiter"


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def done(home: Path, day: date, *more: object, sets: str = "15,15,15") -> Result:
    return rungwise(home, "done", "--trainee", JONAS, "--date", day, "--sets", sets, *more)


def document(result: Result) -> dict[str, Any]:
    assert result.exit_code == 0, result.output
    loaded: dict[str, Any] = json.loads(result.stdout)
    return loaded


def test_seven_met_weeks_bring_the_rest_from_90_to_60(tmp_path: Path) -> None:
    """The taper of common practice: 90, 85, 80, 75, 70, 65, 60 s, one step a week that was met."""
    asked: list[float] = []
    rest_s = 90.0
    for week in range(7):
        monday = MONDAY + timedelta(weeks=week)
        for extra in (0, 3):
            found = done(tmp_path, monday + timedelta(days=extra), "--rest", rest_s, "--pain", 0, "--rpe", 7)
            assert found.exit_code == 0, found.output
        asked.append(rest_s)
        after = rungwise(tmp_path, "next", JONAS, "--json", "--date", monday + timedelta(days=7))
        rest_s = document(after)["rest_s"]
    assert asked == [90, 85, 80, 75, 70, 65, 60]
    last = document(after)
    assert (last["rest_s"], last["rung"], last["reasons"][0]["rule"]) == (60, "feet-on-floor", "gate")
    assert "nobody saw it" in last["reasons"][0]["text"]


def test_the_session_is_told_with_its_verdict_and_what_follows(tmp_path: Path) -> None:
    found = done(tmp_path, MONDAY, "--rest", "90,120", "--minutes", 20)
    assert found.exit_code == 0
    first, head, counts, *rest = found.stdout.splitlines()
    assert first == "Jonas Reiter is new in the logbook"
    assert head.startswith("Mon 2 March 2026: low-bar pull-up, feet on the floor, 3 × 15, rest 90 s")
    assert counts == "  done 15, 15, 15: met"
    assert "  Rest longer than asked before set 3." in rest
    assert any(line.startswith("next: ") for line in rest)
    assert "is new" not in done(tmp_path, MONDAY + timedelta(days=3), "--rest", 90).stdout


def test_of_an_earlier_day_what_follows_is_counted_from_today(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """272 days lie between 2 March and 29 November: 29 + 30 + 31 + 30 + 31 + 31 + 30 + 31 + 29."""
    monkeypatch.setattr(done_command, "here_now", lambda: datetime(2026, 11, 29, 10).astimezone())

    def told(day: date) -> str:
        lines = done(tmp_path, day, "--rest", 90).stdout.splitlines()
        return next((line for line in lines if "holds for today" in line), "")

    until = "What follows holds for today, Sun 29 November 2026"
    assert told(MONDAY) == f"That was 272 days ago. {until}, if nothing was done since:"
    assert told(date(2026, 11, 28)) == f"That was yesterday. {until}, if nothing was done since:"
    assert told(date(2026, 3, 9)) == (
        f"The last session in the log is that of Sat 28 November 2026, yesterday. {until}:"
    )
    assert told(date(2026, 11, 29)) == ""
    assert told(date(2026, 3, 12)) == f"The last session in the log is that of Sun 29 November 2026, today. {until}:"


def test_a_rest_that_was_not_told_is_said_to_count_for_nothing(tmp_path: Path) -> None:
    assert "--rest" in done(tmp_path, MONDAY).stdout
    assert "--rest" not in done(tmp_path, MONDAY + timedelta(days=3), "--rest", 90).stdout


def test_as_json_it_is_the_session_as_the_log_has_it(tmp_path: Path) -> None:
    more = ("--rest", 90, "--load", 5, "--grip", "neutral", "--seen-by", "Ada Brunn", "--json")
    session = document(done(tmp_path, MONDAY, *more))
    assert session["format"] == "rungwise.session/1"
    assert [one["count"] for one in session["sets"]] == [15, 15, 15]
    assert [one["measured"] for one in session["sets"]] == [False] * 3
    assert session == document(rungwise(tmp_path, "log", JONAS, "--json"))


def test_the_log_shows_what_stands_beside_the_sets(tmp_path: Path) -> None:
    more = (
        "--rest",
        90,
        "--load",
        5,
        "--grip",
        "neutral",
        "--rpe",
        7,
        "--minutes",
        20,
        "--pain",
        2,
        "--where",
        "elbow",
    )
    set_up = ("--bar", 110, "--block", 30, "--support", "rack", "--seen-by", "Ada Brunn", "--note", "wet bar")
    done(tmp_path, MONDAY, *more, *set_up)
    (line,) = rungwise(tmp_path, "log").stdout.splitlines()
    how, said = "neutral grip  5 kg added  exertion 7 of 10  pain 2 (elbow)", "typed, seen by Ada Brunn  wet bar"
    assert line.endswith(f"met  {how}  bar 110 cm, block 30 cm, rack  {said}")
    session = document(rungwise(tmp_path, "log", "--json"))
    assert session["pain"] == {"level": 2, "sharp": False, "where": "elbow"}
    assert session["set_up"] == {"bar_cm": 110, "heels_cm": None, "block_cm": 30, "support": "rack", "hand_share": None}
    assert (session["source"], session["seen_by"], session["method"]) == ("typed", "Ada Brunn", "own")
    assert (session["rpe"], session["minutes"], session["load"], session["note"]) == (7, 20, 140, "wet bar")


def test_weeks_are_totalled_and_compared(tmp_path: Path) -> None:
    """The week of Foster et al. 2001 (JSCR 15:109), 240 + 175 + 315 = 730, then one of 100."""
    for n, rpe, minutes in ((0, 6, 40), (2, 5, 35), (4, 7, 45), (7, 5, 20)):
        done(tmp_path, MONDAY + timedelta(days=n), "--rpe", rpe, "--minutes", minutes)
    lines = rungwise(tmp_path, "log", JONAS, "--weeks", "--json").stdout.splitlines()
    first, second = (json.loads(line) for line in lines)
    assert (first["format"], first["week"], first["load"]) == ("rungwise.week/1", "2026-03-02", 730)
    assert (first["load_sd"], first["monotony"]) == (pytest.approx(136.21, abs=0.005), pytest.approx(0.766, abs=5e-4))
    assert (first["change"], second["change"]) == (None, -630)
    table = rungwise(tmp_path, "log", "--weeks").stdout.splitlines()
    assert table[2].split() == ["2026-03-02", "3", "135", "730", "–", "0.77"]


def test_the_same_day_is_asked_for_twice(tmp_path: Path) -> None:
    done(tmp_path, MONDAY)
    again = done(tmp_path, MONDAY)
    assert again.exit_code == 2
    assert "--again" in again.stderr
    assert done(tmp_path, MONDAY, "--again").exit_code == 0
    assert len(rungwise(tmp_path, "log").stdout.splitlines()) == 2


def test_pain_above_five_is_followed_by_no_session(tmp_path: Path) -> None:
    today = datetime.now().astimezone().date()
    found = done(tmp_path, today, "--pain", 6, "--where", "left elbow")
    assert "next: no session" in found.stdout
    assert "pain 6 of 10" in found.stdout
    tomorrow = document(rungwise(tmp_path, "next", JONAS, "--json", "--date", today + timedelta(days=1)))
    assert tomorrow["sets"] is None
    assert "left elbow" in " ".join(tomorrow["reasons"][0]["evidence"])


def test_a_name_much_like_a_known_one_is_told(tmp_path: Path) -> None:
    done(tmp_path, MONDAY)
    slip = rungwise(tmp_path, "done", "Jonas Reitr", "--sets", "15")
    assert "beside Jonas Reiter" in slip.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--sets", "15,x"), "'x' is not allowed"),
        (("--sets", "15,,15"), "'' is not allowed"),
        (("--sets", "15,-1"), "'-1' is not allowed"),
        (("--sets", "15", "--pain", "11"), "11"),
        (("--sets", "15", "--rest", "nan"), "'nan' is not allowed"),
        (("--sets", "15,15,15", "--rest", "90,80,70"), "2 rests between them, not 3"),
        (("--sets", "15", "--date", "2999-01-01"), "still to come"),
        (("--sets", "15", "--rung", "dip"), "heels-raised"),
        (("--sets", "15", "--where", "elbow"), "--pain"),
        ((), "--sets"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_kept(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    refused = rungwise(tmp_path, "done", JONAS, *words)
    assert refused.exit_code == 2
    assert said in refused.stderr
    assert rungwise(tmp_path, "log").stdout == ""


def test_grips_and_supports_are_those_that_training_knows() -> None:
    assert tuple(one.value for one in Grip) == GRIPS
    assert tuple(one.value for one in Support) == SUPPORTS
