"""`rungwise correct`: what a person says against what was measured, and what follows from it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import AnalysisRun
from analysis.training.corrections import Act
from analysis.training.decision import ID_LETTERS
from analysis.training.pointing import PointingError
from analysis.training.records import SessionRecord
from analysis.training.sharing import part_of
from tui.book.corrected import correction_line, correction_lines, guest_words, listed, set_lines
from tui.book.correcting import Corrected, Follows, Opened, Teller, Wish, correct, opened
from tui.book.moments import here_now
from tui.book.show import session_document
from tui.home import Home
from tui.trouble import Trouble, clear_errors
from tui.words import format as words


def show_session(folder: Path, session: str, *, as_json: bool) -> None:
    """Print what there is to correct in a session."""
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        found = opened(home, logbook, session, here_now())
        if as_json:
            click.echo(json.dumps(_document(found, found.record)))
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
            click.echo(json.dumps(_document(found, done.now)))
            return
        made_lines = _run_lines(found, done.run) if wish.act == "analyse_again" else undone_lines(found, done)
        for line in (*made_lines, *change_lines(found, done)):
            click.echo(line)
        if done.made:
            click.echo(f"undo it by: rungwise correct {session} --undo {str(done.made[-1].id)[:ID_LETTERS]}")


def _document(found: Opened, record: SessionRecord) -> dict[str, Any]:
    """Return the part of the session's own trainee, as everywhere."""
    part = part_of(record, found.trainee.id)
    assert part is not None  # of one's own session there always is one
    return session_document(part, found.trainee)


def _session_lines(found: Opened) -> Iterator[str]:
    record = found.record
    asked = record.prescription
    stands = found.stands
    yield f"{found.trainee.name}, {record.day}: {asked.exercise.name}, {words.asked(asked)}, {stands.outcome.value}"
    yield from (one.text for one in listed(record, found.people))
    yield from (f"{line}: correct it there" for line in guest_words(stands))
    made = found.logbook.corrections(record.session_id)
    if made:
        yield "corrections"
    yield from (f"  {line}" for line in correction_lines(record, made, found.people))
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


def undone_lines(found: Opened, done: Corrected) -> Iterator[str]:
    """Say what was undone."""
    undone = {str(one.value) for one in done.made if one.kind is Act.UNDO}
    for one in found.logbook.corrections(found.record.session_id):
        if str(one.id) in undone:
            yield f"undone: {correction_line(one, found.record, found.people, holds=True)}"


def change_lines(found: Opened, done: Corrected) -> Iterator[str]:
    """Say what the session is now, beside what it was, and what that changes for the next one."""
    was, now = done.was, done.now
    known = set(set_lines(was, found.people))
    changed = [line for line in set_lines(now, found.people) if line not in known]
    yield from changed or (("every set stays as it was",) if len(now.sets) == len(was.sets) else ())
    many = f"{len(now.sets)} {'set' if len(now.sets) == 1 else 'sets'}"
    gone = "" if len(now.sets) == len(was.sets) else f", {many} instead of {len(was.sets)}"
    stood, stands = done.stood, done.stands
    before = "" if stands.outcome is stood.outcome else f", was {stood.outcome.value}"
    yield f"session: {stands.outcome.value}{before}{gone}"
    if stands.self_told:
        yield "  met by your own correction only: before a step to the next rung your coach has to confirm it"
    if stood.self_told and stands.confirmed:
        yield "  confirmed: it counts before a step to the next rung"
    if any(mark.disagrees for mark in now.marks):
        yield "  a correction disagrees with the newer analysis; it holds, but look at it"
    between = any(one.kind in (Act.GIVE, Act.UNDO) for one in done.made)
    for one in done.follows:
        if one.person != found.trainee and one.now == one.was and not between:
            continue
        name = f"{one.person.name}, " if len(done.follows) > 1 else ""
        yield from (f"{name if not n else ''}{line}" for n, line in enumerate(_next_lines(one)))


def _next_lines(one: Follows) -> Iterator[str]:
    heads = [tuple(words.next_lines(each))[:2] for each in (one.was, one.now)]
    if heads[0] == heads[1]:
        yield f"{heads[1][0]}, as before"
    else:
        yield from heads[1]
        yield f"  before the correction {' '.join(line.strip() for line in heads[0])}"
    yield f"  {one.now.reasons[0].text}"
