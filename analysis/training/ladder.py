"""The ladder: variations from the easiest up, each climbed by small steps.

*Ladder* is the order of variations, never a scheme of reps. What the rungs hold is in `rungs`, the steps of each kind
of prescription in `blocks`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain

from analysis.training.blocks import ORDINARY, Step, one_and_a_half, paused, slow_negative
from analysis.training.prescription import Exercise, Grip, Prescription

PLATEAU_REPS = 10
"""Reps of a plateau method, 3 × 10 (common practice, no source); fewer where the rung itself begins with fewer."""

MOST_SETS = 5
"""No more sets than this (common practice, no source)."""


class Method(StrEnum):
    """How a rung is climbed: by its own steps, or for a while by a plateau method."""

    OWN = "own"
    PAUSED = "paused"
    ONE_AND_A_HALF = "one-and-a-half"
    SLOW_NEGATIVE = "slow-negative"


PLATEAU_METHODS = tuple(method for method in Method if method is not Method.OWN)


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
        What opens the way to the next rung, in words; empty where the ladder ends.
    methods
        Plateau methods allowed on it.
    needs
        Equipment without which it cannot be done.
    load_step_kg
        Raised by so much by the 2-for-2 rule; None where no load is added.
    volume
        The coach chose more sets over the next rung.
    gap_s, warm_ups, two_sided
        As in `Prescription`.
    typed
        Nothing on it is measured by the sensor: it is typed in.
    grips
        Only these, of those that the plan names; empty: all of them.
    """

    key: str
    exercise: Exercise
    steps: tuple[Step, ...]
    gate: str
    methods: tuple[Method, ...] = PLATEAU_METHODS
    needs: frozenset[str] = frozenset()
    load_step_kg: float | None = None
    volume: bool = False
    gap_s: float | None = None
    warm_ups: int = 0
    two_sided: tuple[str, ...] = ()
    typed: bool = False
    grips: tuple[Grip, ...] = ()

    def block(self, method: Method) -> tuple[Step, ...]:
        """Return the steps of one way to climb it; none where the method is none of this rung's."""
        if method is Method.OWN:
            return self.steps
        if method not in self.methods or any(step.hold_s for step in self.steps):
            return ()
        sets, reps = self.steps[0].sets, min(PLATEAU_REPS, *(step.reps for step in self.steps))
        from_s = max(90, *(round(step.rest_s) for step in self.steps))
        return _MAKERS[method](sets, reps, from_s=from_s, to_s=from_s - 30)

    def prescription(self, step: int, grip: Grip = Grip.PRONATED) -> Prescription:
        """Return what step `step` (from 0) of its own asks for."""
        return self.prescribe(self.steps[step], grip)

    def prescribe(self, asked: Step, grip: Grip) -> Prescription:
        """Return a step as it is asked for."""
        return Prescription(
            exercise=self.exercise,
            sets=asked.sets,
            reps=asked.reps,
            tempo=asked.tempo,
            rest_s=asked.rest_s,
            hold_s=asked.hold_s,
            half_pause_s=asked.half_pause_s,
            load_kg=asked.load_kg,
            grip=grip,
            gap_s=self.gap_s,
            warm_ups=self.warm_ups,
            two_sided=self.two_sided,
        )


_MAKERS = {Method.PAUSED: paused, Method.ONE_AND_A_HALF: one_and_a_half, Method.SLOW_NEGATIVE: slow_negative}


