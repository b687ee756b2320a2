"""Step 6b: how surely each boundary is known, and which cannot be told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from analysis.motion.lobes import Track
from analysis.motion.parameters import StrokeParameters
from analysis.motion.results import TimingSd, Untold, Why
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.words import Word


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What reps are measured on.

    Attributes
    ----------
    track
        What they were read on.
    free
        The track by acceleration alone, on which travel and speed are measured; None where the sensor does not travel.
    direction : (n, 3) array
        Gravity direction from the sensor.
    hole : (n,) bool array
        Where samples are missing.
    slips : (n,) bool array or None
        Where a slip of the sensor hides the movement, if one does.
    leak_m_s2 : (n,) array or None
        What was taken off the acceleration for sideways movement, where that is a guess (without a gyro).
    upright : (3,) array or None
        Up along an upright trunk, from the sensor; where that is known.
    tilts
        Whether the track is a tilt in the place of height.
    along_m_s2 : (n,) array or None
        Acceleration the way the concentric goes, gravity removed; None where slow lowerings are not to be weighed.
    """

    track: Track
    free: Track | None
    direction: FloatArray
    hole: BoolArray
    leak_m_s2: FloatArray | None = None
    upright: FloatArray | None = None
    tilts: bool = False
    slips: BoolArray | None = None
    along_m_s2: FloatArray | None = None


def told(
    on: Ground, edges: Sequence[float], word: Word, p: StrokeParameters, weighed: tuple[float, float] | None = None
) -> tuple[TimingSd, Untold]:
    """Return the one sigma of each boundary; none, and why, where it says little more than that there was a rep.

    `weighed` is the sigma of both boundaries of the last way down, where that is known otherwise.

    All that is known of a moment somewhere within a time T is a sigma of T/√12. In a hole of the samples T is the hole.
    """
    most_s = p.untold * (edges[3] - edges[0]) / on.track.rate_hz
    sds: list[float | None] = []
    whys: list[Why | None] = []
    tilts = (p.low_sd, p.high_sd, p.high_sd, p.low_sd)
    known = (None, None, *(weighed or (None, None)))
    strokes = (word.up, word.up, word.down, word.down)
    for edge, stroke, tilt, own in zip(edges, strokes, tilts, known, strict=True):
        share = tilt if on.tilts else p.time_sd
        hole_s, slip_s = (_hidden_s(where, edge, on.track.rate_hz) for where in (on.hole, on.slips))
        edge_s = _edge_sd(on, edge, share * (stroke.stop - stroke.start), p) if own is None else own
        sd = hypot(hole_s, slip_s, edge_s)
        untold = sd > most_s
        hidden = Why.GAP if 2 * hole_s > sd else Why.SLIPPED if 2 * slip_s > sd else Why.BLURRED
        whys.append(hidden if untold else None)
        sds.append(None if untold else sd)
    return TimingSd(*sds), Untold(*whys)


def _hidden_s(where: BoolArray | None, edge: float, rate_hz: float) -> float:
    """Return what is not known of a boundary in one of the spans `where`, or next to it: one sigma."""
    at = round(edge)
    near = (i for i in (at, at - 1, at + 1) if where is not None and 0 <= i < len(where) and where[i])
    inside = next(near, None)
    if where is None or inside is None:
        return 0.0
    length = np.cumprod(where[: inside + 1][::-1]).sum() + np.cumprod(where[inside:]).sum() - 1
    return float(length) / rate_hz / sqrt(12.0)


def _edge_sd(on: Ground, index: float, uneven: float, p: StrokeParameters) -> float:
    """Speed error over acceleration at the crossing, and `uneven` grid points: slow passages are uncertain.

    How far the speed by acceleration alone is from that with the posture as a ruler shows the speed error there; with
    one reading only, it is taken to be the boundary's own speed. A tilt in the place of height is no even image of it:
    where the first goes with the square or the root of the second, boundaries of a minimum-jerk stroke move by .155 or
    −.059 of its time at that end, and by .02 at the other.
    """
    track = on.track
    i = min(max(round(index), 1), len(track.speed) - 2)
    near = slice(max(0, i - _NEAR), i + _NEAR + 1)
    apart = track.floor_speed
    if on.free is not None and on.free is not track:
        apart = float(np.sqrt(np.mean((track.speed[near] - on.free.speed[near]) ** 2)))
    slope = max(abs(float(track.speed[i + 1] - track.speed[i - 1])) * track.rate_hz / 2, 0.5 * track.floor_speed)
    own = p.speed_sd_m_s if on.free is not None else 0.0
    return hypot(p.least_sd_s, hypot(own, apart) / slope, uneven / track.rate_hz)


_NEAR = 8
"""Grid points to either side of a boundary over which two readings are compared: a third of a second."""
