"""The live reading of a window: what confirmed reps say of the height."""

from __future__ import annotations

import numpy as np
from motion_scenes import REP, scene

from analysis.motion.grid import Gridder, joined
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS
from analysis.motion.reading import sight


def test_confirmed_reps_begin_and_end_on_one_level() -> None:
    samples, starts = scene([(0.0, 4.0), *REP * 4, (0.0, 1.0)], bias_m_s2=0.4)
    gridder = Gridder(DEFAULTS.grid)
    window = joined([gridder.push(samples), gridder.finish()])
    spans = [(starts[1 + 4 * k], starts[4 + 4 * k]) for k in range(3)]

    def unevenness(told: list[tuple[float, float]]) -> float:
        track = sight(window, Mount.BODY, DEFAULTS, told).track
        return float(np.ptp(np.interp(np.ravel(spans), track.t_s, track.position)))

    assert unevenness(spans) < 0.03 < unevenness([])
