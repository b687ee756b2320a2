"""`rungwise export`: what the logbook holds, for other programs."""

from __future__ import annotations

import csv
import gzip
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import UUID

import click
import numpy as np

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.exchange_in import counts
from analysis.training.records import SessionRecord
from analysis.training.schedule import schedule
from analysis.training.sharing import all_sets, is_part
from sensor.recording import Recording
from tui.book.calendar_out import calendar
from tui.book.columns import TABLES, CorrectionRow, RepRow, SaidRow, SessionRow, SetRow, cell
from tui.book.motion_out import FORMATS, motion_table
from tui.book.new_file import write_new
from tui.book.plan_exchange import plans_of
from tui.book.show import people_called
from tui.home import Home
from tui.replay.replay_command import recording_path
from tui.session.plans import training_for
from tui.trouble import Trouble, clear_errors


def export(folder: Path, form: str, out: Path, *, trainee: str | None, session: str | None, now: datetime) -> None:
    """Write an export of one trainee, or of everybody.

    Parameters
    ----------
    folder
        Home.
    form
        csv, json, ics or motion.
    out
        A folder for csv, else a file.
    trainee
        Name; None: everybody.
    session
        First letters of a session's id, or a recording: for motion.
    now
        This moment.
    """
    home = Home(folder)
    with clear_errors():
        if form == "motion":
            _motion(home, out, session)
            return
        with Logbook.open(home.logbook) as logbook:
            people = people_called(logbook, trainee)
            if form == "csv":
                _tables(logbook, people, out)
            elif form == "json":
                _whole(home, logbook, people if trainee else None, out)
            else:
                _calendar(home, logbook, people, out, now)


def _tables(logbook: Logbook, people: Sequence[Trainee], out: Path) -> None:
    rows = _rows(logbook, people)
    texts = {name: _table(name, rows[name]) for name in TABLES}
    there = [out / name for name in TABLES if (out / name).exists()]
    if there:
        raise Trouble(f"{there[0]} is there already and left as it is: name a new folder with --out")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Trouble(f"{out} cannot be made ({error.strerror}): name a folder that can, with --out") from error
    for name, text in texts.items():
        write_new(out / name, text.encode())
    found = counts((name.removesuffix(".csv"), len(rows[name])) for name in TABLES)
    click.echo(f"{out}: {found or 'nothing yet'}")


def _rows(logbook: Logbook, people: Sequence[Trainee]) -> dict[str, list[Any]]:
    rows: dict[str, list[Any]] = {name: [] for name in TABLES}
    for person in people:
        for record in logbook.sessions(person.id, with_reps=True):
            rows["sessions.csv"].append(SessionRow(person, record))
            rows["sets.csv"] += [SetRow(record, done) for done in all_sets(record)]
            rows["reps.csv"] += list(_reps(record))
            if not is_part(record):  # else they stand with the session's own trainee
                made = logbook.corrections(record.session_id)
                rows["corrections.csv"] += [CorrectionRow(person, one) for one in made]
        rows["statements.csv"] += [SaidRow(person, one) for one in logbook.statements(person.id)]
    return rows


def _reps(record: SessionRecord) -> Iterator[RepRow]:
    for done in all_sets(record):
        verdicts = [*done.verdict.reps, *[None] * (len(done.reps) - len(done.verdict.reps))]
        for number, (rep, verdict) in enumerate(zip(done.reps, verdicts, strict=True), start=1):
            yield RepRow(record, done, number, rep, verdict)


def _table(name: str, rows: Iterable[Any]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(column.name for column in TABLES[name])
    writer.writerows([cell(column.of(row)) for column in TABLES[name]] for row in rows)
    return text.getvalue()


def _whole(home: Home, logbook: Logbook, people: Sequence[Trainee] | None, out: Path) -> None:
    asked: list[UUID] | None = None if people is None else [one.id for one in people]
    plans = plans_of(home, logbook.trainees() if people is None else people)
    document = {**logbook.dump(asked), "plans": plans}
    write_new(out, (json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode())
    found = (*((name, len(document[name])) for name in ("sessions", "statements")), ("plans", len(plans)))
    click.echo(f"{out}: {counts(found) or 'nothing yet'}")


def _calendar(home: Home, logbook: Logbook, people: Sequence[Trainee], out: Path, now: datetime) -> None:
    planned = []
    for person in people:
        log = logbook.history(person.id)
        planned.append((person, schedule(log, training_for(home, person, log), now.date(), trainee=person.id)))
    write_new(out, calendar(planned, now))
    for person, coming in planned:
        when = f"next on {coming[0].day}, {len(coming)} sessions in four weeks" if coming else "no session now"
        click.echo(f"{person.name}: {when} (rungwise next says why)")


def _motion(home: Home, out: Path, session: str | None) -> None:
    if session is None:
        raise click.UsageError("--format motion needs --session: the first letters of its id, as rungwise log shows it")
    with Recording.open(recording_path(home, Path(session))) as recording:
        header, numbers = motion_table(recording)
    text = io.StringIO()
    np.savetxt(text, numbers, fmt=FORMATS[: len(header)], delimiter=",", header=",".join(header), comments="")
    content = text.getvalue().encode()
    write_new(out, gzip.compress(content, mtime=0) if out.suffix == ".gz" else content)
    click.echo(f"{out}: {len(numbers)} samples, {numbers[-1, 0] - numbers[0, 0]:.1f} s")
