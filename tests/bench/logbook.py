"""How long a big logbook takes to answer, and the ladder's room: `python -m tests.bench.logbook [FOLDER]`.

50 trainees train twice a week for three years: 15,000 sessions, each with a live and a refined answer of three sets of
ten, so 900,000 reps. Every fourth session was missed. Each has a plan as `rungwise plan new` writes it. With FOLDER the
logbook and the plans are made there and used again next time. Timed are the commands as they are, each in a process of
its own once that has loaded the program; beside it the whole process. And a busy day of a station (60 sessions,
each with a live and a refined answer of four sets of eight) is written set by set, told, and taken in by a coach.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4, uuid5

import click
from sqlalchemy import Table, insert

from analysis.logbook.book import Logbook
from analysis.logbook.entries import RunKind
from analysis.logbook.note_rows import statement_values
from analysis.logbook.people import name_key
from analysis.logbook.rep_rows import rep_values
from analysis.logbook.rows import end_values, session_values, set_values
from analysis.logbook.schema import analysis_run, rep, rep_set, session, statement
from analysis.training.plan import default_plan
from analysis.training.records import SessionRecord, SetRecord
from analysis.training.statements import Pain
from tests.analysis.logbook.keeping import answer, begin
from tests.analysis.training.builders import make_session, utc_us
from tui.book.plan_text import plan_text
from tui.home import Home

PEOPLE, SESSIONS, REPS, SETS = 50, 300, 10, 3
FIRST = date(2026, 1, 5)
TODAY = FIRST + timedelta(days=7 * SESSIONS // 2 + 2)
NEXT_S, ROSTER_S, LADDER_S = 0.150, 1.0, 0.5
DAY_SESSIONS, DAY_SETS, DAY_REPS, DAY_S = 60, 4, 8, 5.0
"""What is asked of it, seconds."""


def days() -> tuple[date, ...]:
    """Mondays and Thursdays."""
    return tuple(FIRST + timedelta(days=7 * (n // 2) + 3 * (n % 2)) for n in range(SESSIONS))


@cache
def _done(number: int, missed: bool) -> SessionRecord:
    """A session on one of the steps of the first rungs."""
    plan = default_plan()
    places = [place for place in plan.ladder.places() if place.rung < 2]
    counts = (REPS, REPS, REPS - 1) if missed else (REPS,) * SETS
    return make_session(FIRST, plan.ladder, places[number], counts=counts)


@cache
def _sets(number: int, missed: bool) -> tuple[tuple[dict[str, Any], list[dict[str, Any]]], ...]:
    """The columns of its sets and of their reps."""

    def reps(done: SetRecord) -> list[dict[str, Any]]:
        pairs = enumerate(zip(done.reps, done.verdict.reps, strict=True), start=1)
        return [rep_values(one, verdict, ordinal) for ordinal, (one, verdict) in pairs]

    return tuple((set_values(done), reps(done)) for done in _done(number, missed).sets)


def _step(number: int) -> int:
    steps = sum(len(rung.steps) for rung in default_plan().ladder.rungs[:2])
    return number * steps // SESSIONS


def record_of(person: UUID, number: int, day: date, *, missed: bool) -> SessionRecord:
    """One session: the steps of the first rungs one after another over the three years."""
    record = _done(_step(number), missed)
    began_us = utc_us(day)
    ids = {"session_id": uuid5(person, str(number)), "trainee": person}
    return replace(record, **ids, day=day, started_utc_us=began_us, ended_utc_us=began_us + 3_600_000_000)


def fill(book: Logbook, people: int = PEOPLE, sessions: int = SESSIONS) -> None:
    """Write everybody's sessions, a transaction a person."""
    book.station()
    for person in range(people):
        added = book.add_trainee(f"Recruit {person:02d}")
        rows = list(_rows(person, added.id, sessions))
        with book._writing("") as connection:
            for table in (session, statement, analysis_run, rep_set, rep):
                connection.execute(insert(table), [row for into, row in rows if into is table])


def _rows(person: int, uuid: UUID, sessions: int) -> Iterator[tuple[Table, dict[str, Any]]]:
    own = {"trainee_id": person + 1}
    for number, day in enumerate(days()[:sessions]):
        missed = (number + person) % 4 == 0
        record = record_of(uuid, number, day, missed=missed)
        session_id = person * SESSIONS + number + 1
        assert record.ended_utc_us is not None
        ended = {**end_values(record.ended_utc_us, record.verdict), "own_sets": SETS, "partner_sets": 0}
        yield session, {**session_values(record), **ended, **own, "warm_up_sets": 0, "id": session_id, "station_id": 1}
        said = Pain(said_utc_us=utc_us(day, 17), day=day, now=number % 3, worst=1)
        yield statement, {"uuid": str(uuid5(uuid, f"said {number}")), **own, **statement_values(said)}
        for kind in (RunKind.LIVE, RunKind.REFINED):
            run_id = 2 * session_id + (kind is RunKind.REFINED)
            run = {"id": run_id, "session_id": session_id, "kind": kind.value, "version": "0.1.0"}
            yield analysis_run, {**run, "parameters_sha": "0", "clock_ratio": 1.0, "clock_sd_ppm": 10.0}
            for place, (values, reps) in enumerate(_sets(_step(number), missed)):
                set_id = SETS * run_id + place
                yield rep_set, {"id": set_id, "run_id": run_id, **own, **values}
                yield from ((rep, {"set_id": set_id, **one}) for one in reps)


