"""What the ladder screen shows of one trainee: immutable, complete, already computed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import Enum, auto

from analysis.training.climb import Climb
from tui.views.rows import LogRow


class Tread(Enum):
    """What a rung is to somebody."""

    CLIMBED = auto()
    """Lower than where they stand, and trained on."""
    PASSED = auto()
    """Lower, and never trained on: begun above it."""
    HERE = auto()
    AHEAD = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class RungView:
    """One rung.

    Attributes
    ----------
    step, steps
        Where on it the next session is, from 1, and how many steps it has; the step is 0 on another rung.
    gate
        What opens the way to the next one, in words; empty where the ladder ends.
    """

    name: str
    tread: Tread
    step: int = 0
    steps: int
    gate: str = ""


@dataclass(frozen=True, slots=True)
class TrendView:
    """How something changes from week to week.

    Attributes
    ----------
    what, words
        Its name, and the change with its uncertainty.
    slope, margin
        Change a week, and half of its 95 % interval, in the same unit.
    """

    what: str
    words: str
    slope: float
    margin: float


@dataclass(frozen=True, slots=True)
class ReasonView:
    """A rule that fired, and what it rests on."""

    text: str
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NextView:
    """The next session.

    Attributes
    ----------
    head
        When and where on the ladder, or that there is none.
    asked
        What is asked, a line each.
    cue
        The one thing to mind; empty: nothing.
    reasons
        Why: the first one decided.
    cautions
        What to be careful of in it.
    """

    head: str
    asked: tuple[str, ...] = ()
    cue: str = ""
    reasons: tuple[ReasonView, ...] = ()
    cautions: tuple[str, ...] = ()


class DayMark(Enum):
    """What is on a day."""

    FREE = auto()
    DONE = auto()
    NEXT = auto()
    COMING = auto()
    """If all before it goes as asked."""


@dataclass(frozen=True, slots=True)
class DayView:
    """One day of the calendar.

    Attributes
    ----------
    what
        What is asked on it, and when, where the plan names a time; empty on a day without a session to come.
    """

    day: dt.date
    mark: DayMark
    what: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderView:
    """All of it.

    Attributes
    ----------
    trainee
        Whose; empty where the logbook holds nobody, and then there is nothing else.
    rungs
        The lowest first.
    climb, climb_words
        How the present rung is climbed, and the same in words; None and empty before the first session.
    sessions
        The last ones, newest first.
    trends, trends_note
        The trends that can be told of, and what they are taken from.
    days
        Today and the thirteen days after it.
    """

    trainee: str = ""
    rungs: tuple[RungView, ...] = ()
    climb: Climb | None = None
    climb_words: str = ""
    sessions: tuple[LogRow, ...] = ()
    trends: tuple[TrendView, ...] = ()
    trends_note: str = ""
    coming: NextView | None = None
    days: tuple[DayView, ...] = ()
