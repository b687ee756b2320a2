"""The tables of an export read back: what they carry comes back as it was, and what they do not carry is told."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from click.testing import CliRunner

from analysis.logbook.book import Logbook
from analysis.motion.mounts import Mount
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.prescription import Grip
from analysis.training.setup import SetUp, Support
from analysis.training.statements import Form, Note, Pain, Placement, Question, Reference, Release, Role, Signs, Worn
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.test_logbook_outlines import dropped
from tests.analysis.training.builders import make_session, make_test, utc_us
from tui.cli import main

MONDAY = date(2026, 3, 2)
JONAS, AENNE = "Jonas Reiter", "Änne Żółć"
TABLES = ("sessions.csv", "sets.csv", "reps.csv", "statements.csv")


def rungwise(home: Path, *words: object, status: int = 0) -> str:
    done = CliRunner().invoke(main, ["--home", str(home), *map(str, words)])
    assert done.exit_code == status, done.output
    return done.output


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Two trainees with sessions of several kinds, one corrected, and everything that can be said."""
    folder, ladder = tmp_path / "home", default_plan().ladder
    with Logbook.open(folder / "logbook.sqlite") as book:
        for name in (JONAS, AENNE):
            person = book.add_trainee(name).id
            held = make_session(MONDAY, ladder, Position(3, 2), counts=(3, None, 3), sd_s=0.5)
            met = make_session(MONDAY + timedelta(days=3), ladder, Position(1, 0), grip=Grip.NEUTRAL)
            test = ladder.prescription(Position(1, 0), Grip.NEUTRAL).as_test()
            for one in (
                replace(held, set_up=SetUp(bar_cm=210, support=Support.RACK), note="wet, „bar“"),
                replace(met, set_up=SetUp(bar_cm=105, hand_share=0.6)),
                replace(make_test(MONDAY + timedelta(days=6), test, "feet-on-floor"), demo=True),
            ):
                record = replace(one, session_id=uuid4())
                keep(book, record, person)
            book.note_session(record.session_id, rpe=7)
            book.add_correction(dropped(replace(met, session_id=record.session_id)))
            when = {"said_utc_us": utc_us(MONDAY, 20), "day": MONDAY}
            for said in (
                Pain(now=2, worst=3, where="elbow, left", **when),
                Pain(now=0, sharp=True, **when),
                Signs(any=False, **when),
                Form(question=Question.BACK, yes=True, by="Ada Brunn", self_seen=False, **when),
                Release(role=Role.COACH, by="Ada Brunn", **when),
                Placement(rung="box", by="Ada Brunn", step=2, why="tall", **when),
                Note(session="1c5c1c0e-8a5f-4f0e-9d54-0c2f3f1b7a10", at_s=21.5, text="elbows, wide", by="Ada", **when),
                Note(session="1c5c1c0e-8a5f-4f0e-9d54-0c2f3f1b7a10", at_s=9.0, text="", by="", gone=True, **when),
                Worn(rung="box", mount=Mount.SUSPENSION, asked=Mount.BODY, **when),
                Reference(rung="box", set_up=SetUp(), travel_m=0.4, by="Ada Brunn", **when),
            ):
                book.say(person, said)
    return folder


def exported(home: Path, out: Path, *whose: str) -> Path:
    rungwise(home, "export", *whose, "--format", "csv", "--out", out)
    return out


