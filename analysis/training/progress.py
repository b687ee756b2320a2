"""How somebody gets on: where on the ladder, by what it got harder, and what was measured on the way.

Progress is less rest, more reps, a longer pause, a higher rung or more load. Sessions are compared only where rung,
method, grip, load and set-up are the same.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import mean

from analysis.motion.results import velocity_loss
from analysis.training.clean_reps import CleanReps, clean_rep_results
from analysis.training.exercises import PULL_UP
from analysis.training.figures import Estimate, most_pull_ups
from analysis.training.ladder import Ladder, Method, Position
from analysis.training.plan import TrainingPlan
from analysis.training.records import History, SessionRecord
from analysis.training.situation import Placed, Situation, situation
from analysis.training.standing import reps_done
from analysis.training.trend import Trend, trend
from analysis.training.verdict import Outcome

SINCE_DAYS = 28
"""What became harder is told of so many days (no source)."""

WEEK = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionFigures:
    """One session in figures; None where it was not measured, or not told.

    Attributes
    ----------
    rest_s, rest_asked_s
        Mean rest taken between its sets, and asked.
    reps, load_kg, tut_s
        Counted reps, added load, and time under tension of all sets.
    velocity_m_s
        Mean of the counted reps' mean concentric velocities.
    velocity_loss
        Mean of the sets' losses, a share.
    travel_m
        Mean of the counted reps' travels.
    hand_share
        Share of body weight on the hands.
    """

    day: date
    rung: str | None
    method: Method
    outcome: Outcome
    rest_s: float | None
    rest_asked_s: float
    reps: int
    load_kg: float
    tut_s: float | None
    velocity_m_s: float | None
    velocity_loss: float | None
    travel_m: float | None
    hand_share: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taper:
    """How far a rung is climbed against how far it would be if every week had been met.

    Attributes
    ----------
    week, weeks
        Step on the rung, from 1, and how many it has.
    planned_week
        Step on which it would be by now; not beyond the last.
    rest_s, planned_rest_s
        Rest asked on either.
    """

    rung: str
    week: int
    weeks: int
    planned_week: int
    rest_s: float
    planned_rest_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How somebody gets on.

    Attributes
    ----------
    sessions
        On the ladder, oldest first.
    taper
        None before the first session, and while a plateau method is followed.
    gains
        What became harder within `SINCE_DAYS`, in words.
    done, planned
        Sessions in the whole weeks since the first one, no more than planned of each; planned 0 before a week is over.
    alike
        So many of the last sessions compare with the last one.
    trends
        Of those: change a week of velocity (m/s), velocity loss (a share), range (m), reps; None with too few.
    estimate
        Most pull-ups in one go; None unless the last session allows it.
    tests
        The clean-rep tests, oldest first.
    """

    sessions: tuple[SessionFigures, ...]
    taper: Taper | None
    gains: tuple[str, ...]
    done: int
    planned: int
    alike: int
    trends: dict[str, Trend | None]
    estimate: Estimate | None
    tests: tuple[CleanReps, ...] = ()


def progress(history: History, plan: TrainingPlan, today: date) -> Progress:
    """Return how a trainee gets on.

    Parameters
    ----------
    history
        With the reps of the sets: without them nothing that was measured of a rep is known.
    plan
        The plan in use.
    today
        The trainee's calendar day.
    """
    now = situation(history, plan, today)
    alike = _alike([record for _, record in now.placed])
    figures = [_figures(record) for record in alike]
    done, planned = _adherence(now)
    return Progress(
        sessions=tuple(_figures(record) for _, record in now.placed),
        taper=_taper(now),
        gains=_gains(now),
        done=done,
        planned=planned,
        alike=len(alike),
        trends={name: _trend(figures, value) for name, value in _TRACKED.items()},
        estimate=_estimate(alike[-1]) if alike else None,
        tests=tuple(clean_rep_results(now.done)),
    )


_TRACKED: dict[str, Callable[[SessionFigures], float | None]] = {
    "velocity_m_s": lambda one: one.velocity_m_s,
    "velocity_loss": lambda one: one.velocity_loss,
    "travel_m": lambda one: one.travel_m,
    "reps": lambda one: float(one.reps),
}


def _figures(record: SessionRecord) -> SessionFigures:
    reps = [rep for one in record.sets for rep in one.reps if rep.counts]
    rests = [one.rest_before_s for one in record.sets[1:]]
    tensions = [one.verdict.tut_s for one in record.sets]
    losses = [velocity_loss(one.reps) for one in record.sets if one.measured]
    return SessionFigures(
        day=record.day,
        rung=record.rung,
        method=record.method,
        outcome=record.outcome,
        rest_s=_mean(rests) if None not in rests else None,
        rest_asked_s=record.prescription.rest_s,
        reps=reps_done(record),
        load_kg=record.prescription.load_kg,
        tut_s=sum(one for one in tensions if one is not None) if tensions and None not in tensions else None,
        velocity_m_s=_mean([rep.mean_velocity_m_s for rep in reps]),
        velocity_loss=_mean(losses),
        travel_m=_mean([rep.travel_m for rep in reps]),
        hand_share=record.set_up.hand_share,
    )


