"""What goes out and what comes in, at the command line."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar

from analysis.logbook.book import Logbook
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.records import Source
from analysis.training.statements import Pain
from analysis.training.verdict import Outcome
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.test_logbook_outlines import dropped
from tests.analysis.training.builders import make_session, utc_us
from tui.book.columns import TABLES, columns_text
from tui.book.past import COLUMNS
from tui.cli import main

MONDAY = date(2026, 3, 2)
JONAS = "Jonas Reiter"
ROOT = Path(__file__).parents[2]


def rungwise(home: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--home", str(home), *map(str, words)])


def fine(result: Result) -> Result:
    assert result.exit_code == 0, result.output
    return result


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Two trainees with two sessions each, one corrected, and what they said."""
    folder = tmp_path / "home"
    with Logbook.open(folder / "logbook.sqlite") as book:
        for name in (JONAS, "Änne Żółć"):
            person = book.add_trainee(name).id
            for number in range(2):
                day = MONDAY + timedelta(days=3 * number)
                record = make_session(day, default_plan().ladder, Position(1, 0), counts=(15, 15, 13 + number))
                record = replace(record, session_id=uuid4())
                keep(book, record, person)
                book.say(person, Pain(said_utc_us=utc_us(day, 20), day=day, now=2, where="elbow, left"))
            book.add_correction(dropped(record))
    return folder


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_tables_have_the_documented_columns_and_hold_what_was_done(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    fine(rungwise(home, "export", "--format", "csv", "--out", out))
    assert sorted(one.name for one in out.iterdir()) == sorted(TABLES)
    for name, columns in TABLES.items():
        first = (out / name).read_text("utf-8").splitlines()[0]
        assert first.split(",") == [one.name for one in columns]
    sessions, sets, reps = rows(out / "sessions.csv"), rows(out / "sets.csv"), rows(out / "reps.csv")
    assert [(one["trainee"], one["day"], one["done_sets"], one["done_reps"]) for one in sessions] == [
        (JONAS, "2026-03-02", "3", "43"),
        (JONAS, "2026-03-05", "2", "29"),
        ("Änne Żółć", "2026-03-02", "3", "43"),
        ("Änne Żółć", "2026-03-05", "2", "29"),
    ]
    assert (sessions[0]["asked_rest_s"], sessions[0]["source"], sessions[0]["demo"]) == ("90.0", "sensor", "false")
    assert len(sets) == 10
    assert len(reps) == sum(int(one["count"]) for one in sets) == 2 * (43 + 29)
    with Logbook.open(home / "logbook.sqlite") as book:
        (first, *_) = book.sessions(book.trainees()[0].id, with_reps=True)
    first_rep = first.sets[0].reps[0]
    assert [float(reps[0][name]) for name in ("start_s", "top_s", "down_s", "end_s", "start_sd_s")] == [
        first_rep.start_s,
        first_rep.top_s,
        first_rep.down_s,
        first_rep.end_s,
        first_rep.timing_sd.start_s,
    ]
    said, corrections = rows(out / "statements.csv"), rows(out / "corrections.csv")
    assert {(one["kind"], one["pain_now"], one["where"], one["rung"]) for one in said} == {
        ("pain", "2", "elbow, left", "")
    }
    assert [(one["kind"], one["who"], one["value"]) for one in corrections] == [("drop", "Mara", "null")] * 2
    again = rungwise(home, "export", "--format", "csv", "--out", out)
    assert (again.exit_code, "is there already and left as it is" in again.output) == (2, True)


def test_an_exported_table_is_no_past_training_and_says_how_to_bring_it_back(home: Path, tmp_path: Path) -> None:
    fine(rungwise(home, "export", "--format", "csv", "--out", tmp_path / "out"))
    refused = rungwise(home, "import", tmp_path / "out" / "sessions.csv")
    assert refused.exit_code == 2
    assert "give its folder, or export it as JSON" in refused.output


def test_tables_of_one_trainee_hold_nobody_else(home: Path, tmp_path: Path) -> None:
    fine(rungwise(home, "export", JONAS, "--format", "csv", "--out", tmp_path / "out"))
    assert {one["trainee"] for one in rows(tmp_path / "out" / "sessions.csv")} == {JONAS}
    assert "Änne" not in (tmp_path / "out" / "statements.csv").read_text("utf-8")


def test_the_document_of_the_columns_is_true() -> None:
    text = (ROOT / "tui" / "book" / "EXPORT.md").read_text("utf-8")
    assert columns_text().strip() in text
    assert all(f"| `{name}` | {meaning} |" in text for name, meaning in COLUMNS.items())
    shown = fine(CliRunner().invoke(main, ["export", "--columns"])).output
    assert shown.strip() == columns_text().strip()


def test_an_export_is_read_back_once(home: Path, tmp_path: Path) -> None:
    out, other = tmp_path / "all.json", tmp_path / "other"
    fine(rungwise(home, "export", "--out", out))
    assert json.loads(out.read_text("utf-8"))["format"] == "rungwise.export/1"
    tried = fine(rungwise(other, "import", out, "--dry-run"))
    assert "4 sessions, 2 corrections, 4 statements would be added, nothing was written" in tried.output
    assert fine(rungwise(other, "log")).stdout == ""
    assert "2 trainees, 4 sessions" in fine(rungwise(other, "import", out)).output
    assert fine(rungwise(other, "log", "--json")).stdout == fine(rungwise(home, "log", "--json")).stdout
    assert fine(rungwise(other, "import", out)).output == "all.json: nothing new; 4 sessions were here already\n"
    refused = rungwise(home, "export", "--out", out)
    assert (refused.exit_code, "is there already" in refused.output) == (2, True)


def test_json_that_is_none_is_told_with_line_and_column(home: Path, tmp_path: Path) -> None:
    (tmp_path / "broken.json").write_text('{\n "format": "rungwise.export/1",\n "sessions": [,]\n}')
    found = rungwise(home, "import", tmp_path / "broken.json")
    assert found.exit_code == 2
    assert "broken.json, line 3, column 15: no JSON" in found.output


def test_past_training_is_judged_as_a_typed_session_and_read_once(tmp_path: Path) -> None:
    table = tmp_path / "notebook.csv"
    table.write_text(
        "date,sets,rest_s,rpe,pain,note\n"
        '2026-01-15,"15,15,15",90,6,0,\n'
        '2026-01-12,"15,15,13",90,7,1,"first, hard"\n'
        "2026-01-19,15 15 15,85,,,\n",
        "utf-8",
    )
    asked = ("import", table, "--trainee", JONAS)
    assert "3 sessions would be added" in fine(rungwise(tmp_path / "home", *asked, "--dry-run")).output
    added = fine(rungwise(tmp_path / "home", *asked)).output
    assert "notebook.csv: 3 sessions added" in added
    with Logbook.open(tmp_path / "home" / "logbook.sqlite") as book:
        (person,) = book.trainees()
        sessions = book.sessions(person.id)
        assert [one.day for one in sessions] == [date(2026, 1, 12), date(2026, 1, 15), date(2026, 1, 19)]
        assert {one.source for one in sessions} == {Source.IMPORTED}
        assert [one.outcome for one in sessions] == [Outcome.MISSED, Outcome.MET, Outcome.MET]
        assert [done.verdict.count for done in sessions[0].sets] == [15, 15, 13]
        assert [one.rest_before_s for one in sessions[2].sets] == [None, 85.0, 85.0]
        assert (sessions[0].rpe, sessions[0].note, sessions[0].confirmed) == (7, "first, hard", False)
        assert [one.now for one in book.statements(person.id) if isinstance(one, Pain)] == [1, 0]
    assert fine(rungwise(tmp_path / "home", *asked)).output == "notebook.csv: 0 sessions added; 3 were here already\n"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('2026-01-12,"15,x,13",90,feet-on-floor', "line 3, column sets: '15,x,13' is not allowed; give the reps"),
        ("12.1.2026,15 15,90,", "line 3, column date: '12.1.2026' is no day"),
        ("2126-01-12,15 15,90,", "line 3, column date: 2126-01-12 is still to come"),
        ("2026-01-12,15 15 15,90 80 70,", "line 3, column rest_s: one for all, or 2"),
        ("2026-01-12,15 15,ninety,", "line 3, column rest_s: 'ninety' is not allowed"),
        ("2026-01-12,15 15,90,bench", "line 3, column rung: bench is no rung of this plan"),
        ("2026-01-12,,90,", "line 3, column sets: '' is not allowed"),
    ],
)
def test_a_line_that_is_wrong_is_named_and_nothing_is_written(tmp_path: Path, line: str, says: str) -> None:
    table = tmp_path / "notebook.csv"
    table.write_text(f"date,sets,rest_s,rung\n2026-01-05,15 15 15,90,\n{line}\n", "utf-8")
    found = rungwise(tmp_path / "home", "import", table, "--trainee", JONAS)
    assert found.exit_code == 2
    assert says in found.output
    with Logbook.open(tmp_path / "home" / "logbook.sqlite") as book:
        assert book.trainees() == ()


