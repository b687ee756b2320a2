"""Travel of the way up: null where sideways movement leaves too little of it sure."""

from __future__ import annotations

import numpy as np
import pytest
from motion_scenes import minimum_jerk

from analysis.motion.edges import Edges
from analysis.motion.lobes import Track
from analysis.motion.parameters import StrokeParameters
from analysis.motion.sureness import Ground
from analysis.motion.travel import travel_of

RATE_HZ = 25.0


def rise(up_s: float) -> Track:
    """Half a metre up, from 1 s on."""
    t = np.arange(0, up_s + 2, 1 / RATE_HZ)
    height, speed, _ = minimum_jerk(t - 1, 0.5, up_s)
    return Track(t, height, speed, RATE_HZ, 0.012)


@pytest.mark.parametrize(
    ("up_s", "leak_m_s2", "known"), [(0.4, 3.0, True), (1.6, 3.0, False), (1.6, 0.1, True), (1.6, None, True)]
)
def test_travel_is_null_where_sideways_force_may_account_for_a_fifth_of_it(
    up_s: float, leak_m_s2: float | None, known: bool
) -> None:
    """3 m/s² over .4 s bend a rise by 6 cm (error·T²/8), over 1.6 s by 96 cm."""
    track = rise(up_s)
    n = len(track.t_s)
    leak = None if leak_m_s2 is None else np.full(n, leak_m_s2)
    ground = Ground(track, track, np.tile([0.0, 0.0, 1.0], (n, 1)), np.zeros(n, np.bool_), leak)
    travel = travel_of(ground, Edges(RATE_HZ, RATE_HZ * (1 + up_s), None), StrokeParameters())
    assert travel == (pytest.approx(0.5, abs=0.005) if known else None)
