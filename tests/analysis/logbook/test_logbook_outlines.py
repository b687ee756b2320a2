"""Years of sessions are read without their sets, and everything that follows from them is the same."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from sqlalchemy import Connection, event

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.logbook.outlines import RECENT
from analysis.logbook.queries import sessions_of
from analysis.logbook.unread import Unread
from analysis.training.corrections import Act, Because, By, Correction, Given
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.records import History, SessionRecord
from analysis.training.statements import Pain
from analysis.training.superset import SetKind
from tests.analysis.logbook.keeping import answer, begin, keep
from tests.analysis.training.builders import make_session, utc_us
from tests.bench.logbook import fill

LADDER = default_plan().ladder
FIRST = date(2026, 3, 2)


def session(number: int, **changes: object) -> SessionRecord:
    """Twice a week; every third one was missed."""
    counts = (15, 15, 9) if number % 3 == 2 else (None, None, None)
    day = FIRST + timedelta(days=7 * (number // 2) + 3 * (number % 2))
    return make_session(day, LADDER, Position(1, min(number // 4, 6)), counts=counts, **changes)


def in_full(book: Logbook, trainee: UUID) -> History:
    """The history as every set read gives it, without the reps."""

    def bare(record: SessionRecord) -> SessionRecord:
        sets, partners, warm_ups = (
            tuple(replace(one, reps=(), verdict=replace(one.verdict, reps=())) for one in some)
            for some in (record.sets, record.partners, record.warm_ups)
        )
        verdict = replace(record.verdict, sets=tuple(one.verdict for one in sets))
        return replace(record, sets=sets, partners=partners, warm_ups=warm_ups, verdict=verdict)

    with book._reading() as connection:
        number = connection.exec_driver_sql("SELECT id FROM trainee WHERE uuid = ?", (str(trainee),)).scalar_one()
        return History(tuple(map(bare, sessions_of(connection, number))), book.statements(trainee))


@contextmanager
def statements_sent(book: Logbook) -> Iterator[list[str]]:
    sent: list[str] = []

    def note(_c: Connection, _cursor: object, text: str, *_: object) -> None:
        sent.append(text)

    event.listen(book._engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(book._engine, "before_cursor_execute", note)


def something_of_everything(book: Logbook, ines: UUID) -> UUID:
    """Twenty-eight sessions of one trainee, met and missed, and of every kind that is not plain."""
    jonas = book.add_trainee("Jonas").id
    joins = uuid4()
    for number in range(26):
        record = replace(session(number), session_id=uuid4())
        if number == 3:
            record = replace(
                record, sets=tuple(replace(one, trainee=jonas) if one.number == 2 else one for one in record.sets)
            )
        if number in (4, 20):
            partner = replace(
                record.sets[1], kind=SetKind.PARTNER, number=1, begins_down=True, direction=(0.6, 0.0, 0.8)
            )
            record = replace(record, sets=(record.sets[0], partner, record.sets[2]))
        if number == 5:
            record = replace(record, sets=())
        if number in (7, 22):
            begin(book, record, ines)
            answer(book, record, record.sets[:2])
            continue
        keep(book, record, ines)
        book.say(ines, Pain(said_utc_us=record.started_utc_us - 1, day=record.day, now=number % 5, worst=number % 3))
        if number in (8, 23):
            book.add_correction(dropped(record))
        if number in (10, 25):
            book.add_correction(given(record, jonas, into=joins if number == 25 else None))
        if number in (9, 24):
            answer(book, record, record.sets[:1], RunKind.REANALYSIS)
    for number in (26, 27):
        record = replace(session(number), session_id=uuid4())
        keep(book, replace(record, sets=tuple(replace(one, trainee=ines) for one in record.sets)), jonas)
    keep(book, replace(session(25), session_id=joins, started_utc_us=utc_us(session(25).day, 21)), jonas)
    return jonas


def given(record: SessionRecord, to: UUID, into: UUID | None) -> Correction:
    asked = Given(trainee=to, prescription=record.prescription, rung=record.rung, reference_m=0.5, into=into)
    return replace(
        dropped(record), kind=Act.GIVE, value=asked, start_s=record.sets[1].start_s, end_s=record.sets[1].end_s
    )


def dropped(record: SessionRecord) -> Correction:
    return Correction(
        id=uuid4(),
        session_id=record.session_id,
        start_s=record.sets[0].start_s,
        end_s=record.sets[0].end_s,
        kind=Act.DROP,
        value=None,
        reason=Because.OTHER,
        who="Mara",
        made_utc_us=utc_us(record.day, 20),
        role=By.COACH,
    )


def test_sets_read_late_are_the_sets_read_at_once(book: Logbook, ines: UUID) -> None:
    jonas = something_of_everything(book, ines)
    for person in (ines, jonas):
        assert book.history(person) == in_full(book, person)
        assert {one.name: history for one, history in book.histories().items()}[
            "Ines" if person == ines else "Jonas"
        ] == in_full(book, person)


def test_a_given_set_is_in_the_other_ones_log_and_joins_the_session_that_this_one_had(
    book: Logbook, ines: UUID
) -> None:
    jonas = something_of_everything(book, ines)
    his = book.sessions(jonas, with_reps=True)
    part, joined = (one for one in his if any(done.given for done in one.sets))
    assert (part.day, [one.number for one in part.sets], len(part.sets[0].reps)) == (session(10).day, [1], 15)
    assert (joined.day, [one.number for one in joined.sets]) == (session(25).day, [4, 1, 2, 3])
    for one in (part, joined):
        (hers,) = (each for each in book.sessions(ines) if each.day == one.day)
        assert [done.number for done in hers.sets] == [1, 2]


def test_what_follows_from_them_is_the_same_on_every_day(book: Logbook, ines: UUID) -> None:
    something_of_everything(book, ines)
    whole = in_full(book, ines)
    for days_later in range(0, 140, 3):
        today = FIRST + timedelta(days=days_later)
        done = [number for number, one in enumerate(whole.sessions) if one.day < today]
        light = book.history(ines)
        light, full = (History(each.sessions[: len(done)], each.statements) for each in (light, whole))
        assert next_session(light, default_plan(), today) == next_session(full, default_plan(), today)


def test_of_sessions_long_past_no_set_is_read_until_somebody_looks(path: Path) -> None:
    with Logbook.open(path) as book:
        fill(book, people=2, sessions=4 * RECENT)
        with statements_sent(book) as sent:
            histories = book.histories()
            history = next(iter(histories.values()))
            assert [len(one.sets) for one in history.sessions] == [3] * 4 * RECENT
            assert sum("FROM rep_set" in one for one in sent) == 1
            assert history.sessions[0].sets[0].verdict.count in (9, 10)
            assert sum("FROM rep_set" in one for one in sent) == 2


@pytest.mark.parametrize("change", ["run", "set", "correction"])
def test_another_answer_is_read_even_of_a_session_that_was_over(book: Logbook, ines: UUID, change: str) -> None:
    records = [replace(session(number), session_id=uuid4()) for number in range(RECENT + 4)]
    for record in records:
        keep(book, record, ines)
    old = records[0]
    if change == "correction":
        book.add_correction(dropped(old))
    else:
        run = book.start_run(old.session_id, kind=RunKind.REANALYSIS, version="0.2.0", parameters_sha="new")
        if change == "set":
            book.record_set(old.session_id, run, old.sets[1])
    found = book.history(ines).sessions[0]
    assert len(found.sets) == {"run": 0, "set": 1, "correction": 2}[change]
    assert found == in_full(book, ines).sessions[0]


def test_things_unread_are_a_sequence_like_the_tuple_of_them() -> None:
    read = []

    def things(number: int) -> tuple[str, ...]:
        read.append(number)
        return ("a", "b", "c")

    unread = Unread(3, things, 7)
    assert (len(unread), bool(unread), read) == (3, True, [])
    assert unread == ("a", "b", "c")
    assert unread == ("a", "b", "c")
    assert unread != ("a", "b")
    assert (unread[1], unread[:2], list(reversed(unread)), "c" in unread) == ("b", ("a", "b"), ["c", "b", "a"], True)
    assert hash(unread) == hash(("a", "b", "c"))
    assert (repr(unread), unread == "abc") == ("('a', 'b', 'c')", False)
    assert set(read) == {7}
