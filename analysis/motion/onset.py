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

from dataclasses import dataclass, replace

import numpy as np

from analysis.motion.described import parameter
from analysis.motion.filters import length
from analysis.motion.lobes import Track
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
    sway: float = parameter(2.0, unit="of what was gained", larger="lowerings after a restless hold are told later")
    quick_s: float = parameter(0.4, unit="s", larger="a short hold's bias is taken for a lowering")
    reach_s: float = parameter(1.5, unit="s", larger="slower beginnings are told in one piece")
    turn_m_s2: float = parameter(0.25, unit="m/s²", larger="the end of the way up is taken for the hold")
    fast_m_s: float = parameter(0.25, unit="m/s", larger="lowerings after no hold are told later")
    moving_m_s: float = parameter(0.012, unit="m/s", larger="lowerings begin later", source="definition of a boundary")
    dip_s: float = parameter(2.0, unit="s", larger="a lowering that slows down is taken for a dip")
    back: float = parameter(0.3, unit="of the speed", larger="a lowering that slows down is taken for a dip")
    near: float = parameter(0.25, unit="of the way up", larger="deeper dips belong to the hold")

    def at_pace(self, travel_m: float, lasting_s: float) -> OnsetParameters:
        """Return what is known of lowerings that go so far in so long: gentle ones begin gently."""
        speed = travel_m / lasting_s
        gentle = _GENTLE * _PEAK_ACCELERATION * speed / lasting_s
        return replace(
            self,
            drift_m_s2=min(self.drift_m_s2, gentle),
            lost_m_s=min(self.lost_m_s, _GENTLE * _PEAK_SPEED * speed),
        )


_PEAK_SPEED, _PEAK_ACCELERATION = 1.875, 5.7735
"""Of a minimum-jerk stroke, in travel per time and per its square (Flash & Hogan 1985, J Neurosci 5:1688)."""
_GENTLE = 0.2
"""Share of a lowering's own peaks by which it is told."""


@dataclass(frozen=True, slots=True, eq=False)
class TopHold:
    """What is known from the end of a way up on.

    Attributes
    ----------
    from_s
        When the lobe of the way up ended: the time of the first point.
    travel_m
        How far the way up went.
    rest_m_s2
        Size of the force at no acceleration.
    upward_m_s2, speed_m_s : (n,) array
        Acceleration, gravity removed, and speed, up to now; both may have drifted.
    """

    from_s: float
    travel_m: float
    rest_m_s2: float
    upward_m_s2: FloatArray
    speed_m_s: FloatArray
    rate_hz: float

    @property
    def lasting_s(self) -> float:
        """How long the way up has been over."""
        return len(self.speed_m_s) / self.rate_hz

    def gone_on(self, force_m_s2: FloatArray) -> TopHold:
        """Return it with the next points, of which only the force, shape (n, 3), is known."""
        upward = length(force_m_s2) - self.rest_m_s2
        speed = np.cumsum(np.concatenate([self.speed_m_s[-1:], upward / self.rate_hz]))  # alike however it is cut
        return replace(
            self,
            upward_m_s2=np.concatenate([self.upward_m_s2, upward]),
            speed_m_s=np.concatenate([self.speed_m_s, speed[1:]]),
        )

    def lowered_s(self, parameters: OnsetParameters) -> float | None:
        """Return since when a lowering is under way; None while it cannot be told from a hold."""
        first = self._turned(parameters)
        felt = self.upward_m_s2[first:]
        if len(felt) < 2:
            return None
        sums = _Sums(felt, self.rate_hz, parameters)
        begin = sums.passed(0)
        while begin is not None:
            back = sums.returned(begin, parameters.near * self.travel_m)
            if back is None:
                return self.from_s + (first + sums.moving(begin)) / self.rate_hz
            begin = sums.passed(back)
        return None

    def _turned(self, p: OnsetParameters) -> int:
        """Return where the way up has wholly ended: its last deceleration is over, or it came back."""
        n = len(self.speed_m_s)
        rests = _first(self.upward_m_s2 >= -p.turn_m_s2, n)
        falls = _first(self.speed_m_s < -p.fast_m_s, n)
        return rests if rests <= falls else _first(self.speed_m_s < 0.0, n)


