"""A recording as a live source: the same arrivals, at the pace of the injected clock.

Arrivals keep the times they were recorded with, so that a replay computes what the session computed, to the last digit.
"""

from __future__ import annotations

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

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        """Return the iterator of arrivals: the latest information of each sensor before, then all from there on."""
        begin_s = self._recording.span_s[0] + self._from_s
        started_s = self._clock.now_s()
        for arrival in self._from(begin_s):
            # Even when everything is due, others may run in between.
            await self._clock.sleep(max(0.0, started_s + arrival.at_s - begin_s - self._clock.now_s()))
            yield arrival

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
