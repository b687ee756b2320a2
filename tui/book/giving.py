"""A set given to somebody else: what was asked of that person on the day, by which it is judged."""

from __future__ import annotations

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.corrections import Given
from analysis.training.records import SessionRecord
from analysis.training.setup import UNSAID, SetUp
from analysis.training.told import Asked, ToldError, asked_on
from analysis.training.view import reference_of
from tui.book.show import person_called
from tui.home import Home
from tui.session.plans import trainee_called, training_for


class Somebody(str):
    """A name that was typed for somebody who may not be in the logbook yet."""

    __slots__ = ()


def receiver(logbook: Logbook, name: str) -> Trainee:
    """Return the person of a name; who was typed as `Somebody` is in the logbook from now on.

    Raises
    ------
    Trouble
        When nobody has that name.
    """
    if isinstance(name, Somebody):
        logbook.keep_trainee(trainee_called(logbook, str(name)))
    return person_called(logbook, name)


def given_to(home: Home, logbook: Logbook, record: SessionRecord, person: Trainee) -> Given:
    """Return to whom a set of a session is given, and what was asked of that person.

    It joins the session that this one had on the day, the one that began next to it; else it is judged by what the plan
    asked for. Where that asked for something else than sets of this sort (holds, reps), or for nothing, it stands
    outside the ladder, and nothing follows from it.
    """
    if person.id == record.trainee:
        return Given(trainee=person.id)
    theirs = [one for one in logbook.sessions(person.id) if one.day == record.day and _own(one, record)]
    near = min(theirs, key=lambda one: abs(one.started_utc_us - record.started_utc_us), default=None)
    if near is not None and near.rung is not None and _same_sort(near.prescription.hold_s, record):
        asked, into, set_up = Asked(near.rung, near.method, near.prescription), near.session_id, near.set_up
    else:
        found = _planned(home, logbook, record, person)
        if found is None:
            return Given(trainee=person.id, prescription=record.prescription)
        asked, into, set_up = found, None, UNSAID
    return Given(
        trainee=person.id,
        prescription=asked.prescription,
        rung=asked.rung,
        method=asked.method,
        reference_m=_reference_m(logbook, person, asked.rung, set_up),
        into=into,
    )


def _own(one: SessionRecord, record: SessionRecord) -> bool:
    """Tell whether a session is another than the one that a set is given from, and was not given itself."""
    return one.session_id != record.session_id and not any(done.given for done in one.sets[:1])


def _planned(home: Home, logbook: Logbook, record: SessionRecord, person: Trainee) -> Asked | None:
    log = logbook.history(person.id)
    try:
        asked = asked_on(log, training_for(home, person, log), record.day)
    except ToldError:
        return None
    return asked if _same_sort(asked.prescription.hold_s, record) else None


def _same_sort(hold_s: float | None, record: SessionRecord) -> bool:
    return (hold_s is None) == (record.prescription.hold_s is None)


def _reference_m(logbook: Logbook, person: Trainee, rung: str, set_up: SetUp) -> float | None:
    found = reference_of(logbook.statements(person.id), rung, set_up)
    return None if found is None else found.travel_m
