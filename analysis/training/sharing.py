"""Sessions at a shared bar: whose sets they are, and what each person's part of them is.

A set may have been another's than the one whose session it was recorded in; a person says so (`corrections.Given`). It
is judged by what was asked of that other, and joins the session that this one had that day, or is one of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from uuid import UUID

from analysis.training.corrections import Act, By, Correction, Given, Mark
from analysis.training.judge import judge_session
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.setup import UNSAID
from analysis.training.superset import SetKind
from analysis.training.told import judge_told_session
from analysis.training.verdict import Outcome, SessionVerdict, SetVerdict


def part_of(record: SessionRecord, person: UUID) -> SessionRecord | None:
    """Return one person's part of a session; None where another's session holds nothing of theirs.

    What was said of the whole session (exertion, minutes, set-up, a note) is its own trainee's.
    """
    if person == record.trainee:
        if not record.others:
            return record
        verdict = judged_session([one.verdict for one in record.sets], record.prescription, record.source)
        return replace(record, others=(), verdict=verdict)
    theirs = tuple(one for one in record.others if one.trainee == person)
    if not theirs:
        return None
    sets, partners, warm_ups = (tuple(one for one in theirs if one.kind is kind) for kind in SetKind)
    said = next((one.given for one in theirs if one.given), None)
    part = replace(
        record if said is None or said.prescription is None else _for(record, said, said.prescription),
        trainee=person,
        others=(),
        partners=partners,
        warm_ups=warm_ups,
        set_up=UNSAID,
        rpe=None,
        minutes=None,
        note="",
        marks=_marks(theirs),
        self_told=False,
    )
    return _judged(part, sets)


def _for(record: SessionRecord, said: Given, asked: Prescription) -> SessionRecord:
    """Return a session as it was asked of the one to whom a set was given."""
    return replace(record, prescription=asked, rung=said.rung, method=said.method)


def joined(records: Iterable[SessionRecord]) -> Iterator[SessionRecord]:
    """Yield one person's sessions with the sets given to them where they belong, in the order they come.

    Parameters
    ----------
    records
        All sessions and parts of sessions of one person, in order of time.
    """
    everything = tuple(records)
    parts = [one for one in everything if is_part(one)]
    own = {one.session_id for one in everything} - {one.session_id for one in parts}
    for record in everything:
        if record.session_id not in own:
            yield from _without(record, own)
            continue
        for part in parts:
            came = [one for one in all_sets(part) if one.given and one.given.into == record.session_id]
            record = _with(record, came, early=part.started_utc_us < record.started_utc_us) if came else record
        yield record


def is_part(record: SessionRecord) -> bool:
    """Tell whether it is what was given to somebody of another's session; of one without corrections no set is read."""
    given = any(mark.made.kind is Act.GIVE for mark in record.marks)
    return given and any(given_from(one) == record.session_id for one in all_sets(record))


def all_sets(record: SessionRecord) -> tuple[SetRecord, ...]:
    """Return what one person did in a session: sets, warm-ups and those of another exercise."""
    return (*record.sets, *record.partners, *record.warm_ups)


def _without(part: SessionRecord, own: Collection[UUID]) -> Iterator[SessionRecord]:
    """Yield what is left of a part once some of its sets have joined sessions of these ids: all, some or nothing."""
    left = [one for one in all_sets(part) if one.given is None or one.given.into not in own]
    if len(left) == len(all_sets(part)):
        yield part
    elif left:
        sets, partners, warm_ups = (tuple(one for one in left if one.kind is kind) for kind in SetKind)
        yield _judged(replace(part, partners=partners, warm_ups=warm_ups, marks=_marks(left)), sets)


def _with(record: SessionRecord, came: Sequence[SetRecord], *, early: bool) -> SessionRecord:
    """Return a session with the sets that came from another, before its own or after them as that one began.

    How long was rested between two recordings nobody measured. Its own sets keep their numbers.
    """
    last = {kind: max((one.number for one in all_sets(record) if one.kind is kind), default=0) for kind in SetKind}
    of: dict[SetKind, tuple[SetRecord, ...]] = {}
    for kind, there in zip(SetKind, (record.sets, record.partners, record.warm_ups), strict=True):
        guests = (one for one in came if one.kind is kind)
        new = tuple(replace(one, number=number) for number, one in enumerate(guests, start=last[kind] + 1))
        of[kind] = (*new, *there) if early else (*there, *new)
    marks = (*record.marks, *_marks(came))
    record = replace(record, partners=of[SetKind.PARTNER], warm_ups=of[SetKind.WARM_UP], marks=marks)
    return _judged(record, of[SetKind.EXERCISE])


def _judged(record: SessionRecord, sets: tuple[SetRecord, ...]) -> SessionRecord:
    """Judge a session with sets that were given, and whether it is met without what the trainee alone gave."""
    verdict = judged_session([one.verdict for one in sets], record.prescription, record.source)
    sure = [one.verdict for one in sets if _is_vouched(one)]
    alone = judged_session(sure, record.prescription, record.source).outcome is not Outcome.MET
    self_told = verdict.outcome is Outcome.MET and (record.self_told or alone)
    return replace(record, sets=sets, verdict=verdict, self_told=self_told)


def _is_vouched(done: SetRecord) -> bool:
    """Tell whether the coach says all that the trainee says of a set; of one that is the trainee's own, yes."""
    if done.given is None:
        return True
    made = [mark.made for mark in done.marks]
    coachs = [_what(one) for one in made if one.role is By.COACH]
    return all(_what(one) in coachs for one in made)


def _what(made: Correction) -> tuple[object, ...]:
    return made.kind, made.start_s, made.end_s, made.value


def _marks(sets: Iterable[SetRecord]) -> tuple[Mark, ...]:
    return tuple({mark.made.id: mark for one in sets for mark in one.marks}.values())


def judged_session(sets: Sequence[SetVerdict], asked: Prescription, source: Source) -> SessionVerdict:
    """Judge a session from the verdicts of its sets, by how they are known."""
    judge = judge_session if source is Source.SENSOR else judge_told_session
    return judge(sets, asked)


def given_from(done: SetRecord) -> UUID | None:
    """Return in which session's recording a set lies that was given; None for one's own."""
    if done.given is None:
        return None
    return next(mark.made.session_id for mark in done.marks if mark.made.kind is Act.GIVE)
