"""The rep counter that everybody writes first, kept here to show that a scene is hard: no part of the product.

A hump of the size of the force, then a dip, is a rep; no rep is shorter than `SHORTEST_S`, so that steps are not
counted. It counts plain sets exactly (`test_pitfalls_counting.py`), whatever their tempo.
"""

from __future__ import annotations

import numpy as np

from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.samples import Samples

STEP_S = 0.02
MEAN_OVER_S = 0.3
HUMP_M_S2, DIP_M_S2 = 0.4, -0.3
SHORTEST_S = 1.2


def naive_count(samples: Samples) -> int:
    """Humps of |force| − g that a dip follows."""
    t = np.arange(samples.t_s[0], samples.t_s[-1], STEP_S)
    size = np.interp(t, samples.t_s, np.linalg.norm(samples.force_m_s2, axis=1)) - STANDARD_GRAVITY_M_S2
    width = round(MEAN_OVER_S / STEP_S)
    smooth = np.convolve(size, np.ones(width) / width, mode="same")
    count, rose, last_s = 0, False, -SHORTEST_S
    for at_s, x in zip(t.tolist(), smooth.tolist(), strict=True):
        rose = rose or x > HUMP_M_S2
        if rose and x < DIP_M_S2:
            rose = False
            if at_s - last_s >= SHORTEST_S:
                count, last_s = count + 1, at_s
    return count