def top_hold(track: Track, upward_m_s2: FloatArray, force_m_s2: FloatArray, up: Stroke) -> TopHold:
    """Return what a window holds from the end of a way up on.

    Parameters
    ----------
    upward_m_s2 : (n,) array
        Acceleration, gravity removed.
    force_m_s2 : (n, 3) array
        Specific force.
    """
    stop = _stop(track.speed, up)
    lately = slice(-round(_LATELY_S * track.rate_hz), None)
    rest = float(np.mean(length(force_m_s2[lately]) - upward_m_s2[lately]))
    upward, speed = upward_m_s2[stop:].copy(), track.speed[stop:].copy()
    return TopHold(float(track.t_s[stop]), up.travel, rest, upward, speed, track.rate_hz)


def _stop(speed_m_s: FloatArray, up: Stroke) -> int:
    """Return where the lobe of a way up ends; drift during the hold may have made it longer."""
    fast = up.start + int(np.flatnonzero(speed_m_s[up.start : up.stop] >= _FAST * up.peak)[-1:].sum())
    return min(up.stop, fast + round(_ENDING * (fast - up.start)))


_FAST, _ENDING = 0.4, 0.2
"""A minimum-jerk stroke has 40 % of its peak speed until 0.805 of its time; its lobe, begun at 0.112, ends 0.12 of what
was until then after that (Flash & Hogan 1985); those of people are less even."""
_LATELY_S = 0.4
"""How long before now the force is compared with the acceleration made of it."""


def _first(holds: BoolArray, otherwise: int) -> int:
    places = np.flatnonzero(holds)
    return int(places[0]) if len(places) else otherwise


_BOUND = 2.0
"""A hold's level lies within so many sigma of the bias: the jolt of a stop is none."""


class _Sums:
    """Speed lost (m/s, downwards) from every point at which a lowering may have begun to every later one.

    `lost[q, k]` is of the one that began `k` points before `q`; `enough[q]` is what tells a lowering there: more than a
    sway upwards gained before.
    """

    def __init__(self, felt: FloatArray, rate_hz: float, p: OnsetParameters) -> None:
        n, reach = len(felt), round(p.reach_s * rate_hz)
        self._felt, self._rate_hz, self._p = felt, rate_hz, p
        places, few = np.arange(n), p.level_s * rate_hz
        bounded = np.clip(felt, -_BOUND * p.bias_m_s2, _BOUND * p.bias_m_s2)
        self._level = (np.cumsum(bounded) - bounded) / (places + few)
        allowed = (p.drift_m_s2 + p.bias_m_s2 * few / (places + few)) / rate_hz
        self._begin = places[:, None] - np.arange(min(reach, n))
        begin = np.maximum(self._begin, 0)
        points = places[:, None] - begin + 1
        total = np.concatenate([[0.0], np.cumsum(felt)])
        known = points <= begin + p.quick_s * rate_hz  # what the hold so far can say of its own level
        fallen = (self._level[begin] * points - (total[1:, None] - total[begin])) / rate_hz
        allowed = allowed[begin] * points
        self._lost = np.where(known, fallen - allowed, -np.inf)
        gained = np.maximum.accumulate(np.where(known, -fallen - allowed, 0.0).max(axis=1))
        self._enough = np.maximum(p.lost_m_s, p.sway * gained)

    def passed(self, start: int) -> int | None:
        """Return the point, `start` or later, at which the first lowering that is told began."""
        lost = np.where(self._begin >= start, self._lost, -np.inf)
        told = np.flatnonzero(lost.max(axis=1) >= self._enough)
        if not len(told):
            return None
        return int(self._begin[told[0], np.argmax(lost[told[0]])])

    def returned(self, begin: int, near_m: float) -> int | None:
        """Return where a lowering is back at the hold's level, soon and before it has gone `near_m`, if it is."""
        speed = self._since(begin)[: round(self._p.dip_s * self._rate_hz)]
        fastest = np.maximum.accumulate(speed)
        slow = (speed < self._p.back * fastest) & (fastest >= self._p.lost_m_s)
        back = np.flatnonzero(slow & (np.cumsum(speed) / self._rate_hz < near_m))
        return begin + int(back[0]) + 1 if len(back) else None

    def moving(self, begin: int) -> int:
        """Return where the lowering that began at `begin` passes the speed that makes a boundary."""
        return begin + _first(self._since(begin) >= self._p.moving_m_s, 0)

    def _since(self, begin: int) -> FloatArray:
        """Speed downwards against the hold's level, from `begin` on."""
        return np.asarray(np.cumsum(self._level[begin] - self._felt[begin:]) / self._rate_hz)
