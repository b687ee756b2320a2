"""The coming sessions as iCalendar (RFC 5545), so that a calendar shows them and takes a later export as an update."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import uuid5

from icalendar import Calendar, Event

from analysis.logbook.entries import Trainee
from analysis.training.prescription import Prescription
from analysis.training.schedule import Planned
from tui.words import format as words

PRODUCT = "-//Rungwise//Rungwise//EN"
LENGTH = timedelta(hours=1)
"""How long a session at a time of day takes in the calendar (no source)."""


def calendar(people: Sequence[tuple[Trainee, Sequence[Planned]]], now: datetime) -> bytes:
    """Return a calendar: at the time of day that the plan has for the day, else all-day events.

    A time is a floating one (RFC 5545, 3.3.5, form 1): the same on the clock wherever the calendar is.
    The n-th session of a trainee has the same UID in every export, and a SEQUENCE that rises with the minutes, so that
    the later export holds. Those that rest on sessions not done yet are tentative.

    Parameters
    ----------
    people
        Trainees with their coming sessions.
    now
        With a time zone.
    """
    found = Calendar()
    found.add("prodid", PRODUCT)
    found.add("version", "2.0")
    found.add("method", "PUBLISH")
    for trainee, planned in people:
        for one in planned:
            if one.proposal.prescription is not None:
                found.add_component(_event(trainee, one, one.proposal.prescription, now))
    return bytes(found.to_ical())


def _event(trainee: Trainee, planned: Planned, asked: Prescription, now: datetime) -> Event:
    event = Event()
    event.add("uid", f"{uuid5(trainee.id, f'session {planned.number}')}@rungwise")
    event.add("dtstamp", now)
    event.add("sequence", int(now.timestamp() // 60))
    begin = planned.day if planned.at is None else datetime.combine(planned.day, planned.at)
    event.add("dtstart", begin)
    event.add("dtend", begin + (timedelta(days=1) if planned.at is None else LENGTH))
    event.add("summary", f"{trainee.name}: {asked.exercise.name}, {words.asked(asked)}")
    event.add("description", _description(planned, asked))
    event.add("status", "TENTATIVE" if planned.tentative else "CONFIRMED")
    event.add("transp", "TRANSPARENT" if planned.at is None else "OPAQUE")
    return event


def _description(planned: Planned, asked: Prescription) -> str:
    lines = [
        f"{words.asked(asked)}, rest {asked.rest_s:g} s, {asked.grip.value} grip",
        f"Tempo: {asked.tempo.named()}",
    ]
    if planned.tentative:
        lines.append("If all sessions before it go as asked.")
    else:
        lines += [one.text for one in planned.proposal.reasons]
    return "\n".join((*lines, *planned.proposal.cautions))
