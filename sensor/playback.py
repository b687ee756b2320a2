"""A recording as a live source: the same arrivals, at the pace of the injected clock.

Arrivals keep the times they were recorded with, so that a replay computes what the session computed, to the last digit.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterator

from sensor.recording import Recording
from sensor.source import Arrival, Channel, HostClock


class Playback:
    """Plays the arrivals of a recording; a `Source`.

    Parameters
    ----------
    recording
        Open for reading; it stays the caller's to close.
    clock
        Its seconds are those of the recording, so a clock of speed 4 plays four times as fast.
    from_s
        Where to begin, seconds after the first arrival.
    """

    def __init__(self, recording: Recording, clock: HostClock, *, from_s: float = 0.0) -> None:
        self._recording = recording
        self._clock = clock
        self._from_s = from_s
        self._moved = asyncio.Event()

    def seek(self, to_s: float) -> None:
        """Go on at `to_s` seconds after the first arrival, forward or back.

        What comes next is the latest information of each sensor before that moment, then everything from it on; give it
        to a new assembler.
        """
        self._from_s = to_s
        self._moved.set()

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        """Return the iterator of arrivals."""
        again = True
        while again:
            self._moved.clear()
            begin_s = self._recording.span_s[0] + self._from_s
            started_s = self._clock.now_s()
            for arrival in self._from(begin_s):
                if not await self._reach(started_s + arrival.at_s - begin_s):
                    break
                yield arrival
            again = self._moved.is_set()

    def _from(self, begin_s: float) -> Iterator[Arrival]:
        """Latest information of each sensor before `begin_s`, then all arrivals from it on."""
        latest: dict[str, Arrival] = {}
        arrivals = iter(self._recording.arrivals())
        for arrival in arrivals:
            if arrival.at_s >= begin_s:
                yield from latest.values()
                yield arrival
                yield from arrivals
            elif arrival.channel is Channel.INFO:
                latest[arrival.sensor_id] = arrival

    async def _reach(self, at_s: float) -> bool:
        """Wait until the clock shows `at_s`; False when a seek comes first."""
        wait_s = at_s - self._clock.now_s()
        if wait_s <= 0:
            await self._clock.sleep(0.0)  # others may run in between, even when everything is due
            return not self._moved.is_set()
        waits = (self._clock.sleep(wait_s), self._moved.wait())
        tasks = [asyncio.ensure_future(wait) for wait in waits]
        try:
            await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for task in tasks:
                task.cancel()
        return not self._moved.is_set()
