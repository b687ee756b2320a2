"""Hands on, hands off, for what is held: a hand shakes what it holds, and nothing else does for long.

Physiological tremor (6 to 12 Hz) and every change of load shake a bar or a strap; one that nobody holds is as quiet as
its sensor. The free swing after letting go is slow and smooth, so that it hardly counts as shaking.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.filters import box_mean, quick_power
from analysis.motion.grid import Stretch
from analysis.motion.parameters import GripParameters
from analysis.motion.runs import runs
from analysis.motion.samples import FloatArray

_QUICK_S = 0.06
"""Standard deviation of the bell mean that is taken off the force: what is left is above some 3 Hz."""
_PASSES = 2
"""Times that this is done: once would leave 3 % of a swing of 0.6 Hz, as much as gentle hands make."""


@dataclass(frozen=True, slots=True, eq=False)
class Shake:
    """How a sensor is shaken.

    Attributes
    ----------
    power : (n,) array
        Mean square of the quick force over half a second, (m/s²)².
    floor
        What is left of it when nobody holds the sensor, (m/s²)².
    """

    power: FloatArray
    floor: float

    def quieter(self, usual: float) -> float:
        """Return the power half-way (as a ratio) between the floor and `usual`."""
        return float(np.sqrt(self.floor * usual))


def shake_of(stretch: Stretch, rate_hz: float) -> Shake:
    """Return how the sensor is shaken throughout a stretch."""
    power = quick_power(stretch.force_m_s2, _QUICK_S, _PASSES, 0.5, rate_hz)
    seen = power[~stretch.hole]
    return Shake(power, float(np.percentile(seen, 5)) if len(seen) else 0.0)


def grips(shake: Shake, rate_hz: float, parameters: GripParameters) -> list[slice]:
    """Return where hands were on, grid points."""
    on = box_mean(shake.power, round(0.5 * rate_hz)) > parameters.shake * shake.floor
    spans: list[list[int]] = []
    for start, stop in runs(on):
        if spans and start - spans[-1][1] < parameters.bridge_s * rate_hz:
            spans[-1][1] = stop
        else:
            spans.append([start, stop])
    return [_tight(shake, a, b) for a, b in spans if b - a > parameters.least_s * rate_hz]


def _tight(shake: Shake, start: int, stop: int) -> slice:
    """Cut off what is much quieter than the middle of a grip."""
    power = shake.power[start:stop]
    loud = np.flatnonzero(power > shake.quieter(float(np.median(power))))
    return slice(start + int(loud[0]), start + int(loud[-1]) + 1)
