"""Corrections made: what a person says against a session is kept, and what follows from it is worked out.

The command line and the screens ask `correct` for it; nothing here prints.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from analysis.logbook.book import Logbook
from analysis.logbook.entries import AnalysisRun, Trainee
from analysis.training import pointing
from analysis.training.corrections import Act, Because, By, Correction, standing_corrections, undone
from analysis.training.decision import ID_LETTERS
from analysis.training.pointing import Draft, PointingError
from analysis.training.progression import NextSession
from analysis.training.records import SessionRecord, SetRecord, Source
from tui.book.giving import given_to, receiver
from tui.book.moments import utc_us
from tui.home import Home
from tui.session.plans import log_of, proposed, training_for
from tui.trouble import Trouble


@dataclass(frozen=True, slots=True)
class Wish:
    """What to correct, of which set and reps.

    Attributes
    ----------
    act
        Name of the option of `rungwise correct`.
    given
        What was given with it: a count, a kind, …
    set_name
        `pointing.named_sets`; None: the only set, or with a load all of them.
    reps
        Numbers of reps within the set, from 1.
    """

    act: str
    given: Any = None
    set_name: str | None = None
    reps: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Teller:
    """Who corrects, and why; without a name the session's own trainee."""

    name: str | None
    role: By
    reason: Because
    text: str = ""


@dataclass(frozen=True, slots=True)
class Opened:
    """A session that is looked at or corrected, as it stands, with where it is kept."""

    home: Home
    logbook: Logbook
    record: SessionRecord
    trainee: Trainee
    now: datetime

    @property
    def people(self) -> dict[UUID, Trainee]:
        """Everybody who may have done a set of it."""
        return {one.id: one for one in self.logbook.trainees()}

    def next_of(self, person: Trainee) -> NextSession:
        """Return what follows for somebody from the log as it stands now."""
        log = log_of(self.logbook, person)
        return proposed(log, training_for(self.home, person, log), self.now.date())

    @property
    def stands(self) -> SessionRecord:
        """The session as its own trainee's, with sets that others' sessions hold of it."""
        theirs = self.logbook.sessions(self.trainee.id)
        return next(one for one in theirs if one.session_id == self.record.session_id)


@dataclass(frozen=True, slots=True)
class Follows:
    """What follows for somebody, before and after."""

    person: Trainee
    was: NextSession
    now: NextSession


@dataclass(frozen=True, slots=True)
class Corrected:
    """What was done.

    Attributes
    ----------
    made
        The corrections that were kept.
    run
        The new answer of the analysis; None where there is none.
    was, now
        The session before and after, with everybody's sets.
    stood, stands
        The same as its own trainee's (`Opened.stands`).
    follows
        For each whose sets it may be about; the session's own trainee first.
    """

    made: tuple[Correction, ...]
    run: AnalysisRun | None
    was: SessionRecord
    now: SessionRecord
    stood: SessionRecord
    stands: SessionRecord
    follows: tuple[Follows, ...]


def opened(home: Home, logbook: Logbook, letters: str, now: datetime) -> Opened:
    """Return the session whose id begins with these letters.

    Raises
    ------
    Trouble
        When there is none, or more than one.
    """
    called = logbook.sessions_called(letters)
    if len(called) != 1:
        many = "more than one session begins" if called else "no session begins"
        raise Trouble(f"{many} with {letters}: give the letters of the id that rungwise log shows")
    record = _session(logbook, called[0])
    trainee = next(one for one in logbook.trainees() if one.id == record.trainee)
    return Opened(home, logbook, record, trainee, now)


def correct(found: Opened, wish: Wish, teller: Teller) -> Corrected:
    """Correct a session as wished, and keep what follows from it for the next one.

    Raises
    ------
    PointingError
        When there is nothing of that kind to correct; it says what there is.
    Trouble
        When that person cannot say so, or there is no recording to analyse again.
    """
    made = _said(found, wish, teller)
    stood = found.stands
    before = [(one, found.next_of(one)) for one in _concerned(found, made)]
    for one in made:
        found.logbook.add_correction(one)
    run = _analysed_again(found) if wish.act == "analyse_again" else None
    follows = tuple(Follows(one, was, found.next_of(one)) for one, was in before)
    for then in follows:
        if then.now != then.was:
            found.logbook.record_next(
                then.person.id, then.now, made_utc_us=utc_us(found.now), after_session=found.record.session_id
            )
    now = _session(found.logbook, found.record.session_id)
    return Corrected(made, run, found.record, now, stood, found.stands, follows)


def _analysed_again(found: Opened) -> AnalysisRun | None:
    from tui.book.again import analyse_again  # the motion core, which nothing else here needs

    return analyse_again(found.home, found.logbook, found.record)


def _concerned(found: Opened, made: Sequence[Correction]) -> tuple[Trainee, ...]:
    """Return those whose sets it is about, before or after."""
    before = found.logbook.corrections(found.record.session_id)
    standing = (*standing_corrections(before), *standing_corrections((*before, *made)))
    given = (one.value.trainee for one in standing if one.kind is Act.GIVE)
    others = (one.trainee for one in found.record.others if one.trainee)
    people = found.people
    return tuple(people[one] for one in dict.fromkeys((found.trainee.id, *others, *given)))


