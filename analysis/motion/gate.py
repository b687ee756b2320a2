"""When it is worth looking: a cheap judgement of every second, so that refinement runs at the end of exercise only.

    resting ──movement, not walking──► busy ──walking or another posture for 2 s, or stillness for still_s──► resting

It decides when to look, never what is found: a needless look costs time, nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

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


class Gate:
    """Seconds of force in, `True` for every second after which a look is due."""

    def __init__(self, parameters: LifeParameters, rate_hz: float) -> None:
        self._p = parameters
        self._width = round(rate_hz)
        self._rate_hz = rate_hz
        self._state = _State()
        self._bell = np.ones(2 * round(0.25 * rate_hz) + 1)
        self._reach = np.convolve(np.ones(self._width), self._bell, mode="same")

    @property
    def is_busy(self) -> bool:
        """Whether exercise seems to be going on."""
        return self._state.busy > 0

    def second(self, force_m_s2: FloatArray) -> bool:
        """Judge one second of force, shape (rate, 3); return whether a look is due after it."""
        squares = force_m_s2 * force_m_s2
        size = np.sqrt(squares.sum(axis=1))
        mean = force_m_s2.sum(axis=0) / len(size)
        steps = _spread(size - np.convolve(size, self._bell, mode="same") / self._reach)
        spread = float(np.sqrt(max(0.0, (squares.sum(axis=0) / len(size) - mean * mean).max())))
        moved = max(_spread(size), spread) > self._p.move_m_s2
        walks = steps > self._p.step_m_s2 or self._is_elsewhere(mean)
        return self._step(walks, moved, mean)

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


def _spread(x: FloatArray) -> float:
    """Return the standard deviation (numpy's own costs ten times as much for a second of samples)."""
    mean = float(x.sum()) / len(x)
    return float(np.sqrt(max(0.0, float(x @ x) / len(x) - mean * mean)))
