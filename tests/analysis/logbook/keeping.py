"""Writing whole sessions, for the tests of the logbook."""

from __future__ import annotations

from uuid import UUID

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.training.records import SessionRecord, SetRecord


def begin(book: Logbook, record: SessionRecord, trainee: UUID, *, demo: bool = False) -> None:
    book.start_session(
        session_id=record.session_id,
        trainee=trainee,
        station=book.station(),
        started_utc_us=record.started_utc_us,
        prescription=record.prescription,
        mount=record.mount,
        sensor=record.sensor,
        recording=record.recording,
        rung=record.rung,
        day=record.day,
        demo=demo,
        place=record.place,
        method=record.method,
        source=record.source,
        seen_by=record.seen_by,
        set_up=record.set_up,
    )


def answer(book: Logbook, record: SessionRecord, sets: tuple[SetRecord, ...], kind: RunKind = RunKind.REFINED) -> int:
    run = book.start_run(record.session_id, kind=kind, version="0.1.0", parameters_sha="abc")
    for one in sets:
        book.record_set(record.session_id, run, one)
    return run


def keep(book: Logbook, record: SessionRecord, trainee: UUID) -> None:
    begin(book, record, trainee)
    answer(book, record, record.sets)
    assert record.ended_utc_us is not None
    book.finish_session(record.session_id, record.ended_utc_us, record.verdict)
