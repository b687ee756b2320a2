"""The coming weeks if all goes as asked: the next session, the one that follows from it, and so on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from math import ceil
from uuid import UUID, uuid5

from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Prescription
from analysis.training.progression import NextSession, next_session
from analysis.training.records import History, SessionRecord
from analysis.training.told import judge_told_session, told_sets

WEEKS = 4
"""So far ahead (no source)."""


@dataclass(frozen=True, slots=True)
class Planned:
    """One session to come.

    Attributes
    ----------
    number
        How manieth of the trainee's it is: those done, this one included.
    day
        On which it may be done; later is as good.
    tentative
        It rests on sessions before it that are not done yet.
    at
        Time of that day, as the plan has it; None: any.
    """

    number: int
    day: date
    proposal: NextSession
    tentative: bool
    at: time | None = None


def schedule(
    history: History, plan: TrainingPlan, today: date, *, trainee: UUID, weeks: int = WEEKS
) -> tuple[Planned, ...]:
    """Work out the coming sessions: each as if all before it had been done as asked, on the first day possible.

    Where no session is allowed now, there is none; `progression.next_session` says why. What nobody has answered yet
    stays unanswered, so a gate that waits for it stays closed.

    Parameters
    ----------
    history, plan, today
        As for `progression.next_session`.
    trainee
        Whose.
    weeks
        Sessions within so many weeks from today.
    """
    last_day = today + timedelta(weeks=weeks)
    done = sum(bool(one.sets) for one in history.sessions)
    planned: list[Planned] = []
    while True:
        proposal = next_session(history, plan, planned[-1].day if planned else today)
        if proposal.prescription is None or proposal.due > last_day:
            return tuple(planned)
        number, at = done + len(planned) + 1, plan.time_on(proposal.due)
        planned.append(Planned(number, proposal.due, proposal, tentative=bool(planned), at=at))
        record = _as_asked(proposal, proposal.prescription, trainee)
        history = replace(history, sessions=(*history.sessions, record))


def _as_asked(proposal: NextSession, asked: Prescription, trainee: UUID) -> SessionRecord:
    """Return a session done exactly as asked, at noon of its day."""
    noon_us = round(datetime.combine(proposal.due, time(12), UTC).timestamp() * 1e6)
    count = max(asked.reps, 1) if asked.hold_s is None else ceil(asked.hold_s)
    sets = told_sets([count] * asked.sets, asked, [asked.rest_s] if asked.sets > 1 else [])
    return SessionRecord(
        session_id=uuid5(trainee, f"{proposal.due}"),
        trainee=trainee,
        day=proposal.due,
        started_utc_us=noon_us,
        ended_utc_us=noon_us,
        rung=proposal.rung,
        prescription=asked,
        mount=asked.exercise.mount,
        sensor="",
        recording="",
        sets=sets,
        verdict=judge_told_session([one.verdict for one in sets], asked),
        method=proposal.method,
    )
