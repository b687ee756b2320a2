"""The virtual sensor at the other end of a virtual radio, ready to be listened to.

this process                                    its own process
RadioSource ─ bleak ─ backend ─ bumble host ═ loopback ═ controller )))  ((( controller ─ GATT server ─ SensorCore
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import replace
from importlib import import_module
from importlib.util import find_spec
from typing import TYPE_CHECKING

from sensor.source import Arrival, Channel, HostClock, LinkState, Source
from sensor.virtual.motion import FeedSpec
from sensor.virtual.packets import PacketSource
from sensor.virtual.process_setup import Setup
from sensor.virtual.spawn import virtual_sensor

if TYPE_CHECKING:
    from sensor.radio import RadioSettings, RadioSource

OVER_S = 1.0
"""Real seconds that the sensor's process needs at most to end after it has hung up."""
PATIENCE_S = 5.0
"""Real seconds that a busy computer may need for what a radio does at once."""


def link_available() -> bool:
    """Return whether the library for the virtual link (the extra `demo`) is installed."""
    return find_spec("bumble") is not None


@asynccontextmanager
async def virtual_link(
    feed: FeedSpec,
    clock: HostClock,
    *,
    speed: float = 1.0,
    boot_id: int = 1,
    settings: RadioSettings | None = None,
    setup: Setup | None = None,
    over: asyncio.Event | None = None,
) -> AsyncIterator[RadioSource]:
    """Run a virtual sensor in a process of its own and give a radio source that finds it.

    The source ends when the motion is over.

    Parameters
    ----------
    feed
        What the sensor measures.
    clock
        The session's clock.
    speed
        Speed of that clock, which the sensor's follows.
    boot_id
        The sensor's boot id.
    settings
        How the source behaves; by default it is patient enough for a busy computer at any speed.
    setup
        More about the sensor (faults, ATT MTU); its feed, speed and boot id are those given here.
    over
        Set when the motion is over: the sensor has switched itself off.

    Raises
    ------
    VirtualSensorError
        When the sensor's process does not start (the message says why: a motion file that is none), or breaks down.
    ImportError
        Without the extra `demo`; see `link_available`.
    """
    from sensor.radio import RadioSettings, RadioSource  # late: bleak, which nobody waits for before the first picture

    told = replace(setup or Setup(), feed=feed, speed=speed, boot_id=boot_id)
    patient_s = PATIENCE_S * max(1.0, speed)
    chosen = settings or RadioSettings(stall_s=patient_s, gone_after_s=patient_s, until_gone=True, gather_s=0)
    # The library takes as long to load here as in the sensor's process, so both load at once.
    loading = asyncio.create_task(asyncio.to_thread(import_module, "sensor.virtual.backend"))
    async with virtual_sensor(told, over) as port:
        await loading
        from sensor.virtual.adapter import virtual_adapter
        from sensor.virtual.backend import backends

        async with virtual_adapter(port) as adapter, RadioSource(clock, chosen, backends(adapter)) as source:
            yield source


@asynccontextmanager
async def virtual_performance(
    feed: FeedSpec, clock: HostClock, *, speed: float = 1.0, setup: Setup | None = None
) -> AsyncIterator[Source]:
    """Run a virtual sensor as `virtual_link` does; that its motion is over is the end, and no loss of the link."""
    over = asyncio.Event()
    async with virtual_link(feed, clock, speed=speed, setup=setup, over=over) as source:
        yield _Performance(source, over)


class _Performance:
    """Arrivals until the link is lost because the motion is over."""

    def __init__(self, source: Source, over: asyncio.Event) -> None:
        self._source = source
        self._over = over

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        async for arrival in self._source:
            if arrival.channel is Channel.LINK and arrival.payload == _LOST and await self._is_over():
                yield replace(arrival, payload=LinkState.ENDED.value.encode())
                return
            yield arrival

    async def _is_over(self) -> bool:
        """Whether the sensor has ended by itself; its process takes a moment to do so."""
        with suppress(TimeoutError):
            await asyncio.wait_for(self._over.wait(), OVER_S)
        return self._over.is_set()


_LOST = LinkState.LOST.value.encode()


def packet_source(feed: FeedSpec, clock: HostClock, *, boot_id: int = 1) -> PacketSource:
    """Return the same packets without any radio.

    Raises
    ------
    TableError
        When a motion file is no table of motion.
    """
    return PacketSource(feed, clock, boot_id=boot_id)
