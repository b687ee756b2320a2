"""What people say, and what follows from it."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tui.book import tell as tell_command
from tui.cli import main

MONDAY = date(2026, 3, 2)
JONAS = "Jonas Reiter"
COACH = ("--by", "Ada Brunn")


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def next_on(home: Path, day: date) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(rungwise(home, "next", JONAS, "--json", "--date", day).stdout)
    return loaded


def told(home: Path) -> list[dict[str, Any]]:
    listed = rungwise(home, "tell", JONAS, "--list", "--json").stdout
    return [json.loads(line) for line in listed.splitlines()]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    trained = rungwise(tmp_path, "done", JONAS, "--date", MONDAY, "--sets", "15,15,15", "--rest", 90)
    assert trained.exit_code == 0, trained.output
    return tmp_path


def test_pain_stops_and_a_settled_night_reopens_one_rung_back(home: Path) -> None:
    said = rungwise(home, "tell", "--pain", 4, "--worst", 6, "--where", "left elbow", "--date", MONDAY)
    assert said.exit_code == 0, said.output
    assert "noted of Jonas Reiter, Mon 2 March 2026: pain 4 of 10, at worst" in said.stdout
    assert next_on(home, MONDAY + timedelta(days=3))["sets"] is None
    rungwise(home, "tell", "--pain", 1, "--date", MONDAY + timedelta(days=1))
    after = next_on(home, MONDAY + timedelta(days=3))
    assert (after["rung"], after["reasons"][0]["rule"]) == ("inverted-row", "pain")


def test_of_an_earlier_day_it_says_that_what_follows_holds_for_today(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tell_command, "here_now", lambda: datetime(2026, 11, 29, 10).astimezone())
    earlier = rungwise(home, "tell", "--pain", 2, "--date", MONDAY).stdout.splitlines()
    assert earlier[1] == "What follows holds for today, Sun 29 November 2026:"
    today = rungwise(home, "tell", "--pain", 2).stdout
    assert "noted of Jonas Reiter, Sun 29 November 2026" in today
    assert "holds for today" not in today


def test_without_a_session_the_figures_are_null_and_the_reason_is_there(home: Path) -> None:
    rungwise(home, "tell", "--pain", 6, "--date", MONDAY)
    found = next_on(home, MONDAY + timedelta(days=3))
    figures = ("exercise", "sets", "reps", "tempo", "rest_s", "grip", "load_kg")
    assert {found[key] for key in figures} == {None}
    first, *_ = rungwise(home, "next", JONAS, "--date", MONDAY).stdout.splitlines()
    assert first == "Jonas Reiter · no session"


@pytest.mark.parametrize("day", ["2.3.2026", "2026-02-30", "monday", "20260302"])
@pytest.mark.parametrize("command", ["next", "tell", "done"])
def test_what_is_no_day_is_told_with_how_a_day_is_written(home: Path, command: str, day: str) -> None:
    said = rungwise(home, command, JONAS, "--date", day)
    assert said.exit_code == 2
    assert f"{day!r} is no day; give YYYY-MM-DD, for example 2026-03-02" in said.stderr


@pytest.mark.parametrize(
    ("stop", "answer"),
    [
        (("--pain", 6), ("--pain", 1)),
        (("--pain", 2, "--sharp"), ("--release", "coach", *COACH)),
        (("--signs",), ("--release", "clinician", *COACH)),
    ],
)
def test_a_stop_names_the_command_that_ends_it_and_that_command_does(
    home: Path, stop: tuple[object, ...], answer: tuple[object, ...]
) -> None:
    tuesday, thursday = MONDAY + timedelta(days=1), MONDAY + timedelta(days=3)
    rungwise(home, "tell", *stop, "--date", MONDAY)
    shown = rungwise(home, "next", JONAS, "--date", tuesday).stdout
    named = f'rungwise tell "{JONAS}" {" ".join(map(str, answer[:-1]))}'.replace("Ada Brunn", "NAME")
    assert named in shown
    rungwise(home, "tell", JONAS, *answer, "--date", tuesday)
    after = rungwise(home, "next", JONAS, "--date", thursday)
    assert "no session" not in after.stdout
    assert "rungwise tell" not in after.stdout


def test_next_in_words_says_what_then_why_then_how_then_what_to_mind(home: Path) -> None:
    lines = rungwise(home, "next", JONAS, "--date", MONDAY + timedelta(days=3)).stdout.splitlines()
    assert lines[0] == "Jonas Reiter · today · feet-on-floor, step 1 of 7"
    assert lines[3] == "  3 × 15 · rest 90 s · pronated grip"
    assert lines[4] == "  up 1 · top 0 · down 1 · bottom 0 s (tempo 1010)"
    assert [line for line in lines if line and not line.startswith(" ")][1:] == ["why", "how", "mind"]


def test_on_a_day_gone_by_next_is_what_the_log_held_then(home: Path) -> None:
    before = next_on(home, MONDAY + timedelta(days=3))
    rungwise(home, "done", JONAS, "--date", MONDAY + timedelta(days=3), "--sets", "15,15,15", "--rest", 90)
    rungwise(home, "tell", JONAS, "--pain", 7, "--date", MONDAY + timedelta(days=4))
    assert next_on(home, MONDAY + timedelta(days=2))["date"] == before["date"]
    assert next_on(home, MONDAY + timedelta(days=3))["date"] == "2026-03-09"
    assert next_on(home, MONDAY + timedelta(days=4))["sets"] is None


def test_sharp_pain_is_reopened_by_a_release_alone(home: Path) -> None:
    rungwise(home, "tell", "--pain", 2, "--sharp", "--date", MONDAY)
    rungwise(home, "tell", "--pain", 0, "--date", MONDAY + timedelta(days=1))
    assert next_on(home, MONDAY + timedelta(days=3))["sets"] is None
    rungwise(home, "tell", "--release", "clinician", "--by", "Dr Inn", "--date", MONDAY + timedelta(days=2))
    assert next_on(home, MONDAY + timedelta(days=3))["sets"] == 3


def test_warning_signs_send_to_medical_care_at_once(home: Path) -> None:
    said = rungwise(home, "tell", "--signs")
    assert "next: no session" in said.stdout
    assert "Seek medical care now" in said.stdout


def test_what_was_said_is_listed_with_who_said_it(home: Path) -> None:
    rungwise(home, "tell", "--blades", "yes", "--back", "no", *COACH, "--no-signs", "--date", MONDAY)
    rungwise(home, "tell", "--back", "yes", "--self-seen", "--date", MONDAY + timedelta(days=1))
    signs, *forms = sorted(told(home), key=lambda one: (one["kind"] == "form", one["said_utc_us"]))
    assert (signs["kind"], signs["any"]) == ("signs", False)
    assert {(one["question"], one["yes"], one["by"], one["self_seen"]) for one in forms} == {
        ("blades", True, "Ada Brunn", False),
        ("back", False, "Ada Brunn", False),
        ("back", True, JONAS, True),
    }
    assert {one["date"] for one in forms} == {"2026-03-02", "2026-03-03"}
    text = rungwise(home, "tell", "--list").stdout
    assert "2026-03-03  Jonas Reiter  upper back not rounded: yes, seen on video by Jonas Reiter" in text


def test_what_is_told_of_a_day_keeps_its_order(home: Path) -> None:
    for level in (6, 2, 5):
        rungwise(home, "tell", "--pain", level, "--date", MONDAY)
    assert [one["now"] for one in told(home)] == [6, 2, 5]


def test_as_json_the_answer_is_the_next_session(home: Path) -> None:
    answer = json.loads(rungwise(home, "tell", "--pain", 7, "--json").stdout)
    assert (answer["format"], answer["sets"]) == ("rungwise.next/1", None)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "say something"),
        (("--worst", "3"), "--pain"),
        (("--pain", "11"), "11"),
        (("--blades", "yes"), "--self-seen"),
        (("--blades", "yes", "--by", "jonas reiter"), "--self-seen"),
        (("--release", "coach"), "--by NAME"),
        (("--release", "coach", "--by", JONAS), "somebody else"),
        (("--list", "--pain", "3"), "--list"),
        (("--pain", "3", "--date", "2999-01-01"), "still to come"),
        (("Nobody", "--pain", "3"), JONAS),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_kept(home: Path, words: tuple[str, ...], said: str) -> None:
    refused = rungwise(home, "tell", *words)
    assert refused.exit_code == 2
    assert said in refused.stderr
    assert told(home) == []
