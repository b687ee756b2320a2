"""Weeks of invented sessions in a logbook of their own: two recruits of a mountain-rescue team."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid5

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.training.judge import judge_session, judge_set
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.records import SessionRecord, SetRecord, Source
from tests.analysis.training.builders import SPACE, make_session
from tui.home import Home

JONAS, INES = "Jonas Reiter", "Ines Falk"
FIRST = date(2026, 1, 12)
"""A Monday."""
TODAY = date(2026, 3, 3)
RUNG = 1
STEPS = (0, 0, 1, 1, 2, 2, 2, 2, 3, 3, 4, 4, 5, 5)
MISSED = 4
"""In this session, from 0, the last set ended early."""


def past_weeks(folder: Path) -> tuple[Home, Logbook]:
    """Return a home whose logbook holds Jonas's seven weeks, and Ines before her first session.

    Whoever calls closes the logbook.
    """
    home = Home(folder)
    book = Logbook.open(home.logbook)
    jonas = book.add_trainee(JONAS)
    book.add_trainee(INES)
    for number, step in enumerate(STEPS):
        day = FIRST + timedelta(days=7 * (number // 2) + 3 * (number % 2))
        keep(book, replace(session(number, step, day), trainee=jonas.id))
    return home, book


def session(number: int, step: int, day: date) -> SessionRecord:
    """Return one of the sessions: a little quicker from week to week, tiring within a set, its rests a little long.

    The last reps of the missed one are hurried on the way down.
    """
    ladder = default_plan().ladder
    counts = (15, 15, 12) if number == MISSED else (15, 15, 15)
    rest_s = ladder.rungs[RUNG].steps[step].rest_s + number % 3
    made = make_session(day, ladder, Position(RUNG, step), counts=counts, rest_s=rest_s)
    sets = tuple(_moved(one, number, made) for one in made.sets)
    verdict = judge_session([one.verdict for one in sets], made.prescription)
    return replace(made, session_id=uuid5(SPACE, f"past {number}"), sets=sets, verdict=verdict)


def _moved(done: SetRecord, number: int, made: SessionRecord) -> SetRecord:
    reps = []
    for index, rep in enumerate(done.reps):
        tired = 1 - 0.012 * index
        speed = (0.36 + 0.006 * number + 0.01 * (number % 2)) * tired
        hurried_s = 0.6 if number == MISSED and index > 9 else 0.0
        moved = replace(
            rep, travel_m=0.42 * tired + 0.004 * (number % 3), mean_velocity_m_s=speed, mean_velocity_sd_m_s=0.015
        )
        reps.append(replace(moved, end_s=rep.end_s - hurried_s))
    verdict = judge_set(reps, made.prescription, rest_before_s=done.rest_before_s, measured=True)
    return replace(done, reps=tuple(reps), verdict=verdict)


def keep(book: Logbook, record: SessionRecord, *, seen_by: str = "") -> None:
    """Write a session; `seen_by` is who watched one that was typed in."""
    book.start_session(
        session_id=record.session_id,
        trainee=record.trainee,
        station=book.station(),
        started_utc_us=record.started_utc_us,
        prescription=record.prescription,
        mount=record.mount,
        sensor=record.sensor,
        recording=record.recording,
        rung=record.rung,
        day=record.day,
        source=Source.TYPED if seen_by else record.source,
        seen_by=seen_by,
    )
    run = book.start_run(record.session_id, kind=RunKind.REFINED, version="0.1.0", parameters_sha="abc")
    for one in record.sets:
        book.record_set(record.session_id, run, one)
    assert record.ended_utc_us is not None
    book.finish_session(record.session_id, record.ended_utc_us, record.verdict)
