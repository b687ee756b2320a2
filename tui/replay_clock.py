"""A clock that stands where a replay stands: it can be paused, moved, and run at any speed."""

from __future__ import annotations

import asyncio
import time
from contextlib import suppress


class ReplayClock:
    """Time of a recording (`sensor.source.HostClock`), on the scale of its arrivals; never past its end.

    Parameters
    ----------
    at_s, end_s
        Where to begin, and the last moment.
    speed
        Seconds of the recording in one real second.
    """

    def __init__(self, *, at_s: float, end_s: float, speed: float) -> None:
        self.speed = speed
        self.playing = True
        self._end_s = end_s
        self._anchor_s = at_s
        self._real_s: float | None = None
        self._changed = asyncio.Event()

    def start(self) -> None:
        """Let time pass from now on; until then the clock stands."""
        self.jump(self._anchor_s)

    def now_s(self) -> float:
        """Time of the recording now."""
        real_s = 0.0 if self._real_s is None or not self.playing else time.monotonic() - self._real_s
        run_s = real_s * self.speed
        return min(self._anchor_s + run_s, self._end_s)

    def utc_us(self) -> int:
        """Wall-clock time now; a replay writes nothing, so this is the computer's own."""
        return time.time_ns() // 1000

    async def sleep(self, duration_s: float) -> None:
        """Wait until `duration_s` of the recording have been played."""
        until_s = min(self.now_s() + duration_s, self._end_s)
        while (left_s := until_s - self.now_s()) > 0:
            self._changed.clear()
            with suppress(TimeoutError):
                await asyncio.wait_for(self._changed.wait(), left_s / self.speed if self.playing else None)

    def pause(self) -> None:
        """Stand still."""
        self._anchor_s, self.playing = self.now_s(), False
        self.jump(self._anchor_s)

    def resume(self) -> None:
        """Go on."""
        self.jump(self.now_s())
        self.playing = True
        self._changed.set()

    def jump(self, at_s: float) -> None:
        """Stand at another place."""
        self._anchor_s = min(at_s, self._end_s)
        self._real_s = time.monotonic()
        self._changed.set()

    def set_speed(self, speed: float) -> None:
        """Go on at another speed."""
        here_s = self.now_s()
        self.speed = speed
        self.jump(here_s)
