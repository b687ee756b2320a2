"""A group's filled sheet, read back: every line or none, and what was read before is not kept twice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from importlib.metadata import version
from pathlib import Path

import click

from analysis.logbook.book import Logbook
from analysis.logbook.entries import Trainee
from analysis.logbook.people import name_key
from analysis.logbook.whole import Entry
from analysis.training.prescription import Grip
from analysis.training.records import History, SessionRecord, Source
from analysis.training.statements import Pain
from analysis.training.told import ToldError, ToldSession, rests_between
from tui.book.cells import Line, raise_faults, read_lines
from tui.book.done import judged, new_words
from tui.book.meanwhile import Read, on_what_is_there, read_of
from tui.book.moments import here_now, told_us
from tui.book.sheet import COLUMNS, FILLED, SET_COLUMNS
from tui.home import Home
from tui.trouble import clear_errors
from tui.words import format as words
from tui.words.lines import print_lines

NEEDED = ("trainee", "date", "set_1")


@dataclass
class _Member:
    """One trainee as the lines of the sheet are read: the log grows with them."""

    read: Read
    log: History
    entries: list[Entry] = field(default_factory=list)

    @property
    def trainee(self) -> Trainee:
        return self.read.trainee

    def take(self, record: SessionRecord | None, said: tuple[Pain, ...]) -> None:
        self.entries.append(Entry(self.trainee, record, said, self.read.edition))
        records = () if record is None else (record,)
        self.log = History((*self.log.sessions, *records), (*self.log.statements, *said))


def read_sheet(folder: Path, path: Path) -> None:
    """Keep what a filled sheet tells, and say of each line what it counted for."""
    now = here_now()
    home = Home(folder)
    with clear_errors(), Logbook.open(home.logbook) as logbook:
        known = [one.name for one in logbook.trainees()]
        lines, members = on_what_is_there(lambda: _keep(home, logbook, path, now))
    entries = [entry for member in members for entry in member.entries]
    for member in members:
        if not member.read.known and member.entries:
            print_lines([new_words(member.trainee.name, known)])
        for entry in member.entries:
            print_lines([_entry_line(entry)])
    click.echo(_summary(path, entries, lines))


def _keep(home: Home, logbook: Logbook, path: Path, now: datetime) -> tuple[Sequence[Line], Sequence[_Member]]:
    """Judge every line by what the log holds, and write what is new."""
    lines = read_lines(path, COLUMNS, NEEDED)
    members: dict[str, _Member] = {}
    for line in lines:
        _read_line(line, home, logbook, members, now)
    raise_faults(lines)
    entries = [entry for member in members.values() for entry in member.entries]
    if entries:
        logbook.keep_whole(entries, station=logbook.station(), version=version("rungwise"))
    return lines, tuple(members.values())


def _read_line(line: Line, home: Home, logbook: Logbook, members: dict[str, _Member], now: datetime) -> None:
    told = _told(line, now)
    if told is None or line.faults:
        return
    member = _member(line.text("trainee"), home, logbook, members)
    there = [one for one in member.log.sessions if one.day == told.day and one.sets]
    if not told.counts or any(_same(told, one) for one in there):
        _take_pain(told, member, now)
    elif there:
        counts = ", ".join(words.done(one.verdict) for one in there[-1].sets)
        line.fault("set_1", f"{member.trainee.name} has another session on {told.day} ({counts}): leave the line empty")
    else:
        try:
            member.take(*judged(member.trainee, told, member.log, member.read.plan, now))
        except ToldError as problem:
            line.fault("rung", str(problem))


def _take_pain(told: ToldSession, member: _Member, now: datetime) -> None:
    """Take what is said of pain alone, unless it was said that day already."""
    said = [one for one in member.log.statements if isinstance(one, Pain) and one.day == told.day]
    if told.pain is None or any((one.now, one.where) == (told.pain, told.where) for one in said):
        return
    moment_us = told_us(told.day, now, member.log)
    pain = Pain(said_utc_us=moment_us, day=told.day, now=told.pain, where=told.where)
    member.take(None, (pain,))


def _member(name: str, home: Home, logbook: Logbook, members: dict[str, _Member]) -> _Member:
    key = name_key(name)
    if key not in members:
        read = read_of(home, logbook, name)
        members[key] = _Member(read, read.log)
    return members[key]


def _told(line: Line, now: datetime) -> ToldSession | None:
    """Return what a line tells; None where it was not filled in."""
    if not any(line.text(column) for column in FILLED):
        return None
    if not line.text("trainee"):
        line.fault("trainee", "a name is missing")
    day = line.day("date", now.date())
    counts = [line.whole(column, 0, 999) for column in SET_COLUMNS]
    done = tuple(one for one in counts if one is not None)
    if None in counts[: len(done)]:
        line.fault(SET_COLUMNS[counts.index(None)], "empty before a set that is filled in")
    pain, grip = line.whole("pain", 0, 10), line.choice("grip", [one.value for one in Grip])
    if pain is None and line.text("where"):
        line.fault("pain", "empty, and where says more of a pain: give 0 to 10")
    if not done and pain is None and not line.faults:
        line.fault("set_1", "no set is filled in")
    rests_s = line.numbers("rest_s", 0, 3600)
    if not line.faults and len(rests_s) not in (0, 1, len(done) - 1):
        line.fault("rest_s", f"one for all, or {len(done) - 1} with spaces between them, not {len(rests_s)}")
    if day is None:
        return None
    return ToldSession(
        day=day,
        counts=done,
        rests_s=rests_s,
        rung=line.text("rung") or None,
        grip=None if grip is None else Grip(grip),
        load_kg=line.number_in("load_kg", -200, 300),
        seen_by=line.text("seen_by"),
        pain=pain,
        where=line.text("where"),
        rpe=line.whole("rpe", 0, 10),
        minutes=line.number_in("minutes", 1, 600),
        note=line.text("note"),
    )


def _same(told: ToldSession, record: SessionRecord) -> bool:
    """Whether a session is in the log as it is told here."""
    return (
        record.source is Source.TYPED
        and told.counts == tuple(_count(record, number) for number in range(len(record.sets)))
        and rests_between(told.rests_s, len(told.counts)) == tuple(one.rest_before_s for one in record.sets[1:])
        and (told.rpe, told.minutes, told.seen_by, told.note)
        == (record.rpe, record.minutes, record.seen_by, record.note)
        and told.grip in (None, record.prescription.grip)
        and told.load_kg in (None, record.prescription.load_kg)
    )


def _count(record: SessionRecord, number: int) -> int:
    verdict = record.sets[number].verdict
    return round(verdict.tut_s or 0.0) if verdict.held else verdict.count


def _entry_line(entry: Entry) -> str:
    pains = "".join(f", pain {one.now}" for one in entry.said if isinstance(one, Pain))
    if entry.record is None:
        return f"{entry.trainee.name}: no session{pains}"
    record = entry.record
    counts = ", ".join(words.done(one.verdict) for one in record.sets)
    return f"{entry.trainee.name}: {record.rung}, {counts}, {record.outcome.value}{pains}"


def _summary(path: Path, entries: Sequence[Entry], lines: Sequence[Line]) -> str:
    if not lines or not entries:
        return f"{path.name}: nothing new in {len(lines)} lines"
    return f"{path.name}: {len(entries)} of {len(lines)} lines are new in the log; rungwise roster shows what follows"
