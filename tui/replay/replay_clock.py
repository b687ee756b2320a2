"""A clock that stands where a replay stands: it can be paused, moved, and run at any speed."""

from __future__ import annotations

import asyncio
import time
from contextlib import suppress


class ReplayClock:
    """Time of a recording (`sensor.source.HostClock`), on the scale of its arrivals; never past its end.

    It passes while everyone who goes by it sleeps, and never past the moment at which the first of them is to wake. So
    whatever is done then is stamped with that moment, however long it takes and at whatever speed. What was late
    catches up. Until someone sleeps it stands.

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
        self._anchor_s = self._bound_s = at_s
        self._real_s: float | None = None
        self._waking: list[float] = []
        self._changed = asyncio.Event()

    def start(self) -> None:
        """Let time pass from now on; until then the clock stands."""
        self.jump(self._anchor_s)

    def now_s(self) -> float:
        """Time of the recording now."""
        return min(self._run_s(), self._bound_s)

    def utc_us(self) -> int:
        """Wall-clock time now; a replay writes nothing, so this is the computer's own."""
        return time.time_ns() // 1000

    async def sleep(self, duration_s: float) -> None:
        """Wait until `duration_s` of the recording have been played."""
        until_s = min(self.now_s() + duration_s, self._end_s)
        self._waking.append(until_s)
        try:
            await self._until(until_s)
        finally:
            self._waking.remove(until_s)

    def pause(self) -> None:
        """Stand still."""
        here_s, self.playing = self.now_s(), False
        self._go_on_from(here_s)

    def resume(self) -> None:
        """Go on."""
        here_s, self.playing = self.now_s(), True
        self._go_on_from(here_s)

    def jump(self, at_s: float) -> None:
        """Stand at another place, until someone sleeps."""
        self._bound_s = min(at_s, self._end_s)
        self._go_on_from(self._bound_s)

    def set_speed(self, speed: float) -> None:
        """Go on at another speed."""
        here_s, self.speed = self.now_s(), speed
        self._go_on_from(here_s)

    def _run_s(self) -> float:
        """Where the recording would be by real time alone."""
        real_s = 0.0 if self._real_s is None or not self.playing else time.monotonic() - self._real_s
        return self._anchor_s + real_s * self.speed

    def _go_on_from(self, at_s: float) -> None:
        self._anchor_s = at_s
        self._real_s = time.monotonic()
        self._changed.set()

    async def _until(self, until_s: float) -> None:
        await asyncio.sleep(0)  # who else has something to do at this moment does it before time goes on
        while True:
            self._bound_s = min(self._waking)
            if self.now_s() >= until_s:
                return
            self._changed.clear()
            left_s = until_s - self._run_s()
            if left_s <= 0:  # someone is to wake before
                await asyncio.sleep(0)
                continue
            with suppress(TimeoutError):
                await asyncio.wait_for(self._changed.wait(), left_s / self.speed if self.playing else None)
