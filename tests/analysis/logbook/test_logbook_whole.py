"""Sessions that are written whole."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import uuid4

import pytest

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.errors import OvertakenError
from analysis.logbook.people import newcomer
from analysis.logbook.whole import Entry
from analysis.training.corrections import Act, Because, Correction
from analysis.training.plan import default_plan
from analysis.training.records import History, SessionRecord
from analysis.training.setup import SetUp
from analysis.training.statements import Pain
from analysis.training.superset import SetKind
from analysis.training.told import ToldSession, pain_after, told_session
from tests.analysis.logbook.keeping import begin
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


def test_warm_ups_a_partners_sets_and_a_session_broken_off_are_written_too(book: Logbook) -> None:
    record = made()
    own = record.sets[0]
    partner = replace(own, kind=SetKind.PARTNER, start_s=9.0, end_s=10.0)
    warm_up = replace(own, kind=SetKind.WARM_UP, start_s=8.0, end_s=9.0)
    broken = replace(record, ended_utc_us=None, partners=(partner,), warm_ups=(warm_up,))
    book.keep_whole([Entry(INES, broken)], station=book.station(), version="0.1.0")
    (found,) = book.sessions(INES.id, with_reps=True)
    assert found.ended_utc_us is None
    assert (found.sets, found.partners, found.warm_ups) == (record.sets, (partner,), (warm_up,))


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


def test_what_rests_on_a_log_that_somebody_else_added_to_is_refused(book: Logbook) -> None:
    """As two laptops do that read at the same moment: the later one to write is told, whatever was added first."""
    station = book.station()
    mine, theirs = Entry(INES, made()), Entry(newcomer("Ines  vogt"), made())
    book.keep_whole([mine], station=station, version="0.1.0")
    with pytest.raises(OvertakenError, match="added to the log of Ines vogt"):
        book.keep_whole([theirs], station=station, version="0.1.0")
    assert book.trainees() == (INES,)

    def refuses(edition: int) -> bool:
        try:
            book.keep_whole([Entry(INES, made(), edition=edition)], station=station, version="0.1.0")
        except OvertakenError:
            return True
        return False

    def add_pain() -> None:
        book.say(INES.id, Pain(said_utc_us=utc_us(DAY, 20), day=DAY, now=6))

    def correct() -> None:
        done = book.sessions(INES.id)[-1]
        book.add_correction(
            Correction(
                id=uuid4(),
                session_id=done.session_id,
                start_s=done.sets[0].start_s,
                end_s=done.sets[0].end_s,
                kind=Act.DROP,
                value=None,
                reason=Because.OTHER,
                who="Ada",
                made_utc_us=utc_us(DAY, 21),
            )
        )

    def begin_another() -> None:
        begin(book, replace(made(), session_id=uuid4()), INES.id)

    for change in (add_pain, correct, begin_another):
        before = book.edition(INES.id)
        change()
        assert refuses(before), change.__name__
    sessions = len(book.sessions(INES.id))
    assert not refuses(book.edition(INES.id))
    assert len(book.sessions(INES.id)) == sessions + 1


def test_what_is_added_for_others_refuses_nothing(book: Logbook) -> None:
    station, other = book.station(), newcomer("Jonas Reiter")
    edition = book.edition(INES.id)
    book.keep_whole([Entry(other, replace(made(), trainee=other.id))], station=station, version="0.1.0")
    book.keep_whole([Entry(INES, made(), edition=edition)], station=station, version="0.1.0")
    assert len(book.trainees()) == 2
