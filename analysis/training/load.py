"""How much a session and a week asked of a person: perceived exertion times minutes (Foster et al. 2001, JSCR 15:109).

Week by week totals, their spread over the days, and the plain change from one week to the next. No ratio of acute to
chronic load: it predicts no injuries (Lolli et al. 2019, BJSM 53:921; Impellizzeri et al. 2021, Sports Med).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from statistics import mean, stdev

from analysis.training.records import SessionRecord, Source
from analysis.training.standing import reps_done

WEEK = 7


@dataclass(frozen=True, slots=True)
class Spread:
    """A week's daily loads, in arbitrary units (exertion 0–10 × minutes).

    Attributes
    ----------
    sd
        Standard deviation of the seven, n − 1.
    monotony
        Their mean over it; None where every day is alike.
    """

    total: float
    sd: float
    monotony: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """One calendar week.

    Attributes
    ----------
    reps
        Counted ones, of the sets that were asked for.
    known
        Sessions whose load is known.
    spread
        Of its seven days; None as soon as the load of one session is not known.
    change
        Total less that of the week before; None unless both are known.
    """

    monday: date
    sessions: int
    reps: int
    known: int
    spread: Spread | None
    change: float | None = None


def minutes_of(record: SessionRecord) -> float | None:
    """Return how long a session took: as told, else from start to end where the sensor was there."""
    if record.minutes is not None or record.source is not Source.SENSOR or record.ended_utc_us is None:
        return record.minutes
    return (record.ended_utc_us - record.started_utc_us) / 60e6


def session_load(record: SessionRecord) -> float | None:
    """Return exertion × minutes in arbitrary units; None where one of them is not known."""
    minutes = minutes_of(record)
    return None if record.rpe is None or minutes is None else record.rpe * minutes


def spread(daily: Sequence[float]) -> Spread:
    """Return total, standard deviation and monotony of a week's daily loads."""
    sd = stdev(daily)
    return Spread(sum(daily), sd, mean(daily) / sd if sd > 0 else None)


def weeks(sessions: Iterable[SessionRecord]) -> tuple[Week, ...]:
    """Return the calendar weeks from the first session's to the last one's, those without any among them."""
    of: dict[date, list[SessionRecord]] = defaultdict(list)
    for record in sessions:
        of[record.day - timedelta(days=record.day.weekday())].append(record)
    if not of:
        return ()
    first, last = min(of), max(of)
    mondays = [first + timedelta(days=n) for n in range(0, (last - first).days + 1, WEEK)]
    found = [_week(monday, of.get(monday, [])) for monday in mondays]
    return (found[0], *(_after(before, week) for before, week in pairwise(found)))


def _week(monday: date, sessions: Sequence[SessionRecord]) -> Week:
    loads = [(record.day, session_load(record)) for record in sessions]
    known = [(day, load) for day, load in loads if load is not None]
    daily = [sum(load for day, load in known if (day - monday).days == n) for n in range(WEEK)]
    return Week(
        monday=monday,
        sessions=len(sessions),
        reps=sum(reps_done(record) for record in sessions),
        known=len(known),
        spread=spread(daily) if len(known) == len(loads) else None,
    )


def _after(before: Week, week: Week) -> Week:
    if before.spread is None or week.spread is None:
        return week
    return replace(week, change=week.spread.total - before.spread.total)
