"""Live: since when a lowering is under way, told as early as it can be told from a top hold.

Height and speed do not tell it in time: in a hold of two seconds the speed at the end of the window drifts by 0.1 m/s.
What does not drift is a change: in a hold the acceleration stays where it is, whatever bias and lean make of it, and a
lowering begins by falling below that. So the speed lost against the hold's own level is summed from every moment at
which a lowering may have begun, less a drift that is allowed, and the lowering is told once the largest sum passes a
bound: the cumulative sum test of Page 1954 (Biometrika 41:100), which no other test beats in time at the same rate of
false alarms (Lorden 1971, Ann. Math. Stat. 42:1897); the moment of the largest sum is when it began. The level is the
mean of the hold so far, worth the less the shorter that is. A lowering that is none (a dip, a sway) returns to the
level before it has gone far: then the hold goes on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.described import parameter
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.words import Stroke


@dataclass(frozen=True, slots=True)
class OnsetParameters:
    """What is known of a lowering that has just begun."""

    drift_m_s2: float = parameter(0.03, unit="m/s²", larger="slow lowerings are told later, sways less often")
    lost_m_s: float = parameter(0.04, unit="m/s", larger="lowerings are told later, dips and sways less often")
    bias_m_s2: float = parameter(
        0.15,
        unit="m/s²",
        larger="lowerings after no hold are told later",
        source="bias × tilt: 30 mg × sin 30°",
    )
    level_s: float = parameter(0.16, unit="s", larger="the level of a short hold is worth less")
    reach_s: float = parameter(1.5, unit="s", larger="slower beginnings are told in one piece")
    turn_m_s2: float = parameter(0.25, unit="m/s²", larger="the end of the way up is taken for the hold")
    fast_m_s: float = parameter(0.25, unit="m/s", larger="lowerings after no hold are told later")
    back: float = parameter(0.3, unit="of the speed", larger="a lowering that slows down is taken for a dip")
    near: float = parameter(0.25, unit="of the way up", larger="deeper dips belong to the hold")


def lowering_since(
    up: Stroke, upward_m_s2: FloatArray, speed_m_s: FloatArray, rate_hz: float, parameters: OnsetParameters
) -> int | None:
    """Return the grid point at which the lowering after `up` began; None while it cannot be told from a hold.

    Parameters
    ----------
    up
        The last way up.
    upward_m_s2, speed_m_s : (n,) array
        Acceleration, gravity removed, and speed, up to now; both may have drifted.
    """
    first = _turned(up, upward_m_s2, speed_m_s, parameters)
    felt = upward_m_s2[first:]
    if len(felt) < 2:
        return None
    sums = _Sums(felt, rate_hz, parameters)
    begin = sums.passed(0)
    while begin is not None:
        back = sums.returned(begin, parameters.near * up.travel)
        if back is None:
            return first + begin
        begin = sums.passed(back)
    return None


def _turned(up: Stroke, upward_m_s2: FloatArray, speed_m_s: FloatArray, p: OnsetParameters) -> int:
    """Return the grid point at which the way up has wholly ended: its last deceleration is over, or it came back."""
    n = len(speed_m_s)
    rests = _first(upward_m_s2[up.stop :] >= -p.turn_m_s2, n)
    falls = _first(speed_m_s[up.stop :] < -p.fast_m_s, n)
    if rests <= falls:
        return min(n, up.stop + rests)
    return up.stop + _first(speed_m_s[up.stop :] < 0.0, n)


def _first(holds: BoolArray, otherwise: int) -> int:
    places = np.flatnonzero(holds)
    return int(places[0]) if len(places) else otherwise


_BOUND = 2.0
"""A hold's level lies within so many sigma of the bias: the jolt of a stop is none."""


class _Sums:
    """Speed lost (m/s, downwards) from every point at which a lowering may have begun to every later one.

    `lost[q, k]` is of the one that began `k` points before `q`.
    """

    def __init__(self, felt: FloatArray, rate_hz: float, p: OnsetParameters) -> None:
        n, reach = len(felt), round(p.reach_s * rate_hz)
        self._felt, self._rate_hz, self._p = felt, rate_hz, p
        places, few = np.arange(n), p.level_s * rate_hz
        total = np.concatenate([[0.0], np.cumsum(felt)])
        bounded = np.clip(felt, -_BOUND * p.bias_m_s2, _BOUND * p.bias_m_s2)
        self._level = (np.cumsum(bounded) - bounded) / (places + few)
        allowed = p.drift_m_s2 + p.bias_m_s2 * few / (places + few)
        self._begin = places[:, None] - np.arange(min(reach, n))
        begin = np.maximum(self._begin, 0)
        points = places[:, None] - begin + 1
        fallen = (self._level - allowed)[begin] * points - (total[1:, None] - total[begin])
        self._lost = fallen / rate_hz

    def passed(self, start: int) -> int | None:
        """Return the point, `start` or later, at which the first lowering that is told began."""
        lost = np.where(self._begin >= start, self._lost, -np.inf)
        told = np.flatnonzero(lost.max(axis=1) >= self._p.lost_m_s)
        if not len(told):
            return None
        return int(self._begin[told[0], np.argmax(lost[told[0]])])

    def returned(self, begin: int, near_m: float) -> int | None:
        """Return where a lowering is back at the hold's level before it has gone `near_m`; None where it is none."""
        speed = np.cumsum(self._level[begin] - self._felt[begin:]) / self._rate_hz
        fastest = np.maximum.accumulate(speed)
        slow = (speed < self._p.back * fastest) & (fastest >= self._p.lost_m_s)
        back = np.flatnonzero(slow & (np.cumsum(speed) / self._rate_hz < near_m))
        return begin + int(back[0]) + 1 if len(back) else None
