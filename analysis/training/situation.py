"""Where a trainee stands, read from plan and log: the one thing that the rules look at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from analysis.training.cautions import EARLY_DAYS, LAY_OFF_DAYS
from analysis.training.ladder import Ladder, Method, Position
from analysis.training.pain import PainState, pain_state
from analysis.training.plan import TrainingPlan
from analysis.training.records import History, SessionRecord
from analysis.training.statements import Form, Placement, Statement

WEEK_DAYS = 7
"""Days of a training week, from its first session on."""

Placed = tuple[Position, SessionRecord]
"""A session, and where on the ladder it was done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """Where a trainee stands.

    Attributes
    ----------
    done
        Sessions in which at least one set was done, in order of time.
    placed
        Those of them that are a step of the ladder, and where.
    statements
        What was said, in order of time.
    run
        Consecutive sessions at the last position, up to now, without a lay-off between; in order of time.
    pain
        What the pain said means for training.
    sessions_a_week, days_between
        As they hold now.
    """

    plan: TrainingPlan
    today: date
    done: tuple[SessionRecord, ...]
    placed: tuple[Placed, ...]
    run: tuple[SessionRecord, ...]
    statements: tuple[Statement, ...]
    pain: PainState
    sessions_a_week: int
    days_between: int

    @property
    def ladder(self) -> Ladder:
        """The ladder in use."""
        return self.plan.ladder

    @property
    def at(self) -> Position | None:
        """Position of the last session on the ladder; None when there is none."""
        return self.placed[-1][0] if self.placed else None

    @property
    def here(self) -> Position:
        """The same, where there is one."""
        assert self.at is not None  # the rules that come first have dealt with an empty log
        return self.at

    @property
    def weeks(self) -> tuple[tuple[SessionRecord, ...], ...]:
        """The run in training weeks, each from its first session on; one that lacks a session is not complete."""
        found: list[list[SessionRecord]] = []
        for one in self.run:
            if found and len(found[-1]) < self._size(found[-1]) and (one.day - found[-1][0].day).days < WEEK_DAYS:
                found[-1].append(one)
            else:
                found.append([one])
        return tuple(map(tuple, found))

    @property
    def week(self) -> tuple[SessionRecord, ...]:
        """The training week in progress, or just completed."""
        return self.weeks[-1] if self.weeks else ()

    @property
    def whole_weeks(self) -> tuple[tuple[SessionRecord, ...], ...]:
        """The weeks of the run that are complete."""
        return tuple(week for week in self.weeks if len(week) == self._size(week))

    @property
    def week_complete(self) -> bool:
        """Whether all sessions of the week were done."""
        return bool(self.week) and len(self.week) == self.week_size

    @property
    def week_size(self) -> int:
        """How many sessions make this week whole."""
        return self._size(self.week) if self.week else self.sessions_a_week

    def _size(self, week: Sequence[SessionRecord]) -> int:
        """Return how many sessions make a week whole: in the first weeks of three a week two do."""
        often, _ = self.plan.frequency((week[0].day - self.done[0].day).days // WEEK_DAYS, 0)
        return min(often, self.sessions_a_week)

    @property
    def week_over(self) -> bool:
        """Whether the next session belongs to another week."""
        return self.week_complete or (bool(self.week) and (self.due - self.week[0].day).days >= WEEK_DAYS)

    @property
    def last_day(self) -> date | None:
        """Day of the last session."""
        return self.done[-1].day if self.done else None

    @property
    def days_off(self) -> int:
        """Days since the last session; 0 before the first."""
        return 0 if self.last_day is None else (self.today - self.last_day).days

    @property
    def skipped(self) -> int:
        """Planned sessions that went by since the last one: as many as the week's spacing puts into the days off."""
        return max(self.days_off - 1, 0) * self.sessions_a_week // 7

    @property
    def due(self) -> date:
        """Earliest day of the next session: free days between, no more sessions in seven days, a day with time."""
        if self.last_day is None:
            return self._with_time(self.today)
        earliest = max(self.today, self.last_day + timedelta(days=self.days_between + 1))
        if len(self.done) >= self.sessions_a_week:
            earliest = max(earliest, self.done[-self.sessions_a_week].day + timedelta(days=7))
        return self._with_time(earliest)

    @property
    def early(self) -> bool:
        """Whether the next session falls into the first two weeks, or two weeks after a lay-off."""
        return (self.due - self._began()).days < EARLY_DAYS

    @property
    def placement(self) -> Placement | None:
        """Where somebody decided to go on, since the last session on the ladder."""
        said = [one for one in self.statements if isinstance(one, Placement)]
        since_us = self.placed[-1][1].started_utc_us if self.placed else -1
        newer = [one for one in said if one.said_utc_us > since_us and self.ladder.number(one.rung) is not None]
        return newer[-1] if newer else None

    def _with_time(self, day: date) -> date:
        days = self.plan.weekdays
        ahead = range(7) if days else ()
        return next((later for n in ahead if (later := day + timedelta(days=n)).weekday() in days), day)

    def _began(self) -> date:
        """Return the day on which training began, or began again."""
        days = [*(record.day for record in self.done), self.due]
        returns = [after for before, after in pairwise(days) if is_lay_off(before, after)]
        return returns[-1] if returns else days[0]


def situation(history: History, plan: TrainingPlan, today: date) -> Situation:
    """Read the log of one trainee.

    Parameters
    ----------
    history
        Sessions and statements in any order; sessions without a set, and those that are no step of the ladder, decide
        nothing but days.
    plan
        The plan in use.
    today
        The trainee's calendar day.
    """
    done = tuple(sorted((one for one in history.sessions if one.sets), key=lambda one: one.started_utc_us))
    said = tuple(sorted(history.statements, key=_when))
    placed = tuple(_placed(plan.ladder, done))
    pain = pain_state(said, done)
    weeks = (today - done[0].day).days // 7 if done else 0
    sessions_a_week, days_between = plan.frequency(weeks, pain.level or 0)
    return Situation(
        plan=plan,
        today=today,
        done=done,
        placed=placed,
        run=tuple(_at_end(placed))[::-1],
        statements=said,
        pain=pain,
        sessions_a_week=sessions_a_week,
        days_between=days_between,
    )


def _placed(ladder: Ladder, done: Sequence[SessionRecord]) -> Iterator[Placed]:
    """Yield the sessions that are a step of the ladder; what was asked for alike is looked up once."""
    known: dict[tuple[str | None, Method, int], Position | None] = {}
    for one in done:
        key = (one.rung, one.method, id(one.prescription))
        if key not in known:
            known[key] = ladder.position(one.rung, one.prescription, one.method)
        position = known[key]
        if position is not None:
            yield position, one


def _when(said: Statement) -> tuple[int, str, str]:
    """Order by time, and in one moment by what it is: the order in which they are given must not matter."""
    return said.said_utc_us, type(said).__name__, said.question if isinstance(said, Form) else ""


def _at_end(placed: Sequence[Placed]) -> Iterator[SessionRecord]:
    """Yield, from the last backwards, the sessions done at the last position without a lay-off between."""
    after: date | None = None
    for position, record in reversed(placed):
        if position != placed[-1][0] or (after is not None and is_lay_off(record.day, after)):
            return
        after = record.day
        yield record


def is_lay_off(before: date, after: date) -> bool:
    """Tell whether two session days lie so far apart that training begins again."""
    return (after - before).days >= LAY_OFF_DAYS
