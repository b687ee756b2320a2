"""The logbook as inbox: the changes of other logbooks, strictly in their order and each once."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, delete, insert, select, update
from sqlalchemy.exc import DataError, DBAPIError, IntegrityError, InterfaceError, ProgrammingError, StatementError

from analysis.logbook.base import station_id_of
from analysis.logbook.change_tables import applying
from analysis.logbook.change_tables import mark as mark_table
from analysis.logbook.change_tables import refused as refused_table
from analysis.logbook.changes import Change
from analysis.logbook.changes_in import Incoming
from analysis.logbook.errors import LogbookError
from analysis.logbook.forgetting import Forgetting, Forgotten
from analysis.logbook.schema import station

AT_ONCE = 64
"""So many changes are written in one transaction: nobody who writes here waits longer than for these."""
MOST_REFUSED = 200
"""So many refused changes are kept, the newest."""
MOST_EPOCHS = 8
"""So many histories of one source are remembered, the newest."""


@dataclass(frozen=True, slots=True)
class Mark:
    """How far the changes of another logbook are in this one.

    Attributes
    ----------
    epoch
        The newest history known of it; empty where nothing came yet.
    through
        All up to this one are here, or refused.
    noted_utc_us
        When that one was written by the clock there, µs since 1970-01-01 UTC: a copy of that logbook that was put back
        and went on has another change in its place. 0 where nothing came yet.
    refused
        How many were refused.
    """

    epoch: str = ""
    through: int = 0
    noted_utc_us: int = 0
    refused: int = 0


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of changes that came.

    Attributes
    ----------
    through, noted_utc_us
        As `Mark`, of the epoch they were of. The one after it has not come yet.
    refused
        How many of these were refused now.
    told
        What a person should know, in sentences.
    forgotten
        Who was forgotten by them: what is kept of them beside the logbook should go too.
    """

    through: int
    noted_utc_us: int
    refused: int = 0
    told: tuple[str, ...] = ()
    forgotten: tuple[Forgotten, ...] = ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """A change that was refused: nothing of it was written.

    Attributes
    ----------
    why
        In words.
    raw
        The change as JSON; empty where it is nested too deep to be written.
    """

    source: UUID
    sequence: int
    why: str
    raw: str


class Inbox(Forgetting):
    """The part of the logbook that takes in what was written elsewhere."""

    def apply(self, source: UUID, epoch: str, changes: Iterable[Change], *, called: str = "") -> Taken:
        """Take in changes of another logbook: the one after the mark, and what follows it without a hole.

        One that was written after another change than the mark's does not follow it: that logbook was put back.
        What is known already is passed, and so is what is refused, which is kept aside with the reason. Each is written
        with the mark that says so, in one transaction.

        Parameters
        ----------
        source
            Station of that logbook.
        epoch, changes
            As that logbook tells them, in any order; one epoch at a time. An unknown one begins at 1.
        called
            Name of that station, for people.
        """
        wanted = sorted({one.sequence: one for one in changes}.values(), key=lambda one: one.sequence)
        name = called or str(source)[:8]
        with self._reading() as connection:
            taken = Taken(*_stand(_mark_of(connection, source, epoch)))
        while following := _following(wanted, taken.through, taken.noted_utc_us)[:AT_ONCE]:
            with self._writing("") as connection:
                taken = _joined(taken, _apply(connection, (source, epoch, name), following))
        if taken.forgotten:
            self.wipe()
        return taken

    def mark(self, source: UUID) -> Mark:
        """Return how far the changes of another logbook are here, in the newest of its epochs."""
        asked = select(mark_table).where(mark_table.c.source == str(source)).order_by(mark_table.c.id.desc())
        with self._reading() as connection:
            row = connection.execute(asked.limit(1)).first()
        return Mark() if row is None else Mark(row.epoch, row.through, row.noted_utc_us, row.refused)

    def refusals(self, source: UUID | None = None) -> tuple[Refusal, ...]:
        """Return the changes that were refused, of one source or of all, the oldest first; at most `MOST_REFUSED`."""
        asked = select(refused_table).order_by(refused_table.c.id)
        if source is not None:
            asked = asked.where(refused_table.c.source == str(source))
        with self._reading() as connection:
            rows = connection.execute(asked).all()
        return tuple(Refusal(UUID(row.source), row.sequence, row.why, row.raw) for row in rows)


_From = tuple[UUID, str, str]
"""Source, epoch, name of the station."""


