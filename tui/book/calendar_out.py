"""The coming sessions as iCalendar (RFC 5545), so that a calendar shows them and takes a later export as an update."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import uuid5

from icalendar import Calendar, Event

from analysis.logbook.entries import Trainee
from analysis.training.prescription import Prescription
from analysis.training.schedule import Planned
from tui import format as words

PRODUCT = "-//Rungwise//Rungwise//EN"


def calendar(people: Sequence[tuple[Trainee, Sequence[Planned]]], now: datetime) -> bytes:
    """Return a calendar of all-day events.

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
    event.add("dtstart", planned.day)
    event.add("dtend", planned.day + timedelta(days=1))
    event.add("summary", f"{trainee.name}: {asked.exercise.name}, {words.asked(asked)}")
    event.add("description", _description(planned, asked))
    event.add("status", "TENTATIVE" if planned.tentative else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
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
