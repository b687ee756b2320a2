"""The ladder: variations from the easiest up, each climbed by small steps.

The order of the rungs, their sets, reps, rests and gates are common practice, no source. *Ladder* is the order of
variations, never a scheme of reps.
"""

from __future__ import annotations

from dataclasses import dataclass

from analysis.training.exercises import FEET_ON_FLOOR, HEELS_RAISED, PULL_UP, SLOW_LOWERING, TOP_HOLD
from analysis.training.prescription import Exercise, Grip, Prescription, Tempo

ORDINARY = Tempo(down_s=1, bottom_s=0, up_s=1, top_s=0)
"""About a second up and a second down (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Step:
    """What one week asks for: sets × reps, tempo, rest in seconds; or sets of one hold of `hold_s`."""

    sets: int
    reps: int
    tempo: Tempo
    rest_s: float
    hold_s: float | None = None


@dataclass(frozen=True, slots=True)
class Rung:
    """One variation and the steps that lead through it.

    Attributes
    ----------
    key
        Short stable name, kebab case.
    steps
        From the easiest to the one that opens the gate.
    gate
        What opens the way to the next rung, in words.
    """

    key: str
    exercise: Exercise
    steps: tuple[Step, ...]
    gate: str

    def prescription(self, step: int, grip: Grip = Grip.PRONATED) -> Prescription:
        """Return what step `step` (from 0) asks for."""
        asked = self.steps[step]
        return Prescription(
            exercise=self.exercise,
            sets=asked.sets,
            reps=asked.reps,
            tempo=asked.tempo,
            rest_s=asked.rest_s,
            hold_s=asked.hold_s,
            grip=grip,
        )

    def step_of(self, prescription: Prescription) -> int | None:
        """Return which step a prescription is; None where it is none of this rung."""
        p = prescription
        asked = Step(p.sets, p.reps, p.tempo, p.rest_s, p.hold_s)
        known = prescription.exercise.key == self.exercise.key and asked in self.steps
        return self.steps.index(asked) if known else None


@dataclass(frozen=True, slots=True, order=True)
class Position:
    """A place on the ladder: number of the rung and of the step, both from 0."""

    rung: int
    step: int


@dataclass(frozen=True, slots=True)
class Ladder:
    """Rungs in order, and how often they are trained.

    Attributes
    ----------
    sessions_a_week
        As many sessions make a training week; a step is passed when all of a week's sessions are met.
    days_between
        Fewest free days between two sessions.
    """

    rungs: tuple[Rung, ...]
    sessions_a_week: int = 2
    days_between: int = 2

    def position(self, rung: str | None, prescription: Prescription) -> Position | None:
        """Return where a session was done; None where it is no step of this ladder."""
        for number, one in enumerate(self.rungs):
            step = one.step_of(prescription) if one.key == rung else None
            if step is not None:
                return Position(number, step)
        return None

    def at(self, position: Position) -> Step:
        """Return the step at a position."""
        return self.rungs[position.rung].steps[position.step]

    def above(self, position: Position) -> Position | None:
        """Return the position after this one; None at the top."""
        if position.step + 1 < len(self.rungs[position.rung].steps):
            return Position(position.rung, position.step + 1)
        return Position(position.rung + 1, 0) if position.rung + 1 < len(self.rungs) else None

    def below(self, position: Position) -> Position:
        """Return the position before this one; the lowest stays."""
        if position.step:
            return Position(position.rung, position.step - 1)
        lower = max(position.rung - 1, 0)
        return Position(lower, len(self.rungs[lower].steps) - 1 if position.rung else 0)


def rest_taper(
    sets: int, reps: int, tempo: Tempo = ORDINARY, *, from_s: int = 90, to_s: int = 60, by_s: int = 5
) -> tuple[Step, ...]:
    """Return the steps of the rest taper: 90, 85, … 60 s, one a week (common practice, no source)."""
    return tuple(Step(sets, reps, tempo, float(rest)) for rest in range(from_s, to_s - 1, -by_s))


def hold_steps(
    *, sets: int = 3, from_s: int = 10, to_s: int = 30, by_s: int = 5, rest_s: float = 90.0
) -> tuple[Step, ...]:
    """Return 3 × 10 s to 3 × 30 s of holding, 90 s rest (common practice, no source)."""
    return tuple(Step(sets, 1, ORDINARY, rest_s, float(hold)) for hold in range(from_s, to_s + 1, by_s))


def top_hold_rung() -> Rung:
    """Return the rung of holds at the top, for a ladder that has one: step up from a box, hold, step down."""
    return Rung("top-hold", TOP_HOLD, hold_steps(), "3 × 30 s, a week long")


def _lowering_steps() -> tuple[Step, ...]:
    """3 × 3–5, lowered in 3–5 s, 90 s rest (common practice, no source). The first keeps within the eccentric cap."""
    plan = ((3, 3), (4, 3), (5, 3), (5, 4), (5, 5))
    return tuple(Step(3, reps, Tempo(down_s=down, bottom_s=0, up_s=None, top_s=0), 90.0) for reps, down in plan)


def _pull_up_steps() -> tuple[Step, ...]:
    """3 × 3 to 3 × 8, 120 s rest (common practice, no source).

    Three, because fewer alike strokes cannot be told from a stray movement by the sensor.
    """
    return tuple(Step(3, reps, ORDINARY, 120.0) for reps in range(3, 9))


def default_ladder() -> Ladder:
    """Return the first ladder: feet on the floor → heels raised → slow lowering → full pull-ups."""
    return Ladder(
        (
            Rung("feet-on-floor", FEET_ON_FLOOR, rest_taper(3, 15), "3 × 15 with 60 s rest, a week long"),
            Rung("heels-raised", HEELS_RAISED, rest_taper(3, 15), "3 × 15 with 60 s rest, a week long"),
            Rung(
                "slow-lowering",
                SLOW_LOWERING,
                _lowering_steps(),
                "3 × 5 lowerings of 5 s, a week long",
            ),
            Rung("pull-up", PULL_UP, _pull_up_steps(), "3 × 8, a week long; the ladder ends here"),
        )
    )
