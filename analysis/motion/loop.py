"""How many times a path goes round a loop: every point is matched with a phase of the set's own mean rep.

The mean rep is a closed loop of as many phases as a period has grid points. Along the path the phase may stand still,
go on at its usual pace, or up to three times as fast, at a price; the cheapest way through is found by dynamic
programming (dynamic time warping on a circle; Sakoe & Chiba 1978, IEEE Trans. ASSP 26:43). Unlike turning points, the
phase is also known at the ends of the samples, in the middle of a rep.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.lib.stride_tricks import as_strided

from analysis.motion.samples import FloatArray

_FASTEST = 3
"""Phases a path may advance in one grid point."""


def times_round(path: FloatArray, marks: Sequence[int], pace_price: float) -> float:
    """Return how many times `path` goes round, with a fraction.

    Parameters
    ----------
    path : (n, 3) array
        Any quantity that repeats.
    marks
        Grid points at which a rep begins, and the end of the last: at least two.
    pace_price
        What one grid point of standing still costs, in mean squared deviations of the path.
    """
    centred = path - path.mean(axis=0)
    scaled = centred / max(float(np.sqrt((centred**2).sum(axis=1).mean())), 1e-12)
    loop = mean_loop(scaled, marks)
    return float(_advance(_distance(scaled, loop), pace_price).mean()) * len(path) / len(loop)  # n points last n steps


def mean_loop(path: FloatArray, marks: Sequence[int]) -> FloatArray:
    """Return the mean rep between `marks`, stretched to the median duration, shape (phases, 3)."""
    phases = max(4, round(float(np.median(np.diff(marks)))))
    at = np.arange(marks[0], marks[-1])
    turn = np.interp(at, marks, np.arange(len(marks)))
    phase = np.floor(turn * phases + 1e-6).astype(np.int64) % phases
    count = np.bincount(phase, minlength=phases)
    total = np.column_stack([np.bincount(phase, path[at, i], phases) for i in range(3)])
    filled = np.flatnonzero(count)
    mean = np.column_stack(
        [np.interp(np.arange(phases), filled, total[filled, i] / count[filled], period=phases) for i in range(3)]
    )
    return np.asarray((np.roll(mean, 1, axis=0) + 2 * mean + np.roll(mean, -1, axis=0)) / 4)


def _distance(path: FloatArray, loop: FloatArray) -> FloatArray:
    """Squared distance of each point from each phase, shape (n, phases)."""
    return np.asarray((path**2).sum(axis=1)[:, None] + (loop**2).sum(axis=1) - 2 * path @ loop.T)


def _advance(distance: FloatArray, pace_price: float) -> FloatArray:
    """Phases gone on at each grid point along the cheapest way, shape (n − 1,)."""
    n, phases = distance.shape
    price = pace_price * (np.arange(_FASTEST + 1.0) - 1.0)[:, None] ** 2
    wound = np.empty(phases + _FASTEST)
    step = wound.strides[0]
    from_phase = as_strided(wound[_FASTEST:], (_FASTEST + 1, phases), (-step, step))
    every, taken = np.arange(phases), np.empty((n, phases), dtype=np.int8)
    cost = distance[0]
    for i in range(1, n):
        wound[_FASTEST:], wound[:_FASTEST] = cost, cost[-_FASTEST:]
        ways = from_phase + price
        best = ways.argmin(axis=0)
        taken[i], cost = best, ways[best, every] + distance[i]
    out, k = np.empty(n - 1), int(cost.argmin())
    for i in range(n - 1, 0, -1):
        out[i - 1] = taken[i, k]
        k = (k - int(taken[i, k])) % phases
    return out
