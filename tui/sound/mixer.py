"""Lays sounds over each other on one line of samples, read from its start to its end."""

from __future__ import annotations

from threading import Lock

import numpy as np

from tui.sound.tones import RATE_HZ, Samples


class Mixer:
    """A line of samples at `RATE_HZ`. One thread may add to it while another one reads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._at = 0
        self._parts: list[tuple[int, Samples]] = []

    @property
    def at_s(self) -> float:
        """Seconds read so far."""
        return self._at / RATE_HZ

    @property
    def is_silent(self) -> bool:
        """Whether nothing more sounds."""
        return not self._parts

    def add(self, samples: Samples, in_s: float = 0.0) -> None:
        """Let something sound `in_s` seconds after what was read last; at once, where that is past."""
        with self._lock:
            self._parts.append((self._at + max(0, round(in_s * RATE_HZ)), samples))

    def read(self, count: int) -> Samples:
        """Return the next `count` samples; what is too loud together is cut off at full scale."""
        line = np.zeros(count, np.int32)
        with self._lock:
            begin, end = self._at, self._at + count
            for start, samples in self._parts:
                first, last = max(start, begin), min(start + samples.size, end)
                if first < last:
                    line[first - begin : last - begin] += samples[first - start : last - start]
            self._parts = [part for part in self._parts if part[0] + part[1].size > end]
            self._at = end
        limits = np.iinfo(np.int16)
        return np.clip(line, limits.min, limits.max).astype(np.int16)
