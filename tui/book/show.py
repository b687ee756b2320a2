"""`rungwise log`: what was done."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.decision import ID_LETTERS
from analysis.training.ladder import Method
from analysis.training.load import minutes_of, session_load
from analysis.training.pain import worst_pains
from analysis.training.prescription import Prescription
from analysis.training.records import SessionRecord, SetRecord, Source
from analysis.training.setup import UNSAID
from analysis.training.sharing import given_from
from analysis.training.statements import Pain
from tui.book.corrected import corrected_words, mark_document
from tui.book.moments import here_now
from tui.document import rep_document
from tui.home import Home
from tui.occasion import Occasion
from tui.rooms import Library, rooms_of
from tui.session.plans import done_by, last_name
from tui.trouble import Trouble, clear_errors
from tui.views.hills import set_hills, target_hill
from tui.views.rows import LogRow, LogSet
from tui.words import format as words
from tui.words.set_up_words import set_up_words

SESSION_FORMAT = "rungwise.session/1"


def open_log(held: ExitStack, home: Home, trainee: str | None) -> Occasion:
    """Make ready the dashboard with the sessions of a trainee, or of everybody."""
    logbook = held.enter_context(Logbook.open(home.logbook))
    people_called(logbook, trainee)  # a name that nobody has is told before anything is shown
    library = Library(home=home, logbook=logbook, who=lambda: trainee or "", today=lambda: here_now().date())
    return Occasion(rooms=rooms_of(library), first="l")


def show_log(folder: Path, *, trainee: str | None, as_json: bool) -> None:
    """List the sessions of a trainee, or of everybody, as text or JSON."""
    with clear_errors(), Logbook.open(Home(folder).logbook) as logbook:
        people = people_called(logbook, trainee)
        done = [found for person in people for found in _told(logbook, person, with_reps=as_json)]
        for record, person, pain in done:
            document = session_document(record, person, pain) if as_json else None
            click.echo(json.dumps(document) if document else session_line(record, person, pain))
        if not done:
            click.echo("no session in the log yet: rungwise train or rungwise done makes the first one", err=True)


def log_of(logbook: Logbook, name: str) -> tuple[LogRow, ...]:
    """Return the sessions of a trainee as the log screen takes them, newest first; without a name, everybody's.

    Somebody who is not in the logbook yet has none.
    """
    people = [person for person in logbook.trainees() if name in ("", person.name)]
    rows = [row for person in people for row in log_rows(logbook, person)]
    return tuple(sorted(rows, key=lambda row: row.date, reverse=True))


def log_rows(logbook: Logbook, trainee: Trainee) -> tuple[LogRow, ...]:
    """Return a trainee's sessions, newest first, as the log screen takes them."""
    return tuple(log_row(record, trainee) for record in reversed(done_by(logbook, trainee, with_reps=True)))


def _told(logbook: Logbook, person: Trainee, *, with_reps: bool) -> list[tuple[SessionRecord, Trainee, Pain | None]]:
    """Return each session of a trainee with the worst pain that was said from its beginning on."""
    done = logbook.sessions(person.id, with_reps=with_reps)
    pains = worst_pains(logbook.statements(person.id), done)
    return [(record, person, pain) for record, pain in zip(done, pains, strict=True)]


def session_line(record: SessionRecord, trainee: Trainee, pain: Pain | None = None) -> str:
    """Return one session on one line; `pain` is the worst that was said of it."""
    asked = record.prescription
    judged = record.outcome.value if record.sets else "not judged"
    counts = " ".join(words.done(done.verdict) for done in record.sets) or "none"
    warm_ups = f"warm-ups: {' '.join(str(done.verdict.count) for done in record.warm_ups)}  " if record.warm_ups else ""
    partners = f"  partner sets: {len(record.partners)}, not counted" if record.partners else ""
    ended = "" if record.ended_utc_us else ", broken off"
    return "  ".join(
        (
            f"{str(record.session_id)[:ID_LETTERS]}  {record.day}  {trainee.name}  {asked.exercise.name}",
            f"{words.asked(asked)}, rest {asked.rest_s:g} s",
            f"{warm_ups}sets: {counts}{partners}  {judged}{ended}",
            *beside_words(record, pain),
        )
    )


