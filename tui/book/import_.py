"""`rungwise import`: a Rungwise export read back, or past training from a plain table; all of it or nothing."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.errors import LogbookError
from analysis.logbook.exchange_in import counts
from tui.book.cells import SheetError, raise_faults, read_lines
from tui.book.meanwhile import on_what_is_there
from tui.book.past import COLUMNS, NEEDED, Past
from tui.book.plan_exchange import TakenPlan, plans_in, taken_lines
from tui.book.plan_file import write_plans
from tui.book.tables_back import tables_back
from tui.home import Home
from tui.session.plans import trainee_called
from tui.trouble import clear_errors
from tui.words import format as words

WOULD = "would be added, nothing was written"


def take_in(folder: Path, path: Path, *, trainee: str | None, dry_run: bool, now: datetime) -> None:
    """Read a file into the logbook.

    Parameters
    ----------
    folder
        Home.
    path
        An export (JSON, or the folder of its tables), or a table (CSV) of past training.
    trainee
        Whose it is, if the file does not say so or says another name.
    dry_run
        Only tell what would be added.
    now
        This moment.
    """
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        if path.is_dir():
            _tables(logbook, path, trainee, dry_run=dry_run)
        elif _is_json(path):
            _whole(home, logbook, path, trainee, dry_run=dry_run)
        else:
            _past(home, logbook, path, trainee, dry_run=dry_run, now=now)


def _is_json(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(64).lstrip(b"\xef\xbb\xbf \t\r\n")[:1] in (b"{", b"[")
    except OSError as problem:
        raise SheetError(f"{path} cannot be read ({problem.strerror})") from problem


_CALLED = {"proposals": "next sessions"}
"""What is called by another word where people read it."""


def _whole(home: Home, logbook: Logbook, path: Path, trainee: str | None, *, dry_run: bool) -> None:
    document = _document(path)
    whose = None if trainee is None else _person(logbook, trainee)
    people, plans = logbook.trainees(), list[TakenPlan]()

    def take_plans() -> None:
        plans.extend(plans_in(home, document, people, whose))
        if plans and not dry_run:
            write_plans(home, {one.path: one.text for one in plans})

    as_trainee = None if whose is None else whose.id
    try:
        added = logbook.load(document, as_trainee=as_trainee, dry_run=dry_run, also=take_plans)
    except LogbookError as problem:
        raise SheetError(f"{path.name}: {problem} Nothing was written.") from problem
    new = counts(
        (_CALLED.get(name, name), number) for name, number in asdict(added).items() if name != "known_sessions"
    )
    there = added.known_sessions
    known = f"; {_sessions(there)} {'was' if there == 1 else 'were'} here already" if there else ""
    for line in (line for one in plans for line in taken_lines(one, dry_run=dry_run)):
        click.echo(line)
    click.echo(
        f"{path.name}: {new or 'nothing new'} {WOULD if dry_run and new else 'added' if new else ''}".rstrip() + known
    )


def _tables(logbook: Logbook, folder: Path, trainee: str | None, *, dry_run: bool) -> None:
    found = tables_back(logbook, folder, None if trainee is None else _person(logbook, trainee))
    if found.entries and not dry_run:
        logbook.keep_whole(found.entries, station=logbook.station(), version=version("rungwise"))
    new = counts((("sessions", found.sessions), ("statements", found.statements)))
    known = f"; {found.known} sessions were here already" if found.known else ""
    click.echo(
        f"{folder.name}: {new or 'nothing new'} {WOULD if dry_run and new else 'added' if new else ''}".rstrip() + known
    )
    for left in found.left:
        click.echo(f"  not taken in: {left}")
    if found.sessions:
        click.echo(
            "  Tables carry no plans, no parts of verdicts and nothing as measured before corrections: these sessions "
            "count as imported and open no gate unless somebody saw them. A JSON export carries everything."
        )


def _person(logbook: Logbook, name: str) -> Trainee:
    person = trainee_called(logbook, name)
    if logbook.trainee(person.name) != person:
        raise SheetError(f"{name} is not in the logbook: leave out --trainee, and the file's own name is taken")
    return person


def _document(path: Path) -> Any:
    try:
        return json.loads(path.read_text("utf-8-sig"))
    except json.JSONDecodeError as problem:
        where = f"{path.name}, line {problem.lineno}, column {problem.colno}"
        raise SheetError(f"{where}: no JSON ({problem.msg}). Export it anew; nothing was written.") from problem
    except UnicodeDecodeError as problem:
        raise SheetError(f"{path.name} is not UTF-8. Export it anew; nothing was written.") from problem


def _keep(home: Home, logbook: Logbook, path: Path, trainee: str | None, *, dry_run: bool, now: datetime) -> Past:
    """Judge every line of past training by what the log holds, and write what is new."""
    lines = read_lines(path, tuple(COLUMNS), NEEDED)
    past = Past(home, logbook, trainee, now)
    past.take(lines)
    raise_faults(lines)
    if past.entries and not dry_run:
        logbook.keep_whole(past.entries, station=logbook.station(), version=version("rungwise"))
    return past


def _past(home: Home, logbook: Logbook, path: Path, trainee: str | None, *, dry_run: bool, now: datetime) -> None:
    past = on_what_is_there(lambda: _keep(home, logbook, path, trainee, dry_run=dry_run, now=now))
    for entry in past.entries:
        if entry.record is not None:
            done = ", ".join(words.done(one.verdict) for one in entry.record.sets)
            click.echo(f"{entry.record.day}  {entry.trainee.name}  {entry.record.rung}  {done}  {entry.record.outcome}")
    known = f"; {past.known} were here already" if past.known else ""
    click.echo(f"{path.name}: {_sessions(len(past.entries))} {WOULD if dry_run else 'added'}{known}")


def _sessions(number: int) -> str:
    return "1 session" if number == 1 else f"{number} sessions"
