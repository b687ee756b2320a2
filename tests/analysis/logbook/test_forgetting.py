"""Who is forgotten is gone: from the rows, from the bytes of the file, at the coach, and for good."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.changes import Change
from analysis.logbook.inbox import Taken
from analysis.logbook.people import NOBODY
from analysis.training.statements import Form, Pain, Question
from tests.analysis.logbook.keeping import keep
from tests.analysis.logbook.telling import changes_of, give, plain_dump, same
from tests.analysis.logbook.test_logbook_exchange import DAY, US, by_name, full
from tests.analysis.logbook.test_logbook_outlines import dropped, given, session

__all__ = ["full"]
NAME = "Qvistine Tarn"


@pytest.fixture
def coach(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "coach.sqlite") as opened:
        yield opened


@pytest.fixture
def tarn(book: Logbook, ines: UUID) -> UUID:
    """Somebody with two sessions, beside Ines who has one; they coach each other."""
    uuid = book.add_trainee(NAME).id
    for number in range(2):
        record = replace(session(number), session_id=uuid4())
        keep(book, record, uuid)
        book.note_session(record.session_id, rpe=7, note=f"{NAME} was tired")
        book.say(uuid, Pain(said_utc_us=US + number, day=DAY, now=2, where=f"{NAME}'s elbow"))
        book.add_correction(replace(dropped(record), who=NAME))
    book.note_plan(uuid, f'trainee = "{NAME}"', noted_utc_us=US)
    record = session(2)
    keep(book, record, ines)
    book.add_correction(replace(dropped(record), who=NAME))
    book.say(ines, Form(said_utc_us=US, day=DAY, question=Question.BLADES, yes=True, by=NAME))
    return uuid


def bytes_of(path: Path) -> bytes:
    beside = (path.with_name(f"{path.name}{end}") for end in ("", "-wal", "-shm"))
    return b"".join(one.read_bytes() for one in beside if one.exists())


def test_nothing_of_a_forgotten_person_is_left_in_the_bytes_of_the_file(
    book: Logbook, tarn: UUID, ines: UUID, path: Path
) -> None:
    sessions = [one.session_id for one in book.sessions(tarn)]
    secrets = [NAME.encode(), NAME.casefold().encode(), *(str(one).encode() for one in sessions)]
    assert all(one in bytes_of(path) for one in secrets)
    found = book.forget(tarn)
    assert (found.trainee.name, set(found.sessions), found.shared, found.whole) == (NAME, set(sessions), (), True)
    assert not any(one in bytes_of(path) for one in secrets)
    assert [one.name for one in book.trainees()] == ["Ines"]
    assert book.was_forgotten(tarn)
    assert not book.was_forgotten(ines)


def test_what_others_have_stays_and_names_nobody(book: Logbook, tarn: UUID, ines: UUID) -> None:
    before = book.sessions(ines, with_reps=True)
    book.forget(tarn)
    (was,), (now,) = before, book.sessions(ines, with_reps=True)
    assert now.sets == was.sets
    assert [one.who for one in book.corrections(now.session_id)] == [NOBODY.name]
    assert [one.by for one in book.statements(ines) if isinstance(one, Form)] == [NOBODY.name]


def test_what_is_written_once_is_locked_again(book: Logbook, tarn: UUID, path: Path) -> None:
    def locks() -> list[tuple[str]]:
        with closing(sqlite3.connect(path)) as database:
            return database.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name").fetchall()

    before = locks()
    book.forget(tarn)
    assert locks() == before
    with closing(sqlite3.connect(path)) as database, pytest.raises(sqlite3.IntegrityError, match="never overwritten"):
        database.execute("DELETE FROM rep_set")


def test_a_file_that_somebody_writes_to_is_wiped_in_its_place(
    book: Logbook, tarn: UUID, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Logbook.open(path) as other, other._writing(""), book.hurried():
        assert not book.wipe()
    monkeypatch.setattr(book, "wipe", lambda: False)
    assert not book.forget(tarn).wiped
    with closing(sqlite3.connect(path)) as database:
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert NAME.encode() not in bytes_of(path)


def test_of_a_forgetting_that_breaks_off_nothing_is_done(
    book: Logbook, tarn: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    class PowerCut(BaseException):
        pass

    def cut(*_: object) -> None:
        raise PowerCut

    before = plain_dump(book), changes_of(book)
    monkeypatch.setattr("analysis.logbook.forgetting.tell_as_forgotten", cut)
    with pytest.raises(PowerCut):
        book.forget(tarn)
    assert (plain_dump(book), changes_of(book)) == before


def test_an_unknown_person_cannot_be_forgotten(book: Logbook) -> None:
    with pytest.raises(LogbookError, match="no trainee"):
        book.forget(uuid4())


def test_a_coach_that_has_all_of_it_forgets_too(book: Logbook, tarn: UUID, coach: Logbook, tmp_path: Path) -> None:
    give(book, coach)
    coach.say(tarn, Pain(said_utc_us=US + 9, day=DAY, now=3))
    book.forget(tarn)
    taken = give(book, coach)
    assert taken.told == (f"{NAME} was forgotten at rack-3, and here.",)
    assert [one.trainee.id for one in taken.forgotten] == [tarn]
    assert same(book, coach)
    assert plain_dump(coach) == plain_dump(book)
    assert NAME.encode() not in bytes_of(tmp_path / "coach.sqlite")


@pytest.mark.parametrize("had", [0, 1, 2, 5, 9, 14, 20])
def test_a_coach_that_has_a_part_of_it_or_nothing_forgets_too(
    book: Logbook, tarn: UUID, coach: Logbook, tmp_path: Path, had: int
) -> None:
    give(book, coach, changes_of(book)[:had])
    book.forget(tarn)
    assert [one.sequence for one in changes_of(book)] == list(range(1, book.stream().last + 1))
    assert give(book, coach).refused == 0
    assert plain_dump(coach) == plain_dump(book)
    assert NAME.encode() not in bytes_of(tmp_path / "coach.sqlite")


def test_old_events_do_not_bring_anybody_back(book: Logbook, tarn: UUID, coach: Logbook, tmp_path: Path) -> None:
    old = changes_of(book)
    give(book, coach)
    coach.forget(tarn)
    before = plain_dump(coach)
    assert coach.apply(book.stream().station, "another", old) == Taken(len(old), old[-1].at_utc_us)
    assert coach.apply(uuid4(), "a third", old[: len(old) // 2]).refused == 0
    assert plain_dump(coach) == before
    assert NAME.encode() not in bytes_of(tmp_path / "coach.sqlite")


def test_an_export_brings_nobody_back_unless_that_is_asked_for(book: Logbook, tarn: UUID) -> None:
    everybody, alone = plain_dump(book), plain_dump(book, [tarn])
    book.forget(tarn)
    with pytest.raises(LogbookError, match=f"{NAME} was forgotten here"):
        book.load(everybody)
    again = book.add_trainee(NAME)
    assert book.load(alone, as_trainee=again.id).sessions == 2
    assert len(book.sessions(again.id)) == 2


def test_what_another_station_has_of_a_person_is_not_this_one_s_to_remove(
    book: Logbook, tarn: UUID, coach: Logbook, tmp_path: Path
) -> None:
    with Logbook.open(tmp_path / "rack-4.sqlite") as other:
        give(book, other)  # so they know each other by the same identity
        other.keep_trainee(coach_knows := other.trainees()[1])
        mine = replace(session(5), session_id=uuid4())
        keep(other, mine, tarn)
        give(book, coach)
        coach.apply(other.stream().station, other.stream().epoch, changes_of(other), called="rack-4")
        book.forget(tarn)
        taken = give(book, coach)
        assert coach_knows.id == tarn
        assert taken.told == (
            f"{NAME} was forgotten at rack-3, and here. What came from elsewhere is kept: "
            f'rungwise forget "{NAME}" removes that too.',
        )
        assert [one.session_id for one in coach.sessions(tarn)] == [mine.session_id]
        assert not coach.was_forgotten(tarn)
        coach.forget(tarn)
    assert NAME.encode() not in bytes_of(tmp_path / "coach.sqlite")


def test_the_sets_of_others_stay_in_a_session_that_was_shared(full: Logbook, coach: Logbook, path: Path) -> None:
    people = by_name(full)
    ines, jonas = people["Ines"], people["Jonas"]
    before = full.sessions(jonas, with_reps=True)
    give(full, coach)
    found = full.forget(ines)
    assert len(found.shared) == 3  # one with a set of his, two of which one was given to him
    assert len(found.elsewhere) == 2
    after = {one.session_id: one for one in full.sessions(jonas, with_reps=True)}
    assert len(set(found.shared) & set(after)) == 2  # the third set joined a session of his own
    for was in before:
        if was.session_id not in found.elsewhere:
            now = after[was.session_id]
            assert now.sets == was.sets
            assert now.outcome == was.outcome
    assert all(after[one].recording == "" for one in found.shared if one in after)
    assert str(ines).encode() in bytes_of(path)  # alone: nothing else of her is
    assert [one.name for one in full.trainees()] == ["Jonas"]
    assert [one.name for one in full.histories()] == ["Jonas"]
    assert full.last_trainee() == full.trainees()[0]
    assert full.trainee(NOBODY.name) is None
    assert give(full, coach).refused == 0
    assert plain_dump(coach) == plain_dump(full)
    for one in full.sessions(jonas):
        assert coach.session(one.session_id) == full.session(one.session_id)


def test_a_coach_who_comes_later_gets_what_was_kept(full: Logbook, coach: Logbook) -> None:
    full.forget(by_name(full)["Ines"])
    assert give(full, coach).refused == 0
    assert plain_dump(coach) == plain_dump(full)


def test_a_set_given_to_a_forgotten_person_leaves_the_session_it_was_in(
    book: Logbook, tarn: UUID, ines: UUID, path: Path
) -> None:
    record = replace(session(7), session_id=uuid4())
    keep(book, record, ines)
    book.add_correction(given(record, tarn, into=None))
    found = book.forget(tarn)
    assert found.elsewhere == (record.session_id,)
    now = book.session(record.session_id)
    assert now is not None
    assert [one.start_s for one in now.sets] == [record.sets[0].start_s, record.sets[2].start_s]
    assert book.corrections(record.session_id) == ()
    assert bytes_of(path).count(str(tarn).encode()) == 2  # the row that keeps it, and its index


@pytest.mark.parametrize("also_dropped", [False, True])
def test_a_set_that_was_given_leaves_a_coach_who_was_not_told_so_in_time(
    book: Logbook, tarn: UUID, ines: UUID, coach: Logbook, also_dropped: bool
) -> None:
    """What said whose the set was is gone before it was sent: the coach has it as that of whose session it was in."""
    record, other = (replace(session(number), session_id=uuid4()) for number in (7, 8))
    keep(book, record, ines)
    keep(book, other, ines)
    give(book, coach)
    before = coach.session(other.session_id)
    if also_dropped:
        book.add_correction(dropped(record))
    book.add_correction(given(record, tarn, into=None))
    book.forget(tarn)
    for _ in range(2):
        assert give(book, coach).refused == 0
        assert plain_dump(coach) == plain_dump(book)
        assert coach.session(record.session_id) == book.session(record.session_id)
        assert coach.session(other.session_id) == before
        book.new_epoch()  # all is told once more, and changes nothing


def test_what_is_left_is_told_by_the_station_of_the_session_alone(book: Logbook, ines: UUID, coach: Logbook) -> None:
    record = replace(session(7), session_id=uuid4())
    keep(book, record, ines)
    give(book, coach)
    before = plain_dump(coach)
    row = {"session": str(record.session_id), "owner": str(ines), "runs": [[]]}
    said = Change(1, "left", record.session_id, US, 0, {"epoch": "another", "change": "left", "row": row})
    assert coach.apply(uuid4(), "another", [said]).refused == 1
    assert plain_dump(coach) == before
