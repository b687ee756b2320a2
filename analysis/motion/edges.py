"""Step 6a: the exact boundaries of a stroke: where its speed passes max(floor, share × peak).

What follows the stroke late (a bar that rolls with the wrists) still moves when the stroke has ended, so the share that
ends it may be larger than the one that begins it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.lobes import Track
from analysis.motion.parameters import StrokeParameters
from analysis.motion.words import Stroke


@dataclass(frozen=True, slots=True)
class Edges:
    """Boundaries in grid units (fractional); `early` of a separate first piece, or None."""

    start: float
    stop: float
    early: float | None


def stroke_edges(track: Track, stroke: Stroke, low: float, high: float, parameters: StrokeParameters) -> Edges:
    """Walk outwards from the stroke to where the speed passes the threshold, within grid points `low` to `high`.

    Where the stroke was read on a smoother track, whose strokes are wider, the walk begins further inside.
    """
    speed = stroke.side * track.speed
    fastest = stroke.start + int(np.argmax(speed[stroke.start : stroke.stop]))
    peak = float(speed[fastest])
    threshold = max(track.floor_speed, parameters.boundary_share * peak)
    late = max(threshold, parameters.stop_share * peak)
    last = fastest + int(np.flatnonzero(speed[fastest : stroke.stop] >= min(late, peak))[-1])
    stop = _forward(speed, last, min(len(speed) - 1, int(np.ceil(high))), late)
    gap_at = max(0, int(low)) if stroke.early is None else _quietest(speed, stroke.early, stroke.start)
    first = stroke.start + int(np.argmax(speed[stroke.start : fastest + 1] >= min(threshold, peak)))
    start = _backward(speed, first, gap_at, threshold)
    return Edges(start, stop, None if stroke.early is None else float(stroke.early))


def _quietest(speed: np.typing.NDArray[np.float64], first: int, last: int) -> int:
    return first + int(np.argmin(speed[first : last + 1]))


def _above_drift(pause: np.typing.NDArray[np.float64], threshold: float) -> float:
    """Return the threshold; above the least speed of a long pause, where drift keeps all of it above the threshold."""
    least = float(pause.min())
    return least + threshold if least > threshold and len(pause) > _PAUSE else threshold


_PAUSE = 8
"""Grid points beyond a stroke, a third of a second: there it rests, in fewer it may turn."""


def _backward(speed: np.typing.NDArray[np.float64], at: int, low: int, threshold: float) -> float:
    """First crossing when walking back from `at`."""
    part = speed[low : at + 1]
    threshold = _above_drift(part, threshold)
    below = np.flatnonzero(part <= threshold)
    if not len(below):
        return float(low)
    i = low + int(below[-1])
    if i >= at:
        return float(at)
    a, b = float(speed[i]), float(speed[i + 1])
    return i + (threshold - a) / (b - a) if b > a else float(i)


def _forward(speed: np.typing.NDArray[np.float64], at: int, high: int, threshold: float) -> float:
    """First crossing when walking on from `at`."""
    part = speed[at : high + 1]
    threshold = _above_drift(part, threshold)
    below = np.flatnonzero(part <= threshold)
    if not len(below):
        return float(high)
    i = at + int(below[0])
    if i <= at:
        return float(at)
    a, b = float(speed[i - 1]), float(speed[i])
    return i - 1 + (a - threshold) / (a - b) if a > b else float(i)
