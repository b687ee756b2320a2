"""`rungwise log` and `rungwise next`: what was done, and what to do."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.decision import ID_LETTERS
from analysis.training.prescription import Prescription
from analysis.training.progression import NextSession
from analysis.training.records import SessionRecord, SetRecord
from tui import format as words
from tui.document import rep_document
from tui.hills import set_hills, target_hill
from tui.home import Home
from tui.plans import done_by, last_name, proposed, training_for
from tui.rows import LogRow, LogSet
from tui.running import run_in_dashboard, wants_text
from tui.trouble import Trouble, clear_errors

SESSION_FORMAT = "rungwise.session/1"
NEXT_FORMAT = "rungwise.next/1"


def show_log(folder: Path, *, trainee: str | None, headless: bool, as_json: bool) -> None:
    """List the sessions of a trainee, or of everybody: on a screen in a terminal, as text elsewhere."""
    with clear_errors(), Logbook.open(Home(folder).logbook) as logbook:
        people = _people(logbook, trainee)
        if not as_json and not wants_text(headless):
            rows = [row for person in people for row in log_rows(logbook, person)]
            rows.sort(key=lambda row: row.date, reverse=True)
            run_in_dashboard(None, log=lambda: rows)
            return
        done = [(one, person) for person in people for one in logbook.sessions(person.id, with_reps=as_json)]
        for record, person in done:
            click.echo(json.dumps(session_document(record, person)) if as_json else session_line(record, person))
        if not done:
            click.echo("no session in the log yet: rungwise train makes the first one", err=True)


def show_next(folder: Path, *, trainee: str | None, on: datetime | None, as_json: bool) -> None:
    """Print the next session and why."""
    today = on.date() if on else datetime.now().astimezone().date()
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        person = person_called(logbook, trainee)
        proposal = proposed(logbook, person, training_for(home, logbook, person), today)
    if as_json:
        click.echo(json.dumps(next_document(proposal, person)))
        return
    click.echo(person.name)
    for line in (*words.next_lines(proposal), *proposal.cautions):
        click.echo(line)


def log_rows(logbook: Logbook, trainee: Trainee) -> tuple[LogRow, ...]:
    """Return a trainee's sessions, newest first, as the log screen takes them."""
    return tuple(_row(record, trainee) for record in reversed(done_by(logbook, trainee, with_reps=True)))


def session_line(record: SessionRecord, trainee: Trainee) -> str:
    """Return one session on one line."""
    asked = record.prescription
    counts = " ".join(words.done(done.verdict) for done in record.sets) or "none"
    warm_ups = f"warm-ups: {' '.join(str(done.verdict.count) for done in record.warm_ups)}  " if record.warm_ups else ""
    partners = f"  partner sets: {len(record.partners)}, not counted" if record.partners else ""
    ended = "" if record.ended_utc_us else ", broken off"
    return (
        f"{str(record.session_id)[:ID_LETTERS]}  {record.day}  {trainee.name}  {asked.exercise.name}"
        f"  {words.asked(asked)}  {warm_ups}sets: {counts}{partners}  {record.outcome.value}{ended}"
    )


def session_document(record: SessionRecord, trainee: Trainee) -> dict[str, Any]:
    """Return one session as `rungwise.session/1`. Times of reps are the sensor's own; see `clock_ratio` of the set."""
    asked = record.prescription
    return {
        "format": SESSION_FORMAT,
        "session": str(record.session_id),
        "trainee": trainee.name,
        "date": record.day.isoformat(),
        "rung": record.rung,
        "exercise": asked.exercise.key,
        "mount": record.mount.value,
        "place": record.place.value if record.place else None,
        "sensor": record.sensor,
        "recording": record.recording,
        "demo": record.demo,
        "finished": record.ended_utc_us is not None,
        "prescribed": _asked_document(asked),
        "outcome": record.outcome.value,
        "summary": list(record.verdict.summary),
        "sets": [_set_document(done) for done in record.sets],
        "partner_sets": [_uncounted_document(done) for done in record.partners],
        "warm_up_sets": [_uncounted_document(done) for done in record.warm_ups],
    }


def next_document(proposal: NextSession, trainee: Trainee) -> dict[str, Any]:
    """Return the next session as `rungwise.next/1`; `date` is the first day on which it may be done."""
    asked = proposal.prescription
    return {
        "format": NEXT_FORMAT,
        "trainee": trainee.name,
        "date": proposal.due.isoformat(),
        "rung": proposal.rung,
        "step": proposal.step,
        "steps": proposal.steps,
        "method": proposal.method.value,
        **_next_asked(asked),
        "cue": proposal.cue,
        "reasons": [{"rule": one.rule, "text": one.text, "evidence": list(one.evidence)} for one in proposal.reasons],
        "cautions": list(proposal.cautions),
    }


def _next_asked(asked: Prescription | None) -> dict[str, Any]:
    """Return what is asked next; nothing where no session is allowed."""
    if asked is None:
        return {"exercise": None, "sets": None, "reps": None, "tempo": None, "rest_s": None}
    return {"exercise": asked.exercise.key, **_asked_document(asked)}


def _asked_document(asked: Prescription) -> dict[str, Any]:
    return {
        "sets": asked.sets,
        "reps": asked.reps,
        "tempo": asdict(asked.tempo),
        "rest_s": asked.rest_s,
        "grip": asked.grip.value,
        "load_kg": asked.load_kg,
        **({"hold_s": asked.hold_s} if asked.hold_s else {}),
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
        "remark": verdict.remark,
        **({} if verdict.clean is None else {"clean": verdict.clean}),
        "reps": [rep_document(rep) for rep in done.reps],
    }


def _row(record: SessionRecord, trainee: Trainee) -> LogRow:
    asked = record.prescription
    return LogRow(
        session=str(record.session_id),
        date=record.day,
        trainee=trainee.name,
        rung=record.rung or "",
        exercise=asked.exercise.name,
        sets=asked.sets,
        reps=asked.reps,
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


def _log_set(done: SetRecord, asked: Prescription) -> LogSet:
    return LogSet(
        count=done.verdict.count,
        target_reps=asked.reps,
        hills=set_hills(done),
        target=target_hill(asked),
        rest_before_s=done.rest_before_s,
        verdict=done.verdict,
    )


def _people(logbook: Logbook, name: str | None) -> Sequence[Trainee]:
    return [_known(logbook, name)] if name else logbook.trainees()


def person_called(logbook: Logbook, name: str | None) -> Trainee:
    """Return the trainee of that name; without one, who trained last."""
    return _known(logbook, name if name else last_name(logbook))


def _known(logbook: Logbook, name: str) -> Trainee:
    found = logbook.trainee(name)
    if found is None:
        known = ", ".join(one.name for one in logbook.trainees()) or "nobody yet"
        raise Trouble(f"{name} is not in the logbook (it holds: {known}). rungwise train adds a new name")
    return found
