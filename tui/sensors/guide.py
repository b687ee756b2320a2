"""Guides a person through a calibration, by what the sensor itself shows: no order to keep, no key to press.

turning ──still for two seconds──► a new side (or posture): one more ──all there──► done
   ▲                                   │
   └──────── one that was there ◄──────┘   (or leaning between two sides: told once)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.motion.samples import FloatArray
from sensor.calibrate import Belief, class_belief, learn
from sensor.postures import Postures, angle_deg
from sensor.protocol import STANDARD_GRAVITY_M_S2

PATIENT_MOMENTS = 8
"""So long, 4.5 s, in a posture that brings nothing new before it is told."""
ON_A_SIDE_DEG = 30.0
"""How crooked a side may lie: a clip has edges and lips. The fit needs no level table."""
SIDES = 6
SURE_BIAS_M_S2 = 0.005 * STANDARD_GRAVITY_M_S2
"""Free postures are enough when each axis is known so well: a tenth of what a part errs by, usually."""
SURE_GAIN = 0.005
FEWEST_FREE = 6
"""Six unknowns."""


@dataclass(frozen=True, slots=True)
class Word:
    """Something to say; `done` where one more posture was taken, so that it can be heard."""

    text: str
    done: bool = False


class Guide:
    """Says what is still missing, each time it is shown the postures.

    Parameters
    ----------
    free
        Any postures, until they are enough; otherwise the six sides.

    Attributes
    ----------
    finished
        All that is needed is there.
    """

    def __init__(self, *, free: bool) -> None:
        self._free = free
        self._taken = 0
        self._idle = 0
        self._last: FloatArray | None = None
        self.finished = False

    @property
    def opening(self) -> str:
        """What to do."""
        if self._free:
            return (
                "Hold the sensor still against something firm, any way up. At each sign turn it well over, and again."
            )
        return (
            "Lay the sensor on a table. At each sign turn it onto another of its six sides, in any order, and let go."
        )

    def look(self, postures: Postures) -> Word | None:
        """Return what to say now, if anything."""
        readings = postures.seen().readings
        taken = len(readings) if self._free else len(sides_of(readings))
        if taken > self._taken:
            self._taken, self._idle = taken, 0
            return self._one_more(readings)
        return self._hint(postures.now)

    def _one_more(self, readings: FloatArray) -> Word:
        if not self._free:
            self.finished = self._taken == SIDES
            return Word(f"{self._taken} of {SIDES} sides", done=True)
        belief = learn(readings, class_belief())
        self.finished = self._taken >= FEWEST_FREE and is_sure(belief)
        worst_mg, enough_mg = (1000 * sd / STANDARD_GRAVITY_M_S2 for sd in (max(belief.bias_sd_m_s2), SURE_BIAS_M_S2))
        return Word(f"posture {self._taken}: bias known to {worst_mg:.0f} mg, {enough_mg:.0f} is enough", done=True)

    def _hint(self, now: FloatArray | None) -> Word | None:
        """Tell once what a sensor that lies there and brings nothing new should do."""
        if now is None:
            self._idle = 0
            self._last = None
        elif now is not self._last:
            self._idle += 1
            self._last = now
            if self._idle == PATIENT_MOMENTS:
                return Word(self._useless(now))
        return None

    def _useless(self, now: FloatArray) -> str:
        if self._free:
            return "this one is taken: turn it further"
        return "this side is taken: turn it onto another" if side_of(now) else "it leans: lay it flat on one side"


def side_of(reading: FloatArray) -> int:
    """Return which axis points up: ±1, ±2, ±3 for x, y, z; 0 where none does."""
    axis = int(np.argmax(np.abs(reading)))
    up = np.zeros(3)
    up[axis] = np.sign(reading[axis])
    return int(up[axis]) * (axis + 1) if angle_deg(reading, up) < ON_A_SIDE_DEG else 0


def sides_of(readings: FloatArray) -> set[int]:
    """Return which sides are among readings of shape (n, 3)."""
    return {side_of(reading) for reading in readings} - {0}


def is_sure(belief: Belief) -> bool:
    """Whether bias and gain of all axes are known well enough to stop."""
    return max(belief.bias_sd_m_s2) < SURE_BIAS_M_S2 and max(belief.gain_sd) < SURE_GAIN
