"""Which samples a notification holds where it does not say: by counting, and by when it came; sans-I/O.

Notifications come late, never early, and in their order. So the sensor's count is the line under their arrivals, and
one that comes much later than that line lets expect is looked at until the next ones tell why:

```
 not late ──────────────────────────────────► the next samples
 late ──► held back ──► one catches up ─────► delayed: all are the next samples
                   └──► none does in a while ──► so many samples were lost before the first that was held back
```

What is lost below `LATE_S` goes unseen; `MOMENT_SD_S` says what that makes of a moment.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

from sensor.clock import ClockEstimate, DeviceClock, Timekeeping
from sensor.own.layout import Reading

LATE_S = 0.2
"""Delays of a radio without loss are shorter, but for bursts: measured, 1–150 ms."""
SETTLE_S = 1.0
"""A burst after a hole is over sooner."""
MOMENT_SD_S = LATE_S / sqrt(12.0)
"""All that is known of a moment somewhere within a time T is a sigma of T/√12."""
_HELD_MAX = 1024
_LOOKED_AGAIN_S = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Counted:
    """A notification whose first sample is number `first`; it came at `at_s`."""

    first: int
    reading: Reading
    at_s: float


class Counting:
    """Numbers the samples of one connection.

    Parameters
    ----------
    rate_hz
        Samples per second, as far as they are told.
    largest_error
        Of that rate, a share.
    """

    def __init__(self, rate_hz: float, largest_error: float) -> None:
        self._rate_hz = rate_hz
        self._clock = DeviceClock(Timekeeping(largest_error))
        self._line: ClockEstimate | None = None
        self._line_s = 0.0
        self._next = 0
        self._held: list[tuple[Reading, float, float]] = []
        """Reading, arrival, and by how much that was late."""

    def push(self, reading: Reading, at_s: float) -> Iterator[Counted]:
        """Take the next notification; give those whose samples are known now."""
        end = self._next + sum(len(held) for held, _, _ in self._held) + len(reading)
        late_s = at_s - self._expected_s(end / self._rate_hz, at_s)
        self._held.append((reading, at_s, late_s))
        if late_s <= LATE_S:
            yield from self.finish()
        elif at_s - self._held[0][1] >= SETTLE_S or len(self._held) >= _HELD_MAX:
            self._next += round(min(late for _, _, late in self._held) * self._rate_hz)
            yield from self.finish()

    def finish(self) -> Iterator[Counted]:
        """Give what is held back: nothing more will come, or nothing was lost."""
        held, self._held = self._held, []
        for reading, at_s, _ in held:
            yield Counted(self._next, reading, at_s)
            self._next += len(reading)
            self._clock.push(self._next / self._rate_hz, at_s)

    def _expected_s(self, count_s: float, at_s: float) -> float:
        """Return when a notification with a sample at this time of the count may come at the earliest."""
        if not self._next:
            return at_s
        if self._line is None or count_s - self._line_s >= _LOOKED_AGAIN_S:
            self._line, self._line_s = self._clock.estimate(), count_s
        return self._line.to_host(count_s)
