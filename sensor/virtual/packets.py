"""The virtual sensor without any radio: the same packets, as a source of arrivals."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import aclosing

from sensor.protocol import Command, Start
from sensor.source import Arrival, Channel, HostClock, LinkState
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import FeedSpec
from sensor.virtual.pace import paced

BATTERY_PERCENT = 87
LARGEST_ATT_MTU = 517


class PacketSource:
    """Arrivals of a virtual sensor, paced by the session's clock; ends when the motion is over.

    Parameters
    ----------
    feed
        What the sensor measures.
    clock
        The session's clock.
    sensor_id
        Name to give the sensor.
    boot_id
        Its boot id.
    att_mtu
        The ATT MTU to make packets for.
    """

    def __init__(
        self,
        feed: FeedSpec,
        clock: HostClock,
        *,
        sensor_id: str = "virtual",
        boot_id: int = 1,
        att_mtu: int = LARGEST_ATT_MTU,
    ) -> None:
        self._core = SensorCore(feed, boot_id)
        self._clock = clock
        self._sensor_id = sensor_id
        self._att_mtu = att_mtu

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        yield self._link(LinkState.SEARCHING)
        yield self._link(LinkState.CONNECTED)
        yield self._arrival(Channel.INFO, bytes(self._core.info))
        yield self._arrival(Channel.BATTERY, bytes([BATTERY_PERCENT]))
        await self.send(Start())
        async with aclosing(paced(self._core, self._clock)) as packets:
            async for due_s, payload in packets:
                yield Arrival(self._sensor_id, due_s, Channel.DATA, payload)
        yield self._link(LinkState.ENDED)

    async def send(self, command: Command) -> None:
        """Write a command to the sensor.

        Raises
        ------
        RefusedError
            When the sensor cannot carry it out.
        """
        self._core.take(command, self._clock.now_s(), self._att_mtu)

    def _link(self, state: LinkState) -> Arrival:
        return self._arrival(Channel.LINK, state.value.encode())

    def _arrival(self, channel: Channel, payload: bytes) -> Arrival:
        return Arrival(self._sensor_id, self._clock.now_s(), channel, payload)
