"""The rows of a person, taken out in an open transaction."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Select, Table, delete, func, insert, or_, select, text, update

from analysis.logbook.change_tables import LEFT, WHAT, arrived, change, forgotten, refused
from analysis.logbook.exchange_in import settle_anew
from analysis.logbook.people import NOBODY, insert_trainee
from analysis.logbook.queries import RECEIVER, given_sets, session_with
from analysis.logbook.schema import analysis_run, correction, next_session, rep, rep_set, session, trainee
from analysis.training.corrections import Act

Spans = Sequence[tuple[float, float]]
_ONCE = [f"{table}_no_{act}" for table in ("rep_set", "rep", "correction", "statement") for act in ("update", "delete")]
_UNSAID = {"rpe": None, "minutes": None, "note": None, "set_up": None, "recording": ""}


class Rows:
    """What is kept of one person.

    Parameters
    ----------
    connection
        Writes; what is written once is not locked.
    number, uuid, name
        Of the trainee.
    station
        Number of the station from which it came; None: from wherever.
    """

    def __init__(self, connection: Connection, number: int, uuid: UUID, name: str, station: int | None) -> None:
        self._connection, self._number, self._uuid, self._name = connection, number, uuid, name
        self._station = station

    def take_own_sessions(self) -> tuple[tuple[UUID, ...], tuple[UUID, ...]]:
        """Remove their sessions; return those that are gone, and those that stay for the sets of others."""
        asked = select(session.c.id, session.c.uuid).where(session.c.trainee_id == self._number)
        alone: list[Any] = []
        shared: list[Any] = []
        for row in self._connection.execute(self._from_there(asked, "session", session.c.id)).all():
            record = session_with(self._connection, UUID(row.uuid), with_reps=False)
            others = [(one.start_s, one.end_s) for one in record.others] if record else []
            if others:
                self._hand_over(row.id, UUID(row.uuid), others)
            (shared if others else alone).append(row)
        self._delete_sessions([row.id for row in alone])
        gone, stay = (tuple(UUID(row.uuid) for row in rows) for rows in (alone, shared))
        return gone, stay

    def take_from_others(self) -> tuple[UUID, ...]:
        """Remove their sets from the sessions of others; return these."""
        mine = select(analysis_run.c.session_id).join(rep_set).where(rep_set.c.trainee_id == self._number)
        given = given_sets().where(str(self._uuid) == RECEIVER).with_only_columns(correction.c.session_id)
        took_part = or_(session.c.id.in_(mine), session.c.id.in_(given)) & (session.c.trainee_id != self._number)
        asked = select(session.c.id, session.c.uuid).where(took_part)
        rows = self._connection.execute(self._from_there(asked, "session", session.c.id)).all()
        for row in rows:
            uuid = UUID(row.uuid)
            record = session_with(self._connection, uuid, with_reps=False)
            theirs = [(one.start_s, one.end_s) for one in record.others if one.trainee == self._uuid] if record else []
            sets = self._sets(row.id)
            _delete_sets(
                self._connection, [one.id for one in sets if _within(one, theirs) or one.trainee_id == self._number]
            )
            spans = [*theirs, *((one.start_s, one.end_s) for one in sets if one.trainee_id == self._number)]
            self._delete_corrections(row.id, lambda made, spans=spans: _within(made, spans))
            settle_anew(self._connection, row.id, uuid, "session")
        return tuple(UUID(row.uuid) for row in rows)

    def take_what_was_said(self, *, all_of_it: bool) -> None:
        """Remove statements, proposals and plans: all, or those that came from that station."""
        for what in ("statement", "proposal", "plan"):
            table = WHAT[what]
            asked = select(table.c.id).where(table.c.trainee_id == self._number)
            chosen = asked if all_of_it else self._from_there(asked, what, table.c.id)
            self._connection.execute(delete(table).where(table.c.id.in_(chosen)))

    def take_name(self) -> None:
        """Remove the trainee, and the name wherever it says who said something."""
        for column in (correction.c.who, session.c.seen_by):
            named = update(column.table).where(column == self._name)
            self._connection.execute(named.values({column.name: NOBODY.name}))
        said = "UPDATE statement SET value = json_set(value, '$.by', :nobody) WHERE json_extract(value, '$.by') = :name"
        self._connection.execute(text(said), {"nobody": NOBODY.name, "name": self._name})
        of_them = or_(*(func.instr(refused.c.raw, one) > 0 for one in (str(self._uuid), self._name)))
        self._connection.execute(delete(refused).where(of_them))
        self._connection.execute(delete(trainee).where(trainee.c.id == self._number))

    def have_sessions(self) -> bool:
        """Tell whether there are sessions of theirs still."""
        left = select(session.c.id).where(session.c.trainee_id == self._number).limit(1)
        return self._connection.execute(left).first() is not None

    def _from_there(self, asked: Any, what: str, number: Any) -> Any:
        if self._station is None:
            return asked
        came = select(arrived.c.row_id).where(arrived.c.what == what, arrived.c.station_id == self._station)
        there = number.in_(came)
        return asked.where(or_(there, session.c.station_id == self._station) if what == "session" else there)

    def _sets(self, number: int) -> Sequence[Any]:
        columns = (rep_set.c.id, rep_set.c.trainee_id, rep_set.c.start_s, rep_set.c.end_s)
        asked = select(*columns).join(analysis_run).where(analysis_run.c.session_id == number)
        return self._connection.execute(asked).all()

    def _hand_over(self, number: int, uuid: UUID, others: Spans) -> None:
        """Leave a session to those who have sets in it, without what was its own trainee's."""
        nobody = insert_trainee(self._connection, NOBODY)
        mine = [one for one in self._sets(number) if one.trainee_id == self._number]
        _delete_sets(self._connection, [one.id for one in mine if not _within(one, others)])
        kept = [one.id for one in mine if _within(one, others)]
        self._connection.execute(update(rep_set).where(rep_set.c.id.in_(kept)).values(trainee_id=nobody))
        self._delete_corrections(number, lambda made: not _within(made, others))
        self._connection.execute(update(session).where(session.c.id == number).values(trainee_id=nobody, **_UNSAID))
        settle_anew(self._connection, number, uuid, "session")

    def _delete_corrections(self, session_number: int, chosen: Any) -> None:
        """Remove the corrections that are chosen, those that give this person a set, and what undoes them."""
        _delete_corrections(self._connection, session_number, lambda made: chosen(made) or self._is_given(made))

    def _is_given(self, made: Any) -> bool:
        return bool(made.kind == Act.GIVE.value and made.value["trainee"] == str(self._uuid))

    def _delete_sessions(self, numbers: Collection[int]) -> None:
        runs = select(analysis_run.c.id).where(analysis_run.c.session_id.in_(numbers))
        _delete_sets(
            self._connection,
            self._connection.execute(select(rep_set.c.id).where(rep_set.c.run_id.in_(runs))).scalars().all(),
        )
        after = update(next_session).where(next_session.c.after_session_id.in_(numbers))
        self._connection.execute(after.values(after_session_id=None))
        for table in (correction, analysis_run):
            self._connection.execute(delete(table).where(table.c.session_id.in_(numbers)))
        self._connection.execute(delete(session).where(session.c.id.in_(numbers)))


