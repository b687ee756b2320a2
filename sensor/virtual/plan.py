"""The trainee's day at the bar, laid out in time: when she walks, chalks, takes hold, pulls, lets go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sensor.virtual.script import Beat, Script
from sensor.virtual.strokes import Stroke, moving_between, timed_stroke

Rng = np.random.Generator

# Invented, chosen to look like a recreational trainee at a low bar with the feet on the floor.
ARRIVING_S = 9.0
LETTING_GO_S = 1.7
TAKING_HOLD_S = 1.9
SHORTEST_REST_OFF_THE_BAR_S = 8.0
SHORTEST_WALK_S = 5.0
LONGEST_WALK_S = 9.0
STANDING_AT_THE_END_S = 10.0
SLOWEST_SINGLE_PART_S = 1.5


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time, seconds."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class PlannedRep:
    """One rise and one lowering."""

    up: Stroke
    down: Stroke


@dataclass(frozen=True, slots=True)
class Bout:
    """From taking hold of the bar to standing free of it again; a very short rest is spent on the bar.

    Attributes
    ----------
    taking_hold, letting_go
        Getting under the bar, and back on the feet.
    sets
        The reps of each set done in this bout.
    """

    taking_hold: Span
    sets: tuple[tuple[PlannedRep, ...], ...]
    letting_go: Span


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that is done, in time; seconds from the first sample."""

    bouts: tuple[Bout, ...]
    walks: tuple[Span, ...]
    chalking: tuple[Span, ...]
    end_s: float


@dataclass(frozen=True, slots=True)
class RepTruth:
    """When one rep's phases really began and ended, by the definition of phase boundaries.

    Attributes
    ----------
    start_s, top_s, down_s, end_s
        Begin and end of the rise, begin and end of the lowering.
    travel_m
        Height gained.
    """

    start_s: float
    top_s: float
    down_s: float
    end_s: float
    travel_m: float


def plan_session(script: Script, travel_m: float, rng: Rng) -> Plan:
    """Lay a script out in time, with human variation.

    Parameters
    ----------
    travel_m
        How far a fresh rep of this person rises.
    """
    bouts: list[Bout] = []
    first_s = ARRIVING_S + TAKING_HOLD_S + _hang_s(rng)
    for sets in _sets_by_bout(script):
        planned: list[tuple[PlannedRep, ...]] = []
        for beats in sets:
            planned.append(_plan_set(beats, first_s, travel_m, rng))
            end_s = planned[-1][-1].down.edges_s()[1]
            first_s += end_s - first_s + script.rest_s + rng.uniform(0.2, 1.0)
        bouts.append(_bout(tuple(planned), end_s, rng))
    walks, chalking = _between(bouts)
    return Plan(tuple(bouts), walks, chalking, bouts[-1].letting_go.end_s + SHORTEST_WALK_S + STANDING_AT_THE_END_S)


def true_reps(reps: Sequence[PlannedRep], rate_hz: float = 1000.0) -> tuple[RepTruth, ...]:
    """Return the boundaries of a set's reps, measured on the noise-free speed of travel."""
    strokes = [stroke for rep in reps for stroke in (rep.up, rep.down)]
    edges = [_true_edges(strokes, i, rate_hz) for i in range(len(strokes))]
    return tuple(RepTruth(*edges[2 * i], *edges[2 * i + 1], travel_m=rep.up.rise_m) for i, rep in enumerate(reps))


def _true_edges(strokes: list[Stroke], i: int, rate_hz: float) -> tuple[float, float]:
    stroke = strokes[i]
    t_s = np.arange(stroke.start_s - 0.3, stroke.start_s + stroke.duration_s + 0.3, 1 / rate_hz)
    speed = sum(other.jet(t_s).v for other in strokes[max(0, i - 1) : i + 2])
    return moving_between(t_s, np.sign(stroke.rise_m) * speed)


def _sets_by_bout(script: Script) -> list[tuple[tuple[Beat, ...], ...]]:
    if script.rest_s < SHORTEST_REST_OFF_THE_BAR_S:
        return [script.sets]
    return [(beats,) for beats in script.sets]


def _hang_s(rng: Rng) -> float:
    return float(rng.uniform(1.6, 2.4))


def _bout(sets: tuple[tuple[PlannedRep, ...], ...], end_s: float, rng: Rng) -> Bout:
    hanging_s = sets[0][0].up.start_s - _hang_s(rng)
    off_s = end_s + float(rng.uniform(1.0, 1.6))
    return Bout(Span(hanging_s - TAKING_HOLD_S, hanging_s), sets, Span(off_s, off_s + LETTING_GO_S))


def _plan_set(beats: tuple[Beat, ...], first_s: float, travel_m: float, rng: Rng) -> tuple[PlannedRep, ...]:
    """Plan the reps of a set: a little slower and a little lower as it goes on."""
    reps: list[PlannedRep] = []
    bottom_m, at_s = 0.0, first_s
    for tired, beat in enumerate(beats):
        top_m = travel_m * (1 - 0.005 * tired) * _about(1.0, 0.015, rng)
        next_bottom_m = float(rng.normal(0.0, 0.004))
        up = _stroke(at_s, beat.up_s * (1 + 0.01 * tired) * _about(1.0, 0.05, rng), top_m - bottom_m, rng)
        down_from_s = up.edges_s()[1] + max(0.08, beat.top_s + 0.03 + 0.06 * _normal(rng))
        down = _stroke(down_from_s, beat.down_s * _about(1.02, 0.04, rng), next_bottom_m - top_m, rng)
        reps.append(PlannedRep(up, down))
        bottom_m = next_bottom_m
        at_s = down.edges_s()[1] + max(0.10, beat.bottom_s + 0.15 + 0.04 * _normal(rng))
    return tuple(reps)


def _stroke(begin_s: float, moving_s: float, rise_m: float, rng: Rng) -> Stroke:
    parts = 1 if moving_s < SLOWEST_SINGLE_PART_S else round(moving_s)
    shares = np.array([_about(1.0, 0.08, rng) for _ in range(parts)])
    return timed_stroke(begin_s, moving_s, rise_m, tuple(float(s) for s in shares / shares.sum()))


def _between(bouts: list[Bout]) -> tuple[tuple[Span, ...], tuple[Span, ...]]:
    """Walk up, chalk; between the bouts walk a few steps and chalk if there is time; walk away in the end."""
    first_s, last_s = bouts[0].taking_hold.start_s, bouts[-1].letting_go.end_s
    walks, chalking = [Span(0.5, first_s - 3.5)], [Span(first_s - 3.0, first_s - 0.8)]
    for before, after in pairwise(bouts):
        free = Span(before.letting_go.end_s + 1.0, after.taking_hold.start_s - 0.8)
        walk_s = min(LONGEST_WALK_S, free.end_s - free.start_s - 3.0)
        if walk_s >= SHORTEST_WALK_S:
            walks.append(Span(free.start_s, free.start_s + walk_s))
        if free.end_s - free.start_s >= 2.0:
            chalking.append(Span(free.end_s - 2.0, free.end_s))
    walks.append(Span(last_s + 1.0, last_s + SHORTEST_WALK_S))
    return tuple(walks), tuple(chalking)


def _normal(rng: Rng) -> float:
    """Draw from a normal distribution cut at two sigma, so that no seed makes a freak."""
    return float(np.clip(rng.normal(), -2.0, 2.0))


def _about(mean: float, share: float, rng: Rng) -> float:
    return mean * (1 + share * _normal(rng))
