"""The whole-bout answer for limbs: sets read from the gravity direction.

    stretch ─ direction ─ main line of turning ─ lobes ─ grammar ─ sets
                                each set: its own line and scale, read again

The first line is found over everything, mounting included; a set's own line is cleaner. The sign of a line is
arbitrary, so both readings are tried and the one that explains more is kept.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.attitude import gravity_direction
from analysis.motion.bouts import Group, groups
from analysis.motion.cyclic import read_by_rhythm
from analysis.motion.filters import box_mean, low_pass, median_of_five, smooth, unit
from analysis.motion.found import Found, best_of
from analysis.motion.grammar import Reader, Scene
from analysis.motion.grid import Stretch
from analysis.motion.lobes import lobes
from analysis.motion.parameters import Parameters
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.tilt import line_tracks, tilt_tracks

_MARGIN_S = 6.0
"""How far around a set it is read again."""
_FLOOR_SHARE = 0.06
"""Least turning speed of a phase, share of a rep's turning a second."""


def turning_sets(stretch: Stretch, parameters: Parameters) -> list[Found]:
    """Return the sets of a stretch, read by turning."""
    rate = parameters.grid.rate_hz
    stretch = without_knocks(stretch, parameters.limb.knock_m_s2)
    direction = turning_direction(stretch, parameters)
    hole = _with_ends(stretch.hole)
    first: list[Found] = []
    for track in tilt_tracks(stretch.t_s, direction, rate, parameters):
        swing = track.position - smooth(track.position, parameters.tilt.detrend_s, rate)
        size = 2 * smooth(np.abs(swing), parameters.tilt.detrend_s, rate)
        pieces = lobes(track, parameters.stroke.lobe_share, 0.1 * parameters.tilt.least_turn_deg, 0.0)
        pieces = pieces.cut(pieces.travel > 0.15 * size[pieces.start])
        reader = Reader(Scene(pieces, direction, hole), parameters.tilt.least_turn_deg, parameters)
        first += [Found(g, track, direction, None) for g in groups(reader.read(), rate, parameters.sets)]
    again = [f for one in best_of(first) for f in _again(stretch, direction, hole, one.group, parameters)]
    return best_of(read_by_rhythm(stretch, hole, best_of(again), parameters))


def without_knocks(stretch: Stretch, knock_m_s2: float) -> Stretch:
    """Take the usual force of the points around where one or two stand out: no limb moves so, knocks and faults do."""
    force = stretch.force_m_s2
    usual = np.column_stack([median_of_five(axis) for axis in force.T])
    knock = np.abs(force - usual).max(axis=1) > knock_m_s2
    return replace(stretch, force_m_s2=np.where(knock[:, None], usual, force)) if knock.any() else stretch


def turning_direction(stretch: Stretch, parameters: Parameters) -> FloatArray:
    """Gravity direction from the sensor, levelled with the gyro where there is one, shape (n, 3)."""
    rate, p = parameters.grid.rate_hz, parameters.tilt
    if stretch.rate_rad_s is None:
        return slow_direction(stretch.force_m_s2, p.cutoff_hz, rate)
    turn = np.linalg.norm(stretch.rate_rad_s - np.median(stretch.rate_rad_s, axis=0), axis=1)
    still = box_mean((turn < np.radians(p.still_deg_s)).astype(float), round(0.8 * rate)) > 0.99
    level_s = parameters.height.level_s
    direction = gravity_direction(stretch.force_m_s2, stretch.rate_rad_s, stretch.hole, still, rate, level_s)
    return low_pass(direction, p.gyro_cutoff_hz, rate)


def slow_direction(force_m_s2: FloatArray, cutoff_hz: float, rate_hz: float) -> FloatArray:
    """Gravity direction by the force alone, low-passed, shape (n, 3)."""
    return unit(low_pass(force_m_s2, cutoff_hz, rate_hz))


def _again(
    stretch: Stretch, direction: FloatArray, hole: BoolArray, group: Group, parameters: Parameters
) -> list[Found]:
    """Read a set along its own line, at its own scale."""
    rate = parameters.grid.rate_hz
    margin = round(_MARGIN_S * rate)
    start, stop = max(0, group.start - margin), min(len(direction), group.stop + margin)
    part, inside = direction[start:stop], slice(group.start - start, group.stop - start)
    out: list[Found] = []
    for track in line_tracks(stretch.t_s[start:stop], part, inside, _FLOOR_SHARE * group.size, rate):
        pieces = lobes(track, parameters.stroke.lobe_share, parameters.stroke.lobe_travel * group.size, 0.0)
        least = max(parameters.tilt.least_turn_deg, 0.4 * group.size)
        reader = Reader(Scene(pieces, part, hole[start:stop]), least, parameters)
        out += [Found(g, track, part, None) for g in groups(reader.read(), rate, parameters.sets)]
    return out


def _with_ends(hole: BoolArray) -> BoolArray:
    """Mark both ends as holes: samples may begin and end in the middle of a rep."""
    out = hole.copy()
    out[:5] = out[-5:] = True
    return out
