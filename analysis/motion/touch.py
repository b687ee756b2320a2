"""What the sensor feels between sets, from the last seconds alone: touches, steps, stillness. It counts nothing.

A touch is a short departure of the force from its mean of the second before: its size, in steps of 40 ms, is what a
screen shows reacting. Steps and stillness of whole seconds are judged as the refinement's gate does (`gate`).
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from itertools import takewhile

import numpy as np
from numpy.typing import NDArray

from analysis.motion.gate import Gate, Second
from analysis.motion.parameters import DEFAULTS, Parameters
from analysis.motion.samples import FloatArray, Samples

SHOWN_S = 10.0
"""How much of the past is shown."""
KEPT_S = 20.0
"""How much of it is looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """What was felt lately.

    Attributes
    ----------
    trace_m_s2
        Largest departure of the force from its mean, in steps of 40 ms over `SHOWN_S`, oldest first, m/s²; fewer at the
        beginning.
    still_s
        Whole seconds since anything moved the sensor, up to `KEPT_S`.
    steps_s
        Seconds with steps running, up to now.
    """

    trace_m_s2: tuple[float, ...] = ()
    still_s: int = 0
    steps_s: int = 0


class Touch:
    """Keeps the last samples, and looks at them when it is asked."""

    def __init__(self, parameters: Parameters = DEFAULTS) -> None:
        self._rate_hz = parameters.grid.rate_hz
        self._life = parameters.life
        self._kept: deque[Samples] = deque()

    def push(self, samples: Samples) -> None:
        """Take the next samples; a hole of a second and more begins anew."""
        if self._kept and len(samples) and samples.t_s[0] - self._kept[-1].t_s[-1] > 1.0:
            self._kept.clear()
        if len(samples):
            self._kept.append(samples)
        while self._kept and self._kept[-1].t_s[-1] - self._kept[0].t_s[-1] > KEPT_S:
            self._kept.popleft()

    @property
    def felt(self) -> Felt:
        """What was felt up to now."""
        if not self._kept:
            return Felt()
        t_s = np.concatenate([one.t_s for one in self._kept])
        force = np.concatenate([one.force_m_s2 for one in self._kept])
        at = np.floor(t_s * self._rate_hz + _EDGE).astype(np.int64)
        first = np.flatnonzero(np.diff(at, prepend=at[0] - 1))
        steps, sizes = at[first], np.diff(first, append=len(at))
        means = np.add.reduceat(force, first, axis=0) / sizes[:, None]
        away = np.linalg.norm(force - np.repeat(self._mean_of_a_second(means), sizes, axis=0), axis=1)
        trace = np.maximum.reduceat(away, first)[-round(SHOWN_S * self._rate_hz) :]
        seconds = self._seconds(steps, means)
        return Felt(
            trace_m_s2=tuple(trace.tolist()),
            still_s=_running([not second.moved for second in seconds]),
            steps_s=_running([second.walks for second in seconds]),
        )

    def _mean_of_a_second(self, means: FloatArray) -> FloatArray:
        """Return, for each step, the mean of the second up to it."""
        width = round(self._rate_hz)
        total = np.cumsum(np.vstack([np.zeros((1, 3)), means]), axis=0)
        until = np.arange(1, len(means) + 1)
        since = np.maximum(until - width, 0)
        return np.asarray((total[until] - total[since]) / (until - since)[:, None])

    def _seconds(self, steps: NDArray[np.int64], means: FloatArray) -> list[Second]:
        """Judge the whole seconds among the last steps, up to the newest."""
        width = round(self._rate_hz)
        count = len(steps) // width
        kept = steps[len(steps) - count * width :]
        if not count or kept[-1] - kept[0] != len(kept) - 1:  # a sensor too slow for this grid, or a hole
            return []
        return Gate(self._life, self._rate_hz).judged(means[len(means) - count * width :])


_EDGE = 1e-6
"""A sample on the edge of two steps belongs to the later one, whatever its last digit."""


def _running(answers: list[bool]) -> int:
    """Return how many are true running, up to the last."""
    return len(list(takewhile(bool, reversed(answers))))
