"""Step 6d: height gained in the way up, where it is well enough known."""

from __future__ import annotations

import numpy as np

from analysis.motion.edges import Edges
from analysis.motion.parameters import StrokeParameters
from analysis.motion.sureness import Ground


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
