"""What the motion of a set looks like before it is read as reps: travel or tilt, acceleration, the ways up and down.

The steps are those of the live reading (`reading`), over the whole set at once, so that a picture shows what was read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.motion.filters import length
from analysis.motion.grid import Stretch, joined
from analysis.motion.inlet import Inlet
from analysis.motion.lobes import Track, over_holes
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS, STANDARD_GRAVITY_M_S2, Parameters
from analysis.motion.reading import Sight, pieces, ruled, sight
from analysis.motion.results import Rep
from analysis.motion.samples import BoolArray, FloatArray, Samples

BESIDE_S = 4.0
"""Seconds before and after a set that are read with it: the smoother needs rest to start from."""
_LEAST_POINTS = 50
_FROM_REPS = 0.25
"""Share of the reps' own travel below which a way is not shown."""


@dataclass(frozen=True, slots=True)
class Way:
    """A piece of one direction, as read before the grammar; `up` in the sense of the reps."""

    start_s: float
    end_s: float
    up: bool


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """A stretch of motion on the even grid.

    Attributes
    ----------
    t_s : (n,) array
        Sensor seconds.
    position : (n,) array
        Travel in metres, or tilt along its main line in degrees; up is the way of the reps, 0 the lowest in the set.
    acceleration_m_s2 : (n,) array
        Along gravity, gravity removed; where the sensor does not travel, the size of the force less gravity.
    hole : (n,) bool array
        Points in a hole of the samples: nothing is known there, whatever the other values are.
    travels
        Whether `position` is metres.
    ways
        What the reps were read from; none over a hole.
    """

    t_s: FloatArray
    position: FloatArray
    acceleration_m_s2: FloatArray
    hole: BoolArray
    travels: bool
    ways: tuple[Way, ...]


def traced(samples: Samples, mount: Mount, reps: Sequence[Rep], parameters: Parameters = DEFAULTS) -> Trace | None:
    """Return the trace of a set; None where the samples hold no stretch long enough.

    Parameters
    ----------
    samples
        Of the set and `BESIDE_S` on either side; where a long hole parts them, the longest part is read.
    reps
        Of the set: travel is level where they begin and end, and they tell which way is up.
    """
    window = _longest(samples, mount, parameters)
    if window is None:
        return None
    within = [(rep.start_s, rep.end_s) for rep in reps if window.t_s[0] <= rep.start_s and rep.end_s <= window.t_s[-1]]
    seen = sight(window, mount, parameters, within)
    track = _oriented(ruled(seen, parameters), reps)
    low = float(np.min(track.position)) if not within else float(np.min(track.position[_inside(track, within)]))
    return Trace(
        t_s=track.t_s,
        position=track.position - low,
        acceleration_m_s2=_acceleration(seen),
        hole=window.hole,
        travels=mount.shows_travel,
        ways=_ways(track, within, seen, mount, parameters),
    )


def _longest(samples: Samples, mount: Mount, parameters: Parameters) -> Stretch | None:
    inlet = Inlet(mount, parameters)
    parts: list[list[Stretch]] = [[]]
    for part in [*inlet.push(samples), inlet.finish()]:
        if isinstance(part, Stretch):
            parts[-1].append(part)
        else:
            parts.append([])
    whole = max(((sum(len(one) for one in part), part) for part in parts), key=lambda one: one[0])
    return None if whole[0] < _LEAST_POINTS else joined(whole[1])


def _inside(track: Track, spans: Sequence[tuple[float, float]]) -> BoolArray:
    return (track.t_s >= spans[0][0]) & (track.t_s <= spans[-1][1])


def _oriented(track: Track, reps: Sequence[Rep]) -> Track:
    """Turn a track so that the reps go up: at their tops it is higher than where they begin."""
    tops = [(rep.start_s, rep.top_s) for rep in reps if rep.counts and rep.top_s is not None]
    rises = [float(np.subtract(*np.interp((top, start), track.t_s, track.position))) for start, top in tops]
    if sum(rises) >= 0:
        return track
    return replace(track, position=-track.position, speed=-track.speed)


def _acceleration(seen: Sight) -> FloatArray:
    if seen.felt is not None:
        return seen.felt.acceleration_m_s2
    return length(seen.window.force_m_s2) - STANDARD_GRAVITY_M_S2


def _ways(
    track: Track, within: Sequence[tuple[float, float]], seen: Sight, mount: Mount, parameters: Parameters
) -> tuple[Way, ...]:
    swings = [float(np.ptp(track.position[(track.t_s >= a) & (track.t_s <= b)])) for a, b in within]
    typical = float(np.median(swings)) if swings else 2 * seen.least
    found = pieces(track, typical, mount, parameters)
    known = ~np.array(over_holes(found, seen.window.hole), dtype=bool)
    found = found.cut(known)
    ends = np.minimum(found.stop, len(track.t_s) - 1)
    return tuple(
        Way(float(track.t_s[start]), float(track.t_s[stop]), bool(side > 0))
        for start, stop, side, travel in zip(found.start, ends, found.side, found.travel, strict=True)
        if travel >= _FROM_REPS * typical
    )
