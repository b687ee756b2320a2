"""What people say is kept as they said it."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest

from analysis.logbook.book import Logbook, LogbookError
from analysis.training.ladder import Position
from analysis.training.plan import default_plan
from analysis.training.progression import next_session
from analysis.training.statements import Form, Note, Pain, Placement, Question, Release, Role, Signs, Statement
from tests.analysis.logbook.keeping import keep
from tests.analysis.training.builders import make_session, utc_us

PLAN = default_plan()
MONDAY = date(2026, 3, 2)


def test_what_was_said_is_kept_as_it_was_said_and_in_its_order(book: Logbook, ines: UUID) -> None:
    at = utc_us(MONDAY, 9)
    said: list[Statement] = [
        Pain(said_utc_us=at, day=MONDAY, now=2, worst=4, sharp=True, where="left elbow"),
        Signs(said_utc_us=at + 1, day=MONDAY, any=True),
        Release(said_utc_us=at + 2, day=MONDAY, role=Role.CLINICIAN, by="Dr. Ost"),
        Placement(said_utc_us=at + 3, day=MONDAY, rung="box", by="Ada", step=1, why="rows are solid"),
        Form(said_utc_us=at + 4, day=MONDAY, question=Question.BACK, yes=False, by="Ines", self_seen=True),
        Note(said_utc_us=at + 5, day=MONDAY, session=str(uuid4()), at_s=21.5, text="elbows wide", by="Ada"),
    ]
    for one in reversed(said):
        book.say(ines, one)
    assert book.statements(ines) == tuple(said)
    twice = uuid4()
    for _ in range(2):
        book.say(ines, said[0], statement_id=twice)
    assert len(book.statements(ines)) == len(said) + 1
    with pytest.raises(LogbookError), book._writing("") as connection:
        connection.exec_driver_sql("DELETE FROM statement")


def test_seven_weeks_in_the_log_lead_from_ninety_to_sixty(book: Logbook, ines: UUID) -> None:
    # common practice, no source: 90, 85, … 60 s, one step a week of two sessions
    rests = []
    for week in range(7):
        for extra in (0, 3):
            day = MONDAY + timedelta(weeks=week, days=extra)
            asked = next_session(book.history(ines), PLAN, day)
            keep(book, make_session(day, PLAN.ladder, Position(1, asked.step - 1)), ines)
        rests.append(asked.prescription.rest_s)
    assert rests == [90, 85, 80, 75, 70, 65, 60]
    eighth = MONDAY + timedelta(weeks=7)
    assert next_session(book.history(ines), PLAN, eighth).rung == "feet-on-floor"
    for question in Question:
        book.say(ines, Form(said_utc_us=utc_us(eighth, 9), day=eighth, question=question, yes=True, by="Ada"))
    assert next_session(book.history(ines), PLAN, eighth).rung == "heels-raised"