def write_plans(home: Home, people: int = PEOPLE) -> None:
    """Write everybody's plan; the coach has put each into one of five groups."""
    home.plans.mkdir(parents=True, exist_ok=True)
    for person in range(people):
        name = f"Recruit {person:02d}"
        plan = replace(default_plan(), group=f"team {person % 5}")
        home.plan(name_key(name)).write_text(plan_text(plan, name), encoding="utf-8")


COMMAND = """
import io, sys, time
from contextlib import redirect_stdout
from tui.book import next, roster
from tui.cli import main

began_s, worked_s = time.perf_counter(), time.process_time()
with redirect_stdout(io.StringIO()):
    main(sys.argv[1:], standalone_mode=False)
print(time.perf_counter() - began_s, time.process_time() - worked_s)
"""
"""Does one command in a process of its own: nothing of a command before it is there to help."""


LADDER = """
import sys, time
from datetime import date
from pathlib import Path
from analysis.logbook.book import Logbook
from tui.book.ladder import ladder_of
from tui.home import Home

home = Home(Path(sys.argv[1]))
with Logbook.open(home.logbook) as book:
    began_s, worked_s = time.perf_counter(), time.process_time()
    ladder_of(home, book, sys.argv[2], date.fromisoformat(sys.argv[3]))
    print(time.perf_counter() - began_s, time.process_time() - worked_s)
"""
"""Reads what the ladder's room shows of one trainee."""


def commanded(folder: Path, limit_s: float, *words: str) -> bool:
    """Take the times of a command."""
    return timed(words[0], limit_s, COMMAND, "--home", str(folder), *words, "--date", TODAY.isoformat())


def timed(name: str, limit_s: float, program: str, *words: str, times: int = 5) -> bool:
    """Print the best and the worst of several, and whether the best keeps the limit."""
    asked = (sys.executable, "-c", program, *words)
    took, worked, whole = [], [], []
    for _ in range(times):
        began_s = time.perf_counter()
        told = subprocess.run(asked, check=True, capture_output=True, text=True).stdout.split()
        whole.append(time.perf_counter() - began_s)
        took.append(float(told[0]))
        worked.append(float(told[1]))
    kept = min(took) <= limit_s
    span, verdict = f"{min(took) * 1e3:.0f} to {max(took) * 1e3:.0f} ms", "met" if kept else "not met"
    click.echo(
        f"{name}: {span}, at most {limit_s * 1e3:.0f} ms: {verdict} "
        f"(processor {min(worked) * 1e3:.0f} ms; whole process {min(whole) * 1e3:.0f} ms)"
    )
    return kept


def write_day(book: Logbook, sessions: int = DAY_SESSIONS) -> None:
    """Write a busy day as sessions do: each set as it comes, in ten people's names."""
    people = [book.add_trainee(f"Recruit {n:02d}").id for n in range(10)]
    plan = default_plan()
    for number in range(sessions):
        made = make_session(FIRST, plan.ladder, plan.ladder.places()[0], counts=(DAY_REPS,) * DAY_SETS)
        record = replace(made, session_id=uuid4())
        begin(book, record, people[number % len(people)])
        for kind in (RunKind.LIVE, RunKind.REFINED):
            run = answer(book, record, record.sets, kind)
            book.note_clock(run, clock_ratio=1.00002, clock_sd_ppm=10.0)
        assert record.ended_utc_us is not None
        book.finish_session(record.session_id, record.ended_utc_us, record.verdict)
        book.note_session(record.session_id, rpe=7, minutes=40.0)


def day_told(folder: Path) -> bool:
    """Take the time in which a coach takes in a busy day of a station, 32 changes at a time."""
    with Logbook.open(folder / "station.sqlite") as book, Logbook.open(folder / "coach.sqlite") as coach:
        began_s = time.perf_counter()
        write_day(book)
        written_s = time.perf_counter()
        stream, through = book.stream(), 0
        telling_s = 0.0
        while through < stream.last:
            asked_s = time.perf_counter()
            changes = book.changes(through, 32)
            telling_s += time.perf_counter() - asked_s
            through = coach.apply(stream.station, stream.epoch, changes, called="rack-3").through
        took_s = time.perf_counter() - written_s
        people = [one.id for one in book.trainees()]
        same = coach.dump(people) == book.dump(people)
    kept = took_s <= DAY_S and same
    click.echo(
        f"a day at a coach: {took_s:.1f} s for {stream.last} changes ({telling_s:.1f} s of them to tell), at most "
        f"{DAY_S:.0f} s: {'met' if kept else 'not met'} (written in {written_s - began_s:.1f} s)"
    )
    return kept


def main(folder: Path) -> int:
    """Make logbook and plans where there are none, and take the times."""
    home = Home(folder)
    with Logbook.open(home.logbook) as book:
        if not book.trainees():
            began_s = time.perf_counter()
            fill(book)
            size = home.logbook.stat().st_size / 1e6
            click.echo(f"made in {time.perf_counter() - began_s:.0f} s, {size:.0f} MB")
    write_plans(home)
    who = f"Recruit {PEOPLE // 2:02d}"
    with tempfile.TemporaryDirectory() as day:
        in_time = day_told(Path(day))
    kept = (
        in_time,
        commanded(folder, NEXT_S, "next", who),
        commanded(folder, ROSTER_S, "roster"),
        timed("ladder", LADDER_S, LADDER, str(folder), who, TODAY.isoformat()),
    )
    return 0 if all(kept) else 1


if __name__ == "__main__":
    if len(sys.argv) > 1:
        sys.exit(main(Path(sys.argv[1])))
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(main(Path(folder)))