def _delete_sets(connection: Connection, numbers: Collection[int]) -> None:
    connection.execute(delete(rep).where(rep.c.set_id.in_(numbers)))
    connection.execute(delete(rep_set).where(rep_set.c.id.in_(numbers)))


def _delete_corrections(connection: Connection, session_number: int, chosen: Any) -> None:
    made = connection.execute(select(correction).where(correction.c.session_id == session_number)).all()
    gone = {one.uuid: one.id for one in made if chosen(one)}
    while more := {
        one.uuid: one.id for one in made if one.kind == Act.UNDO.value and one.value in gone and one.uuid not in gone
    }:
        gone |= more
    connection.execute(delete(correction).where(correction.c.id.in_(gone.values())))


def keep_what_is_left(
    connection: Connection, session_number: int, runs: Sequence[tuple[int, Collection[float]]]
) -> None:
    """Remove the sets of a session that are left at its own station no more, and what was said of them.

    Parameters
    ----------
    runs
        Numbers of answers, each with the begins of the sets that are left in it, s; of others nothing is removed.
    """
    columns = (rep_set.c.id, rep_set.c.start_s, rep_set.c.end_s)
    gone = [
        one
        for run, begins in runs
        for one in connection.execute(select(*columns).where(rep_set.c.run_id == run)).all()
        if one.start_s not in begins
    ]
    if not gone:
        return
    with unlocked(connection):
        _delete_sets(connection, [one.id for one in gone])
        spans = [(one.start_s, one.end_s) for one in gone]
        _delete_corrections(connection, session_number, lambda made: _within(made, spans))
    for what in ("set", "correction"):
        _know_no_more(connection, what, WHAT[what])