def _apply(connection: Connection, said_by: _From, changes: Sequence[Change]) -> Taken:
    source, epoch, name = said_by
    through, noted_utc_us = _stand(_mark_of(connection, source, epoch))
    following = _following(changes, through, noted_utc_us)  # somebody else may have taken some of them just now
    if not following:
        return Taken(through, noted_utc_us)
    last = following[-1]
    number = station_id_of(connection, source)
    if connection.execute(select(station.c.local).where(station.c.id == number)).scalar_one():
        return Taken(last.sequence, last.at_utc_us)  # its own words: all of it is here
    connection.execute(insert(applying).values(station_id=number))
    incoming, faults = _take_all(connection, number, name, following)
    connection.execute(delete(applying))
    _keep_refused(connection, said_by, faults)
    _keep_mark(connection, said_by, last, len(faults))
    told = [*incoming.told, *(f"{name}: change {one.sequence} was refused. {why}" for one, why in faults)]
    return Taken(last.sequence, last.at_utc_us, len(faults), tuple(told), tuple(incoming.forgotten))


def _take_all(
    connection: Connection, station_number: int, name: str, changes: Sequence[Change]
) -> tuple[Incoming, list[tuple[Change, str]]]:
    """Take changes, and return those that were refused; where a session is spoiled, look which one did that."""
    for strict in (False, True):
        try:
            with connection.begin_nested():
                incoming = Incoming(connection, station_number, name, strict=strict)
                faults = [(one, why) for one in changes if (why := _take(connection, incoming, one))]
                incoming.settle()
                return incoming, faults
        except _FAULTS as problem:
            if strict or not _is_of_values(problem):
                raise
    raise AssertionError  # the second time returns or raises


def _take(connection: Connection, incoming: Incoming, one: Change) -> str:
    """Take one change, or leave nothing of it and return why."""
    told, gone = len(incoming.told), len(incoming.forgotten)
    try:
        with connection.begin_nested():
            incoming.take(one.data)
    except _FAULTS as problem:
        if not _is_of_values(problem):
            raise
        incoming.take_back()
        del incoming.told[told:], incoming.forgotten[gone:]
        return str(problem.orig) if isinstance(problem, StatementError) and problem.orig else str(problem)
    return ""


def _is_of_values(problem: Exception) -> bool:
    """Tell whether something is the change's fault, not the file's."""
    return not isinstance(problem, DBAPIError) or isinstance(problem, _OF_VALUES)


_OF_VALUES = (IntegrityError, DataError, ProgrammingError, InterfaceError)
_FAULTS = (
    LogbookError,
    StatementError,
    ValueError,
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    RecursionError,
)
"""What values that nobody thought of can lead to."""


def _following(changes: Sequence[Change], through: int, noted_utc_us: int) -> list[Change]:
    """Return those that follow one without a hole, each on the one that it was written after."""
    following: list[Change] = []
    for one in changes:
        if (one.sequence, one.before_utc_us) == (through + 1, noted_utc_us):
            following.append(one)
            through, noted_utc_us = one.sequence, one.at_utc_us
    return following


def _joined(before: Taken, now: Taken) -> Taken:
    return replace(
        now,
        refused=before.refused + now.refused,
        told=before.told + now.told,
        forgotten=before.forgotten + now.forgotten,
    )


def _mark_of(connection: Connection, source: UUID, epoch: str) -> Any:
    same = (mark_table.c.source == str(source), mark_table.c.epoch == epoch)
    return connection.execute(select(mark_table).where(*same)).first()


def _stand(mark: Any) -> tuple[int, int]:
    return (0, 0) if mark is None else (int(mark.through), int(mark.noted_utc_us))


def _keep_mark(connection: Connection, said_by: _From, last: Change, faults: int) -> None:
    source, epoch, _ = said_by
    values = {"through": last.sequence, "noted_utc_us": last.at_utc_us}
    known = _mark_of(connection, source, epoch)
    if known is not None:
        values["refused"] = known.refused + faults
        connection.execute(update(mark_table).where(mark_table.c.id == known.id).values(values))
        return
    connection.execute(insert(mark_table).values(source=str(source), epoch=epoch, refused=faults, **values))
    of_source = select(mark_table.c.id).where(mark_table.c.source == str(source)).order_by(mark_table.c.id.desc())
    older = connection.execute(of_source.offset(MOST_EPOCHS)).scalars().all()
    connection.execute(delete(mark_table).where(mark_table.c.id.in_(older)))


def _keep_refused(connection: Connection, said_by: _From, faults: Sequence[tuple[Change, str]]) -> None:
    if not faults:
        return
    source, epoch, _ = said_by
    rows = [
        {"source": str(source), "epoch": epoch, "sequence": one.sequence, "why": _text(why), "raw": _raw(one.data)}
        for one, why in faults
    ]
    connection.execute(insert(refused_table), rows)
    newest = select(refused_table.c.id).order_by(refused_table.c.id.desc()).offset(MOST_REFUSED)
    connection.execute(delete(refused_table).where(refused_table.c.id.in_(newest)))


def _raw(data: Any) -> str:
    try:
        return _text(json.dumps(data, ensure_ascii=False))
    except RecursionError:
        return ""


def _text(found: str) -> str:
    return found.encode("utf-8", "replace").decode("utf-8")
