"""A gateway in a computer: passes on what its radio hears to a broker, and to the sensors what is asked back.

What cannot be sent is let go: whoever listens asks for it again, and the sensor's ring still holds it.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import suppress
from typing import Protocol

from sensor.broker import Access, Broker, BrokerError, Letter
from sensor.broker_address import NAME
from sensor.gateway_topics import (
    ANY,
    CHANNELS,
    Bridge,
    asked_of,
    control,
    presence,
    presence_payload,
    up,
)
from sensor.protocol import Command, ProtocolError, Resend, decode_command
from sensor.radio_errors import RadioError
from sensor.source import Arrival, Channel, HostClock

_KEPT = (Channel.INFO, Channel.BATTERY)
"""What the broker keeps for who comes later."""
IN_FLIGHT = 32
"""So many letters may be on their way unanswered: a link that takes long for each carries as many as come."""


class Commanded(Protocol):
    """A source whose sensor takes commands, as a radio's does."""

    def __aiter__(self) -> AsyncIterator[Arrival]:
        """Return the iterator of arrivals."""
        ...

    async def send(self, command: Command) -> None:
        """Write a command to the sensor."""
        ...


class Bridging:
    """A gateway for as long as `run` runs.

    Parameters
    ----------
    bridge
        The broker, and the gateway's name.
    access
        What the broker is spoken to with; the account is called as the gateway is, unless the address says otherwise.
    clock
        The sources' clock.
    called
        Gives what a sensor is called in topics, by its id.
    tell
        Takes what happens, in words.

    Attributes
    ----------
    link
        Whether the broker is there, and why not.

    Raises
    ------
    BrokerError
        When the gateway is not named, or the file of an authority cannot be used.
    """

    def __init__(
        self,
        bridge: Bridge,
        access: Access,
        clock: HostClock,
        *,
        called: Callable[[str], str],
        tell: Callable[[str], None],
    ) -> None:
        name, self._gym = bridge.gateway, bridge.address.gym
        if not NAME.fullmatch(name) or bridge.sensor != ANY:
            raise BrokerError("Give the gateway one name after the host, as in mqtts://broker.example/rack-3.")
        self._gateway, self._called, self._tell = name, called, tell
        where = presence(name, self._gym)
        self._broker = Broker(
            bridge.address,
            access,
            name=name,
            clock=clock,
            will=Letter(where, presence_payload(is_here=False), retain=True),
            topics=[control(name, ANY, self._gym)],
            greeting=lambda: Letter(where, presence_payload(is_here=True), retain=True),
        )
        self._leave = Letter(where, presence_payload(is_here=False), retain=True)
        self.link = self._broker.link
        self._sources: dict[str, Commanded] = {}
        self._kept: dict[str, Letter] = {}
        self._room, self._sending = asyncio.Semaphore(IN_FLIGHT), set[asyncio.Task[None]]()

    async def run(self, sources: Sequence[Commanded]) -> None:
        """Pass on until every source has ended; raises, as a group, what one broke down of or why no broker lets it in.

        A broker that let it in before is waited for, whatever it says.
        """
        async with self._broker:
            try:
                async with asyncio.TaskGroup() as group:
                    beside = [group.create_task(one) for one in (self._take_requests(), self._follow_link())]
                    await asyncio.wait([group.create_task(self._pass_on(source)) for source in sources])
                    for task in beside:
                        task.cancel()
            finally:
                await asyncio.gather(*self._sending, return_exceptions=True)
                await self._broker.send(self._leave)

    async def _pass_on(self, source: Commanded) -> None:
        async for arrival in source:
            name = self._called(arrival.sensor_id) if arrival.sensor_id else ""
            if arrival.channel not in CHANNELS:
                self._tell(f"{name or 'sensor'} {arrival.payload.decode('utf-8', 'replace')}")
                continue
            if arrival.channel is Channel.LINK:
                self._tell(f"{name or 'sensor'} {arrival.payload.decode('ascii', 'replace')}")
            if name:
                self._sources[name] = source
                await self._send(name, arrival)

    async def _send(self, name: str, arrival: Arrival) -> None:
        is_kept = arrival.channel in _KEPT
        letter = Letter(up(self._gateway, name, arrival.channel, self._gym), arrival.payload, retain=is_kept)
        if is_kept:
            self._kept[letter.topic] = letter
        await self._room.acquire()
        sending = asyncio.create_task(self._hand_over(letter))  # these begin in their order, and so are sent in it
        self._sending.add(sending)
        sending.add_done_callback(self._sending.discard)

    async def _hand_over(self, letter: Letter) -> None:
        try:
            await self._broker.send(letter)
        finally:
            self._room.release()

    async def _take_requests(self) -> None:
        async for letter, _ in self._broker.letters():
            name = asked_of(letter.topic, self._gateway, self._gym)
            source = None if name is None or letter.retain else self._sources.get(name)
            if source is None:
                continue
            with suppress(ProtocolError, RadioError):  # none, or not there now: asked again by who wants it
                command = decode_command(letter.payload)
                if isinstance(command, Resend):  # how a sensor is set is not decided by the network
                    await source.send(command)

    async def _follow_link(self) -> None:
        """Say what the broker should keep again at each connection: it may have forgotten, or be another."""
        seen = connections = 0
        while True:
            seen = await self.link.news(seen)
            if not self.link.is_up:
                if self.link.lasts and not self.link.connections:
                    raise BrokerError(self.link.why)
                self._tell(self.link.why)
            elif self.link.connections > connections:
                connections = self.link.connections
                self._tell("connected to the broker")
                for letter in tuple(self._kept.values()):
                    await self._broker.send(letter)
