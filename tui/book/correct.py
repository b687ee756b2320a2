"""`rungwise correct`: what a person says against what was measured, and what follows from it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from uuid import uuid4

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import AnalysisRun, Trainee
from analysis.training import pointing
from analysis.training.corrections import Act, Because, By, Correction, standing_corrections
from analysis.training.decision import ID_LETTERS
from analysis.training.pointing import Draft, PointingError
from analysis.training.progression import NextSession
from analysis.training.records import SessionRecord, SetRecord, Source
from tui import format as words
from tui.book.again import analyse_again
from tui.book.corrected import correction_line, correction_lines, session_lines, set_line
from tui.book.moments import here_now, utc_us
from tui.book.show import session_document
from tui.home import Home
from tui.plans import proposed, training_for
from tui.trouble import Trouble, clear_errors


@dataclass(frozen=True, slots=True)
class Wish:
    """What to correct, of which set and reps.

    Attributes
    ----------
    act
        Name of the option; empty: nothing, only show what there is.
    given
        What was given with it: a count, a kind, …
    set_number
        None: the only set, or with a load all of them.
    reps
        Numbers of reps, as `rungwise correct SESSION` lists them.
    """

    act: str
    given: Any = None
    set_number: int | None = None
    reps: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Teller:
    """Who corrects, and why."""

    name: str | None
    role: By
    reason: Because
    text: str = ""


@dataclass(frozen=True, slots=True)
class _Open:
    """The session that is corrected, with where it is kept."""

    home: Home
    logbook: Logbook
    record: SessionRecord
    trainee: Trainee

    def now(self) -> SessionRecord:
        """Return the session as it stands now."""
        record = self.logbook.session(self.record.session_id)
        assert record is not None  # nothing is ever removed
        return record

    def next(self) -> NextSession:
        """Return what follows from the log as it stands now."""
        training = training_for(self.home, self.logbook, self.trainee)
        return proposed(self.logbook, self.trainee, training, here_now().date())


def correct_session(folder: Path, session: str, wish: Wish, teller: Teller, *, as_json: bool) -> None:
    """Correct a session as wished, and print what it is then; without a wish, what there is to correct."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        found = _opened(home, logbook, session)
        if not wish.act:
            _show(found, as_json=as_json)
            return
        before = found.next()
        try:
            said = _said(found, wish, teller)
        except PointingError as error:
            raise Trouble(f"{error}. rungwise correct {session} lists what there is") from error
        for made in said:
            logbook.add_correction(made)
        run = analyse_again(home, logbook, found.record) if wish.act == "analyse_again" else None
        after = found.next()
        if after != before:
            logbook.record_next(
                found.trainee.id, after, made_utc_us=utc_us(here_now()), after_session=found.record.session_id
            )
        if as_json:
            click.echo(json.dumps(session_document(found.now(), found.trainee)))
            return
        made_lines = _run_lines(found, run) if wish.act == "analyse_again" else _undone_lines(found, said)
        for line in (*made_lines, *_change_lines(found, before, after)):
            click.echo(line)
        if said:
            click.echo(f"undo it by: rungwise correct {session} --undo {str(said[-1].id)[:ID_LETTERS]}")


def _opened(home: Home, logbook: Logbook, letters: str) -> _Open:
    called = logbook.sessions_called(letters)
    if len(called) != 1:
        many = "more than one session begins" if called else "no session begins"
        raise Trouble(f"{many} with {letters}: give the letters of the id that rungwise log shows")
    record = logbook.session(called[0])
    assert record is not None  # it was just found
    trainee = next(one for one in logbook.trainees() if one.id == record.trainee)
    return _Open(home, logbook, record, trainee)


def _show(found: _Open, *, as_json: bool) -> None:
    record = found.record
    if as_json:
        click.echo(json.dumps(session_document(record, found.trainee)))
        return
    asked = record.prescription
    click.echo(
        f"{found.trainee.name}, {record.day}: {asked.exercise.name}, {words.asked(asked)}, {record.outcome.value}"
    )
    made = found.logbook.corrections(record.session_id)
    for line in (*session_lines(record), *(("corrections",) if made else ())):
        click.echo(line)
    for line in correction_lines(record, made):
        click.echo(f"  {line}")
    runs = found.logbook.runs(record.session_id)
    if len({(one.version, one.parameters_sha) for one in runs}) > 1:
        click.echo("analyses, the last one answers")
        for run in runs:
            click.echo(f"  {run.kind.value} by {run.version} ({run.parameters_sha[:8]}): {_counts(found, run)}")


