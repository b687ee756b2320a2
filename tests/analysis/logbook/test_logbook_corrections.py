"""What people correct stands beside what was measured, and is what the log answers with."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest
from sqlalchemy import delete, select, update
from sqlalchemy.exc import IntegrityError

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.entries import RunKind
from analysis.logbook.file import writing
from analysis.logbook.schema import correction, rep_set
from analysis.training.corrections import Act, Because, By, Correction
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.records import SessionRecord
from analysis.training.verdict import Outcome
from tests.analysis.logbook.keeping import answer, begin, keep
from tests.analysis.training.builders import make_session, utc_us

PLAN = default_plan()
LADDER = PLAN.ladder
MONDAY = date(2026, 3, 2)


def met(day: date = MONDAY, step: int = 0) -> SessionRecord:
    return make_session(day, LADDER, Position(1, step))


def test_a_dropped_set_is_left_out_and_the_next_takes_its_place(book: Logbook, ines: UUID) -> None:
    record = met()
    begin(book, record, ines)
    run = answer(book, record, record.sets[:2])
    dropped = record.sets[1]
    drop = Correction(
        id=uuid4(),
        session_id=record.session_id,
        start_s=dropped.start_s - 0.1,  # as another run saw it
        end_s=dropped.end_s - 0.1,
        kind=Act.DROP,
        value=None,
        reason=Because.SOMEBODY_ELSE,
        who="Ines",
        made_utc_us=utc_us(MONDAY),
    )
    book.add_correction(drop)
    assert book.sessions(ines, with_reps=True)[0].sets == record.sets[:1]
    third = replace(record.sets[2], number=2)
    book.record_set(record.session_id, run, third)
    book.finish_session(record.session_id, utc_us(MONDAY, 19), record.verdict)
    (found,) = book.sessions(ines, with_reps=True)
    assert found.sets[0] == record.sets[0]
    assert (found.sets[1].number, found.sets[1].reps) == (2, third.reps)
    # nothing lies between it and the first set any more
    assert found.sets[1].rest_before_s == pytest.approx(third.start_s - record.sets[0].end_s)
    assert found.sets[1].verdict.rest_outcome is Outcome.MISSED
    assert book.session_found(record.session_id).sets == (*record.sets[:2], third)  # type: ignore[union-attr]
    with book._reading() as connection:
        assert len(connection.execute(select(rep_set)).all()) == 3  # what was measured stays


def test_corrections_stand_beside_what_was_measured(book: Logbook, ines: UUID) -> None:
    record = met()
    keep(book, record, ines)
    made = Correction(
        id=uuid4(),
        session_id=record.session_id,
        start_s=200.0,
        end_s=240.0,
        kind=Act.COUNT,
        value={"count": 14, "seen": 15},
        reason=Because.NOT_FULL,
        text="last rep without the chin",
        who="Ada",
        role=By.COACH,
        made_utc_us=utc_us(MONDAY, 20),
    )
    for _ in range(2):  # one that is imported again is there once
        book.add_correction(made)
    assert book.corrections(record.session_id) == (made,)
    assert book.session_found(record.session_id) == replace(record, trainee=ines)
    (found,) = book.sessions(ines)
    assert [one.verdict.count for one in found.sets] == [14, 15, 15]
    assert (found.sets[0].measured_count, found.outcome) == (15, Outcome.MISSED)
    with pytest.raises(LogbookError, match="ends before it begins"):
        book.add_correction(replace(made, id=uuid4(), end_s=1.0))


def counted(record: SessionRecord, nth: int, count: int, **more: object) -> Correction:
    one = record.sets[nth - 1]
    made = Correction(
        id=uuid4(),
        session_id=record.session_id,
        start_s=one.start_s,
        end_s=one.end_s,
        kind=Act.COUNT,
        value={"count": count, "seen": one.verdict.count},
        reason=Because.MISSED,
        who="Ada",
        role=By.COACH,
        made_utc_us=utc_us(MONDAY, 20) + nth,
    )
    return replace(made, **more)  # type: ignore[arg-type]


def test_a_correction_in_the_log_is_never_changed_or_removed(book: Logbook, ines: UUID) -> None:
    record = met()
    keep(book, record, ines)
    book.add_correction(counted(record, 1, 14))
    for act in (update(correction).values(who="nobody"), delete(correction)):
        with pytest.raises(IntegrityError, match="never overwritten"), writing(book._engine, book.path) as connection:
            connection.execute(act)


def test_two_who_correct_at_once_lose_nothing(book: Logbook, ines: UUID) -> None:
    record = met()
    keep(book, record, ines)
    each = [[counted(record, nth, 10 + n, made_utc_us=n) for n in range(10)] for nth in (1, 2)]

    def write(made: list[Correction]) -> None:
        with Logbook.open(book.path) as own:
            for one in made:
                own.add_correction(one)

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(write, each))
    assert {one.id for one in book.corrections(record.session_id)} == {one.id for made in each for one in made}
    assert [one.verdict.count for one in book.sessions(ines)[0].sets] == [19, 19, 15]


def test_what_was_read_without_reps_is_what_was_read_with_them(book: Logbook, ines: UUID) -> None:
    short = make_session(MONDAY, LADDER, Position(1, 0), counts=(15, 14, 15))
    other = met(MONDAY + timedelta(days=3))
    keep(book, short, ines)
    keep(book, other, ines)
    book.add_correction(counted(short, 2, 15))
    (light, plain), (full, _) = book.sessions(ines), book.sessions(ines, with_reps=True)
    assert [one.reps for one in light.sets] == [()] * 3
    assert len(full.sets[1].reps) == 14
    for a, b in zip(light.sets, full.sets, strict=True):
        assert replace(a.verdict, reps=()) == replace(b.verdict, reps=())
    assert (light.outcome, light.confirmed) == (full.outcome, full.confirmed) == (Outcome.MET, True)
    assert not plain.marks


def test_the_next_session_follows_the_corrected_log_and_the_undoing(book: Logbook, ines: UUID) -> None:
    # common practice, no source: a week of two met sessions lets the rest go from 90 to 85 s
    first, second = met(), make_session(MONDAY + timedelta(days=3), LADDER, Position(1, 0), counts=(15, 14, 15))
    keep(book, first, ines)
    keep(book, second, ines)
    today = MONDAY + timedelta(days=7)

    def rest_s() -> float:
        asked = next_session(book.history(ines), PLAN, today).prescription
        assert asked is not None
        return asked.rest_s

    assert rest_s() == 90
    made = counted(second, 2, 15)
    book.add_correction(made)
    assert rest_s() == 85
    undoing = replace(made, id=uuid4(), kind=Act.UNDO, value=str(made.id), made_utc_us=made.made_utc_us + 1)
    book.add_correction(undoing)
    assert rest_s() == 90
    assert book.corrections(second.session_id) == (made, undoing)


def test_a_newer_analysis_answers_beside_the_old_one_and_corrections_hold_for_both(book: Logbook, ines: UUID) -> None:
    short = make_session(MONDAY, LADDER, Position(1, 0), counts=(15, 14, 15))
    keep(book, short, ines)
    book.add_correction(counted(short, 2, 13))
    again = answer(book, short, met().sets, RunKind.REANALYSIS)
    old, new = book.runs(short.session_id)
    assert (new.id, new.kind) == (again, RunKind.REANALYSIS)
    counts = [
        [one.verdict.count for one in found.sets]
        for run in (old.id, new.id)
        if (found := book.session_found(short.session_id, run))
    ]
    assert counts == [[15, 14, 15], [15, 15, 15]]
    (now,) = book.sessions(ines)
    # it was 14 when somebody said 13; now 15 are found, so somebody should look
    assert [(one.verdict.count, one.measured_count) for one in now.sets] == [(15, None), (13, 15), (15, None)]
    assert [one.disagrees for one in now.marks] == [True]


def test_a_corrected_session_is_still_two_peoples(book: Logbook, ines: UUID) -> None:
    jonas = book.add_trainee("Jonas").id
    record = met()
    begin(book, record, ines)
    answer(book, record, (record.sets[0], replace(record.sets[1], trainee=jonas), record.sets[2]))
    book.finish_session(record.session_id, utc_us(MONDAY, 19), record.verdict)
    book.add_correction(counted(record, 2, 9))
    (hers,), (his,) = book.sessions(ines), book.sessions(jonas)
    assert [(one.number, one.verdict.count) for one in hers.sets] == [(1, 15), (3, 15)]
    assert [(one.number, one.verdict.count, one.trainee) for one in his.sets] == [(2, 9, jonas)]
    assert (his.trainee, his.outcome) == (jonas, Outcome.MISSED)
