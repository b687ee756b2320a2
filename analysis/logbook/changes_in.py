"""Taking in what another logbook tells: what is not here yet is added, what it owns is brought up to date.

A change is either known, done as a whole, or refused as a whole. It rests on those before it only by what it names.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Table, insert, select, update

from analysis.logbook.base import new_id, station_id_of
from analysis.logbook.change_tables import LEFT, arrived, forgotten, plan_text
from analysis.logbook.changes_out import rows_as_told
from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.exchange_forms import check_texts, listed, ordinal_in, same_row, taken, uuid_in
from analysis.logbook.exchange_in import insert_reps, read_statement, settle_anew, with_place
from analysis.logbook.forgetting import Forgotten, forget_what_came_from
from analysis.logbook.forgetting_rows import keep_what_is_left
from analysis.logbook.note_rows import correction_of, proposal_of
from analysis.logbook.people import NOBODY, free_name, insert_trainee, name_key
from analysis.logbook.queries import one_set
from analysis.logbook.schema import analysis_run, correction, next_session, rep_set, session, statement, trainee
from analysis.training.corrections import Act

Row = Mapping[str, Any]
LONGEST_NAME = 200


@dataclass(slots=True)
class _Session:
    """A session that is here: its number, whether it is that station's, and its answers in their order there."""

    number: int
    uuid: UUID
    owned: bool
    runs: list[int]

    def must_be_owned(self, where: str) -> None:
        if not self.owned:
            raise LogbookError(f"{where}: its session belongs to another station.")


