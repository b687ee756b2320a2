"""Rows of the log as its screens take them: immutable, complete, already computed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from analysis.training.verdict import Outcome, SetVerdict
from tui.session.messages import Hill


@dataclass(frozen=True, slots=True, kw_only=True)
class LogSet:
    """One set as it was done.

    Attributes
    ----------
    count, target_reps
        Counted and prescribed reps.
    hills
        Its reps; empty for a set entered by hand.
    target
        The prescribed rep as a hill.
    rest_before_s
        Rest kept before this set; None before the first, or where not known.
    verdict
        None for a set entered by hand.
    """

    count: int
    target_reps: int
    hills: tuple[Hill, ...] = ()
    target: Hill
    rest_before_s: float | None = None
    verdict: SetVerdict | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRow:
    """One session.

    Attributes
    ----------
    session
        The session's own identity (its UUID as text), for whoever opens it from here.
    rung, exercise
        As shown.
    asked, rest_s
        What was prescribed, in words as short as "3 × 15", and the rest.
    done
        The sets done, in order.
    outcome
        None where there is nothing to judge by.
    note
        One line: for example "entered by hand".
    """

    session: str
    date: dt.date
    trainee: str
    rung: str
    exercise: str
    asked: str
    rest_s: float
    done: tuple[LogSet, ...] = ()
    outcome: Outcome | None = None
    note: str = ""
