"""Who trains: names, and who was last."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from analysis.logbook.book import Logbook, LogbookError
from analysis.logbook.people import newcomer
from analysis.training.ladder import Position
from analysis.training.records import SessionRecord
from analysis.training.rungs import default_ladder
from tests.analysis.logbook.keeping import begin, keep
from tests.analysis.training.builders import make_session

MONDAY = date(2026, 3, 2)


def met(day: date) -> SessionRecord:
    return make_session(day, default_ladder(), Position(0, 0))


def test_people_are_found_by_name_whatever_its_case(book: Logbook) -> None:
    jonas, edith = book.add_trainee("  Jonas  Weiß "), book.add_trainee("Édith")
    assert jonas.name == "Jonas Weiß"
    assert book.trainee("jonas WEISS") == jonas
    assert book.trainee("E\u0301dith") == edith  # the same letter, composed otherwise
    assert book.trainee("Anna") is None
    assert book.trainees() == (jonas, edith)
    with pytest.raises(LogbookError, match="already"):
        book.add_trainee("JONAS weiß")
    with pytest.raises(LogbookError, match="needs a name"):
        book.add_trainee("  ")


def test_the_last_trainee_is_who_trained_last_else_who_came_last(book: Logbook) -> None:
    assert book.last_trainee() is None
    first, second, third = (book.add_trainee(name) for name in ("Ines", "Jonas", "Anna"))
    assert book.last_trainee() == third
    keep(book, met(MONDAY), second.id)
    keep(book, met(MONDAY - timedelta(days=3)), first.id)
    begin(book, met(MONDAY + timedelta(days=9)), third.id, demo=True)
    assert book.last_trainee() == second


def test_a_newcomer_is_nobody_before_being_kept_and_once_afterwards(book: Logbook) -> None:
    ines = newcomer("  Ines ")
    assert (ines.name, book.trainees()) == ("Ines", ())
    book.keep_trainee(ines)
    book.keep_trainee(ines)
    assert book.trainees() == (ines,)
    with pytest.raises(LogbookError, match="Ines is in the logbook already"):
        book.keep_trainee(newcomer("Ines"))
    with pytest.raises(LogbookError, match="needs a name"):
        newcomer(" ")
