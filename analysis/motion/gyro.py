"""Whether a gyro tells how the sensor turns: between two rests, what it measured must turn gravity as it was seen to.

At rest the specific force is gravity's reaction, whatever moved before and after, so two rests in different postures
show a turn that needs no gyro. Rates in other units, an axis that is dead, or axes changed about turn it elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from analysis.motion.attitude import rotate, rotations
from analysis.motion.filters import length, unit
from analysis.motion.grid import Gridder, Stretch, joined
from analysis.motion.height import vertical
from analysis.motion.parameters import Parameters
from analysis.motion.runs import runs
from analysis.motion.samples import FloatArray, Samples

_REST_S = 0.8
"""A rest lasts so long."""
_APART_S = 60.0
"""Rests farther apart tell nothing: what is left of a bias, 0.1°/s, has turned 6° by then."""
_TURN = 2.0 * np.sin(np.radians(15.0) / 2.0)
"""Chord of the least turn between two postures that is looked at."""
_PAIRS = 2
_LEFT = 0.7
"""Share of the turn that the gyro leaves unexplained, in the middle, where it is not to be used: right ones of the
virtual trainee leave 0.4 at most, rad/s taken for °/s leave 56/57."""
_ENOUGH = 100
"""Samples after which an axis that gives the same number each time is dead: noise does not let a live one do so."""


def follows_gravity(samples: Samples, parameters: Parameters) -> bool:
    """Return whether the gyro of `samples` may be used: it is alive, and nothing that is seen speaks against it."""
    rate = samples.rate_rad_s
    if rate is None or len(samples) < _ENOUGH:
        return True
    if (np.ptp(rate, axis=0) == 0.0).any():
        return False
    gridder = Gridder(parameters.grid)
    left = unexplained(joined([gridder.push(samples), gridder.finish()]), parameters)
    return len(left) < _PAIRS or float(np.median(left)) < _LEFT


def unexplained(stretch: Stretch, parameters: Parameters) -> FloatArray:
    """Return, of every turn from one rest to the next, the share that the gyro does not explain, shape (pairs,)."""
    assert stretch.rate_rad_s is not None
    rate_hz = parameters.grid.rate_hz
    still = vertical(replace(stretch, rate_rad_s=None), rate_hz, parameters.height).still
    rests = [(a, b) for a, b in runs(still & ~stretch.hole) if b - a >= _REST_S * rate_hz]
    if len(rests) < 2:
        return np.empty(0)
    turned = rotations(stretch.rate_rad_s - np.median(stretch.rate_rad_s[still], axis=0), 1.0 / rate_hz)
    seen = unit(np.array([stretch.force_m_s2[a:b].mean(axis=0) for a, b in rests]))
    middle = np.array([(a + b) // 2 for a, b in rests])
    level = rotate(turned[middle], seen)
    turn, error = length(np.diff(seen, axis=0)), length(np.diff(level, axis=0))
    near = np.array([j - i < _APART_S * rate_hz and not stretch.hole[i:j].any() for i, j in pairwise(middle)])
    told = near & (turn > _TURN)
    return np.asarray(error[told] / turn[told])
