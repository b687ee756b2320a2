"""`rungwise report`: a session or a trainee as one page to mail."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.training.pain import worst_pains
from analysis.training.progress import progress
from analysis.training.records import History
from analysis.training.statements import standing_notes
from tui.book.correcting import opened
from tui.book.ladder import ladder_of
from tui.book.new_file import write_new
from tui.book.show import trainee_or_session
from tui.home import Home
from tui.session.plans import training_for
from tui.trouble import clear_errors


def write_report(folder: Path, of: str, out: Path, *, now: datetime) -> None:
    """Write the report of a session or a trainee.

    Parameters
    ----------
    folder
        Home.
    of
        A trainee's name, or the first letters of a session's id.
    out
        The page, a file that is not there yet.
    now
        This moment.
    """
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        content = report_of(home, logbook, of, now).encode()
    write_new(out, content)
    click.echo(f"{out}: {len(content) / 1000:.0f} kB, complete by itself")


def report_of(home: Home, logbook: Logbook, of: str, now: datetime) -> str:
    """Return the page of a trainee of that name, else of the session whose id begins so.

    Raises
    ------
    Trouble
        When there is neither; or a plot is to be drawn and nothing is there to draw it.
    """
    person = trainee_or_session(logbook, of)
    return _of_trainee(home, logbook, person, now.date()) if person else _of_session(home, logbook, of, now)


def _of_trainee(home: Home, logbook: Logbook, person: Trainee, today: date) -> str:
    from tui.report.of_trainee import trainee_page

    history = History(logbook.sessions(person.id, with_reps=True), logbook.statements(person.id)).until(today)
    how = progress(history, training_for(home, person, history), today)
    return trainee_page(ladder_of(home, logbook, person.name, today), how, today)


def _of_session(home: Home, logbook: Logbook, letters: str, now: datetime) -> str:
    from tui.report.of_session import session_page

    found = opened(home, logbook, letters, now)
    person = found.trainee
    done = logbook.sessions(person.id, with_reps=True)
    said = logbook.statements(person.id)
    pains = worst_pains(said, done)
    record, pain = next(pair for pair in zip(done, pains, strict=True) if pair[0].session_id == found.record.session_id)
    coming = ladder_of(home, logbook, person.name, now.date()).coming
    assert coming is not None  # the trainee is in the logbook
    return session_page(record, person.name, pain, coming, standing_notes(said, str(record.session_id)))
