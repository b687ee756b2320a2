"""What another logbook tells is here once, in its order, whole, and as it is there."""

from __future__ import annotations

import random
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.logbook.inbox import AT_ONCE, Mark, Taken
from analysis.training.statements import Pain
from tests.analysis.logbook.keeping import answer, begin, keep
from tests.analysis.logbook.telling import NAME, changes_of, give, plain_dump, same
from tests.analysis.logbook.test_logbook_exchange import DAY, US, everything, full
from tests.analysis.logbook.test_logbook_outlines import dropped, session

__all__ = ["full"]


@pytest.fixture
def coach(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "coach.sqlite") as opened:
        yield opened


def all_of(book: Logbook) -> Taken:
    last = changes_of(book)[-1]
    return Taken(last.sequence, last.at_utc_us)


def test_all_that_a_station_wrote_is_the_same_at_the_coach(full: Logbook, coach: Logbook) -> None:
    taken = give(full, coach)
    assert taken == all_of(full)
    assert same(full, coach)
    assert everything(coach) == everything(full)
    assert coach.mark(full.stream().station) == Mark(full.stream().epoch, taken.through, taken.noted_utc_us)


def test_nothing_of_it_is_told_on(full: Logbook, coach: Logbook) -> None:
    coach.station()
    give(full, coach)
    assert coach.stream().last == 0
    mine = coach.trainees()[0]
    coach.say(mine.id, Pain(said_utc_us=US, day=DAY, now=1))
    assert [one.kind for one in changes_of(coach)] == ["statement"]


def test_in_any_order_and_many_times_each_is_applied_once(full: Logbook, coach: Logbook) -> None:
    every = changes_of(full)
    chance = random.Random(7)
    through = 0
    while through < len(every):
        window = every[max(0, through - 5) : through + 12]
        came = chance.choices(window, k=2 * len(window))
        chance.shuffle(came)
        now = give(full, coach, came).through
        assert now >= through
        held = {one.sequence for one in came} | set(range(1, through + 1))
        assert now == next(n for n in range(len(every) + 1) if n + 1 not in held)
        through = now
    assert same(full, coach)
    assert coach.refusals() == ()


def test_a_hole_stops_it_and_nothing_behind_it_is_written(full: Logbook, coach: Logbook) -> None:
    every = changes_of(full)
    assert give(full, coach, every[1:]) == Taken(0, 0)
    assert coach.mark(full.stream().station) == Mark()
    assert give(full, coach, every[:4] + every[5:]) == Taken(4, every[3].at_utc_us)
    before = plain_dump(coach)
    assert give(full, coach, every[6:]) == Taken(4, every[3].at_utc_us)
    assert plain_dump(coach) == before


def test_a_copy_that_was_put_back_and_went_on_is_not_mixed_with_what_is_known(coach: Logbook, tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "rack.sqlite") as rack:
        mara = rack.add_trainee("Mara Lindt")
        keep(rack, session(0), mara.id)
    shutil.copyfile(tmp_path / "rack.sqlite", tmp_path / "older.sqlite")
    with Logbook.open(tmp_path / "rack.sqlite") as rack:
        keep(rack, session(1), mara.id)
        give(rack, coach)
        known, mark = plain_dump(coach), coach.mark(rack.stream().station)
    with Logbook.open(tmp_path / "older.sqlite") as back:
        for number in (2, 3):
            keep(back, session(number), mara.id)
        assert back.stream().epoch == mark.epoch
        assert back.stream().last > mark.through
        assert give(back, coach) == Taken(mark.through, mark.noted_utc_us)
        assert plain_dump(coach) == known
        back.new_epoch()
        give(back, coach)
        assert coach.mark(back.stream().station).through == back.stream().last


def test_another_epoch_begins_at_one_and_changes_nothing(full: Logbook, coach: Logbook) -> None:
    old = full.stream().epoch
    every = changes_of(full)
    give(full, coach)
    before = plain_dump(coach)
    full.new_epoch()
    for some in (every[:40], every[40:]):
        give(full, coach, some)
    assert plain_dump(coach) == before
    assert coach.mark(full.stream().station) == Mark(full.stream().epoch, len(every), every[-1].at_utc_us)
    # what is still on its way from the history before takes nothing back
    assert coach.apply(full.stream().station, old, every[5:9]) == Taken(len(every), every[-1].at_utc_us)
    assert coach.mark(full.stream().station) == Mark(full.stream().epoch, len(every), every[-1].at_utc_us)
    assert coach.refusals() == ()


def test_it_goes_on_where_it_was_after_the_file_was_closed(full: Logbook, tmp_path: Path) -> None:
    every = changes_of(full)
    for start in range(0, len(every), 37):
        with Logbook.open(tmp_path / "coach.sqlite") as coach:
            assert give(full, coach, every[start : start + 37]).through == min(start + 37, len(every))
    with Logbook.open(tmp_path / "coach.sqlite") as coach:
        assert same(full, coach)


