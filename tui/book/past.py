"""Past training from a plain table: one session a line, judged as a typed one is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from uuid import UUID, uuid5

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from analysis.logbook.whole import Entry
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Grip
from analysis.training.records import History, Source
from analysis.training.told import ToldError, ToldSession
from tui.book.cells import Line
from tui.book.done import judged
from tui.book.meanwhile import Read, read_of
from tui.home import Home
from tui.words import format as words

COLUMNS = {
    "trainee": "name; where there is none, --trainee says whose all lines are",
    "date": "day, YYYY-MM-DD",
    "sets": 'reps of each set, "15,15,15" (in quotes) or 15 15 15; of holds the seconds',
    "rest_s": "rest between the sets, seconds: one for all, or one a gap",
    "rung": "key of the rung; else the one that the plan would have proposed that day",
    "exercise": "instead of the rung: key or name of its exercise",
    "grip": "pronated, supinated, neutral, wide or towel",
    "load_kg": "added load; negative: assistance",
    "rpe": "perceived exertion of the session, 0–10",
    "pain": "pain after it, 0–10",
    "where": "where it hurt",
    "minutes": "how long it took",
    "seen_by": "who watched",
    "note": "anything",
}
NEEDED = ("date", "sets")


@dataclass
class _Person:
    read: Read
    log: History
    ids: frozenset[UUID]
    lines: Counter[date] = field(default_factory=Counter)


@dataclass
class Past:
    """Reads lines of past training, the oldest first; the log grows with them.

    Parameters
    ----------
    home, logbook
        Where plans and logs are.
    named
        Whose the lines are, where they name nobody.
    now
        This moment.
    """

    home: Home
    logbook: Logbook
    named: str | None
    now: datetime
    entries: list[Entry] = field(default_factory=list)
    known: int = 0
    _people: dict[str, _Person] = field(default_factory=dict)

    def take(self, lines: Sequence[Line]) -> None:
        """Judge every line; what is wrong with one is noted in it."""
        dated = [(day, line) for line in lines if (day := line.day("date", self.now.date())) is not None]
        for day, line in sorted(dated, key=lambda each: each[0]):
            told = self._told(line, day)
            name = line.text("trainee") or self.named
            if not name:
                line.fault("trainee", "a name is missing; give it there, or for all lines with --trainee")
            elif not line.faults:
                self._take(line, self._person(name), told)

    def _take(self, line: Line, person: _Person, told: ToldSession) -> None:
        person.lines[told.day] += 1
        session_id = uuid5(person.read.trainee.id, f"past training {told.day} {person.lines[told.day]}")
        if session_id in person.ids:
            self.known += 1
            return
        there = [one for one in person.log.sessions if one.day == told.day and one.sets]
        if any(one.source is not Source.IMPORTED for one in there):
            counts = ", ".join(words.done(done.verdict) for done in there[-1].sets)
            line.fault("date", f"{person.read.trainee.name} has a session on {told.day} ({counts}): take the line out")
            return
        try:
            rung = self._rung(line, person.read.plan)
            record, said = judged(person.read.trainee, replace(told, rung=rung), person.log, person.read.plan, self.now)
        except ToldError as problem:
            line.fault("rung", str(problem))
            return
        record = replace(record, session_id=session_id, source=Source.IMPORTED)
        person.log = History((*person.log.sessions, record), (*person.log.statements, *said))
        self.entries.append(Entry(person.read.trainee, record, said, person.read.edition))

    def _person(self, name: str) -> _Person:
        key = name_key(name)
        if key not in self._people:
            read = read_of(self.home, self.logbook, name)
            ids = frozenset(one.session_id for one in read.log.sessions)
            self._people[key] = _Person(read, read.log, ids)
        return self._people[key]

    def _rung(self, line: Line, plan: TrainingPlan) -> str | None:
        """Return the rung that a line names, itself or by its exercise.

        Raises
        ------
        ToldError
            When no rung of the plan has that exercise.
        """
        wanted = line.text("exercise").casefold()
        if line.text("rung") or not wanted:
            return line.text("rung") or None
        rungs = plan.ladder.rungs
        for rung in rungs:
            if wanted in (rung.exercise.key.casefold(), rung.exercise.name.casefold()):
                return rung.key
        known = ", ".join(rung.exercise.key for rung in rungs)
        raise ToldError(f"no rung of this plan has the exercise {line.text('exercise')}; it has {known}")

    def _told(self, line: Line, day: date) -> ToldSession:
        counts = _counts(line)
        rests_s = line.numbers("rest_s", 0, 3600)
        gaps = max(len(counts) - 1, 0)
        if counts and len(rests_s) not in (0, 1, gaps):
            line.fault("rest_s", f"one for all, or {gaps} with spaces between them, not {len(rests_s)}")
        grip = line.choice("grip", [one.value for one in Grip])
        return ToldSession(
            day=day,
            counts=counts,
            rests_s=rests_s,
            grip=None if grip is None else Grip(grip),
            load_kg=line.number_in("load_kg", -200, 300),
            seen_by=line.text("seen_by"),
            pain=line.whole("pain", 0, 10),
            where=line.text("where"),
            rpe=line.whole("rpe", 0, 10),
            minutes=line.number_in("minutes", 1, 600),
            note=line.text("note"),
        )


def _counts(line: Line) -> tuple[int, ...]:
    parts = line.text("sets").replace(",", " ").replace(";", " ").split()
    counts = [int(part) for part in parts if part.isascii() and part.isdigit() and int(part) <= 999]
    if not parts or len(counts) < len(parts):
        line.fault("sets", f"'{line.text('sets')}' is not allowed; give the reps of each set, as 15,15,15")
    return tuple(counts)
