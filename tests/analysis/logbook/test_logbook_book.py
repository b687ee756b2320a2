"""People, sessions, runs, corrections: what goes in comes out, and what was measured stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest
from sqlalchemy import delete, select, update
from sqlalchemy.exc import IntegrityError

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.entries import RunKind
from analysis.logbook.file import writing
from analysis.logbook.schema import rep, rep_set, session
from analysis.motion.mounts import Place
from analysis.motion.results import Untold, Why
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.records import SessionRecord
from analysis.training.superset import SetKind
from analysis.training.verdict import Outcome
from tests.analysis.logbook.keeping import answer, begin, keep
from tests.analysis.training.builders import make_session, make_set, utc_us

PLAN = default_plan()
LADDER = PLAN.ladder
MONDAY = date(2026, 3, 2)


def met(day: date = MONDAY, step: int = 0) -> SessionRecord:
    return make_session(day, LADDER, Position(1, step))


def light(record: SessionRecord) -> SessionRecord:
    """The record as it is read without its reps."""
    sets = tuple(replace(one, reps=(), verdict=replace(one.verdict, reps=())) for one in record.sets)
    verdict = replace(record.verdict, sets=tuple(one.verdict for one in sets))
    return replace(record, sets=sets, verdict=verdict)


def test_a_session_comes_back_as_it_was(book: Logbook, ines: UUID) -> None:
    record = replace(met(), trainee=ines, recording="a.rec", place=Place.CHEST)
    first, *others = record.sets[1].reps
    dark = replace(first, top_s=None, hold_top_s=None, untold=Untold(start=Why.BLURRED, top=Why.GAP))
    known = replace(dark, mean_velocity_m_s=0.4, mean_velocity_sd_m_s=0.02, peak_velocity_sd_m_s=0.03)
    reps = (known, *others)
    odd = replace(record.sets[1], reps=reps, measured=False, why=Why.SLIPPED, clock_ratio=1.0123, bouts=(4, 5))
    record = replace(record, sets=(record.sets[0], odd, record.sets[2]))
    record = replace(record, verdict=replace(record.verdict, sets=tuple(one.verdict for one in record.sets)))
    keep(book, record, ines)
    assert book.session(record.session_id) == record
    assert book.sessions(ines, with_reps=True) == (record,)
    assert book.sessions(ines) == (light(record),)
    assert book.session(uuid4()) is None


def test_sessions_come_in_order_of_time_and_by_person(book: Logbook, ines: UUID) -> None:
    jonas = book.add_trainee("Jonas").id
    for days in (3, 0, 7):
        keep(book, met(MONDAY + timedelta(days=days)), ines)
    keep(book, met(MONDAY + timedelta(days=1), 2), jonas)
    assert [(one.day - MONDAY).days for one in book.sessions(ines)] == [0, 3, 7]
    assert [one.prescription.rest_s for one in book.sessions(jonas)] == [80]


def test_a_session_broken_off_is_complete_up_to_that_moment(book: Logbook, ines: UUID) -> None:
    record = met()
    begin(book, record, ines)
    assert book.sessions(ines)[0].sets == ()
    answer(book, record, record.sets[:2])
    (found,) = book.sessions(ines, with_reps=True)
    assert (found.ended_utc_us, found.sets) == (None, record.sets[:2])
    assert (found.outcome, found.verdict.summary) == (Outcome.MISSED, ("2 of 3 sets met.",))


def test_a_finished_session_that_is_gone_on_with_is_one_broken_off_until_it_is_finished_anew(
    book: Logbook, ines: UUID
) -> None:
    record = met()
    begin(book, record, ines)
    answer(book, record, record.sets[:1])
    book.finish_session(record.session_id, utc_us(MONDAY, 18), record.verdict)
    book.reopen_session(record.session_id)
    answer(book, record, record.sets[:1])  # what was done before is read anew
    answer(book, record, record.sets[1:2], RunKind.LIVE)
    (open_still,) = book.sessions(ines)
    assert (open_still.ended_utc_us, len(open_still.sets)) == (None, 2)
    answer(book, record, record.sets)
    book.finish_session(record.session_id, utc_us(MONDAY, 19), record.verdict)
    (finished,) = book.sessions(ines)
    assert (finished.ended_utc_us, len(finished.sets)) == (utc_us(MONDAY, 19), 3)


def test_the_refined_answer_counts_and_the_live_one_stays(book: Logbook, ines: UUID) -> None:
    record = met()
    refined = tuple(replace(one, end_s=one.end_s + 0.01) for one in record.sets)
    begin(book, record, ines)
    live = answer(book, record, record.sets, RunKind.LIVE)
    better = answer(book, record, refined[:2])
    broken_off = book.session(record.session_id)
    assert broken_off is not None
    # the third set was never refined: the live answer stands in
    assert broken_off.sets == (*refined[:2], record.sets[2])
    book.finish_session(record.session_id, utc_us(MONDAY, 19), record.verdict)
    finished = book.session(record.session_id)
    assert finished is not None
    assert finished.sets == refined[:2]
    assert [(run.id, run.kind) for run in book.runs(record.session_id)] == [
        (live, RunKind.LIVE),
        (better, RunKind.REFINED),
    ]
    again = answer(book, record, record.sets, RunKind.REANALYSIS)
    assert book.session(record.session_id).sets == record.sets  # type: ignore[union-attr]
    with book._reading() as connection:
        runs = connection.execute(select(rep_set.c.run_id).order_by(rep_set.c.id)).scalars().all()
    assert runs == [live] * 3 + [better] * 2 + [again] * 3


def test_what_was_measured_is_never_overwritten(book: Logbook, ines: UUID) -> None:
    record = met()
    keep(book, record, ines)
    for act in (
        update(rep).values(top_s=9.0),
        update(rep).where(rep.c.ordinal == 1).values(kind="partial"),
        delete(rep),
        update(rep_set).values(measured=False),
        delete(rep_set),
    ):
        with pytest.raises(IntegrityError, match="never overwritten"), writing(book._engine, book.path) as connection:
            connection.execute(act)
    run = book.runs(record.session_id)[0].id
    with pytest.raises(LogbookError, match="Begin a new run"):
        book.record_set(record.session_id, run, replace(record.sets[0], number=9, start_s=record.sets[0].start_s + 1))
    assert book.session(record.session_id).sets == record.sets  # type: ignore[union-attr]


def test_a_set_may_be_somebody_elses(book: Logbook, ines: UUID) -> None:
    jonas = book.add_trainee("Jonas").id
    record = met()
    begin(book, record, ines)
    sets = (record.sets[0], replace(record.sets[1], trainee=jonas), record.sets[2])
    answer(book, record, sets)
    book.finish_session(record.session_id, utc_us(MONDAY, 19), record.verdict)
    (hers,), (his,) = book.sessions(ines), book.sessions(jonas)
    assert [one.number for one in hers.sets] == [1, 3]
    assert (hers.trainee, hers.outcome) == (ines, Outcome.MISSED)  # two of three sets are hers
    assert [(one.number, one.trainee) for one in his.sets] == [(2, jonas)]
    assert his.trainee == jonas
    whole = book.session(record.session_id)
    assert whole is not None
    assert (whole.sets, whole.others) == ((sets[0], sets[2]), (sets[1],))


def test_what_is_not_known_is_named(book: Logbook, ines: UUID) -> None:
    record, nobody = met(), uuid4()
    with pytest.raises(LogbookError, match="no trainee"):
        begin(book, record, nobody)
    with pytest.raises(LogbookError, match="no session"):
        book.start_run(record.session_id, kind=RunKind.LIVE, version="0", parameters_sha="")
    with pytest.raises(LogbookError, match="no trainee"):
        book.sessions(nobody)
    begin(book, record, ines)
    with pytest.raises(LogbookError, match="already"):
        begin(book, record, ines)
    with pytest.raises(LogbookError, match="start_run"):
        book.record_set(record.session_id, 77, record.sets[0])
    with pytest.raises(LogbookError, match="start_run"):
        book.note_clock(77, clock_ratio=1.0, clock_sd_ppm=None)
    with pytest.raises(LogbookError, match="no session"):
        book.finish_session(nobody, 0, record.verdict)


def test_a_failed_set_leaves_nothing_behind(book: Logbook, ines: UUID) -> None:
    record = met()
    begin(book, record, ines)
    run = answer(book, record, ())
    bad = replace(record.sets[0], reps=(*record.sets[0].reps[:-1], replace(record.sets[0].reps[-1], end_s=None)))  # type: ignore[arg-type]
    with pytest.raises(LogbookError, match=r"rep.end_s.*Nothing was written"):
        book.record_set(record.session_id, run, bad)
    assert book.session(record.session_id).sets == ()  # type: ignore[union-attr]


def test_what_json_cannot_say_is_refused(book: Logbook, ines: UUID) -> None:
    record = met()
    begin(book, record, ines)
    run = answer(book, record, ())
    bad = replace(record.sets[0], verdict=replace(record.sets[0].verdict, tut_s=float("nan")))
    with pytest.raises(LogbookError, match="cannot be written"):
        book.record_set(record.session_id, run, bad)
    assert book.sessions(ines)[0].sets == ()


def test_the_clock_of_a_run_is_noted_when_it_is_known(book: Logbook, ines: UUID) -> None:
    record = met()
    begin(book, record, ines)
    run = answer(book, record, ())
    assert book.runs(record.session_id)[0].clock_ratio is None
    book.note_clock(run, clock_ratio=1.0142, clock_sd_ppm=31.0)
    (noted,) = book.runs(record.session_id)
    assert (noted.clock_ratio, noted.clock_sd_ppm) == (1.0142, 31.0)


def test_the_station_stays_the_same_and_foreign_ones_are_noted(book: Logbook, ines: UUID) -> None:
    here = book.station()
    record = met()
    book.start_session(
        session_id=record.session_id,
        trainee=ines,
        station=uuid4(),
        started_utc_us=record.started_utc_us,
        prescription=record.prescription,
        mount=record.mount,
        sensor="s",
        recording="",
    )
    with Logbook.open(book.path) as again:
        assert again.station() == here


def test_the_day_is_the_trainees_own(book: Logbook, ines: UUID) -> None:
    record = met()
    begin(book, replace(record, day=date(2026, 3, 3)), ines)
    assert book.sessions(ines)[0].day == date(2026, 3, 3)
    with book._reading() as connection:
        assert connection.execute(select(session.c.started_utc_us)).scalar() == utc_us(MONDAY)


def test_proposals_are_kept_with_their_reasons(book: Logbook, ines: UUID) -> None:
    record = met()
    keep(book, record, ines)
    proposed = next_session(book.history(ines), PLAN, MONDAY)
    book.record_next(ines, proposed, made_utc_us=utc_us(MONDAY, 19), after_session=record.session_id)
    assert book.proposals(ines) == (proposed,)


def test_a_count_that_is_short_stays_short_in_the_log(book: Logbook, ines: UUID) -> None:
    record = make_session(MONDAY, LADDER, Position(1, 0), counts=(15, 12, 15))
    keep(book, record, ines)
    (found,) = book.sessions(ines)
    assert [one.verdict.count for one in found.sets] == [15, 12, 15]
    assert found.verdict.summary == ("2 of 3 sets met.", "Set 2: 12 of 15 reps.")
    assert make_set(record.prescription, count=12).verdict.remark == found.sets[1].verdict.remark


def test_sets_of_a_partner_are_kept_apart_and_not_counted(book: Logbook, ines: UUID) -> None:
    record = make_session(date(2026, 3, 2), LADDER, Position(1, 0))
    partners = tuple(
        replace(one, kind=SetKind.PARTNER, start_s=one.end_s + 5, end_s=one.end_s + 20) for one in record.sets
    )
    begin(book, record, ines)
    answer(book, record, (*record.sets, *partners))
    assert record.ended_utc_us is not None
    book.finish_session(record.session_id, record.ended_utc_us, record.verdict)
    back = book.session(record.session_id)
    assert back is not None
    assert back.sets == record.sets
    assert back.partners == partners
    assert back.verdict == record.verdict
