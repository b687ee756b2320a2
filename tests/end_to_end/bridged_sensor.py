"""A virtual sensor at the near end of a gateway, and a host at its far end, with a real broker between."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterable, Sequence
from contextlib import asynccontextmanager

from virtual_session import MTU

from sensor.bridging import Bridging, Commanded
from sensor.broker import Access
from sensor.gateway import GatewaySettings, GatewaySource
from sensor.gateway_topics import Bridge
from sensor.protocol import Command, Start
from sensor.source import Arrival, Channel, HostClock, LinkState
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import FeedSpec

CLIP = "clip-07"


def link(at_s: float, state: LinkState, sensor: str = CLIP) -> Arrival:
    return Arrival(sensor, at_s, Channel.LINK, state.value.encode())


class SetClock:
    """Stands where it is put; who sleeps waits for real, a little."""

    at_s = 0.0

    def now_s(self) -> float:
        return self.at_s

    def utc_us(self) -> int:
        return 1_772_440_000_000_000 + round(self.at_s * 1e6)

    async def sleep(self, duration_s: float) -> None:
        await asyncio.sleep(0.002)


class StepByStep:
    """Gives one arrival after the other: the next one when the one before has come at the far end."""

    def __init__(self, arrivals: Iterable[Arrival], clock: SetClock) -> None:
        self._arrivals, self._clock, self.came = arrivals, clock, asyncio.Event()

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        for arrival in self._arrivals:
            self.came.clear()
            self._clock.at_s = max(self._clock.at_s, arrival.at_s)
            yield arrival
            if arrival.channel in (Channel.INFO, Channel.DATA):
                async with asyncio.timeout(10):
                    await self.came.wait()
        await asyncio.Event().wait()

    async def send(self, command: Command) -> None:
        raise AssertionError(f"nothing is missing, and yet {command}")


class Board:
    """A sensor and its board, whose own link is lost for a while; it asks for nothing itself."""

    def __init__(
        self, feed: FeedSpec, clock: HostClock, away_s: tuple[float, float] = (0.0, 0.0), name: str = CLIP
    ) -> None:
        self._name, self.go = name, asyncio.Event()
        self.go.set()
        self._core, self._clock, self._away_s = SensorCore(feed, boot_id=1), clock, away_s
        self.asked: list[Command] = []

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        is_there = False
        await self.go.wait()
        while True:
            now_s = self._clock.now_s()
            is_away = self._away_s[0] <= now_s < self._away_s[1]
            if is_there and is_away:
                self._core.pause()
                yield link(now_s, LinkState.LOST, self._name)
            elif not is_there and not is_away:
                yield link(now_s, LinkState.CONNECTED, self._name)
                yield Arrival(self._name, now_s, Channel.INFO, bytes(self._core.info))
                self._core.take(Start(), now_s, MTU)
            is_there = not is_away
            for payload in self._core.due(now_s) if is_there else ():
                yield Arrival(self._name, now_s, Channel.DATA, payload)
            await self._clock.sleep(0.05)

    async def send(self, command: Command) -> None:
        self.asked.append(command)
        self._core.take(command, self._clock.now_s(), MTU)


@asynccontextmanager
async def gateway(
    url: str, source: Commanded | Sequence[Commanded], clock: HostClock, said: list[str]
) -> AsyncIterator[Bridging]:
    """Run a gateway `rack-3` for as long as the block lasts."""
    made = Bridging(Bridge.parse(f"{url}/rack-3"), Access(), clock, called=str, tell=said.append)
    running = asyncio.create_task(made.run(source if isinstance(source, Sequence) else [source]))
    try:
        async with asyncio.timeout(10):
            await made.link.up()
        yield made
    finally:
        running.cancel()
        await asyncio.gather(running, return_exceptions=True)


def far_end(url: str, clock: HostClock, *, stall_s: float = 5.0, name: str = f"rack-3/{CLIP}") -> GatewaySource:
    bridge = Bridge.parse(f"{url}/{name}")
    return GatewaySource(clock, GatewaySettings(bridge=bridge, stall_s=stall_s, find_s=20.0))