def rows(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_what_tables_carry_comes_back_as_it_was(home: Path, tmp_path: Path) -> None:
    out, other = exported(home, tmp_path / "out"), tmp_path / "other"
    tried = rungwise(other, "import", out, "--dry-run")
    assert tried.startswith("out: 6 sessions, 18 statements would be added, nothing was written")
    assert rungwise(other, "log") == "no session in the log yet: rungwise train or rungwise done makes the first one\n"
    said = rungwise(other, "import", out)
    assert said.startswith("out: 6 sessions, 18 statements added")
    assert "not taken in: 2 corrections, which are in the figures already" in said
    assert "not taken in: 2 reference reps" in said
    assert "count as imported and open no gate unless somebody saw them" in said
    again = exported(other, tmp_path / "again")
    for name in TABLES:
        skipped = {"source", "minutes"}
        before = [{k: v for k, v in row.items() if k not in skipped} for row in rows(out, name)]
        after = [{k: v for k, v in row.items() if k not in skipped} for row in rows(again, name)]
        assert after == [one for one in before if one.get("kind") != "reference"], name
    assert {one["source"] for one in rows(again, "sessions.csv")} == {"imported"}


def test_tables_of_before_that_do_not_say_where_a_sensor_sits_come_back_without_it(home: Path, tmp_path: Path) -> None:
    out, other = exported(home, tmp_path / "out"), tmp_path / "other"
    said = rows(out, "statements.csv")
    with (out / "statements.csv").open("w", encoding="utf-8", newline="") as file:
        kept = csv.DictWriter(file, [name for name in said[0] if "mount" not in name], extrasaction="ignore")
        kept.writeheader()
        kept.writerows(said)
    told = rungwise(other, "import", out)
    assert told.startswith("out: 6 sessions, 16 statements added")
    assert "not taken in: 4 reference reps, which no table holds, and where a sensor sits" in told


def test_the_same_tables_again_add_nothing(home: Path, tmp_path: Path) -> None:
    out, other = exported(home, tmp_path / "out"), tmp_path / "other"
    rungwise(other, "import", out)
    before = rungwise(other, "log", "--json")
    assert rungwise(other, "import", out).startswith("out: nothing new; 6 sessions were here already\n")
    assert rungwise(home, "import", out).startswith("out: nothing new; 6 sessions were here already\n")
    assert rungwise(other, "log", "--json") == before


def test_a_session_from_a_table_opens_no_gate(home: Path, tmp_path: Path) -> None:
    out, other = exported(home, tmp_path / "out"), tmp_path / "other"
    assert any(json.loads(one)["confirmed"] for one in rungwise(home, "log", "--json").splitlines())
    rungwise(other, "import", out)
    assert not any(json.loads(one)["confirmed"] for one in rungwise(other, "log", "--json").splitlines())


def test_one_trainees_tables_go_to_a_name_that_is_here(home: Path, tmp_path: Path) -> None:
    out, other = exported(home, tmp_path / "out", JONAS), tmp_path / "other"
    rungwise(other, "done", JONAS, "--date", "2026-02-02", "--sets", "15,15,15", "--rest", 90)
    refused = rungwise(other, "import", out, status=2)
    assert "is here already as somebody else" in refused
    rungwise(other, "import", out, "--trainee", JONAS)
    assert len(rungwise(other, "log", JONAS, "--json").splitlines()) == 4
    both = exported(home, tmp_path / "both")
    assert "are of 2 people" in rungwise(other, "import", both, "--trainee", JONAS, status=2)


@pytest.mark.parametrize(
    ("table", "column", "value", "told"),
    [
        ("sessions.csv", "outcome", "good", "give one of met, missed, unsure, not measurable"),
        ("sessions.csv", "session_id", "6f1f", "is no UUID"),
        ("sessions.csv", "day", "2.3.2026", "is no day"),
        ("sessions.csv", "asked_rest_s", "", "a value is needed here"),
        ("sets.csv", "count", "-3", "give a number from 0 to"),
        ("reps.csv", "start_s", "soon", "give a number"),
        ("reps.csv", "kind", "", "a value is needed here"),
        ("statements.csv", "kind", "joy", "give pain, signs, form, release, placement, worn or note"),
    ],
)
def test_what_is_wrong_is_told_with_file_line_and_column_and_nothing_is_written(
    home: Path, tmp_path: Path, table: str, column: str, value: str, told: str
) -> None:
    out = exported(home, tmp_path / "out")
    found = rows(out, table)
    found[1][column] = value
    with (out / table).open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, found[0])
        writer.writeheader()
        writer.writerows(found)
    said = rungwise(tmp_path / "other", "import", out, status=2)
    assert f"{table}, line 3, column {column}: " in said
    assert told in said
    assert "Nothing was written." in said
    assert "nobody is in the logbook" in rungwise(tmp_path / "other", "roster")


def test_tables_of_an_older_export_lack_what_is_newer(home: Path, tmp_path: Path) -> None:
    out, other = exported(home, tmp_path / "out"), tmp_path / "other"
    for name in ("sets.csv", "reps.csv"):
        older = [
            {key: cell for key, cell in row.items() if key not in ("trainee_id", "recorded_in")}
            for row in rows(out, name)
        ]
        with (out / name).open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, older[0])
            writer.writeheader()
            writer.writerows(older)
    assert rungwise(other, "import", out).startswith("out: 6 sessions, 18 statements added")


def test_tables_that_are_missing_or_tell_not_whose_a_set_is_are_refused(home: Path, tmp_path: Path) -> None:
    out = exported(home, tmp_path / "out")
    found = rows(out, "sessions.csv")
    found[3]["session_id"] = found[0]["session_id"]
    with (out / "sessions.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, found[0])
        writer.writeheader()
        writer.writerows(found)
    assert "only the JSON export takes that in" in rungwise(tmp_path / "other", "import", out, status=2)
    (out / "sets.csv").unlink()
    assert "holds no sets.csv" in rungwise(tmp_path / "other", "import", out, status=2)
