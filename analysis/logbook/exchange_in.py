"""Reading `rungwise.export/1` back: what is not here yet is added."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Table, insert, select

from analysis.logbook.base import new_id, station_id_of
from analysis.logbook.change_tables import forgotten
from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.exchange_forms import EXPORT_FORMAT, listed, taken, uuid_in
from analysis.logbook.note_rows import STATEMENT, correction_of, proposal_of, statement_of
from analysis.logbook.outlines import settle, unsettle
from analysis.logbook.people import insert_trainee, name_key
from analysis.logbook.queries import session_found, session_with
from analysis.logbook.schema import REVISIONS, analysis_run, correction, next_session, rep, rep_set, session, statement
from analysis.logbook.schema import trainee as trainee_table
from analysis.training.corrections import Act
from analysis.training.statements import Statement


@dataclass(frozen=True, slots=True)
class Added:
    """How much was new to the logbook, and how many sessions were there already."""

    trainees: int = 0
    sessions: int = 0
    known_sessions: int = 0
    corrections: int = 0
    statements: int = 0
    proposals: int = 0


class Incoming:
    """One document on its way into an open transaction.

    Parameters
    ----------
    connection
        Writes; the caller ends the transaction.
    document
        As `Exchange.dump` gives it.
    as_trainee
        Whose everything is, instead of the one trainee of the document.
    """

    def __init__(self, connection: Connection, document: Any, as_trainee: UUID | None) -> None:
        self._connection = connection
        self._document = _checked(document)
        self._as_trainee = as_trainee
        self._people: dict[str, int] = {}
        self._count = dict.fromkeys(("trainees", "sessions", "known_sessions", "corrections", "statements"), 0)
        self._count["proposals"] = 0

    def add(self) -> Added:
        """Add what is not here yet, and read it back as the program will."""
        self._add_people()
        for number, one in enumerate(listed(self._document, "sessions", "export")):
            self._add_session(one, f"sessions[{number}]")
        for number, one in enumerate(listed(self._document, "statements", "export")):
            self._add_statement(one, f"statements[{number}]")
        for number, one in enumerate(listed(self._document, "proposals", "export")):
            self._add_proposal(one, f"proposals[{number}]")
        return Added(**self._count)

    def _add_people(self) -> None:
        people = listed(self._document, "trainees", "export")
        if self._as_trainee and len(people) != 1:
            raise LogbookError(
                f"The file is of {len(people)} people: leave out --trainee, or export one of them alone."
            )
        for number, one in enumerate(people):
            where = f"trainees[{number}]"
            uuid = uuid_in(one, "uuid", where)
            name = one.get("name")
            if not isinstance(name, str) or not name.strip():
                raise LogbookError(f"{where}.name: a name is needed here.")
            self._people[str(uuid)] = self._person(self._as_trainee or uuid, name)

    def _person(self, uuid: UUID, name: str) -> int:
        known = self._number(trainee_table, uuid)
        if known is not None:
            return known
        if self._connection.execute(select(forgotten.c.id).where(forgotten.c.uuid == str(uuid))).first() is not None:
            raise LogbookError(
                f"{name} was forgotten here, and comes back only as somebody new: add the name, export {name} alone "
                f'and import that with --trainee "{name}".'
            )
        same = select(trainee_table.c.id).where(trainee_table.c.name_key == name_key(name))
        if self._connection.execute(same).first() is not None:
            raise LogbookError(
                f"{name} is here already as somebody else, with a log of their own. To add the sessions to it, "
                f'export {name} alone and import that with --trainee "{name}".'
            )
        self._count["trainees"] += 1
        return insert_trainee(self._connection, Trainee(uuid, name))

    def _add_session(self, found: Any, where: str) -> None:
        values = taken(session, found, where)
        uuid = uuid_in(found, "uuid", where)
        owner = self._of_person(found, where)
        number = self._number(session, uuid)
        if number is None:
            station = station_id_of(self._connection, uuid_in(found, "station", where))
            number = new_id(self._connection, insert(session).values(**values, trainee_id=owner, station_id=station))
            for order, run in enumerate(listed(found, "runs", where)):
                self._add_run(number, run, f"{where}.runs[{order}]")
            self._count["sessions"] += 1
        else:
            self._count["known_sessions"] += 1
        self._add_corrections(number, uuid, found, where)
        self._read_back(number, uuid, where)

    def _add_run(self, session_number: int, found: Any, where: str) -> None:
        values = taken(analysis_run, found, where)
        run = new_id(self._connection, insert(analysis_run).values(**values, session_id=session_number))
        for order, one in enumerate(listed(found, "sets", where)):
            here = f"{where}.sets[{order}]"
            owner = self._of_person(one, here)
            row = insert(rep_set).values(**taken(rep_set, one, here), run_id=run, trainee_id=owner)
            number = new_id(self._connection, row)
            insert_reps(self._connection, number, listed(one, "reps", here), here)

    def _add_corrections(self, number: int, session_uuid: UUID, found: Any, where: str) -> None:
        for order, one in enumerate(listed(found, "corrections", where)):
            here = f"{where}.corrections[{order}]"
            if self._number(correction, uuid_in(one, "uuid", here)) is None:
                values = taken(correction, one, here)
                if values["kind"] == Act.GIVE.value:
                    receiver = self._receiver(values["value"], f"{here}.value")
                    values["value"] = {**values["value"], "trainee": receiver}
                made = new_id(self._connection, insert(correction).values(**values, session_id=number))
                self._valid(lambda row: correction_of(row, session_uuid), correction, made, here)
                self._count["corrections"] += 1

    def _add_statement(self, found: Any, where: str) -> None:
        uuid = uuid_in(found, "uuid", where)
        if self._number(statement, uuid) is None:
            owner = self._of_person(found, where)
            values = taken(statement, found, where)
            number = new_id(self._connection, insert(statement).values(**values, trainee_id=owner))
            with_place(lambda: read_statement(self._connection, number), where)
            self._count["statements"] += 1

    def _add_proposal(self, found: Any, where: str) -> None:
        owner, values = self._of_person(found, where), taken(next_session, found, where)
        after = found.get("after_session")
        values["after_session_id"] = (
            None if after is None else self._number(session, uuid_in(found, "after_session", where))
        )
        same = (next_session.c.trainee_id == owner, next_session.c.made_utc_us == values["made_utc_us"])
        if self._connection.execute(select(next_session.c.id).where(*same)).first() is None:
            number = new_id(self._connection, insert(next_session).values(**values, trainee_id=owner))
            self._valid(proposal_of, next_session, number, where)
            self._count["proposals"] += 1

    def _read_back(self, number: int, uuid: UUID, where: str) -> None:
        """Read a session as the program will, with its corrections and as measured."""
        with_place(lambda: (session_with(self._connection, uuid), session_found(self._connection, uuid, None)), where)
        settle_anew(self._connection, number, uuid, where)

    def _valid(self, read: Any, table: Table, number: int, where: str) -> None:
        row = self._connection.execute(select(table).where(table.c.id == number)).one()
        with_place(lambda: read(row), where)

    def _of_person(self, found: Any, where: str) -> int:
        uuid = uuid_in(found, "trainee", where)
        if str(uuid) not in self._people:
            raise LogbookError(f"{where}.trainee: {uuid} is none of the trainees of this file.")
        return self._people[str(uuid)]

    def _receiver(self, found: Any, where: str) -> str:
        """Return the UUID that a person of the document, to whom a set is given, has here."""
        number = self._of_person(found, where)
        row = select(trainee_table.c.uuid).where(trainee_table.c.id == number)
        return str(self._connection.execute(row).scalar_one())

    def _number(self, table: Table, uuid: UUID) -> int | None:
        return self._connection.execute(select(table.c.id).where(table.c.uuid == str(uuid))).scalar()


def with_place(read: Any, where: str) -> None:
    """Read something back; what is wrong with it is told with its place in the document."""
    try:
        read()
    except (LogbookError, ValueError, KeyError, TypeError) as problem:
        raise LogbookError(f"{where}: this is not what Rungwise writes ({problem}).") from problem


def insert_reps(connection: Connection, set_number: int, found: list[Any], where: str) -> None:
    """Write the reps of a set as a document has them."""
    reps = [taken(rep, each, f"{where}.reps[{number}]") for number, each in enumerate(found)]
    if reps:
        every = dict.fromkeys(name for each in reps for name in each)
        connection.execute(insert(rep), [{**every, **each, "set_id": set_number} for each in reps])


def settle_anew(connection: Connection, number: int, uuid: UUID, where: str) -> None:
    """Read a session as the program will, and keep how many sets answer for it now."""
    row = connection.execute(select(session).where(session.c.id == number)).one()
    if row.ended_utc_us is None or row.outcome is None:
        with_place(lambda: session_with(connection, uuid, with_reps=False), where)
        unsettle(connection, number)
    else:
        with_place(lambda: settle(connection, number, uuid), where)


def read_statement(connection: Connection, number: int) -> Statement:
    """Read a statement as the program will."""
    row = connection.execute(select(*STATEMENT).where(statement.c.id == number)).one()
    return statement_of(*row[1:])


def _checked(document: Any) -> Mapping[str, Any]:
    if not isinstance(document, Mapping) or document.get("format") != EXPORT_FORMAT:
        found = document.get("format") if isinstance(document, Mapping) else None
        raise LogbookError(f"This is no {EXPORT_FORMAT} (its format is {found!r}). Export it anew, or update Rungwise.")
    if document.get("form") not in REVISIONS:
        raise LogbookError(
            f"It was exported by a newer Rungwise (form {document.get('form')}; this one knows forms up to "
            f"{REVISIONS[-1]}). Update Rungwise."
        )
    return document


def counts(things: Iterable[tuple[str, int]]) -> str:
    """Return counts in words: "2 sessions, 1 statement"."""
    return ", ".join(f"{number} {name if number != 1 else name.removesuffix('s')}" for name, number in things if number)