def _know_no_more(connection: Connection, what: str, table: Table) -> None:
    """Let go of where rows came from that are gone."""
    connection.execute(delete(arrived).where(arrived.c.what == what, arrived.c.row_id.not_in(select(table.c.id))))


def _within(one: Any, spans: Spans) -> bool:
    middle_s = (one.start_s + one.end_s) / 2
    return any(start_s <= middle_s <= end_s for start_s, end_s in spans)


@contextmanager
def unlocked(connection: Connection) -> Iterator[None]:
    """Let what is written once be removed within the block; a transaction that ends well ends with it locked again."""
    asked = text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name")
    locks = [row for row in connection.execute(asked).all() if row.name in _ONCE]
    for lock in locks:
        connection.exec_driver_sql(f"DROP TRIGGER {lock.name}")
    yield
    for lock in locks:
        connection.exec_driver_sql(lock.sql)


def tell_as_forgotten(connection: Connection, uuid: UUID) -> None:
    """Let the changes whose rows are gone tell who was forgotten, so that the sequence has no hole."""
    number = connection.execute(select(forgotten.c.id).where(forgotten.c.uuid == str(uuid))).scalar()
    for what, table in (*WHAT.items(), (LEFT, session)):
        gone = (change.c.what == what) & change.c.row_id.not_in(select(table.c.id))
        if number is not None:
            connection.execute(update(change).where(gone).values(what="forgotten", row_id=number))
        _know_no_more(connection, what, table)


def tell_anew(connection: Connection, sessions: Collection[UUID]) -> None:
    """Tell these sessions anew with all that is left in them."""
    chosen = _numbers(sessions)
    runs = select(analysis_run.c.id).where(analysis_run.c.session_id.in_(chosen))
    corrections = select(correction.c.id).where(correction.c.session_id.in_(chosen))
    sets = select(rep_set.c.id).where(rep_set.c.run_id.in_(runs))
    for what, numbers in (("session", chosen), ("run", runs), ("set", sets), ("correction", corrections)):
        _tell(connection, what, numbers)


def tell_left(connection: Connection, sessions: Collection[UUID]) -> None:
    """Tell which sets are left in these sessions: another logbook need not know yet whose those were that are gone."""
    _tell(connection, LEFT, _numbers(sessions))


def _numbers(sessions: Collection[UUID]) -> Select[tuple[int]]:
    return select(session.c.id).where(session.c.uuid.in_([str(one) for one in sessions]))


def _tell(connection: Connection, what: str, numbers: Select[tuple[int]]) -> None:
    now = connection.execute(select(func.max(change.c.at_utc_us))).scalar_one()
    for number in connection.execute(numbers.order_by("id")).scalars().all():
        connection.execute(insert(change).values(what=what, row_id=number, at_utc_us=now))
