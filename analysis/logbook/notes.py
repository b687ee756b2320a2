"""What people say, beside and against what was measured, and what was proposed to them."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID, uuid4

from sqlalchemy import Connection, insert, select, update

from analysis.logbook.base import OpenFile, session_id_of, trainee_id_of
from analysis.logbook.codec import to_json
from analysis.logbook.note_rows import (
    STATEMENT,
    correction_of,
    correction_values,
    proposal_of,
    proposal_values,
    statement_of,
    statement_values,
)
from analysis.logbook.schema import correction, next_session, session, statement
from analysis.training.corrections import Correction
from analysis.training.prescription import Prescription
from analysis.training.progression import NextSession
from analysis.training.statements import Statement


class Notes(OpenFile):
    """The part of the logbook about statements, corrections and proposals."""

    def note_asked(self, session_id: UUID, prescription: Prescription) -> None:
        """Keep what is asked of a session with what a coach changed of it (`Prescription.changes`)."""
        with self._writing("") as connection:
            number = session_id_of(connection, session_id)
            changed = update(session).where(session.c.id == number).values(prescription=to_json(prescription))
            connection.execute(changed)

    def add_correction(self, made: Correction) -> None:
        """Keep what a person says beside what was measured; one that is there already is not kept twice."""
        with self._writing("A correction ends before it begins. Give start and end in this order.") as connection:
            number = session_id_of(connection, made.session_id)
            if connection.execute(select(correction.c.id).where(correction.c.uuid == str(made.id))).first() is None:
                connection.execute(insert(correction).values(session_id=number, **correction_values(made)))

    def corrections(self, session_id: UUID) -> tuple[Correction, ...]:
        """Return the corrections of a session, oldest first."""
        with self._reading() as connection:
            number = session_id_of(connection, session_id)
            rows = connection.execute(
                select(correction).where(correction.c.session_id == number).order_by(correction.c.id)
            )
            return tuple(correction_of(row, session_id) for row in rows)

    def say(self, trainee: UUID, said: Statement, *, statement_id: UUID | None = None) -> None:
        """Keep what a person said, for good; with the id of an imported one nothing is kept twice."""
        with self._writing("") as connection:
            insert_statement(connection, trainee_id_of(connection, trainee), said, statement_id)

    def statements(self, trainee: UUID) -> tuple[Statement, ...]:
        """Return what was said of a trainee, oldest first."""
        with self._reading() as connection:
            number = trainee_id_of(connection, trainee)
            return statements_by(connection, [number])[number]

    def record_next(
        self, trainee: UUID, proposal: NextSession, *, made_utc_us: int, after_session: UUID | None = None
    ) -> None:
        """Keep what was proposed, with its reasons."""
        with self._writing("") as connection:
            after = None if after_session is None else session_id_of(connection, after_session)
            connection.execute(
                insert(next_session).values(
                    trainee_id=trainee_id_of(connection, trainee),
                    after_session_id=after,
                    made_utc_us=made_utc_us,
                    **proposal_values(proposal),
                )
            )

    def proposals(self, trainee: UUID) -> tuple[NextSession, ...]:
        """Return what was proposed to a trainee, oldest first."""
        with self._reading() as connection:
            number = trainee_id_of(connection, trainee)
            rows = connection.execute(
                select(next_session).where(next_session.c.trainee_id == number).order_by(next_session.c.id)
            )
            return tuple(proposal_of(row) for row in rows)


def insert_statement(connection: Connection, trainee: int, said: Statement, statement_id: UUID | None = None) -> None:
    """Write what was said of the trainee of that number; nothing where a statement of that id is there."""
    uuid = str(statement_id or uuid4())
    if connection.execute(select(statement.c.id).where(statement.c.uuid == uuid)).first() is None:
        connection.execute(insert(statement).values(uuid=uuid, trainee_id=trainee, **statement_values(said)))


def statements_by(connection: Connection, numbers: Iterable[int]) -> dict[int, tuple[Statement, ...]]:
    """Return what was said of each of these trainees, oldest first."""
    said: dict[int, list[Statement]] = {number: [] for number in numbers}
    asked = select(*STATEMENT).where(statement.c.trainee_id.in_(list(said)))
    ordered = asked.order_by(statement.c.trainee_id, statement.c.said_utc_us, statement.c.id)
    for number, kind, value, day, said_utc_us in connection.execute(ordered):
        said[number].append(statement_of(kind, value, day, said_utc_us))
    return {number: tuple(those) for number, those in said.items()}
