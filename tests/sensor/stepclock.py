"""A host clock that stands still until it is told to go on, and then wakes sleepers in their order."""

import asyncio
import heapq
import itertools


class StepClock:
    """`HostClock` for tests: time passes by `advance` alone, or, with `auto`, at once whenever someone sleeps."""

    def __init__(self, *, auto: bool = False, utc_us: int = 1_700_000_000_000_000) -> None:
        self.now = 0.0
        self._utc_us = utc_us
        self._auto = auto
        self._order = itertools.count()
        self._sleepers: list[tuple[float, int, asyncio.Future[None]]] = []

    def now_s(self) -> float:
        return self.now

    def utc_us(self) -> int:
        return self._utc_us + round(self.now * 1e6)

    async def sleep(self, duration_s: float) -> None:
        until_s = self.now + max(0.0, duration_s)
        if self._auto or until_s <= self.now:
            self.now = until_s
            await asyncio.sleep(0)
            return
        future = asyncio.get_running_loop().create_future()
        heapq.heappush(self._sleepers, (until_s, next(self._order), future))
        await future

    async def advance(self, duration_s: float) -> None:
        """Let `duration_s` pass; sleepers whose time has come run, each at its own time."""
        end_s = self.now + duration_s
        await settle()
        while self._sleepers and self._sleepers[0][0] <= end_s:
            until_s, _, future = heapq.heappop(self._sleepers)
            self.now = max(self.now, until_s)
            if not future.done():
                future.set_result(None)
            await settle()
        self.now = end_s


async def settle() -> None:
    """Let everything that can run, run."""
    for _ in range(20):
        await asyncio.sleep(0)
