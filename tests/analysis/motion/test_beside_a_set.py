"""Beside a set that is closed at its bottoms nothing holds the level, so the pull to zero height stays there."""

from __future__ import annotations

import numpy as np

from analysis.motion.height import Vertical, problem
from analysis.motion.parameters import DEFAULTS, STANDARD_GRAVITY_M_S2
from analysis.motion.smoother import Pseudo

RATE_HZ = 25.0
BIAS_M_S2 = 0.01 * STANDARD_GRAVITY_M_S2
BESIDE = round(8 * RATE_HZ)


def test_what_lies_beside_a_closed_set_does_not_drift_away() -> None:
    """10 mg that come with the end of the set are ½ b t² = 3.1 m after 8 s, more than any rep (exact)."""
    n = 500
    acceleration = np.zeros(n)
    acceleration[-BESIDE:] = BIAS_M_S2
    none = np.zeros(n, np.bool_)
    up = np.tile([0.0, 0.0, 1.0], (n, 1))
    v = Vertical(acceleration, np.zeros(n), up, none, none, none, 1 / RATE_HZ)
    sd = np.full(n, np.inf)
    sd[0 : n - BESIDE + 1 : 75] = 0.03
    closing = Pseudo(np.zeros(n), sd)
    inside = np.arange(n) < n - BESIDE
    everywhere = problem(v, DEFAULTS.height, closing, loose=~none).solved()
    within = problem(v, DEFAULTS.height, closing, loose=inside).solved()
    assert 0.5 * BIAS_M_S2 * (BESIDE / RATE_HZ) ** 2 > 3.1
    assert np.abs(everywhere.height_m).max() > 2.5
    assert np.abs(within.height_m).max() < 0.25 * np.abs(everywhere.height_m).max()
    assert np.abs(within.height_m[inside]).max() < 0.15
