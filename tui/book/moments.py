"""When something happened that a person tells afterwards: days from the clock, moments from days."""

from __future__ import annotations

from datetime import date, datetime, time

from analysis.training.records import History
from tui.trouble import Trouble

NOON = time(12)


def here_now() -> datetime:
    """Return this moment, in this computer's time zone."""
    return datetime.now().astimezone()


def utc_us(moment: datetime) -> int:
    """Return a moment as µs since 1970-01-01 UTC."""
    return round(moment.timestamp() * 1e6)


def day_told(on: datetime | None, now: datetime) -> date:
    """Return the day that is meant: today where none was named.

    Raises
    ------
    Trouble
        When it is still to come.
    """
    day = on.date() if on else now.date()
    if day > now.date():
        raise Trouble(f"{day} is still to come, today is {now.date()}: give the day on which it was (--date)")
    return day


def told_us(day: date, now: datetime, history: History) -> int:
    """Return the moment for something that is told of a day.

    Today: now. An earlier day: noon, or just after the last thing that is known of that day, because what is told of a
    day is told in its order.
    """
    return utc_us(now) if day == now.date() else max(_noon_us(day), _after_us(day, history))


def session_span_us(day: date, now: datetime, history: History, minutes: float | None) -> tuple[int, int]:
    """Return when a session began and ended that is told of a day.

    Today it ended now, on an earlier day it began at `told_us`; without `minutes` both are the same moment.
    """
    long_us = round((minutes or 0.0) * 60e6)
    if day != now.date():
        began_us = told_us(day, now, history)
        return began_us, began_us + long_us
    ended_us = utc_us(now)
    return min(max(ended_us - long_us, _after_us(day, history)), ended_us), ended_us


def _noon_us(day: date) -> int:
    return utc_us(datetime.combine(day, NOON).astimezone())


def _after_us(day: date, history: History) -> int:
    known = [one.said_utc_us for one in history.statements if one.day == day]
    known += [one.ended_utc_us or one.started_utc_us for one in history.sessions if one.day == day]
    return max(known, default=-1) + 1
