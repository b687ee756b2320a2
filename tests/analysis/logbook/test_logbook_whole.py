"""Sessions that are written whole."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import uuid4

import pytest

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.people import newcomer
from analysis.logbook.whole import Entry
from analysis.training.plan import default_plan
from analysis.training.records import History, SessionRecord
from analysis.training.setup import SetUp
from analysis.training.told import ToldSession, pain_after, told_session
from tests.analysis.training.builders import utc_us

DAY = date(2026, 3, 2)
INES = newcomer("Ines Vogt")
TOLD = ToldSession(
    day=DAY, counts=(15, 15, 12), rests_s=(90, 100), pain=2, rpe=7, minutes=20, note="wet bar", set_up=SetUp(bar_cm=110)
)


def made() -> SessionRecord:
    span = (utc_us(DAY), utc_us(DAY, 19))
    return told_session(TOLD, History(), default_plan(), session_id=uuid4(), trainee=INES.id, span_utc_us=span)


def test_what_is_written_whole_is_read_back_the_same(book: Logbook) -> None:
    record = made()
    pain = pain_after(TOLD, record)
    assert pain is not None
    book.keep_whole([Entry(INES, record, (pain,))], station=book.station(), version="0.1.0")
    assert book.trainee("ines vogt") == INES
    assert book.history(INES.id) == History((record,), (pain,))


def test_all_of_it_is_written_or_nothing(book: Logbook) -> None:
    record = made()
    with pytest.raises(LogbookError, match="Nothing was written"):
        book.keep_whole([Entry(INES, record), Entry(INES, record)], station=book.station(), version="0.1.0")
    assert book.trainees() == ()
    other = newcomer("INES VOGT")
    book.keep_whole([Entry(INES, record)], station=book.station(), version="0.1.0")
    more = [Entry(INES, made()), Entry(other, replace(made(), trainee=other.id))]
    with pytest.raises(LogbookError, match="Nothing was written"):
        book.keep_whole(more, station=book.station(), version="0.1.0")
    assert len(book.sessions(INES.id)) == 1