def _session(logbook: Logbook, session_id: UUID) -> SessionRecord:
    record = logbook.session(session_id)
    assert record is not None  # nothing is ever removed
    return record


def _said(found: Opened, wish: Wish, teller: Teller) -> tuple[Correction, ...]:
    """Return the corrections that are to be kept: most wishes are one."""
    made = found.logbook.corrections(found.record.session_id)
    if wish.act == "analyse_again":
        return ()
    if wish.act == "undo":
        return (_undoing(found, made, wish.given, teller),)
    if wish.act == "confirm":
        own = [one for one in standing_corrections(made) if one.role is By.TRAINEE]
        if not own:
            raise Trouble("there is nothing to confirm: no correction of this session is the trainee's own")
        return tuple(_by(found, replace(one, text=teller.text), teller, n) for n, one in enumerate(own))
    draft = _giving(found, wish) if wish.act == "give" else _draft(found.record, wish)
    return (_corrected(found, draft, teller),)


def _giving(found: Opened, wish: Wish) -> Draft:
    person, done = receiver(found.logbook, wish.given), pointing.the_set(found.record, wish.set_name)
    given = given_to(found.home, found.logbook, found.record, person)
    return pointing.set_given(found.record, done, given)


def _undoing(found: Opened, made: Sequence[Correction], letters: str, teller: Teller) -> Correction:
    standing = {one.id for one in standing_corrections(made)}
    named = [one for one in made if str(one.id).startswith(letters)] if letters else []
    if not letters:
        named = [one for one in made if one.id in standing][-1:]
    if len(named) != 1:
        there = ", ".join(str(one.id)[:ID_LETTERS] for one in made if one.id in standing) or "none"
        what = f"there is no one correction {letters}" if letters else "there is nothing to undo"
        raise Trouble(f"{what}; of this session there is: {there}")
    gone = named[0]
    if gone.id in undone(made):
        raise Trouble(f"{str(gone.id)[:ID_LETTERS]} is undone already")
    return _corrected(found, Draft(Act.UNDO, gone.start_s, gone.end_s, str(gone.id)), teller)


def _draft(record: SessionRecord, wish: Wish) -> Draft:
    match wish.act:
        case "load":
            one = None if wish.set_name is None else pointing.set_that_counts(record, wish.set_name)
            return pointing.loaded(record, one, wish.given)
        case "drop_set":
            return pointing.set_dropped(pointing.the_set(record, wish.set_name))
        case "relabel":
            return pointing.set_relabelled(pointing.the_set(record, wish.set_name), wish.given)
        case _:
            return _of_reps(record, pointing.set_that_counts(record, wish.set_name), wish)


def _of_reps(record: SessionRecord, done: SetRecord, wish: Wish) -> Draft:
    if record.prescription.hold_s and record.source is Source.SENSOR:
        raise PointingError("a measured hold has no count and no reps; leave the set out instead (--drop-set)")
    match wish.act:
        case "count":
            return pointing.set_counted(done, wish.given)
        case "add_rep":
            return pointing.rep_added(done, wish.reps[0] if wish.reps else None)
        case "merge":
            return pointing.reps_merged(done, *_numbers(wish, 2, "say which two reps were one, for example --reps 3,4"))
        case _:
            return _of_rep(done, wish, *_numbers(wish, 1, "say which rep, for example --rep 4"))


def _of_rep(done: SetRecord, wish: Wish, number: int) -> Draft:
    match wish.act:
        case "kind":
            return pointing.rep_of_kind(done, number, wish.given)
        case "split":
            return pointing.rep_split(done, number, wish.given or None)
        case _:
            return pointing.rep_dropped(done, number)


def _numbers(wish: Wish, many: int, else_say: str) -> tuple[int, ...]:
    if len(wish.reps) != many:
        raise PointingError(else_say)
    return wish.reps


def _corrected(found: Opened, draft: Draft, teller: Teller) -> Correction:
    made = Correction(
        id=uuid4(),
        session_id=found.record.session_id,
        start_s=draft.start_s,
        end_s=draft.end_s,
        kind=draft.kind,
        value=draft.value,
        reason=teller.reason,
        who="",
        made_utc_us=0,
        text=teller.text,
    )
    return _by(found, made, teller)


def _by(found: Opened, made: Correction, teller: Teller, later_us: int = 0) -> Correction:
    """Return a correction as that of the one who corrects, now."""
    name = teller.name or found.trainee.name
    for one in _concerned(found, (made,)) if teller.role is By.COACH else ():
        if name.casefold() == one.name.casefold():
            raise Trouble(f"as the coach of {one.name} somebody else corrects: name the coach (--by NAME)")
    return replace(made, id=uuid4(), who=name, role=teller.role, made_utc_us=utc_us(found.now) + later_us)
