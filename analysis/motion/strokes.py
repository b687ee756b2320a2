"""Step 3: turning points of a position curve, and the exact boundaries of the phases between them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.motion.parameters import StrokeParameters
from analysis.motion.samples import FloatArray


@dataclass(frozen=True, slots=True)
class Turn:
    """A turning point: grid index, position there, +1 for a top and −1 for a bottom."""

    index: int
    position: float
    side: int


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A position curve with its speed, on the even grid; metres, or degrees of a proxy.

    `floor_speed` is the least speed that counts as travel (m/s or °/s).
    """

    t_s: FloatArray
    position: FloatArray
    speed: FloatArray
    rate_hz: float
    floor_speed: float


def turning_points(position: FloatArray, depth: float | FloatArray) -> list[Turn]:
    """Alternating tops and bottoms, each more than `depth` away from the next.

    Only local extremes are looked at, so the loop runs over a few points a second.
    """
    rise = np.diff(position)
    moving = np.flatnonzero(rise != 0)
    change = np.flatnonzero(np.diff(np.sign(rise[moving])) != 0)
    at = (
        np.concatenate([[0], moving[change + 1], [len(position) - 1]]).astype(int)
        if len(position)
        else np.empty(0, int)
    )
    depths = np.broadcast_to(np.asarray(depth, dtype=float), position.shape)[at].tolist() if len(at) else []
    values, indices = position[at].tolist(), at.tolist()
    return _zigzag(indices, values, depths)


def _zigzag(indices: list[int], values: list[float], depths: list[float]) -> list[Turn]:
    turns: list[Turn] = []
    if not indices:
        return turns
    high = low = 0
    side = 0
    for k, (value, depth) in enumerate(zip(values, depths, strict=True)):
        high = k if value > values[high] else high
        low = k if value < values[low] else low
        if side >= 0 and values[high] - value > depth:
            turns.append(Turn(indices[high], values[high], 1))
            side, low, high = -1, k, k
        elif side <= 0 and value - values[low] > depth:
            turns.append(Turn(indices[low], values[low], -1))
            side, low, high = 1, k, k
    last = high if side > 0 else low
    if side:
        turns.append(Turn(indices[last], values[last], side))
    return turns


@dataclass(frozen=True, slots=True)
class Stroke:
    """One way up or down between two turning points.

    Attributes
    ----------
    begin, end
        The turning points.
    start, stop
        Boundaries of the movement itself, in grid units (fractional).
    early
        Start of a separate, small piece of the same way before it (a shoulder-blade rise), or None.
    peak
        Greatest speed.
    side
        +1 on the way up, −1 on the way down.
    travel
        Distance between the turning points.
    """

    begin: Turn
    end: Turn
    start: float
    stop: float
    early: float | None
    peak: float
    side: int
    travel: float


def strokes(track: Track, depth: float | FloatArray, parameters: StrokeParameters) -> list[Stroke]:
    """Return the alternating strokes of a track, each longer than `depth`."""
    turns = turning_points(track.position, depth)
    return [_stroke(track, a, b, parameters) for a, b in pairwise(turns)]


def _stroke(track: Track, begin: Turn, end: Turn, parameters: StrokeParameters) -> Stroke:
    """Find the boundaries of one stroke.

    The speed passes max(floor, share × peak) there; dips below it shorter than `bridge_s` belong to the stroke. An
    earlier, separate and small piece of the same direction is told apart.
    """
    speed = end.side * track.speed[begin.index : end.index + 1]
    peak, travel = float(speed.max()), abs(end.position - begin.position)
    threshold = max(track.floor_speed, parameters.boundary_share * peak)
    runs = _runs(speed > threshold, round(parameters.bridge_s * track.rate_hz))
    if not runs:
        return Stroke(begin, end, begin.index, end.index, None, peak, end.side, travel)
    travels = [float(speed[a:b].sum()) for a, b in runs]
    main = int(np.argmax(travels))
    large = [i for i, travel in enumerate(travels) if travel > parameters.early_share * travels[main]]
    first, last = large[0], large[-1]
    early = None
    near = first > 0 and runs[first][0] - runs[first - 1][1] <= parameters.early_pause_s * track.rate_hz
    if near and travels[first - 1] > 0.2 * parameters.early_share * travels[main]:
        early = begin.index + _crossing(speed, runs[first - 1][0] - 1, threshold)
    start = begin.index + _crossing(speed, runs[first][0] - 1, threshold)
    stop = begin.index + _crossing(speed, runs[last][1] - 1, threshold)
    return Stroke(begin, end, start, stop, early, peak, end.side, travel)


def _runs(mask: np.typing.NDArray[np.bool_], bridge: int) -> list[tuple[int, int]]:
    """Half-open runs of True, joined across gaps shorter than `bridge`."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    joined: list[tuple[int, int]] = []
    for a, b in edges.reshape(-1, 2).tolist():
        if joined and a - joined[-1][1] < bridge:
            joined[-1] = (joined[-1][0], b)
        else:
            joined.append((a, b))
    return joined


def _crossing(speed: FloatArray, before: int, threshold: float) -> float:
    """Where between `before` and the next point the speed passes the threshold."""
    if before < 0:
        return 0.0
    if before + 1 >= len(speed):
        return float(len(speed) - 1)
    a, b = float(speed[before]), float(speed[before + 1])
    return before + (min(1.0, max(0.0, (threshold - a) / (b - a))) if a != b else 0.0)
