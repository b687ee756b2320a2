"""The logbook: one file, kept for years.

Opened as a context manager; every method is one transaction, so what was recorded before a crash is there after it.
"""

from __future__ import annotations

from uuid import UUID

from analysis.logbook.base import trainee_id_of
from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.exchange import Exchange
from analysis.logbook.notes import Notes, statements_by
from analysis.logbook.outlines import in_one_go, outlines
from analysis.logbook.people import People
from analysis.logbook.sessions import Sessions
from analysis.logbook.whole import Whole
from analysis.training.records import History

__all__ = ["Logbook", "LogbookError"]


class Logbook(People, Sessions, Notes, Whole, Exchange):
    """What was done, by whom, what was said and proposed. Make one with :meth:`open`."""

    def history(self, trainee: UUID) -> History:
        """Return all that a trainee's next session rests on; without the reps of the sets."""
        return History(self.sessions(trainee), self.statements(trainee))

    def histories(self) -> dict[Trainee, History]:
        """Return the same of everybody, by name: one reading for all."""
        people = self.trainees()
        with in_one_go(), self._reading() as connection:
            numbers = {trainee_id_of(connection, one.id): one.id for one in people}
            sessions = outlines(connection, self._reading, numbers)
            said = statements_by(connection, numbers)
        of = {uuid: History(sessions[number], said[number]) for number, uuid in numbers.items()}
        return {one: of[one.id] for one in people}
