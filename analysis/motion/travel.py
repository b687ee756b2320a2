"""Step 6d: height gained in the way up, where it is well enough known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.edges import Edges
from analysis.motion.lobes import Track
from analysis.motion.parameters import StrokeParameters
from analysis.motion.results import Rep
from analysis.motion.sureness import Ground

CLOSED_M = 0.03
"""How far the bottoms of a set lie from one level: one sigma."""


def travel_of(on: Ground, up: Edges, p: StrokeParameters) -> float | None:
    """Return the height gained, None where sideways movement leaves too little of it sure.

    An acceleration error that lasts over a rise of time T between known heights bends it by error·T²/8 in its middle;
    an end that is less well known moves as much.
    """
    if on.free is None:
        return None
    low = up.start if up.early is None else up.early
    bottom, top = np.interp([low, up.stop], np.arange(len(on.free.position)), on.free.position)
    travel, duration_s = abs(float(top - bottom)), (up.stop - low) / on.free.rate_hz
    leak = 0.0 if on.leak_m_s2 is None else float(on.leak_m_s2[round(low) : round(up.stop) + 1].mean())
    return travel if leak * duration_s**2 / 8 <= p.vague * travel else None


def with_level_start(rep: Rep, free: Track) -> Rep:
    """Return the rep without travel where the acceleration does not bear out that it begins at the set's bottom.

    `free` is a track smoothed with every bottom at height 0, give or take `CLOSED_M`.
    """
    begin_s = rep.start_s if rep.shrug_start_s is None else rep.shrug_start_s
    at = (begin_s - float(free.t_s[0])) * free.rate_hz
    begin_m = float(np.interp(at, np.arange(len(free.position)), free.position))
    return rep if abs(begin_m) <= 2 * CLOSED_M else replace(rep, travel_m=None)
