"""Finds the postures in which a sensor was still, by themselves, while its samples come; sans-I/O.

A calibration needs the size of the reading where nothing but gravity acts. A sensor on a person is never quite still:
it sways by a degree or two, which turns the reading but leaves its size alone. So a moment counts as still when the
*size* stays the same, through short means that take out noise and tremor, and the direction wanders little.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

BIN_S = 0.1
"""Short means: they take out noise, and hand tremor of 6–14 Hz."""
BINS = 10
"""One second of them makes a moment."""
EVERY = 5
"""A moment is looked at every half second."""
HELD_MOMENTS = 3
"""Two seconds. In a single second something may gather speed so evenly that it looks at rest."""
APART_DEG = 10.0
"""Postures nearer to each other than this are one: 10° changes a reading of 30 mg bias by at most 5 mg."""


@dataclass(frozen=True, slots=True)
class Stillness:
    """What counts as still.

    Attributes
    ----------
    size_sd_m_s2
        Largest standard deviation of the size over a moment.
    wander_deg
        How far the direction may be from its mean in a moment.
    """

    size_sd_m_s2: float
    wander_deg: float


ON_A_BODY = Stillness(0.08, 5.0)
"""Standing, sitting, hanging: breath, sway and fidgeting, no step and no rep but the slow middle of a slow one. A body
that moves by a centimetre a second puts 1–2 mg into the mean of a second, either way. Set here."""
ON_A_TABLE = Stillness(0.02, 1.0)
"""Let go of: above the noise of common parts in 5 Hz (datasheet classes, .6 mg), below any hand's tremor. Set here."""


@dataclass(slots=True)
class _Posture:
    """A posture: the sum of its moments' readings and of their sizes, and their number."""

    total: FloatArray
    sizes: float
    moments: int = 1

    @property
    def mean(self) -> FloatArray:
        return np.asarray(self.total / np.linalg.norm(self.total) * self.sizes / self.moments)


@dataclass(slots=True)
class _Bin:
    """A short mean in the making: samples of one tenth of a second."""

    number: int
    total: FloatArray
    samples: int


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Different still postures.

    Attributes
    ----------
    readings : (m, 3) array
        Mean reading of each, m/s².
    moments : (m,) array
        In how many moments each was seen; neighbours overlap by half.
    """

    readings: FloatArray
    moments: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.moments)


class Postures:
    """Takes samples of specific force as they come, and keeps the different still postures seen so far.

    Its memory is one second of samples and one reading for each posture.

    Parameters
    ----------
    stillness
        What counts as still.

    Attributes
    ----------
    now : (3,) array or None
        The reading of the last second, m/s², if that was still.
    """

    def __init__(self, stillness: Stillness = ON_A_BODY) -> None:
        self._stillness = stillness
        self.now: FloatArray | None = None
        self._bin: _Bin | None = None
        self._recent: deque[tuple[int, FloatArray]] = deque(maxlen=BINS)
        self._found: list[_Posture] = []

    def seen(self) -> Seen:
        """Return the postures that were held, in the order in which they were found."""
        held = [one for one in self._found if one.moments >= HELD_MOMENTS]
        return Seen(np.array([one.mean for one in held]).reshape(-1, 3), np.array([one.moments for one in held]))

    def push(self, t_s: FloatArray, force_m_s2: FloatArray) -> None:
        """Take the next samples.

        Parameters
        ----------
        t_s : (n,) array
            Device time, s, rising.
        force_m_s2 : (n, 3) array
            Readings, m/s².
        """
        numbers = np.floor(t_s / BIN_S).astype(np.int64)
        edges = [0, *(np.flatnonzero(np.diff(numbers)) + 1).tolist(), len(numbers)]
        for start, stop in pairwise(edges):
            if stop > start:
                self._add(int(numbers[start]), force_m_s2[start:stop])

    def _add(self, number: int, force: FloatArray) -> None:
        """Add samples of one bin; the bin before is complete when a later one begins."""
        if self._bin is not None and self._bin.number == number:
            self._bin.total = self._bin.total + force.sum(axis=0)
            self._bin.samples += len(force)
            return
        full, self._bin = self._bin, _Bin(number, force.sum(axis=0), len(force))
        if full is None:
            return
        self._recent.append((full.number, full.total / full.samples))
        if full.number % EVERY == 0:
            self.now = self._moment()
            if self.now is not None:
                self._keep(self.now)

    def _moment(self) -> FloatArray | None:
        """Return the reading of the last second, if it was all there and still."""
        if len(self._recent) < BINS or self._recent[-1][0] - self._recent[0][0] != BINS - 1:
            return None
        means = np.array([mean for _, mean in self._recent])
        size = np.linalg.norm(means, axis=1)
        if np.any(size == 0) or size.std() > self._stillness.size_sd_m_s2:
            return None
        middle = means.mean(axis=0)
        direction = middle / np.linalg.norm(middle)
        if np.min(means @ direction / size) < np.cos(np.radians(self._stillness.wander_deg)):
            return None
        return np.asarray(direction * size.mean())  # the mean vector is a little shorter: it wandered

    def _keep(self, moment: FloatArray) -> None:
        """Count the moment to the posture that it is, or as a new one; between two postures it is neither."""
        angles = [angle_deg(moment, one.mean) for one in self._found]
        if not angles or min(angles) > APART_DEG:
            self._found.append(_Posture(moment, float(np.linalg.norm(moment))))
        elif min(angles) < APART_DEG / 2:
            nearest = self._found[int(np.argmin(angles))]
            nearest.total = nearest.total + moment
            nearest.sizes += float(np.linalg.norm(moment))
            nearest.moments += 1


def angle_deg(a: FloatArray, b: FloatArray) -> float:
    """Angle between two vectors of shape (3,), degrees."""
    cosine = a @ b / (np.linalg.norm(a) * np.linalg.norm(b))
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))
