"""Where to begin: a short submaximal test day proposes a rung. All figures are common practice, no source.

What is done that day, in this order and with some minutes between: inverted rows with a straight body, stopped at
fifteen; a hang of at most twenty seconds, none with a shoulder history; low-bar pull-ups with the feet on the floor,
stopped two reps before the form breaks. Nothing is done to failure, and nothing is lowered slowly.
"""

from __future__ import annotations

from dataclasses import dataclass

from analysis.training.exercises import FEET_ON_FLOOR, HEELS_RAISED, INVERTED_ROW
from analysis.training.ladder import Ladder
from analysis.training.plan import TrainingPlan
from analysis.training.prescription import Exercise
from analysis.training.words import listing

SOURCE = "the figures are common practice, no source"

ROWS = 15
"""Straight-bodied rows in one set from which on the first rung is not the row."""

LONGEST_HANG_S = 20.0
"""No test hang is longer."""

RAISED_HANG_S = 15.0
"""A hang from which on the heels may be raised, where more of the body hangs from the hands."""

RAISED_REPS = 20
"""Low-bar pull-ups, two short of broken form, from which on the heels may be raised: more than a rung's fifteen."""

PROTOCOL = (
    f"Inverted rows with a straight body from shoulders to heels: stop at {ROWS}, or where the hips bend.",
    f"A hang with long arms: {LONGEST_HANG_S:g} s at most. None with a shoulder history.",
    "Low-bar pull-ups, feet on the floor: stop two reps before the form breaks (two that you could still do well).",
    "Some minutes between them. Nothing to failure, nothing lowered slowly; any pain above 3 of 10 ends the day.",
)
"""How the day goes, a sentence each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What was done on a test day; None: not tried.

    Attributes
    ----------
    rows
        Inverted rows in one set, with a straight body.
    hang_s
        Seconds of hanging.
    low_bar
        Low-bar pull-ups with the feet on the floor, stopped two reps before the form breaks.
    """

    rows: int | None = None
    hang_s: float | None = None
    low_bar: int | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A rung to begin on.

    Attributes
    ----------
    rung
        Its key.
    why
        One sentence.
    """

    rung: str
    why: str


class TrialError(ValueError):
    """Something that is not to be tried on a test day; the message says what is."""


def propose(tried: Tried, plan: TrainingPlan) -> Proposal:
    """Return the rung to begin on, and why.

    A test day never proposes more than heels raised: what is above is shown by training, or decided by the coach.

    Raises
    ------
    TrialError
        When a hang was too long, or was tried with a shoulder history.
    """
    _check(tried, plan)
    wanted, why = _wanted(tried, plan)
    key, more = _on_ladder(wanted, plan)
    return Proposal(key, f"{why}{more} ({SOURCE})")


def _check(tried: Tried, plan: TrainingPlan) -> None:
    if tried.hang_s is not None and plan.shoulder_history:
        raise TrialError("with a shoulder history no hang is tried on the test day; leave it out")
    if tried.hang_s is not None and tried.hang_s > LONGEST_HANG_S:
        text = f"a test hang lasts {LONGEST_HANG_S:g} s at most, not {tried.hang_s:g} s; give {LONGEST_HANG_S:g} for it"
        raise TrialError(text)


def _wanted(tried: Tried, plan: TrainingPlan) -> tuple[Exercise, str]:
    """Return the exercise to begin with, and why."""
    if tried.rows is None or tried.rows < ROWS:
        did = "no rows were tried" if tried.rows is None else f"{tried.rows} straight-bodied rows"
        return INVERTED_ROW, f"{did}, and {ROWS} come before low-bar pull-ups"
    done = f"{tried.rows} straight-bodied rows"
    if tried.low_bar is None:
        return FEET_ON_FLOOR, f"{done}, and no low-bar pull-ups tried"
    done = f"{done} and {tried.low_bar} low-bar pull-ups"
    lacking = _lacking(tried, plan)
    if lacking:
        return FEET_ON_FLOOR, f"{done}; heels raised {lacking}"
    hang = f"a hang of {tried.hang_s:g} s ({RAISED_HANG_S:g} asked)"
    return HEELS_RAISED, f"{done} ({RAISED_REPS} asked), and {hang}"


def _lacking(tried: Tried, plan: TrainingPlan) -> str:
    """Say what is missing for raised heels; empty where nothing is."""
    found = []
    if (tried.low_bar or 0) < RAISED_REPS:
        found.append(f"{RAISED_REPS} low-bar pull-ups")
    if (tried.hang_s or 0.0) < RAISED_HANG_S and not plan.shoulder_history:
        found.append(f"a hang of {RAISED_HANG_S:g} s")
    if found:
        return f"asks for {listing(found)}"
    return "waits for the coach's word, since with a shoulder history no hang is tried" if plan.shoulder_history else ""


def _on_ladder(wanted: Exercise, plan: TrainingPlan) -> tuple[str, str]:
    """Return the hardest rung, up to the wanted exercise, that can be done, and what to add to why."""
    order = (HEELS_RAISED, FEET_ON_FLOOR, INVERTED_ROW)
    for exercise in order[order.index(wanted) :]:
        key = _rung_with(exercise, plan)
        if key is not None:
            return key, "" if exercise is wanted else f"; that is not in the plan or not at hand, so {exercise.name}"
    return plan.start, "; that is not in the plan or not at hand, so where the plan starts"


def _rung_with(exercise: Exercise, plan: TrainingPlan) -> str | None:
    ladder: Ladder = plan.ladder
    able = (one for one in ladder.rungs if one.exercise.key == exercise.key and one.needs <= plan.equipment)
    return next((one.key for one in able), None)
