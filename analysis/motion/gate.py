"""When it is worth looking: a cheap judgement of every second, so that refinement runs at the end of exercise only.

    resting ──movement, not walking──► busy ──walking or another posture for 2 s, or stillness for still_s──► resting

It decides when to look, never what is found: a needless look costs time, nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from analysis.motion.parameters import LifeParameters
from analysis.motion.samples import FloatArray


@dataclass(slots=True)
class _State:
    busy: int = 0
    walking: int = 0
    still: int = 0
    since: int = 0
    posture: FloatArray | None = None


class Second(NamedTuple):
    """What a second of force shows: steps, movement, its mean."""

    walks: bool
    moved: bool
    mean: FloatArray


class Gate:
    """Seconds of force in, `True` for every second after which a look is due."""

    def __init__(self, parameters: LifeParameters, rate_hz: float) -> None:
        self._p = parameters
        self._width = round(rate_hz)
        self._rate_hz = rate_hz
        self._state = _State()
        self._half = round(0.25 * rate_hz)
        reach = np.arange(self._width)
        self._seen = np.minimum(reach + self._half, self._width - 1) - np.maximum(reach - self._half, 0) + 1.0

    @property
    def is_busy(self) -> bool:
        """Whether exercise seems to be going on."""
        return self._state.busy > 0

    def judged(self, force_m_s2: FloatArray) -> list[Second]:
        """Judge whole seconds of force, shape (seconds × rate, 3)."""
        force = force_m_s2.reshape(-1, self._width, 3)
        squares = force * force
        size = np.sqrt(squares.sum(axis=2))
        mean = force.sum(axis=1) / self._width
        spread = np.sqrt(np.maximum((squares.sum(axis=1) / self._width - mean * mean).max(axis=1), 0.0))
        walks = _spread(size - self._smooth(size)) > self._p.step_m_s2
        moved = np.maximum(_spread(size), spread) > self._p.move_m_s2
        return list(map(Second, walks.tolist(), moved.tolist(), mean))

    def step(self, second: Second) -> bool:
        """Go on by a second; return whether a look is due after it."""
        return self._step(second.walks or self._is_elsewhere(second.mean), second.moved, second.mean)

    def _smooth(self, size: FloatArray) -> FloatArray:
        """Mean over half a second, of what there is of it within each second."""
        total = np.zeros((len(size), self._width + 2 * self._half + 1))
        total[:, self._half + 1 : self._half + 1 + self._width] = size
        np.add.accumulate(total, axis=1, out=total)
        return (total[:, 2 * self._half + 1 :] - total[:, : self._width]) / self._seen

    def _is_elsewhere(self, mean: FloatArray) -> bool:
        usual = self._state.posture
        if usual is None or not self.is_busy:
            return False
        cosine = float(mean @ usual) / (float(np.linalg.norm(mean)) * float(np.linalg.norm(usual)) + 1e-9)
        return cosine < float(np.cos(np.radians(self._p.other_posture_deg)))

    def _step(self, walks: bool, moved: bool, mean: FloatArray) -> bool:
        s = self._state
        s.since += 1
        s.walking = s.walking + 1 if walks else 0
        s.still = 0 if moved else s.still + 1
        if moved and not walks:
            s.busy += 1
            s.posture = mean if s.posture is None else 0.9 * s.posture + 0.1 * mean
        due = s.busy >= self._p.busy_s and (s.walking == 2 or s.still == self._p.still_s)
        if due or (s.busy and s.since >= self._p.refine_every_s):
            s.since = 0
            s.busy = 0 if due else s.busy
            s.posture = None if due else s.posture
            return True
        return False


def _spread(x: FloatArray) -> FloatArray:
    """Return the standard deviation of every row."""
    mean = x.sum(axis=1) / x.shape[1]
    return np.asarray(np.sqrt(np.maximum((x * x).sum(axis=1) / x.shape[1] - mean * mean, 0.0)))