def beside_words(record: SessionRecord, pain: Pain | None = None) -> Iterator[str]:
    """Yield what stands beside the sets: how, with what, how hard, and who says so."""
    asked = record.prescription
    if record.method is not Method.OWN:
        yield record.method.value
    yield f"{asked.grip.value} grip"
    if asked.load_kg:
        yield words.load_words(asked.load_kg)
    if record.rpe is not None:
        yield f"exertion {record.rpe} of 10"
    if pain is not None:
        yield f"pain {pain.level}{f' ({pain.where})' if pain.where else ''}"
    if record.set_up != UNSAID:
        yield set_up_words(record.set_up)
    if record.source is not Source.SENSOR:
        yield f"{record.source.value}{f', seen by {record.seen_by}' if record.seen_by else ''}"
    if record.note:
        yield record.note
    yield from corrected_words(record)


def session_document(record: SessionRecord, trainee: Trainee, pain: Pain | None = None) -> dict[str, Any]:
    """Return one session as `rungwise.session/1`. Times of reps are the sensor's own; see `clock_ratio` of the set.

    `pain` is the worst that was said from its beginning to the next one's.
    """
    asked = record.prescription
    return {
        "format": SESSION_FORMAT,
        "session": str(record.session_id),
        "trainee": trainee.name,
        "date": record.day.isoformat(),
        "rung": record.rung,
        "exercise": asked.exercise.key,
        "method": record.method.value,
        "source": record.source.value,
        "seen_by": record.seen_by or None,
        "mount": record.mount.value,
        "place": record.place.value if record.place else None,
        "sensor": record.sensor,
        "recording": record.recording,
        "demo": record.demo,
        "finished": record.ended_utc_us is not None,
        "set_up": {**asdict(record.set_up), "support": record.set_up.support.value if record.set_up.support else None},
        "rpe": record.rpe,
        "minutes": minutes_of(record),
        "load": session_load(record),
        "pain": None if pain is None else {"level": pain.level, "sharp": pain.sharp, "where": pain.where},
        "note": record.note,
        "prescribed": asked_document(asked),
        "outcome": record.outcome.value,
        "summary": list(record.verdict.summary),
        "confirmed": record.confirmed,
        "corrections": [mark_document(mark) for mark in record.marks],
        "sets": [_set_document(done) for done in record.sets],
        "partner_sets": [_uncounted_document(done) for done in record.partners],
        "warm_up_sets": [_uncounted_document(done) for done in record.warm_ups],
    }


def asked_document(asked: Prescription) -> dict[str, Any]:
    """Return what was asked, as all documents have it; only what is asked of the rarer kinds is there."""
    return {
        "sets": asked.sets,
        "reps": asked.reps,
        "tempo": asdict(asked.tempo),
        "rest_s": asked.rest_s,
        "grip": asked.grip.value,
        "load_kg": asked.load_kg,
        **({"hold_s": asked.hold_s} if asked.hold_s else {}),
        **({"test": True} if asked.is_test else {}),
        **({"half_pause_s": asked.half_pause_s} if asked.half_pause_s else {}),
        **({"gap_s": asked.gap_s} if asked.gap_s else {}),
        **({"warm_ups": asked.warm_ups} if asked.warm_ups else {}),
        **({"start": asked.start.value} if asked.start else {}),
        **({"two_sided": list(asked.two_sided)} if asked.two_sided else {}),
        **({"partner": asked.partner.key} if asked.partner else {}),
    }


