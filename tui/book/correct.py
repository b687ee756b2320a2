"""`rungwise correct`: what a person says against what was measured, and what follows from it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import AnalysisRun
from analysis.training.corrections import Act
from analysis.training.decision import ID_LETTERS
from analysis.training.pointing import PointingError
from tui import format as words
from tui.book.corrected import correction_line, correction_lines, listed, set_lines
from tui.book.correcting import Corrected, Opened, Teller, Wish, correct, opened
from tui.book.moments import here_now
from tui.book.show import session_document
from tui.home import Home
from tui.trouble import Trouble, clear_errors


def show_session(folder: Path, session: str, *, as_json: bool) -> None:
    """Print what there is to correct in a session."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        found = opened(home, logbook, session, here_now())
        if as_json:
            click.echo(json.dumps(session_document(found.record, found.trainee)))
            return
        for line in _session_lines(found):
            click.echo(line)


def correct_session(folder: Path, session: str, wish: Wish, teller: Teller, *, as_json: bool) -> None:
    """Correct a session as wished, and print what it is then."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        found = opened(home, logbook, session, here_now())
        try:
            done = correct(found, wish, teller)
        except PointingError as error:
            raise Trouble(f"{error}. rungwise correct {session} lists what there is") from error
        if as_json:
            click.echo(json.dumps(session_document(done.now, found.trainee)))
            return
        made_lines = _run_lines(found, done.run) if wish.act == "analyse_again" else _undone_lines(found, done)
        for line in (*made_lines, *_change_lines(done)):
            click.echo(line)
        if done.made:
            click.echo(f"undo it by: rungwise correct {session} --undo {str(done.made[-1].id)[:ID_LETTERS]}")


def _session_lines(found: Opened) -> Iterator[str]:
    record = found.record
    asked = record.prescription
    yield f"{found.trainee.name}, {record.day}: {asked.exercise.name}, {words.asked(asked)}, {record.outcome.value}"
    yield from (one.text for one in listed(record))
    made = found.logbook.corrections(record.session_id)
    if made:
        yield "corrections"
    yield from (f"  {line}" for line in correction_lines(record, made))
    runs = found.logbook.runs(record.session_id)
    if len({(one.version, one.parameters_sha) for one in runs}) > 1:
        yield "analyses, the last one answers"
        for run in runs:
            yield f"  {run.kind.value} by {run.version} ({run.parameters_sha[:8]}): {_counts(found, run)}"


def _counts(found: Opened, run: AnalysisRun) -> str:
    answer = found.logbook.session_found(found.record.session_id, run.id)
    return " ".join(words.done(one.verdict) for one in answer.sets) if answer and answer.sets else "none"


def _run_lines(found: Opened, run: AnalysisRun | None) -> tuple[str, ...]:
    if run is None:
        return ("analysed by this same version before: nothing new is written",)
    earlier = found.logbook.runs(found.record.session_id)[-2:-1]
    was = f"; before: {_counts(found, earlier[0])} by {earlier[0].version}" if earlier else ""
    return (f"analysed again by {run.version}: {_counts(found, run)}{was}; both are kept",)


def _undone_lines(found: Opened, done: Corrected) -> Iterator[str]:
    """Say what was undone."""
    undone = {str(one.value) for one in done.made if one.kind is Act.UNDO}
    for one in found.logbook.corrections(found.record.session_id):
        if str(one.id) in undone:
            yield f"undone: {correction_line(one, found.record, holds=True)}"


def _change_lines(done: Corrected) -> tuple[str, ...]:
    """Say what the session is now, beside what it was, and what that changes for the next one."""
    was, now = done.was, done.now
    known = set(set_lines(was))
    gone = "" if len(now.sets) == len(was.sets) else f", {len(now.sets)} sets instead of {len(was.sets)}"
    lines = [line for line in set_lines(now) if line not in known]
    lines.append(
        f"session: {now.outcome.value}{'' if now.outcome is was.outcome else f', was {was.outcome.value}'}{gone}"
    )
    if now.self_told:
        lines.append("  met by your own correction only: before a step to the next rung your coach has to confirm it")
    if was.self_told and now.confirmed:
        lines.append("  confirmed: it counts before a step to the next rung")
    if any(mark.disagrees for mark in now.marks):
        lines.append("  a correction disagrees with the newer analysis; it holds, but look at it")
    heads = [tuple(words.next_lines(one))[:2] for one in (done.next_was, done.next_now)]
    if heads[0] == heads[1]:
        lines.append(f"{heads[1][0]}, as before")
    else:
        lines += [*heads[1], f"  before the correction {' '.join(line.strip() for line in heads[0])}"]
    return (*lines, f"  {done.next_now.reasons[0].text}")
