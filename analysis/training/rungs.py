"""The default ladder. The order of the rungs, their sets, reps, rests and gates are common practice, no source."""

from __future__ import annotations

from dataclasses import replace

from analysis.training.blocks import ORDINARY, Step, box_steps, hold_steps, pull_up_steps, rest_taper
from analysis.training.exercises import (
    BOX,
    FEET_ON_FLOOR,
    HEELS_RAISED,
    INVERTED_ROW,
    PULL_UP,
    TOP_HOLD,
    WEIGHTED,
)
from analysis.training.ladder import Ladder, Method, Rung
from analysis.training.prescription import Goal

START = "feet-on-floor"
"""Where one begins without a test day."""

LOADED_REPS = {Goal.STRENGTH: (5, 180), Goal.SIZE: (10, 90), Goal.ENDURANCE: (20, 60)}
"""Reps and rest (s) of the weighted rung: of 4–8 with 180–300, 8–15 with 90, 15–30 with 60 (common practice)."""


def inverted_row_rung() -> Rung:
    """Return rung 0: rows under a low bar, typed in."""
    return Rung(
        "inverted-row",
        INVERTED_ROW,
        (Step(3, 15, ORDINARY, 90.0),),
        "3 × 15 straight-bodied, a week long",
        methods=(),
        needs=frozenset({"low-bar"}),
        typed=True,
    )


def top_hold_rung() -> Rung:
    """Return the rung of single long holds at the top, for a ladder that has one: step up, hold, step down."""
    return Rung("top-hold", TOP_HOLD, hold_steps(), "3 × 30 s, a week long", methods=(), needs=frozenset({"high-bar"}))


def loaded_steps(goal: Goal) -> tuple[Step, ...]:
    """Return the way from the last pull-ups without load to the reps and the rest that a goal asks for with load.

    Where these ask for more than the rung before, its reps come first, then its rest, so that one thing gets harder at
    a time; the load rises at the last step.
    """
    reps, rest_s = LOADED_REPS[goal]
    before = pull_up_steps()[-1]
    more = range(before.reps, reps) if reps > before.reps else ()
    first_s = max(int(before.rest_s), rest_s)
    fewer = [replace(before, reps=count, rest_s=float(first_s)) for count in more]
    return (*fewer, *rest_taper(before.sets, reps, from_s=first_s, to_s=rest_s))


def default_ladder(goal: Goal = Goal.STRENGTH) -> Ladder:
    """Return the first ladder: rows, feet on the floor, heels raised, holds and lowerings, pull-ups, added load."""
    taper_gate = "3 × 15 with 60 s rest, a week long"
    return Ladder(
        (
            inverted_row_rung(),
            Rung("feet-on-floor", FEET_ON_FLOOR, rest_taper(3, 15), taper_gate, needs=frozenset({"low-bar"})),
            Rung("heels-raised", HEELS_RAISED, rest_taper(3, 15), taper_gate, needs=frozenset({"low-bar", "block"})),
            Rung(
                "box",
                BOX,
                box_steps(),
                "3 × 5 lowerings of 5 s, a week long",
                methods=(),
                needs=frozenset({"high-bar", "box"}),
            ),
            Rung("pull-up", PULL_UP, pull_up_steps(), "3 × 8, a week long", needs=frozenset({"high-bar"})),
            Rung(
                "weighted",
                WEIGHTED,
                loaded_steps(goal),
                "",
                methods=(Method.PAUSED, Method.ONE_AND_A_HALF),
                needs=frozenset({"high-bar", "load"}),
                load_step_kg=2.5,
            ),
        )
    )