def _uncounted_document(done: SetRecord) -> dict[str, Any]:
    """Return a warm-up, or a set of a superset's partner: when it was, and what was seen; nothing of it counts."""
    return {
        "kind": done.kind.value,
        "number": done.number,
        "start_s": done.start_s,
        "end_s": done.end_s,
        "clock_ratio": done.clock_ratio,
        "reps": [rep_document(rep) for rep in done.reps],
    }


def _set_document(done: SetRecord) -> dict[str, Any]:
    verdict = done.verdict
    return {
        "number": done.number,
        "count": verdict.count,
        "measured": done.measured,
        "why": done.why.value if done.why else None,
        "outcome": verdict.outcome.value,
        "tempo_outcome": verdict.tempo_outcome.value,
        "tut_s": verdict.tut_s,
        "held": verdict.held,
        "target_tut_s": verdict.target_tut_s,
        "tut_outcome": verdict.tut_outcome.value,
        "rest_before_s": done.rest_before_s,
        "rest_outcome": verdict.rest_outcome.value,
        "clock_ratio": done.clock_ratio,
        "form": [asdict(one) for one in verdict.form],
        "remark": verdict.remark,
        **({} if verdict.clean is None else {"clean": verdict.clean}),
        "measured_count": verdict.count if done.measured_count is None else done.measured_count,
        "load_kg": done.load_kg,
        **({"recorded_in": str(given_from(done))} if done.given else {}),
        "corrected": bool(done.marks),
        "reps": [{**rep_document(rep), "corrected": done.is_corrected(rep)} for rep in done.reps],
    }


def log_row(record: SessionRecord, trainee: Trainee) -> LogRow:
    """Return one session, with its reps where they were read, as screens take it."""
    asked = record.prescription
    return LogRow(
        session=str(record.session_id),
        date=record.day,
        trainee=trainee.name,
        rung=record.rung or "",
        exercise=asked.exercise.name,
        asked=words.asked(asked),
        rest_s=asked.rest_s,
        done=tuple(_log_set(done, asked) for done in record.sets),
        outcome=record.outcome if record.sets else None,
        note=", ".join(_notes(record)),
    )


def _notes(record: SessionRecord) -> Iterator[str]:
    if record.ended_utc_us is None:
        yield "broken off"
    if record.warm_ups:
        yield f"warm-ups: {' '.join(str(done.verdict.count) for done in record.warm_ups)} reps"
    yield from beside_words(record)


def _log_set(done: SetRecord, asked: Prescription) -> LogSet:
    return LogSet(
        count=done.verdict.count,
        target_reps=asked.reps,
        hills=set_hills(done),
        target=target_hill(asked),
        rest_before_s=done.rest_before_s,
        verdict=done.verdict,
    )


def people_called(logbook: Logbook, name: str | None) -> Sequence[Trainee]:
    """Return the trainee of that name; without one, everybody."""
    return [_known(logbook, name)] if name else logbook.trainees()


def person_called(logbook: Logbook, name: str | None) -> Trainee:
    """Return the trainee of that name; without one, who trained last."""
    return _known(logbook, name if name else last_name(logbook))


def _known(logbook: Logbook, name: str) -> Trainee:
    found = logbook.trainee(name)
    if found is None:
        raise Trouble(f"{name} is not in the logbook ({_held(logbook)}). rungwise train, or plan new, adds a new name")
    return found


def trainee_or_session(logbook: Logbook, named: str) -> Trainee | None:
    """Return the trainee of that name; None where it is the first letters of sessions' ids instead.

    Raises
    ------
    Trouble
        When it is neither.
    """
    person = logbook.trainee(named)
    if person is None and not logbook.sessions_called(named):
        raise Trouble(
            f"{named} is neither a name in the logbook ({_held(logbook)}) nor the first letters of a session's id: "
            "rungwise log shows both"
        )
    return person


def _held(logbook: Logbook) -> str:
    return f"it holds: {', '.join(one.name for one in logbook.trainees()) or 'nobody yet'}"