@dataclass(frozen=True, slots=True, order=True)
class Position:
    """A place on the ladder.

    Attributes
    ----------
    rung, step
        Numbers, from 0; the step is one of the method's.
    method
        How the rung is climbed.
    fewer_reps
        So many less than the step asks for, since it was too hard.
    more_sets
        So many more, where the coach chose volume.
    load_kg
        Added beside what the step says.
    """

    rung: int
    step: int
    method: Method = Method.OWN
    fewer_reps: int = 0
    more_sets: int = 0
    load_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class Ladder:
    """Rungs in order."""

    rungs: tuple[Rung, ...]

    def number(self, key: str | None) -> int | None:
        """Return the number of the rung of that key; None where there is none."""
        return next((number for number, one in enumerate(self.rungs) if one.key == key), None)

    def position(self, rung: str | None, done: Prescription, method: Method = Method.OWN) -> Position | None:
        """Return where a session was done; None where it belongs to no rung of this ladder.

        A prescription that is no step of the rung any more (the plan was edited since) stands at the hardest step that
        is harder in nothing. With less load than any step asks for, or with more help, it is no step of the rung; nor
        is a test, which moves nothing.
        """
        number = self.number(rung)
        if number is None or done.is_test or self.rungs[number].exercise.key != done.exercise.key:
            return None
        block = self.rungs[number].block(method)
        if not block:
            return self.position(rung, done)
        light = [i for i, step in enumerate(block) if step.load_kg <= done.load_kg]
        near = [i for i in light if _same_but_for_amount(block[i], done)]
        exact = [i for i in near if (block[i].sets, block[i].reps) == (done.sets, done.reps)]
        within = [] if near else [i for i in light if not _harder(block[i], done)]
        index = next(iter(exact or near or within[-1:]), 0)
        step = block[index]
        if step.load_kg > done.load_kg:
            return None
        return Position(
            number,
            index,
            method,
            fewer_reps=max(step.reps - done.reps, 0),
            more_sets=min(max(done.sets - step.sets, 0), MOST_SETS - step.sets),
            load_kg=done.load_kg - step.load_kg,
        )

    def at(self, position: Position) -> Step:
        """Return what is asked for at a position."""
        step = self.rungs[position.rung].block(position.method)[position.step]
        return replace(
            step,
            reps=step.reps - position.fewer_reps,
            sets=step.sets + position.more_sets,
            load_kg=step.load_kg + position.load_kg,
        )

    def prescription(self, position: Position, grip: Grip) -> Prescription:
        """Return what is asked for at a position, as the session takes it."""
        return self.rungs[position.rung].prescribe(self.at(position), grip)

    def above(self, position: Position) -> Position | None:
        """Return the next step of the same method, with the full reps first where there are fewer; None at its end."""
        if position.fewer_reps:
            return replace(position, fewer_reps=0)
        last = position.step + 1 >= len(self.rungs[position.rung].block(position.method))
        return None if last else replace(position, step=position.step + 1)

    def below(self, position: Position) -> Position:
        """Return the position before this one, by the rungs' own steps; the lowest stays."""
        if position.step:
            return Position(position.rung, position.step - 1)
        lower = max(position.rung - 1, 0)
        return Position(lower, len(self.rungs[lower].steps) - 1 if position.rung else 0)

    def climbs(self, before: Position, after: Position) -> bool:
        """Tell whether a position asks for more than the one before: a higher rung, or more of anything."""
        if after.rung != before.rung:
            return after.rung > before.rung
        was, step = self.at(before), self.at(after)
        return _harder(step, was) or step.sets > was.sets or step.load_kg > was.load_kg

    def places(self) -> tuple[Position, ...]:
        """Return all own steps of all rungs, from the lowest."""
        own = ((Position(r, s) for s in range(len(rung.steps))) for r, rung in enumerate(self.rungs))
        return tuple(chain.from_iterable(own))


def _same_but_for_amount(step: Step, done: Prescription) -> bool:
    """Whether only the load, the reps (fewer) and the sets (more) differ."""
    alike = (
        step.rest_s == done.rest_s
        and step.tempo == done.tempo
        and step.hold_s == done.hold_s
        and step.half_pause_s == done.half_pause_s
    )
    return alike and done.reps <= step.reps and done.sets >= step.sets


def _harder(step: Step, was: Step | Prescription) -> bool:
    """Whether a step asks for more than another in anything but sets and load."""
    asked, before = step.tempo, was.tempo
    return (
        step.reps > was.reps
        or step.rest_s < was.rest_s
        or asked.down_s > before.down_s
        or asked.top_s > before.top_s
        or (step.hold_s or 0) > (was.hold_s or 0)
        or (step.half_pause_s or 0) > (was.half_pause_s or 0)
    )


__all__ = ["MOST_SETS", "ORDINARY", "PLATEAU_METHODS", "Ladder", "Method", "Position", "Rung", "Step"]