class Incoming:
    """Changes of one other logbook on their way into an open transaction.

    Parameters
    ----------
    connection
        Writes; the caller ends the transaction, and takes back what a refused change wrote.
    station
        Number of the station whose logbook tells.
    called
        Its name, for people.
    strict
        Whether to read a session after each of its changes, so that it is clear which one spoiled it; else `settle`
        reads each once.
    """

    def __init__(self, connection: Connection, station: int, called: str, *, strict: bool) -> None:
        self._connection, self._station, self._called, self._strict = connection, station, called, strict
        self._people: dict[UUID, int] = {}
        self._sessions: dict[UUID, _Session] = {}
        self._touched: dict[UUID, _Session] = {}
        self._gone = set(connection.execute(select(forgotten.c.uuid)).scalars())
        self.told: list[str] = []  # what a person should know
        self.forgotten: list[Forgotten] = []
        self._takes: dict[str, Callable[[Row], None]] = {
            "trainee": self._trainee,
            "session": self._session,
            "run": self._run,
            "set": self._set,
            "correction": self._correction,
            "statement": self._statement,
            "proposal": self._proposal,
            "plan": self._plan,
            LEFT: self._left,
            "forgotten": self._forgotten,
        }

    def take(self, data: Any) -> None:
        """Take one change, as `Change.data` has it.

        Raises
        ------
        LogbookError
            When it is not what Rungwise writes, or does not fit what is here.
        """
        what, row = (data.get(name) if isinstance(data, Mapping) else None for name in ("change", "row"))
        if what not in self._takes:
            raise LogbookError(f"a change of the kind {what!r:.40} is not known: update the older Rungwise")
        if not isinstance(row, Mapping) or not row:
            raise LogbookError(f"{what}: a row is expected here")
        check_texts(row, what)
        if what == "forgotten" or not self._is_of_somebody_gone(row):
            self._takes[what](row)

    def settle(self) -> None:
        """Read what was changed as the program will.

        Raises
        ------
        LogbookError
            When one of the changes spoiled something.
        """
        for one in self._touched.values():
            settle_anew(self._connection, one.number, one.uuid, "session")
        self._touched.clear()

    def take_back(self) -> None:
        """Know nothing any more of rows that may have been taken back."""
        self._people.clear()
        self._sessions.clear()

    def _is_changed(self, one: _Session) -> None:
        if self._strict:
            settle_anew(self._connection, one.number, one.uuid, "session")
        else:
            self._touched[one.uuid] = one

    def _is_of_somebody_gone(self, row: Row) -> bool:
        value = row.get("value")
        given = value.get("trainee") if isinstance(value, Mapping) else None
        return any(one in self._gone for one in (row.get("trainee"), row.get("owner"), row.get("uuid"), given) if one)

    def _trainee(self, row: Row) -> None:
        uuid, name = uuid_in(row, "uuid", "trainee"), row.get("name")
        if not isinstance(name, str) or not name.strip() or len(name) > LONGEST_NAME:
            raise LogbookError(f"trainee.name: a name of at most {LONGEST_NAME} letters is needed here.")
        name = " ".join(name.split())  # as `newcomer` has it: on one line
        shown = free_name(self._connection, name, uuid, self._called)
        known = self._connection.execute(select(trainee).where(trainee.c.uuid == str(uuid))).first()
        if known is None:
            insert_trainee(self._connection, Trainee(uuid, shown))
            if shown != name:
                self.told.append(
                    f"{name} is here already as somebody else, so the one of {self._called} is kept apart as {shown}."
                )
        elif known.name != shown and self._came_from_there("trainee", known.id):
            named = update(trainee).where(trainee.c.id == known.id)
            self._connection.execute(named.values(name=shown, name_key=name_key(shown)))

    def _session(self, row: Row) -> None:
        values = taken(session, row, "session")
        uuid, owner = uuid_in(row, "uuid", "session"), self._person(row, "session")
        known = self._connection.execute(select(session).where(session.c.uuid == str(uuid))).first()
        if known is None:
            station = station_id_of(self._connection, uuid_in(row, "station", "session"))
            self._connection.execute(insert(session).values(**values, trainee_id=owner, station_id=station))
        elif (known.trainee_id == owner and same_row(session, known, row)) or not self._owns(known):
            return
        else:
            again = update(session).where(session.c.id == known.id)
            self._connection.execute(again.values(**values, trainee_id=owner))
        self._is_changed(self._session_of({"session": str(uuid)}, "session"))

    def _run(self, row: Row) -> None:
        values = taken(analysis_run, row, "run")
        one, ordinal = self._session_of(row, "run"), ordinal_in(row, "run")
        if ordinal > len(one.runs) + 1:
            raise LogbookError(f"run: it is answer {ordinal} of its session, and the one before it is not here.")
        if ordinal == len(one.runs) + 1:
            one.must_be_owned("run")
            one.runs.append(new_id(self._connection, insert(analysis_run).values(**values, session_id=one.number)))
        else:
            here = analysis_run.c.id == one.runs[ordinal - 1]
            known = self._connection.execute(select(analysis_run).where(here)).one()
            if any(getattr(known, name) != values[name] for name in ("kind", "version", "parameters_sha")):
                raise LogbookError(f"run: answer {ordinal} of its session is another one here.")
            if same_row(analysis_run, known, row) or not one.owned:
                return
            self._connection.execute(update(analysis_run).where(here).values(**values))
        self._is_changed(one)

    def _set(self, row: Row) -> None:
        values = taken(rep_set, row, "set")
        one, by, ordinal = self._session_of(row, "set"), self._person(row, "set"), ordinal_in(row, "set")
        if ordinal > len(one.runs):
            raise LogbookError(f"set: answer {ordinal} of its session is not here.")
        run = one.runs[ordinal - 1]
        at = (rep_set.c.run_id == run) & (rep_set.c.start_s == values["start_s"])
        known = self._connection.execute(select(rep_set.c.id).where(at)).scalar()
        if known is not None:
            here = rows_as_told(self._connection, [("set", known)])["set", known]
            if any(here[name] != value for name, value in row.items() if name in here and name != "owner"):
                raise LogbookError("set: another one stands here at its time.")
            return
        one.must_be_owned("set")
        made = new_id(self._connection, insert(rep_set).values(**values, run_id=run, trainee_id=by))
        insert_reps(self._connection, made, listed(row, "reps", "set"), "set")
        with_place(lambda: tuple(one_set(self._connection, made).verdict.reps), "set")
        self._is_changed(one)

    def _correction(self, row: Row) -> None:
        values = taken(correction, row, "correction")
        one = self._session_of(row, "correction")
        if self._number(correction, uuid_in(row, "uuid", "correction")) is not None:
            return
        if values["kind"] == Act.GIVE.value:
            self._person(values["value"], "correction.value")
        made = new_id(self._connection, insert(correction).values(**values, session_id=one.number))
        written = self._connection.execute(select(correction).where(correction.c.id == made)).one()
        with_place(lambda: correction_of(written, one.uuid), "correction")
        self._is_changed(one)

    def _statement(self, row: Row) -> None:
        values, owner = taken(statement, row, "statement"), self._person(row, "statement")
        if self._number(statement, uuid_in(row, "uuid", "statement")) is None:
            made = new_id(self._connection, insert(statement).values(**values, trainee_id=owner))
            with_place(lambda: read_statement(self._connection, made), "statement")

    def _proposal(self, row: Row) -> None:
        values, owner = taken(next_session, row, "proposal"), self._person(row, "proposal")
        same = (next_session.c.trainee_id == owner) & (next_session.c.made_utc_us == values["made_utc_us"])
        here = len(self._connection.execute(select(next_session.c.id).where(same)).all())
        if here >= ordinal_in(row, "proposal", "nth"):
            return
        after = row.get("after_session")
        number = None if after is None else self._number(session, uuid_in(row, "after_session", "proposal"))
        added = insert(next_session).values(**values, trainee_id=owner, after_session_id=number)
        made = new_id(self._connection, added)
        written = self._connection.execute(select(next_session).where(next_session.c.id == made)).one()
        with_place(lambda: proposal_of(written), "proposal")

    def _plan(self, row: Row) -> None:
        values = taken(plan_text, row, "plan")
        values["trainee_id"] = self._person(row, "plan")
        same = [plan_text.c[name] == value for name, value in values.items()]
        if self._connection.execute(select(plan_text.c.id).where(*same)).first() is None:
            self._connection.execute(insert(plan_text).values(**values))

    def _left(self, row: Row) -> None:
        one = self._session_of(row, LEFT)
        one.must_be_owned(LEFT)
        starts = [frozenset(map(float, run)) for run in listed(row, "runs", LEFT)]
        keep_what_is_left(self._connection, one.number, list(zip(one.runs, starts, strict=False)))
        self._is_changed(one)

    def _forgotten(self, row: Row) -> None:
        uuid = uuid_in(row, "uuid", "forgotten")
        self.settle()  # some of these may be gone after it
        found = forget_what_came_from(self._connection, uuid, self._station)
        self._gone = set(self._connection.execute(select(forgotten.c.uuid)).scalars())
        self.take_back()
        if found is None:
            return
        self.forgotten.append(found)
        rest = (
            ""
            if found.whole
            else (f' What came from elsewhere is kept: rungwise forget "{found.trainee.name}" removes that too.')
        )
        self.told.append(f"{found.trainee.name} was forgotten at {self._called}, and here.{rest}")

    def _person(self, row: Any, where: str) -> int:
        uuid = uuid_in(row, "trainee", where)
        if uuid not in self._people:
            number = self._number(trainee, uuid)
            if number is None and uuid == NOBODY.id:
                number = insert_trainee(self._connection, NOBODY)
            if number is None:
                raise LogbookError(f"{where}.trainee: {uuid} is not here.")
            self._people[uuid] = number
        return self._people[uuid]

    def _session_of(self, row: Row, where: str) -> _Session:
        uuid = uuid_in(row, "session", where)
        if uuid not in self._sessions:
            known = self._connection.execute(select(session).where(session.c.uuid == str(uuid))).first()
            if known is None:
                raise LogbookError(f"{where}.session: {uuid} is not here.")
            self._sessions[uuid] = _Session(known.id, uuid, self._owns(known), self._runs(known.id))
        return self._sessions[uuid]

    def _number(self, table: Table, uuid: UUID) -> int | None:
        return self._connection.execute(select(table.c.id).where(table.c.uuid == str(uuid))).scalar()

    def _runs(self, number: int) -> list[int]:
        """Return the answers of a session in their order there; what was analysed here beside them is none of them."""
        runs = select(analysis_run.c.id).where(analysis_run.c.session_id == number).order_by(analysis_run.c.id)
        if self._came_from("session", number) is not None:
            came = select(arrived.c.row_id).where(arrived.c.what == "run")
            runs = runs.where(analysis_run.c.id.in_(came))
        return list(self._connection.execute(runs).scalars())

    def _came_from(self, what: str, number: int) -> int | None:
        asked = select(arrived.c.station_id).where(arrived.c.what == what, arrived.c.row_id == number)
        return self._connection.execute(asked).scalar()

    def _came_from_there(self, what: str, number: int) -> bool:
        return self._came_from(what, number) == self._station

    def _owns(self, known: Any) -> bool:
        """Tell whether a session is that station's: done there, or told first by it."""
        return bool(known.station_id == self._station) or self._came_from_there("session", known.id)