def test_what_breaks_within_a_batch_takes_all_of_it_back(
    full: Logbook, coach: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    class PowerCut(BaseException):
        pass

    def cut(*_: object) -> None:
        raise PowerCut

    give(full, coach, changes_of(full)[:7])
    before = plain_dump(coach)
    with monkeypatch.context() as patch:
        patch.setattr("analysis.logbook.inbox._keep_mark", cut)
        with pytest.raises(PowerCut):
            give(full, coach)
    assert plain_dump(coach) == before
    assert coach.mark(full.stream().station).through == 7
    give(full, coach)
    assert same(full, coach)
    assert full.stream().last > AT_ONCE


def test_a_session_follows_what_the_station_says_of_it_later(book: Logbook, ines: UUID, coach: Logbook) -> None:
    record = session(0)
    begin(book, record, ines)
    run = answer(book, record, record.sets[:1], RunKind.LIVE)
    give(book, coach)
    assert same(book, coach)
    book.note_clock(run, clock_ratio=1.001, clock_sd_ppm=4.0)
    answer(book, record, record.sets)
    assert record.ended_utc_us is not None
    book.finish_session(record.session_id, record.ended_utc_us, record.verdict)
    book.note_session(record.session_id, rpe=8, minutes=30.0, note="Regen")
    give(book, coach)
    assert same(book, coach)
    assert coach.history(ines) == book.history(ines)


def test_what_the_coach_said_stays_beside_what_the_station_says(book: Logbook, ines: UUID, coach: Logbook) -> None:
    record = session(0)
    keep(book, record, ines)
    give(book, coach)
    made = dropped(record)
    coach.add_correction(made)
    coach.note_session(record.session_id, rpe=3)
    book.note_session(record.session_id, rpe=8)
    give(book, coach)
    told = coach.session(record.session_id)
    assert told is not None
    assert told.rpe == 8
    assert coach.corrections(record.session_id) == (made,)
    assert [one.kind for one in changes_of(coach)] == ["correction", "session"]


def test_a_session_of_another_station_is_not_changed_by_this_one(book: Logbook, ines: UUID, coach: Logbook) -> None:
    record = session(0)
    keep(book, record, ines)
    give(book, coach)
    before = plain_dump(coach)
    false = [replace(one, sequence=n) for n, one in enumerate(changes_of(book), start=1)]
    for one in false:
        if one.kind == "session":
            one.data["row"] |= {"rpe": 10, "note": "false"}
        if one.kind == "set":
            one.data["row"] |= {"start_s": one.data["row"]["start_s"] + 0.5}
    taken = coach.apply(uuid4(), str(uuid4()), false, called="rack-9")
    assert taken.through == len(false)
    assert taken.refused == len(record.sets)
    assert all("belongs to another station" in one.why for one in coach.refusals())
    assert plain_dump(coach) == before


def test_its_own_words_coming_back_change_nothing(book: Logbook, ines: UUID) -> None:
    keep(book, session(0), ines)
    before = plain_dump(book), book.stream()
    assert give(book, book, changes_of(book)).through == book.stream().last
    assert (plain_dump(book), book.stream()) == before


def test_somebody_else_of_that_name_is_kept_apart_and_told(book: Logbook, ines: UUID, coach: Logbook) -> None:
    hers = coach.add_trainee("INES")
    keep(book, session(0), ines)
    taken = give(book, coach)
    assert taken.told == (
        f"Ines is here already as somebody else, so the one of {NAME} is kept apart as Ines ({NAME}).",
    )
    assert {one.name: one.id for one in coach.trainees()} == {"INES": hers.id, f"Ines ({NAME})": ines}
    assert coach.sessions(hers.id) == ()
    assert coach.sessions(ines, with_reps=True) == book.sessions(ines, with_reps=True)
    book.new_epoch()
    assert give(book, coach).told == ()
    third = coach.apply(uuid4(), "e", [replace(changes_of(book)[0], sequence=1)], called=NAME)
    assert (third.through, third.refused) == (1, 0)  # the same person, of another station


def test_a_third_of_that_name_gets_a_name_too(book: Logbook, coach: Logbook, tmp_path: Path) -> None:
    for number in range(3):
        with Logbook.open(tmp_path / f"{number}.sqlite") as one:
            one.add_trainee("Jonas Reiter")
            give(one, coach)
    names = [one.name for one in coach.trainees()]
    assert names == ["Jonas Reiter", f"Jonas Reiter ({NAME})", f"Jonas Reiter ({NAME}, 2)"]


def test_plans_travel_too(book: Logbook, ines: UUID, coach: Logbook) -> None:
    book.note_plan(ines, "a = 1", noted_utc_us=US)
    book.note_plan(ines, "a = 2", noted_utc_us=US + 1)
    give(book, coach)
    assert coach.noted_plan(ines) == "a = 2"


def test_what_was_imported_before_is_not_there_twice(full: Logbook, coach: Logbook) -> None:
    coach.load(plain_dump(full))
    before = plain_dump(coach)
    assert give(full, coach) == all_of(full)
    assert plain_dump(coach) == before
    record = full.sessions(full.trainees()[0].id)[0]
    full.note_session(record.session_id, rpe=9)
    answer(full, record, full.sessions(full.trainees()[0].id, with_reps=True)[0].sets, RunKind.REANALYSIS)
    give(full, coach)
    assert same(full, coach)
