"""Listens to a radio source in the background, so that a test can wait for what comes."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from itertools import pairwise

from sensor.protocol import Info, Packet, PacketFlags, decode
from sensor.radio import Backends, RadioSettings, RadioSource
from sensor.source import Arrival, Channel, HostClock

PATIENCE_S = 60.0
"""Longest real time for anything to happen, on a loaded machine."""


class Listener:
    """What came so far.

    Attributes
    ----------
    source
        What is listened to.
    now_s
        The time by which arrivals are stamped.
    arrivals
        All of it, in the order of coming.
    error
        What ended the source, if that was an error.
    """

    def __init__(self, source: RadioSource, clock: HostClock) -> None:
        self.source = source
        self.now_s = clock.now_s
        self.arrivals: list[Arrival] = []
        self.error: Exception | None = None
        self._came = asyncio.Event()
        self._task = asyncio.create_task(self._listen())

    async def until(self, happened: Callable[[], bool]) -> None:
        """Wait until something has happened that shows in what came."""
        try:
            async with asyncio.timeout(PATIENCE_S):
                while not happened():
                    if self._task.done():
                        raise AssertionError(f"the source has ended ({self.error}) after {self.links}")
                    self._came.clear()
                    await self._came.wait()
        except TimeoutError:
            raise AssertionError(f"in vain after {self.links}, {len(self.packets)} packets") from None

    async def until_packets(self, more: int = 5) -> None:
        """Wait for so many live packets more."""
        enough = len(self.live) + more
        await self.until(lambda: len(self.live) >= enough)

    async def until_link(self, state: str, times: int = 1) -> None:
        """Wait until the link has been in a state so often."""
        await self.until(lambda: self.links.count(state) >= times)

    async def until_whole(self) -> None:
        """Wait until no sample is missing between the first and the last one."""
        await self.until(lambda: bool(self.packets) and not self.missing)

    async def until_ended(self) -> None:
        """Wait until the source has ended."""
        async with asyncio.timeout(PATIENCE_S):
            await asyncio.wait([self._task])

    def payloads(self, channel: Channel) -> list[bytes]:
        """Return what came on a channel."""
        return [arrival.payload for arrival in self.arrivals if arrival.channel is channel]

    @property
    def links(self) -> list[str]:
        """States of the link, in their order."""
        return [payload.decode() for payload in self.payloads(Channel.LINK)]

    @property
    def infos(self) -> list[Info]:
        """What the sensor said of itself at each connection."""
        return [Info.from_bytes(payload) for payload in self.payloads(Channel.INFO)]

    @property
    def packets(self) -> list[Packet]:
        """All packets."""
        return [decode(payload) for payload in self.payloads(Channel.DATA)]

    @property
    def live(self) -> list[Packet]:
        """The packets that were not sent again."""
        return [packet for packet in self.packets if PacketFlags.RESENT not in packet.flags]

    @property
    def repeated(self) -> list[tuple[int, int]]:
        """Live packets that came more than once, by boot tag and first index."""
        times = Counter((packet.boot_tag, packet.first_index) for packet in self.live)
        return [packet for packet, count in times.items() if count > 1]

    @property
    def missing(self) -> int:
        """Samples that did not come between the first and the last one, of all boot ids."""
        got = {(p.boot_tag, p.first_index + i) for p in self.packets for i in range(len(p))}
        return sum(b[1] - a[1] - 1 for a, b in pairwise(sorted(got)) if a[0] == b[0])

    async def _listen(self) -> None:
        try:
            async for arrival in self.source:
                self.arrivals.append(arrival)
                self._came.set()
        except Exception as error:
            self.error = error
        finally:
            self._came.set()

    async def stop(self) -> None:
        """Listen no more."""
        self._task.cancel()
        with suppress(asyncio.CancelledError):
            await self._task


@asynccontextmanager
async def listening(
    clock: HostClock, settings: RadioSettings, backends: Backends | None = None
) -> AsyncIterator[Listener]:
    """Run a radio source and listen to it for as long as the block lasts."""
    async with RadioSource(clock, settings, backends) as source:
        listener = Listener(source, clock)
        try:
            yield listener
        finally:
            await listener.stop()
