"""What a reading says of the speed: between the strokes of a set nothing moves, apart from their last and first bit.

A hard zero would bend the strokes themselves. A lobe ends where 15 % of its peak speed is left, and a minimum-jerk
stroke loses that with the square of time; so this much is expected there, and it is given half of it as uncertainty.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from analysis.motion.bouts import Group
from analysis.motion.parameters import Parameters
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.smoother import Pseudo
from analysis.motion.words import Stroke

_RAMP = 0.15
"""Time that a minimum-jerk stroke goes on after its lobe, as a share of the lobe's: .1118 / (1 − 2 × .1118)."""
_STEADY = 0.6
"""Share of a rep's travel by which the height may drift within what is held to be a pause."""
_REST_S = 1.5
"""How far before the first and after the last rep a pause is looked for."""


def pauses_of(
    group: Group, height_m: FloatArray, calm: BoolArray, shift: int, sign: int, parameters: Parameters
) -> Pseudo:
    """Return what is known of the speed in the pauses of `group` (infinite standard deviation elsewhere).

    Parameters
    ----------
    height_m : (n,) array
        Height of the reading before.
    calm : (n,) bool array
        Where the force is quiet enough for a pause.
    shift
        Grid points by which the group's places are ahead of the arrays.
    sign
        −1 where the way up of the reading goes down.
    """
    n = len(calm)
    value, sd = np.zeros(n), np.full(n, np.inf)
    ways = [stroke for word in group.words for stroke in word.strokes]
    for a, b in pairwise(ways):
        pause = slice(max(0, a.stop - shift), max(0, b.begin - shift))
        held = height_m[pause]
        if len(held) and held.max() - held.min() < _STEADY * group.size:
            left, coming = _left(a, len(held), parameters), _left(b, len(held), parameters)[::-1]
            value[pause] = sign * (a.side * left + b.side * coming)
            sd[pause] = 0.5 * (left + coming)
    rest = round(_REST_S * parameters.grid.rate_hz)
    before, after = max(0, ways[0].begin - shift), max(0, ways[-1].stop - shift)
    first = before - _run(calm[max(0, before - rest) : before][::-1])
    last = after + _run(calm[after : after + rest])
    left = _left(ways[0], before - first, parameters)[::-1]
    value[first:before], sd[first:before] = sign * left, 0.5 * left
    left = _left(ways[-1], last - after, parameters)
    value[after:last], sd[after:last] = -sign * left, 0.5 * left
    return Pseudo(value, np.where(calm, np.hypot(sd, parameters.height.pause_speed_m_s), np.inf))


def _run(calm: BoolArray) -> int:
    """Length of the calm at the beginning."""
    return int(np.cumprod(calm).sum())


def _left(stroke: Stroke, n: int, parameters: Parameters) -> FloatArray:
    """Speed left `0 … n − 1` grid points beyond the end of a stroke's lobe."""
    ramp = max(1.0, _RAMP * (stroke.stop - stroke.start))
    share = np.maximum(1.0 - np.arange(n) / ramp, 0.0) ** 2
    return np.asarray(parameters.stroke.lobe_share * stroke.peak * share)
