"""Slow lowerings: what drift hides of them must not cost the rep (a 5 s lowering pushes 13 mg, a lean of 10° 174)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.grammar import Reader, Scene
from analysis.motion.lobes import Lobes
from analysis.motion.on_mount import on_body
from analysis.motion.parameters import DEFAULTS, Parameters
from analysis.motion.words import Kind

RATE = round(DEFAULTS.grid.rate_hz)
UP_S, DOWN_S = 1.0, 6.0


def count(down_m: float, down_s: float, parameters: Parameters) -> int:
    """Reps read of five ways up of 0.4 m, each with a way down of which so much is seen."""
    up, down = round(UP_S * RATE), round(down_s * RATE)
    starts = np.cumsum([RATE, *[up + 5, down + RATE] * 5])[:-1]
    lasting = np.array([up, down] * 5)
    n = int(starts[-1] + down + 5 * RATE)
    lobes = Lobes(
        starts,
        starts + lasting,
        np.array([1, -1] * 5),
        np.array([0.4, down_m] * 5),
        np.array([0.7, 2 * down_m / down_s] * 5),
    )
    scene = Scene(lobes, np.tile([0.0, 0.0, 1.0], (n, 1)), np.zeros(n, dtype=bool))
    words = Reader(scene, DEFAULTS.stroke.least_travel_m, parameters).read()
    return sum(word.kind is Kind.FULL for word in words)


def test_a_slow_lowering_of_which_drift_hides_half_ends_a_rep() -> None:
    body = on_body(DEFAULTS)
    assert count(0.17, DOWN_S, body) == 5
    without = replace(body, template=replace(body.template, drift=0.0))
    assert count(0.17, DOWN_S, without) < 5


def test_a_quick_way_down_of_half_the_travel_ends_none() -> None:
    assert count(0.17, 0.8, on_body(DEFAULTS)) == 0