def test_a_table_without_names_asks_whose_it_is(tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text("date,sets\n2026-01-05,15\n", "utf-8")
    found = rungwise(tmp_path / "home", "import", tmp_path / "t.csv")
    assert (found.exit_code, "--trainee" in found.output) == (2, True)
    (tmp_path / "t.csv").write_text("date,sets,weight\n2026-01-05,15,80\n", "utf-8")
    strange = rungwise(tmp_path / "home", "import", tmp_path / "t.csv", "--trainee", JONAS)
    assert "t.csv, line 1, column weight: unknown" in strange.output
    missing = rungwise(tmp_path / "home", "import", tmp_path / "none.csv")
    assert (missing.exit_code, "cannot be read" in missing.output) == (2, True)


def test_a_session_of_that_day_that_is_not_from_a_table_is_not_doubled(home: Path, tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text(f"date,sets,exercise\n{MONDAY},15 15 13,\n", "utf-8")
    found = rungwise(home, "import", tmp_path / "t.csv", "--trainee", JONAS)
    assert found.exit_code == 2
    assert f"line 2, column date: {JONAS} has a session on 2026-03-02" in found.output


def test_an_exercise_names_the_rung(tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text("date;sets;exercise\n2026-01-05;5 5 5;pull-up\n2026-01-08;5;yoga\n", "utf-8")
    found = rungwise(tmp_path / "home", "import", tmp_path / "t.csv", "--trainee", JONAS)
    assert "line 3, column rung: no rung of this plan has the exercise yoga" in found.output
    (tmp_path / "t.csv").write_text("date;sets;exercise\n2026-01-05;5 5 5;pull-up\n", "utf-8")
    assert "5, 5, 5" in fine(rungwise(tmp_path / "home", "import", tmp_path / "t.csv", "--trainee", JONAS)).output


def test_the_schedule_is_a_calendar_that_a_later_export_replaces(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "jonas.ics"
    for _ in range(2):
        said = fine(rungwise(home, "export", JONAS, "--format", "ics", "--out", out)).output
        assert f"{JONAS}: next on " in said
    found = Calendar.from_ical(out.read_bytes()).walk("VEVENT")
    assert found
    assert all(JONAS in str(one["summary"]) for one in found)
    (tmp_path / "mine.ics").write_text("notes")
    refused = rungwise(home, "export", "--format", "ics", "--out", tmp_path / "mine.ics")
    assert (refused.exit_code, (tmp_path / "mine.ics").read_text()) == (2, "notes")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--format", "csv"), "--out says where"),
        (("--format", "json", "--out", "x", "--session", "3f"), "--session goes with --format motion"),
        (("--format", "motion", "--out", "x.csv"), "needs --session"),
        (("Nobody", "--out", "x"), "Nobody is not in the logbook"),
        (("--out", "/nowhere/at/all.json"), "cannot be written"),
    ],
)
def test_what_is_asked_wrongly_is_told(home: Path, words: tuple[str, ...], says: str) -> None:
    found = rungwise(home, "export", *words)
    assert (found.exit_code, says in found.output) == (2, True), found.output
