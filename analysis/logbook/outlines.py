"""Reading years of sessions quickly: the sets of those long past are read only when somebody looks at them.

A session whose answer is settled (`settle`: finished, uncorrected, all sets its own trainee's) is read from its own row
alone, the last ones of each trainee aside. All others are read in full. Either way the records are the same.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from itertools import chain, count, groupby
from operator import itemgetter
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Row, select, union, update

from analysis.logbook.queries import given_sets, records, session_with
from analysis.logbook.rows import Shelf, head_columns, unread_session_of
from analysis.logbook.schema import analysis_run, correction, rep_set, session
from analysis.training.records import SessionRecord
from analysis.training.sharing import joined

_number, _trainee = itemgetter(0), itemgetter(1)
"""Of `head_columns`, by their place: by name, every row looks them up."""

RECENT = 8
"""So many sessions are read in full at once: two weeks of three and what is done of a third; no rule looks further."""

Reading = Callable[[], AbstractContextManager[Connection]]
"""Begins a reading transaction."""


@contextmanager
def in_one_go() -> Iterator[None]:
    """Build many records without a look for garbage in between: there is none, and each look goes over all of them."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def settle(connection: Connection, number: int, uuid: UUID) -> None:
    """Keep how many sets answer for a session, where all of them are its own trainee's; else that it is to be read."""
    record = session_with(connection, uuid, with_reps=False)
    assert record is not None  # it was just written
    sets = (record.sets, record.partners, record.warm_ups)
    own, partners, warm_ups = (None,) * 3 if record.others else map(len, sets)
    _keep(connection, number, own_sets=own, partner_sets=partners, warm_up_sets=warm_ups)


def unsettle(connection: Connection, number: int) -> None:
    """Forget how many sets answer for a session: another answer begins."""
    _keep(connection, number, own_sets=None, partner_sets=None, warm_up_sets=None)


def _keep(connection: Connection, number: int, **known: int | None) -> None:
    connection.execute(update(session).where(session.c.id == number).values(known))


def outlines(
    connection: Connection, reading: Reading, people: Mapping[int, UUID]
) -> dict[int, tuple[SessionRecord, ...]]:
    """Return the sessions in which each of these people took part, in order of time.

    Parameters
    ----------
    connection
        Reads all but the sets of sessions long past.
    reading
        Reads those, when somebody looks at them.
    people
        Numbers and UUIDs of the trainees.
    """
    open_ = _open(connection, people)
    unsettled = frozenset(chain.from_iterable(open_.values()))
    found: dict[int, list[SessionRecord]] = {number: [] for number in people}
    recent: list[int] = []
    for number, rows in groupby(_heads(connection, people), key=_trainee):
        settled = [row for row in rows if _number(row) not in unsettled]
        recent += map(_number, settled[-RECENT:])
        shelf = _Shelf(reading)
        found[number] = [shelf.put(row, people[number]) for row in settled[:-RECENT]]
    numbers = {uuid: number for number, uuid in people.items()}
    for one in _of(connection, recent):
        found[numbers[one.trainee]].append(one)
    for number in filter(open_.get, people):
        found[number] += _of(connection, open_[number], people[number])
        found[number].sort(key=lambda one: (one.started_utc_us, str(one.session_id)))
        found[number] = list(joined(found[number]))
    return {number: tuple(those) for number, those in found.items()}


class _Shelf:
    """Sessions of one trainee whose sets are not read yet; the later ones are read first, each time twice as many."""

    def __init__(self, reading: Reading) -> None:
        self._reading = reading
        self._numbers: list[int] = []
        self._read: dict[int, SessionRecord] = {}

        self._shelf = Shelf(
            sets=lambda number: self._look(number).sets,
            partners=lambda number: self._look(number).partners,
            warm_ups=lambda number: self._look(number).warm_ups,
            verdicts=lambda number: self._look(number).verdict.sets,
        )

    def put(self, row: Row[Any], person: UUID) -> SessionRecord:
        """Put the next session there, in order of time, and return it with its sets unread."""
        self._numbers.append(_number(row))
        return unread_session_of(row, person, self._shelf)

    def _look(self, number: int) -> SessionRecord:
        if number not in self._read:
            sizes = (2 * RECENT * 2**n for n in count())
            wanted = next(size for size in sizes if number in self._numbers[-size:])
            missing = [one for one in self._numbers[-wanted:] if one not in self._read]
            with self._reading() as connection:
                self._read |= zip(missing, _of(connection, missing), strict=True)
        return self._read[number]


def _of(connection: Connection, numbers: Collection[int], only: UUID | None = None) -> Iterator[SessionRecord]:
    chosen = select(session.c.id).where(session.c.id.in_(numbers))
    return records(connection, chosen, with_reps=False, only=only)


def _heads(connection: Connection, people: Collection[int]) -> Iterable[Row[Any]]:
    """Return the rows of the sessions of these trainees, of each in order of time."""
    asked = select(*head_columns()).where(session.c.trainee_id.in_(people))
    return connection.execute(asked.order_by(session.c.trainee_id, session.c.started_utc_us, session.c.uuid))


def _open(connection: Connection, people: Mapping[int, UUID]) -> dict[int, set[int]]:
    """Return the sessions to be read in full, of each trainee who began one or has a set in it."""
    unsettled = union(select(session.c.id).where(session.c.own_sets.is_(None)), select(correction.c.session_id))
    began = select(session.c.id, session.c.trainee_id)
    took_part = (
        select(analysis_run.c.session_id.label("id"), rep_set.c.trainee_id)
        .join(rep_set, rep_set.c.run_id == analysis_run.c.id)
        .distinct()
    )
    found: dict[int, set[int]] = {number: set() for number in people}
    for asked in (began.where(session.c.id.in_(unsettled)), took_part.where(analysis_run.c.session_id.in_(unsettled))):
        for row in connection.execute(asked):
            if row.trainee_id in people:
                found[row.trainee_id].add(row.id)
    numbers = {str(uuid): number for number, uuid in people.items()}
    for given in connection.execute(given_sets()):
        if given.receiver in numbers:
            found[numbers[given.receiver]].add(given.session_id)
    return found
