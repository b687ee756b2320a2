"""How a rung is climbed over the weeks: what its steps ask for, what was asked by then, and what was kept of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import mean

from analysis.training.blocks import Step
from analysis.training.ladder import Method
from analysis.training.plan import TrainingPlan
from analysis.training.records import History, SessionRecord
from analysis.training.situation import Placed, Situation, situation
from analysis.training.verdict import Outcome

WEEK = 7


@dataclass(frozen=True, slots=True)
class Climbed:
    """One session of the climb.

    Attributes
    ----------
    week
        Weeks since the rung was begun; 0 for the first session.
    asked, kept
        What was asked and what was done of it, in the climb's own quantity; None where that is not known.
    outcome
        That of the session.
    """

    week: float
    asked: float
    kept: float | None
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Climb:
    """The way up one rung, by its own steps or by a plateau method.

    Attributes
    ----------
    rung, method
        Which way it is.
    of_rest
        Its steps differ in the rest alone: the quantity is the rest in seconds. Otherwise it is the step's number, from
        1.
    planned
        The quantity of each step: of each week, if every week is met.
    week
        Weeks since the rung was begun, today.
    done
        The sessions since then, oldest first.
    """

    rung: str
    method: Method
    of_rest: bool
    planned: tuple[float, ...]
    week: float
    done: tuple[Climbed, ...]


def climb(history: History, plan: TrainingPlan, today: date) -> Climb | None:
    """Return how the present rung is climbed since it was last begun; None before the first session on the ladder.

    Parameters
    ----------
    history, plan, today
        As for `progression.next_session`.
    """
    now = situation(history, plan, today)
    if now.at is None:
        return None
    rung = now.ladder.rungs[now.at.rung]
    steps = rung.block(now.at.method)
    of_rest = _differ_in_rest(steps)
    placed = _since_begun(now)
    began = placed[0][1].day
    return Climb(
        rung=rung.key,
        method=now.at.method,
        of_rest=of_rest,
        planned=tuple(step.rest_s if of_rest else float(number) for number, step in enumerate(steps, start=1)),
        week=(today - began).days / WEEK,
        done=tuple(_climbed(one, began, of_rest) for one in placed),
    )


def _differ_in_rest(steps: Sequence[Step]) -> bool:
    return len(steps) > 1 and len({step.rest_s for step in steps}) == len(steps)


def _since_begun(now: Situation) -> list[Placed]:
    """Return the sessions of this way up since another was last gone."""
    here = (now.here.rung, now.here.method)
    others = [n for n, (position, _) in enumerate(now.placed) if (position.rung, position.method) != here]
    return list(now.placed[others[-1] + 1 if others else 0 :])


def _climbed(placed: Placed, began: date, of_rest: bool) -> Climbed:
    position, record = placed
    asked = record.prescription.rest_s if of_rest else float(position.step + 1)
    kept = _mean_rest_s(record) if of_rest else asked
    return Climbed((record.day - began).days / WEEK, asked, kept, record.outcome)


def _mean_rest_s(record: SessionRecord) -> float | None:
    """Return the mean rest between the sets; None where one is not known, or there is none."""
    rests = [one.rest_before_s for one in record.sets[1:]]
    known = [one for one in rests if one is not None]
    return mean(known) if known and len(known) == len(rests) else None
