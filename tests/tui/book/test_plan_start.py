"""`rungwise plan start`: a test day, or the coach, says where to begin."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

from plan_desk import COACH, ILKA, JONAS, MONDAY, next_on, rungwise


def test_without_figures_start_says_how_a_test_day_goes(tmp_path: Path) -> None:
    said = rungwise(tmp_path, "plan", "start").stdout
    assert "20 s at most" in said
    assert "two reps before the form breaks" in said


def test_a_test_day_decides_where_the_ladder_begins(written: Path) -> None:
    said = rungwise(written, "plan", "start", JONAS, "--rows", 9, "--date", MONDAY).stdout
    assert "inverted-row, step 1" in said
    assert "9 straight-bodied rows" in said
    first = next_on(written, MONDAY)
    assert (first["rung"], first["reasons"][0]["rule"]) == ("inverted-row", "placement")
    rungwise(written, "done", JONAS, "--date", MONDAY, "--sets", "15,15,15", "--rest", 90)
    assert next_on(written, MONDAY + timedelta(days=3))["reasons"][0]["rule"] != "placement"


def test_the_coach_may_decide_otherwise_and_the_proposal_is_kept(written: Path) -> None:
    words = ("--rows", 15, "--low-bar", 8, "--rung", "heels-raised", "--step", 3, *COACH)
    rungwise(written, "plan", "start", JONAS, *words, "--date", MONDAY)
    first = next_on(written, MONDAY)
    assert (first["rung"], first["rest_s"]) == ("heels-raised", 80)
    (kept,) = [json.loads(line) for line in rungwise(written, "tell", JONAS, "--list", "--json").stdout.splitlines()]
    assert (kept["kind"], kept["by"], kept["step"]) == ("placement", "Ada Brunn", 3)
    assert "instead of feet-on-floor, which the test day proposed" in kept["why"]


def test_a_place_that_is_none_is_refused(written: Path) -> None:
    refused = rungwise(written, "plan", "start", "--rung", "sofa", *COACH, status=2)
    assert "give one of inverted-row" in refused.stderr
    refused = rungwise(written, "plan", "start", "--rung", "feet-on-floor", "--step", 8, *COACH, status=2)
    assert "give --step 1 to 7" in refused.stderr
    refused = rungwise(written, "plan", "start", "--rows", 15, "--hang", 30, status=2)
    assert "20 s at most" in refused.stderr
    rungwise(written, "plan", "set", "shoulder_history=true")
    refused = rungwise(written, "plan", "start", "--rows", 15, "--hang", 10, status=2)
    assert "with a shoulder history no hang" in refused.stderr
    assert rungwise(written, "tell", JONAS, "--list").stdout == ""


def test_who_is_new_is_in_the_log_from_the_test_day_on(tmp_path: Path) -> None:
    rungwise(tmp_path, "plan", "start", "--rows", 15, "--low-bar", 9, "--trainee", ILKA, "--date", MONDAY)
    assert next_on(tmp_path, MONDAY, ILKA)["rung"] == "feet-on-floor"


def test_what_follows_is_there_as_json(written: Path) -> None:
    said = json.loads(rungwise(written, "plan", "start", JONAS, "--rows", 9, "--json").stdout)
    assert (said["format"], said["rung"], said["reasons"][0]["rule"]) == (
        "rungwise.next/1",
        "inverted-row",
        "placement",
    )


def test_nobody_places_themselves(written: Path) -> None:
    refused = rungwise(written, "plan", "start", JONAS, "--rung", "weighted", "--by", "jonas  reiter", status=2)
    assert "somebody else than Jonas Reiter" in refused.stderr


def test_a_stop_for_pain_comes_before_any_place(written: Path) -> None:
    rungwise(written, "tell", JONAS, "--pain", 7, "--date", MONDAY)
    said = rungwise(written, "plan", "start", JONAS, "--rows", 15, "--low-bar", 9).stdout
    assert "next: no session" in said
    assert "15 straight-bodied rows" in said
