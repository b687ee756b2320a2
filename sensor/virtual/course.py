"""What is done in a long session, in time: strokes of many shapes, grips, and what people do away from the bar."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import NDArray

from sensor.virtual.jets import FloatArray, Jet
from sensor.virtual.strokes import moving_between
from sensor.virtual.tracks import FINE_HZ, Track


class Label(IntEnum):
    """What is being done at a moment."""

    AWAY = 0
    HANG = 1
    UP = 2
    TOP = 3
    DOWN = 4
    HALF = 5
    SHRUG = 6
    TRY = 7


class Deed(StrEnum):
    """What is done away from the bar."""

    STILL = "still"
    WALK = "walk"
    SIT = "sit"
    SIT_TO_STAND = "sit-to-stand"
    FIDGET = "fidget"
    CHALK = "chalk"
    PICK_UP = "pick up"
    LEAN = "lean"
    ADJUST = "adjust"
    KNOCK = "knock"
    MOVE_OVER = "move over"
    DIP = "dip"
    SWING = "swing"


@dataclass(frozen=True, slots=True)
class Shape:
    """How the speed of a stroke runs from 0 to 1 of its duration; its size does not matter.

    Attributes
    ----------
    before, after
        Powers of the elapsed and of the remaining share: 2 and 2 is minimum jerk (Flash & Hogan 1985).
    plateau
        Share of the duration at even speed between a smooth start and a smooth end; 0 for none (then the powers hold).
    start_share
        Of the time outside the plateau, the share that the start takes.
    dips
        Sticking points: (middle, width, depth) as shares.
    wobbles
        Waves on the speed: (cycles in the stroke, depth, phase in rad).
    """

    before: float = 2.0
    after: float = 2.0
    plateau: float = 0.0
    start_share: float = 0.5
    dips: tuple[tuple[float, float, float], ...] = ()
    wobbles: tuple[tuple[float, float, float], ...] = ()

    def speed(self, tau: FloatArray) -> FloatArray:
        """Return the speed at the shares `tau` of the duration, in units of no meaning, nowhere negative."""
        if self.plateau:
            start = (1 - self.plateau) * self.start_share
            end = (1 - self.plateau) * (1 - self.start_share)
            speed = _smooth(tau / start) * _smooth((1 - tau) / end)
        else:
            speed = tau**self.before * (1 - tau) ** self.after
        for middle, width, depth in self.dips:
            speed *= 1 - depth * np.exp(-0.5 * ((tau - middle) / width) ** 2)
        for cycles, depth, phase in self.wobbles:
            speed *= 1 + depth * np.sin(2 * np.pi * cycles * tau + phase)
        return np.maximum(speed, 0)


@dataclass(frozen=True, slots=True)
class Move:
    """One way along the path; `rise_m` is negative for a lowering.

    Attributes
    ----------
    label, after
        What it counts as while it lasts, and what the time from its end to the next move counts as.
    """

    start_s: float
    duration_s: float
    rise_m: float
    shape: Shape
    label: Label
    after: Label


@dataclass(frozen=True, slots=True)
class Grip:
    """From reaching for the bar to being free of it; `left_m` is the height that the moves leave over.

    The load comes on until `hang_s`, and off from `off_s`.
    """

    mount_s: float
    hang_s: float
    off_s: float
    free_s: float
    left_m: float


@dataclass(frozen=True, slots=True)
class Act:
    """Something done away from the bar."""

    deed: Deed
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Course:
    """A whole session."""

    moves: tuple[Move, ...]
    grips: tuple[Grip, ...]
    acts: tuple[Act, ...]
    end_s: float

    @property
    def samples(self) -> int:
        """Length on the fine grid."""
        return int(self.end_s * FINE_HZ)


def travel(course: Course) -> Jet:
    """Return how far the hands have been pulled along the path, metres; what is left over goes as the bar is let go."""
    speed = np.zeros(course.samples)
    for move in course.moves:
        i, tau = _shares(move, len(speed))
        shape = move.shape.speed(tau)
        speed[i : i + len(tau)] += move.rise_m * FINE_HZ * shape / max(float(shape.sum()), 1e-12)
    going = Track(course.samples)
    for grip in course.grips:
        going.step(grip.off_s, grip.free_s - grip.off_s, -grip.left_m)
    way = going.jet()
    moved = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2)]) / FINE_HZ
    return Jet(moved, speed, np.gradient(speed) * FINE_HZ) + way


def edges(course: Course, speed_m_s: FloatArray) -> list[tuple[float, float]]:
    """Return when each move begins and ends, by the speed of travel (see `strokes.moving_between`)."""
    found = []
    for move in course.moves:
        i, tau = _shares(move, len(speed_m_s))
        t_s = np.arange(i, i + len(tau)) / FINE_HZ
        found.append(moving_between(t_s, np.sign(move.rise_m) * speed_m_s[i : i + len(tau)]))
    return found


def labels(course: Course, moving: list[tuple[float, float]]) -> NDArray[np.int8]:
    """Return the label of every sample of the fine grid.

    Parameters
    ----------
    moving
        Begin and end of each move, as `edges` returns them.
    """
    label = np.zeros(course.samples, dtype=np.int8)
    for grip in course.grips:
        label[_at(grip.hang_s) : _at(grip.off_s)] = Label.HANG
    for k, (move, (start_s, end_s)) in enumerate(zip(course.moves, moving, strict=True)):
        off_s = min(grip.off_s for grip in course.grips if grip.off_s >= end_s - 1e-6)
        until_s = min(off_s, moving[k + 1][0] if k + 1 < len(moving) else off_s)
        label[_at(start_s) : _at(end_s)] = move.label
        label[_at(end_s) : _at(until_s)] = move.after
    return label


def contact(course: Course) -> FloatArray:
    """Return the share of the full load that the hands have taken, from 0 to 1, at every sample."""
    load = Track(course.samples)
    for grip in course.grips:
        taking_s = min(grip.hang_s - grip.mount_s, 1.0)
        load.step(grip.hang_s - taking_s, taking_s, 1.0)
        load.step(grip.off_s, (grip.free_s - grip.off_s) / 2, -1.0)
    return load.x


def _shares(move: Move, samples: int) -> tuple[int, FloatArray]:
    i = int(np.ceil(move.start_s * FINE_HZ))
    j = min(samples, int(np.ceil((move.start_s + move.duration_s) * FINE_HZ)))
    return i, np.clip((np.arange(i, j) / FINE_HZ - move.start_s) / move.duration_s, 0, 1)


def _at(t_s: float) -> int:
    return max(0, int(np.ceil(t_s * FINE_HZ)))


def _smooth(share: FloatArray) -> FloatArray:
    """Return 0 below 0, 1 above 1, with even slope between (3x² − 2x³)."""
    x = np.clip(share, 0, 1)
    return x * x * (3 - 2 * x)
