"""What is written is told, in its order and once: by the triggers, whoever writes."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from analysis.logbook.book import Logbook
from analysis.logbook.changes import Change
from analysis.logbook.entries import RunKind
from analysis.logbook.errors import LogbookError
from analysis.logbook.schema import REVISIONS
from analysis.training.statements import Pain
from tests.analysis.logbook.keeping import answer, begin, keep
from tests.analysis.logbook.test_logbook_exchange import DAY, US, full
from tests.analysis.logbook.test_logbook_file import ASKED, make_older
from tests.analysis.logbook.test_logbook_outlines import dropped, session
from tests.analysis.training.builders import TRAINEE
from tui.share.envelope import from_bytes
from tui.share.post import Post
from tui.share.topics import Kind

__all__ = ["full"]


def all_of(book: Logbook) -> list[Change]:
    return book.changes(0, 1_000_000)


def kinds(book: Logbook) -> list[str]:
    return [one.kind for one in all_of(book)]


def test_every_write_is_noted_in_its_order_without_holes(book: Logbook, ines: UUID) -> None:
    record = session(0)
    keep(book, record, ines)
    book.add_correction(dropped(record))
    book.say(ines, Pain(said_utc_us=US, day=DAY, now=2))
    book.note_session(record.session_id, rpe=7)
    sets = ["set"] * len(record.sets)
    assert kinds(book) == ["trainee", "session", "run", *sets, "session", "correction", "statement", "session"]
    assert [one.sequence for one in all_of(book)] == list(range(1, len(all_of(book)) + 1))
    assert book.stream().last == len(all_of(book))
    assert book.changes(3, 2) == all_of(book)[3:5]


def test_what_is_derived_or_said_again_in_the_same_words_is_no_change(book: Logbook, ines: UUID) -> None:
    record = session(0)
    keep(book, record, ines)
    run = book.start_run(record.session_id, kind=RunKind.REFINED, version="1", parameters_sha="x", clock_ratio=1.0)
    before = book.stream().last
    book.note_clock(run, clock_ratio=1.0, clock_sd_ppm=None)
    book.note_session(record.session_id, rpe=None)
    assert book.stream().last == before + 1  # the note was none and is an empty one
    book.note_session(record.session_id, rpe=None)
    assert book.stream().last == before + 1
    book.note_clock(run, clock_ratio=1.1, clock_sd_ppm=3.0)
    assert kinds(book)[-1] == "run"


def test_what_was_not_written_is_not_noted(book: Logbook, ines: UUID) -> None:
    keep(book, session(0), ines)
    before = all_of(book)
    with pytest.raises(LogbookError):
        begin(book, session(0), ines)
    assert all_of(book) == before
    begin(book, replace(session(1), session_id=uuid4()), ines)
    assert book.stream().last == len(before) + 1


def test_a_change_tells_where_its_row_belongs(book: Logbook, ines: UUID) -> None:
    record = session(0)
    keep(book, record, ines)
    answer(book, record, record.sets[:1], RunKind.REANALYSIS)
    last = all_of(book)[-1]
    row = last.data["row"]
    assert (last.kind, last.session) == ("set", record.session_id)
    assert (row["session"], row["run"], row["owner"]) == (str(record.session_id), 2, str(ines))
    assert len(row["reps"]) == len(record.sets[0].reps)
    assert not {"id", "set_id", "run_id", "session_id", "trainee_id"} & {*row, *row["reps"][0]}


def test_everything_is_as_the_schema_of_a_record_has_it_and_fits_an_event(full: Logbook) -> None:
    stream = full.stream()
    found = all_of(full)
    assert {one.kind for one in found} >= {"trainee", "session", "run", "set", "correction", "statement", "proposal"}
    post = Post("rack-3", stream.station, "")
    for one in found:
        event = from_bytes(post.record(one, stream.epoch).payload, Kind.RECORD)  # held against the schema
        assert event.data == {**one.data, "before_utc_us": one.before_utc_us}
        assert (event.sequence, event.at_utc_us) == (one.sequence, one.at_utc_us)
        assert event.subject == str(one.session or "")
        assert json.loads(json.dumps(one.data, allow_nan=False)) == one.data


def test_another_epoch_tells_the_same_under_another_name(book: Logbook, ines: UUID) -> None:
    keep(book, session(0), ines)
    before, was = all_of(book), book.stream()
    assert book.new_epoch() != was.epoch
    assert book.stream() == replace(was, epoch=book.stream().epoch)
    assert [one.data["row"] for one in all_of(book)] == [one.data["row"] for one in before]
    assert {one.data["epoch"] for one in all_of(book)} == {book.stream().epoch}


def test_a_copy_that_is_put_back_is_of_another_epoch(book: Logbook, ines: UUID, tmp_path: Path) -> None:
    book.station()
    book.copy_to(tmp_path / "copy.sqlite")
    with Logbook.open(tmp_path / "copy.sqlite") as copy:
        assert copy.stream().station == book.stream().station
        assert copy.stream().epoch != book.stream().epoch


@pytest.mark.parametrize("revision", REVISIONS[:-1])
def test_what_an_older_form_holds_is_told_from_the_beginning(path: Path, revision: str) -> None:
    make_older(path, revision)
    with Logbook.open(path) as book:
        assert kinds(book) == ["trainee", "session", "run", "set", "correction"]
        assert book.stream().last == 5
        book.say(TRAINEE, Pain(said_utc_us=US, day=DAY, now=2))
        assert kinds(book)[-1] == "statement"
        assert all_of(book)[3].session == ASKED.session_id


def test_a_row_taken_out_by_hand_leaves_no_hole(book: Logbook, ines: UUID, path: Path) -> None:
    book.say(ines, Pain(said_utc_us=US, day=DAY, now=2))
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("DROP TRIGGER statement_no_delete")
        database.execute("DELETE FROM statement")
    assert [(one.sequence, one.kind, one.data["row"] == {}) for one in all_of(book)] == [
        (1, "trainee", False),
        (2, "statement", True),
    ]


def test_a_plan_is_noted_when_it_is_another_one(book: Logbook, ines: UUID) -> None:
    assert book.noted_plan(ines) is None
    assert [book.note_plan(ines, text, noted_utc_us=US) for text in ("a = 1", "a = 1", "a = 2")] == [True, False, True]
    assert book.noted_plan(ines) == "a = 2"
    assert kinds(book) == ["trainee", "plan", "plan"]
    assert all_of(book)[-1].data["row"] == {"trainee": str(ines), "text": "a = 2", "noted_utc_us": US}
