"""One rise or one lowering, as people make it, and when its speed makes it count as begun and ended."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sensor.virtual.jets import FloatArray, Jet, constant, minimum_jerk

# Where a phase begins and ends, by definition: the speed of travel passes the larger of these two.
EDGE_SPEED_M_S = 0.012
EDGE_SHARE_OF_PEAK = 0.05


@dataclass(frozen=True, slots=True)
class Stroke:
    """A movement of the belt along gravity, made of overlapping minimum-jerk parts.

    People make a quick stroke in one part and a slow one in several, each beginning half-way through the one before,
    so that a slow lowering keeps a nearly even speed.

    Attributes
    ----------
    start_s, duration_s
        When the first part begins, and how long all of them take together.
    rise_m
        Height gained; negative when lowering.
    shares
        Share of the rise made by each part; they sum to 1.
    """

    start_s: float
    duration_s: float
    rise_m: float
    shares: tuple[float, ...] = (1.0,)

    @property
    def part_s(self) -> float:
        """Duration of one part: n parts, each begun at the middle of the one before, fill the stroke."""
        return self.duration_s * 2 / (len(self.shares) + 1)

    def jet(self, t_s: FloatArray) -> Jet:
        """Return the height gained so far, metres, at the moments `t_s`."""
        height = constant(t_s)
        for order, share in enumerate(self.shares):
            height += minimum_jerk(t_s, self.start_s + order * self.part_s / 2, self.part_s, share * self.rise_m)
        return height

    def edges_s(self, grid: int = 2001) -> tuple[float, float]:
        """Return when the speed first and last passes the edge speed, seconds."""
        t_s = np.linspace(self.start_s, self.start_s + self.duration_s, grid)
        return moving_between(t_s, np.sign(self.rise_m) * self.jet(t_s).v)


def moving_between(t_s: FloatArray, speed_m_s: FloatArray) -> tuple[float, float]:
    """Return the first and last moment at which the speed passes max(0.012 m/s, 5 % of its peak).

    Parameters
    ----------
    t_s, speed_m_s : (n,) array
        Time, and speed in the stroke's own direction.

    Raises
    ------
    ValueError
        When the speed never reaches 0.012 m/s.
    """
    edge = max(EDGE_SPEED_M_S, EDGE_SHARE_OF_PEAK * float(speed_m_s.max()))
    above = np.flatnonzero(speed_m_s >= edge)
    if not len(above):
        raise ValueError("this stroke is too slow to count as moving: give it more height or less time")
    first, last = int(above[0]), int(above[-1])
    return _crossing(t_s, speed_m_s, edge, first - 1), _crossing(t_s, speed_m_s, edge, last)


def _crossing(t_s: FloatArray, speed: FloatArray, edge: float, i: int) -> float:
    """Interpolate where the speed passes `edge` between samples i and i + 1 (clamped to the ends)."""
    if i < 0 or i + 1 >= len(t_s):
        return float(t_s[max(i, 0)])
    share = (edge - speed[i]) / (speed[i + 1] - speed[i])
    return float(t_s[i] + share * (t_s[i + 1] - t_s[i]))


def timed_stroke(begin_s: float, moving_s: float, rise_m: float, shares: tuple[float, ...] = (1.0,)) -> Stroke:
    """Return the stroke whose speed passes the edge at `begin_s`, and again `moving_s` later.

    A prescribed "down 2" means two seconds of moving; the stroke itself starts a little sooner and ends a little later.
    """
    stroke = Stroke(begin_s, moving_s, rise_m, shares)
    for _ in range(8):  # the edge depends weakly on the duration: a fixed point, mostly reached in two rounds or three
        first, last = stroke.edges_s()
        stroke = replace(stroke, duration_s=stroke.duration_s * moving_s / (last - first))
    first, _ = stroke.edges_s()
    return replace(stroke, start_s=begin_s - (first - stroke.start_s))
