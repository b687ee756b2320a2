"""From a radio's callbacks to the session: a bounded queue that never blocks and says what it drops."""

from __future__ import annotations

import asyncio
from collections import deque

from sensor.source import Arrival, Channel


class Inbox:
    """An async iterator of arrivals, filled from callbacks.

    When the reader is slower than the radio and the queue is full, data packets are dropped, newest first, and
    counted; everything else (rare, and needed to understand the data) is always kept.

    Parameters
    ----------
    size
        Most arrivals that may wait.

    Attributes
    ----------
    dropped
        Data packets dropped so far.
    """

    def __init__(self, size: int) -> None:
        self._size = size
        self._waiting: deque[Arrival] = deque()
        self._changed = asyncio.Event()
        self._taken = asyncio.Event()
        self._closed = False
        self._error: Exception | None = None
        self.dropped = 0

    async def room(self) -> None:
        """Wait until there is room, or nothing more is taken: `put` right afterwards drops nothing."""
        while len(self._waiting) >= self._size and not self._closed:
            self._taken.clear()
            await self._taken.wait()

    def put(self, arrival: Arrival) -> bool:
        """Add an arrival, or drop it and count it; once closed, take no more. Return whether it was added."""
        if self._closed:
            return False
        if arrival.channel is Channel.DATA and len(self._waiting) >= self._size:
            self.dropped += 1
            return False
        self._waiting.append(arrival)
        self._changed.set()
        return True

    def drain(self) -> list[Arrival]:
        """Take all that waits now, for who looks from time to time."""
        waiting = list(self._waiting)
        self._waiting.clear()
        self._taken.set()
        return waiting

    @property
    def is_over(self) -> bool:
        """Whether nothing waits, and nothing more is taken."""
        return self._closed and not self._waiting

    def close(self, error: Exception | None = None) -> None:
        """End the iteration after what is waiting, with `error` if there is one; the first close counts."""
        if not self._closed:
            self._closed, self._error = True, error
        self._changed.set()
        self._taken.set()

    def __aiter__(self) -> Inbox:
        return self

    async def __anext__(self) -> Arrival:
        while not self._waiting:
            if self._closed:
                raise self._error or StopAsyncIteration
            self._changed.clear()
            await self._changed.wait()
        self._taken.set()
        return self._waiting.popleft()
