"""A sensor that slips on what it sits on: its gravity direction makes a step, and the set goes on as before.

A step much larger than the set's own strokes, with another level before it than after, is taken out: at the moment, of
those near its steepest turn, that leaves the smoothest rest. The step is shaped as the low-pass of the direction
shapes it.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.filters import low_pass, smooth
from analysis.motion.lobes import Lobes, Track, lobes
from analysis.motion.parameters import GripParameters
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.tilt import line_tracks

_LEVEL_S = 6.0
"""How far before and after a step its two levels are looked at."""
_STARTING_S = 1.5
"""Beginning of a grip that says nothing of the set's strokes."""
_END_S = 3.0
"""Nearer to the ends of a grip a large turn is taking hold, or letting go."""
_MOST_SLIPS = 4
_SLIPPING = 0.2
"""Share of the fastest change that still belongs to a slip."""


def strokes(direction: FloatArray, inside: slice, rate_hz: float) -> tuple[Track, Lobes, float]:
    """Return the turning along its main line, its lobes, and the travel of a typical stroke, degrees.

    The typical stroke is among the larger ones: one-and-a-half reps have more half strokes than whole ones.
    """
    track = next(line_tracks(np.arange(len(direction)) / rate_hz, direction, inside, 0.0, rate_hz))
    pieces = lobes(track, 0.15, 0.0, 0.0)
    travel = pieces.travel[(pieces.start >= inside.start) & (pieces.stop <= inside.stop)]
    if not len(travel):
        return track, pieces, 0.0
    return track, pieces, float(np.percentile(travel[travel > 0.4 * np.percentile(travel, 75)], 80))


def without_slips(
    direction: FloatArray, grip: slice, cutoff_hz: float, rate_hz: float, parameters: GripParameters
) -> tuple[FloatArray, float]:
    """Return the direction without steps, and the travel of a typical stroke, degrees.

    Parameters
    ----------
    direction : (n, 3) array
        Gravity direction from the sensor, low-passed at `cutoff_hz`.
    grip
        Where hands were on.
    """
    inside = slice(min(grip.start + round(_STARTING_S * rate_hz), grip.stop - 2), grip.stop)
    size = 0.0
    for _ in range(_MOST_SLIPS):
        quick = direction - smooth(direction, 4.0, rate_hz)
        track, pieces, size = strokes(quick, inside, rate_hz)
        step = _largest_step(direction, track, pieces, size, grip, inside, parameters)
        if step is None:
            break
        direction = _smoothest(direction, *step, cutoff_hz, rate_hz)
    return direction, size


def slipping(direction: FloatArray, steady: FloatArray) -> BoolArray:
    """Return where slips took place: the grid points at which what was taken out changes, shape (n,)."""
    turning = np.linalg.norm(np.diff(direction - steady, axis=0, prepend=(direction - steady)[:1]), axis=1)
    return np.asarray(turning > _SLIPPING * float(turning.max()))


def _largest_step(
    direction: FloatArray,
    track: Track,
    pieces: Lobes,
    size: float,
    grip: slice,
    inside: slice,
    parameters: GripParameters,
) -> tuple[int, FloatArray] | None:
    """Return the place and the size of the largest step, if there is one."""
    end, level = round(_END_S * track.rate_hz), round(_LEVEL_S * track.rate_hz)
    large = (pieces.travel > parameters.wall * size) & (pieces.start > inside.start + end)
    best: tuple[float, int, FloatArray] | None = None
    for i in np.flatnonzero(large & (pieces.stop < inside.stop - end)).tolist():
        a, b = int(pieces.start[i]), int(pieces.stop[i])
        before, after = direction[max(grip.start, a - level) : a], direction[b : min(grip.stop, b + level)]
        shift = np.median(after, axis=0) - np.median(before, axis=0)
        angle = float(np.degrees(np.linalg.norm(shift)))
        if angle > parameters.slip * size and (best is None or angle > best[0]):
            best = angle, a + int(np.argmax(np.abs(track.speed[a:b]))), shift
    return None if best is None else best[1:]


def _smoothest(direction: FloatArray, at: int, shift: FloatArray, cutoff_hz: float, rate_hz: float) -> FloatArray:
    """Take a step out, at the moment near `at` that leaves the smoothest turning."""
    n, reach = len(direction), round(1.5 * rate_hz)
    near = slice(max(0, at - reach), min(n, at + reach))
    moments = np.arange(n)
    ramps = [low_pass((moments >= at + d).astype(np.float64), cutoff_hz, rate_hz) for d in range(-12, 13)]
    rough = [float((np.diff(direction[near] - shift * ramp[near, None], n=2, axis=0) ** 2).sum()) for ramp in ramps]
    return np.asarray(direction - shift * ramps[int(np.argmin(rough))][:, None])
