"""The logbook: one file, kept for years.

Opened as a context manager; every method is one transaction, so what was recorded before a crash is there after it.
"""

from __future__ import annotations

from uuid import UUID

from analysis.logbook.changes import Outbox
from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.exchange import Exchange
from analysis.logbook.inbox import Inbox
from analysis.logbook.notes import Notes, statements_by
from analysis.logbook.outlines import in_one_go, outlines
from analysis.logbook.people import everybody
from analysis.logbook.rows import trainee_of
from analysis.logbook.sessions import Sessions
from analysis.logbook.whole import Whole
from analysis.training.records import History

__all__ = ["Logbook", "LogbookError"]


class Logbook(Outbox, Inbox, Sessions, Notes, Whole, Exchange):
    """What was done, by whom, what was said and proposed. Make one with :meth:`open`."""

    def history(self, person: UUID) -> History:
        """Return all that a trainee's next session rests on; without the reps of the sets."""
        return History(self.sessions(person), self.statements(person))

    def histories(self) -> dict[Trainee, History]:
        """Return the same of everybody, by name: one reading for all."""
        with in_one_go(), self._reading() as connection:
            people = {row.id: trainee_of(row) for row in connection.execute(everybody())}
            sessions = outlines(connection, self._reading, {number: one.id for number, one in people.items()})
            said = statements_by(connection, people)
        return {one: History(sessions[number], said[number]) for number, one in people.items()}