def _counts(found: _Open, run: AnalysisRun) -> str:
    answer = found.logbook.session_found(found.record.session_id, run.id)
    return " ".join(words.done(one.verdict) for one in answer.sets) if answer and answer.sets else "none"


def _said(found: _Open, wish: Wish, teller: Teller) -> tuple[Correction, ...]:
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
    return (_corrected(found, _draft(found.record, wish), teller),)


def _undoing(found: _Open, made: Sequence[Correction], letters: str, teller: Teller) -> Correction:
    standing = {one.id for one in standing_corrections(made)}
    named = [one for one in made if str(one.id).startswith(letters)] if letters else []
    if not letters:
        named = [one for one in made if one.id in standing][-1:]
    if len(named) != 1:
        there = ", ".join(str(one.id)[:ID_LETTERS] for one in made if one.id in standing) or "none"
        what = f"there is no one correction {letters}" if letters else "there is nothing to undo"
        raise Trouble(f"{what}; of this session there is: {there}")
    gone = named[0]
    return _corrected(found, Draft(Act.UNDO, gone.start_s, gone.end_s, str(gone.id)), teller)


def _draft(record: SessionRecord, wish: Wish) -> Draft:
    if wish.act == "load":
        one = None if wish.set_number is None else pointing.the_set(record, wish.set_number)
        return pointing.loaded(record, one, wish.given)
    done = pointing.the_set(record, wish.set_number)
    if wish.act == "count" and record.prescription.hold_s and record.source is Source.SENSOR:
        raise PointingError("a measured hold has no count; leave the set out instead (--drop-set)")
    match wish.act:
        case "count":
            return pointing.set_counted(done, wish.given)
        case "drop_set":
            return pointing.set_dropped(done)
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


def _corrected(found: _Open, draft: Draft, teller: Teller) -> Correction:
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


def _by(found: _Open, made: Correction, teller: Teller, later_us: int = 0) -> Correction:
    """Return a correction as that of the one who corrects, now."""
    name = teller.name or found.trainee.name
    if teller.role is By.COACH and name.casefold() == found.trainee.name.casefold():
        raise Trouble(f"as the coach of {found.trainee.name} somebody else corrects: name the coach (--by NAME)")
    return replace(made, id=uuid4(), who=name, role=teller.role, made_utc_us=utc_us(here_now()) + later_us)


def _run_lines(found: _Open, run: AnalysisRun | None) -> tuple[str, ...]:
    if run is None:
        return ("analysed by this same version before: nothing new is written",)
    earlier = found.logbook.runs(found.record.session_id)[-2:-1]
    was = f"; before: {_counts(found, earlier[0])} by {earlier[0].version}" if earlier else ""
    return (f"analysed again by {run.version}: {_counts(found, run)}{was}; both are kept",)


def _undone_lines(found: _Open, said: Sequence[Correction]) -> Iterator[str]:
    """Say what was undone, and what that alone does not change."""
    undone = {str(one.value) for one in said if one.kind is Act.UNDO}
    for one in found.logbook.corrections(found.record.session_id):
        if str(one.id) in undone:
            yield f"undone: {correction_line(one, found.record, holds=True)}"
            if one.kind is Act.RELABEL:
                yield "  whose set it was is worked out anew by --analyse-again"


def _change_lines(found: _Open, before: NextSession, after: NextSession) -> tuple[str, ...]:
    """Say what the session is now, beside what it was, and what that changes for the next one."""
    was, now = found.record, found.now()
    known = [set_line(one) for one in was.sets]
    gone = "" if len(now.sets) == len(was.sets) else f", {len(now.sets)} sets instead of {len(was.sets)}"
    lines = [line for line in map(set_line, now.sets) if line not in known]
    lines.append(
        f"session: {now.outcome.value}{'' if now.outcome is was.outcome else f', was {was.outcome.value}'}{gone}"
    )
    if now.self_told:
        lines.append("  met by your own correction only: before a step to the next rung your coach has to confirm it")
    if was.self_told and now.confirmed:
        lines.append("  confirmed: it counts before a step to the next rung")
    if any(mark.disagrees for mark in now.marks):
        lines.append("  a correction disagrees with the newer analysis; it holds, but look at it")
    heads = [tuple(words.next_lines(one))[:2] for one in (before, after)]
    if heads[0] == heads[1]:
        lines.append(f"{heads[1][0]}, as before")
    else:
        lines += [*heads[1], f"  before the correction {' '.join(line.strip() for line in heads[0])}"]
    return (*lines, f"  {after.reasons[0].text}")