def _mean(values: Sequence[float | None]) -> float | None:
    """Return the mean of those that are known."""
    known = [value for value in values if value is not None]
    return mean(known) if known else None


def _alike(records: Sequence[SessionRecord]) -> list[SessionRecord]:
    """Return those that compare with the last one, in their order."""
    return [one for one in records if _kind(one) == _kind(records[-1]) and one.set_up.compares(records[-1].set_up)]


def _kind(record: SessionRecord) -> tuple[object, ...]:
    asked = record.prescription
    return record.rung, record.method, asked.tempo, asked.grip, asked.load_kg


def _trend(figures: Sequence[SessionFigures], value: Callable[[SessionFigures], float | None]) -> Trend | None:
    known = [(one.day, value(one)) for one in figures]
    return trend([((day - figures[0].day).days / WEEK, found) for day, found in known if found is not None])


def _taper(now: Situation) -> Taper | None:
    if now.at is None or now.at.method is not Method.OWN:
        return None
    rung = now.ladder.rungs[now.at.rung]
    since = next(record.day for position, record in _on_rung(now))
    planned = min((now.today - since).days // WEEK, len(rung.steps) - 1)
    return Taper(
        rung=rung.key,
        week=now.at.step + 1,
        weeks=len(rung.steps),
        planned_week=planned + 1,
        rest_s=rung.steps[now.at.step].rest_s,
        planned_rest_s=rung.steps[planned].rest_s,
    )


def _on_rung(now: Situation) -> list[Placed]:
    """Return the sessions since the rung was last begun."""
    before = [n for n, (position, _) in enumerate(now.placed) if position.rung != now.here.rung]
    return list(now.placed[before[-1] + 1 if before else 0 :])


def _gains(now: Situation) -> tuple[str, ...]:
    """Name what became harder between the oldest session of the last weeks and the last one."""
    oldest = now.today - timedelta(days=SINCE_DAYS)
    recent = [position for position, record in now.placed if record.day >= oldest]
    return gains(now.ladder, recent[0], recent[-1]) if recent else ()


def gains(ladder: Ladder, before: Position, after: Position) -> tuple[str, ...]:
    """Name what a place on the ladder asks more of than another: a higher rung, else rest, reps, pause, load, sets."""
    if after.rung != before.rung:
        names = [ladder.rungs[position.rung].exercise.name for position in (before, after)]
        return (f"a higher rung: {names[0]} → {names[1]}",) if after.rung > before.rung else ()
    was, step = ladder.at(before), ladder.at(after)
    longest_was, longest = (max(one.tempo.top_s, one.hold_s or 0.0) for one in (was, step))
    found = (
        (step.rest_s < was.rest_s, f"less rest: {was.rest_s:g} → {step.rest_s:g} s"),
        (step.reps > was.reps, f"more reps: {was.reps} → {step.reps}"),
        (longest > longest_was, f"a longer pause: {longest_was:g} → {longest:g} s"),
        (step.tempo.down_s > was.tempo.down_s, f"slower down: {was.tempo.down_s:g} → {step.tempo.down_s:g} s"),
        ((step.half_pause_s or 0) > (was.half_pause_s or 0), "one and a half reps"),
        (step.load_kg > was.load_kg, f"more load: {was.load_kg:g} → {step.load_kg:g} kg"),
        (step.sets > was.sets, f"more sets: {was.sets} → {step.sets}"),
    )
    return tuple(text for more, text in found if more)


def _adherence(now: Situation) -> tuple[int, int]:
    """Return sessions done and planned in the whole weeks since the first one."""
    done = planned = 0
    first = now.done[0].day if now.done else now.today
    for week in range((now.today - first).days // WEEK):
        wanted, _ = now.plan.frequency(week, 0)
        there = sum((one.day - first).days // WEEK == week for one in now.done)
        done, planned = done + min(there, wanted), planned + wanted
    return done, planned


def _estimate(record: SessionRecord) -> Estimate | None:
    """Estimate the most pull-ups from the fastest rep of the first set, where each was asked for at full effort."""
    asked = record.prescription
    effort = asked.tempo.up_s is None or asked.is_test
    if asked.exercise.key != PULL_UP.key or asked.load_kg or not effort or not record.sets:
        return None
    speeds = [rep.mean_velocity_m_s for rep in record.sets[0].reps if rep.counts]
    known = [speed for speed in speeds if speed is not None]
    return most_pull_ups(max(known)) if known else None
