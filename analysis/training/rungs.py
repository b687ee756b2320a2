"""The default ladder. The order of the rungs, their sets, reps, rests and gates are common practice, no source."""

from __future__ import annotations

from analysis.training.blocks import ORDINARY, Step, box_steps, hold_steps, loaded, pull_up_steps, rest_taper
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

LOADED_REPS = {Goal.STRENGTH: (5, 180.0), Goal.SIZE: (10, 90.0), Goal.ENDURANCE: (20, 60.0)}
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
                loaded(*LOADED_REPS[goal]),
                "no gate: the ladder ends here",
                methods=(Method.PAUSED, Method.ONE_AND_A_HALF),
                needs=frozenset({"high-bar", "load"}),
                load_step_kg=2.5,
            ),
        )
    )
