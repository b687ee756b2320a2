"""Sensors behind gateways: packets that come by a broker instead of this computer's own radio.

    board ─ Bluetooth ─ sensor          station, or whoever analyses
      └── up/clip-07/data ──► broker ──► Gateways ─► Bridged, one a sensor ─► arrivals, as of a radio
      ◄── down/clip-07/control ◄──────────┘  asks again for what did not come (`sensor.backfill`)

Packets that get lost on the way, the gateway's or ours, are asked for again; so a broker that was killed costs nothing
that the sensor's ring still holds.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import AsyncIterator, Callable
from contextlib import AsyncExitStack
from dataclasses import dataclass, field
from types import TracebackType
from typing import Self

from sensor.backfill import RETRY_S
from sensor.bridged import Bridged
from sensor.broker import Access, Broker, BrokerError, Letter
from sensor.gateway_topics import ANY, Bridge, control, says_here, sensor_id, told_by
from sensor.source import Arrival, Channel, HostClock, LinkState

MOST_SENSORS = 512
"""So many sensors are listened to by one process at most, whoever invents names."""
_LOOK_S = RETRY_S / 20
"""How often it is looked who is silent and what is missing."""
_WHOSE = "Say whose the password is: write mqtts://NAME@{host}/…, with the name of the account."


@dataclass(frozen=True, slots=True, kw_only=True)
class GatewaySettings:
    """How to listen to sensors behind a gateway.

    Attributes
    ----------
    bridge
        Which ones, and where.
    access
        What the broker is spoken to with.
    address_of
        Gives the address of a sensor that was given a name here, or else the name itself.
    find_s
        Give up when the sensor was not heard within this time (clock seconds); None: wait on.
    stall_s
        A sensor without a packet for so long is lost (clock seconds).
    gather_s
        How much longer to listen for a second one, where none is named (clock seconds).
    """

    bridge: Bridge
    access: Access = field(default_factory=Access)
    address_of: Callable[[str], str] = str
    find_s: float | None = None
    stall_s: float = 5.0
    gather_s: float = 1.0

    @property
    def called(self) -> str:
        """What to call the sensor before it was heard."""
        return self.bridge.gateway if self.bridge.sensor == ANY else sensor_id(self.bridge.sensor)


class Gateways:
    """Everything that is heard through the gateways that are meant; use it as `async with Gateways(…) as heard`.

    Attributes
    ----------
    sensors
        Each sensor that was heard, by the names of gateway and sensor.
    others
        Names of sensors that are heard there, too, but not meant.
    link
        Whether the broker is there, and why not.

    Raises
    ------
    BrokerError
        When a password is given without a name, or the file of an authority cannot be used.
    """

    def __init__(self, clock: HostClock, settings: GatewaySettings) -> None:
        bridge = settings.bridge
        if settings.access.password is not None and not bridge.address.user:
            raise BrokerError(_WHOSE.format(host=bridge.address.where))
        name = f"listener-{secrets.token_hex(8)}"  # several listen by one account, each as a client of its own
        self._broker = Broker(
            bridge.address,
            settings.access,
            name=name,
            clock=clock,
            topics=bridge.topics,
            qos=0,  # what is lost is asked for again, and answers to ten letters a second and sensor would cost a third
        )
        self._clock, self._settings = clock, settings
        self.link = self._broker.link
        self.sensors: dict[tuple[str, str], Bridged] = {}
        self.others: set[str] = set()
        self._asking: dict[tuple[str, str], asyncio.Task[bool]] = {}
        self._tasks: list[asyncio.Task[None]] = []
        self._opened = AsyncExitStack()

    async def __aenter__(self) -> Self:
        await self._opened.__aenter__()
        await self._opened.enter_async_context(self._broker)
        self._tasks = [asyncio.create_task(one) for one in (self._read(), self._look(), self._follow_link())]
        for task in self._tasks:
            task.add_done_callback(self._over)
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for task in (*self._tasks, *self._asking.values()):
            task.cancel()
        await asyncio.gather(*self._tasks, *self._asking.values(), return_exceptions=True)
        await self._opened.__aexit__(kind, error, trace)

    def _over(self, task: asyncio.Task[None]) -> None:
        """Let nobody wait for what does not come any more."""
        error = None if task.cancelled() else task.exception()
        for bridged in self.sensors.values():
            bridged.inbox.close(error if isinstance(error, Exception) else None)

    async def _read(self) -> None:
        async for letter, at_s in self._broker.letters():
            told = told_by(letter.topic, self._settings.bridge.address.gym)
            if told is None:
                continue
            if told.channel is None:
                if says_here(letter.payload) is False:
                    self._lose(told.gateway, at_s)
            elif self._settings.bridge.is_of(told):
                bridged = self._bridged(told.gateway, told.sensor)
                if bridged is not None:
                    bridged.take(told.channel, letter.payload, at_s, is_old=letter.retain)
            else:
                self._note_other(told.sensor)

    def _bridged(self, gateway: str, sensor: str) -> Bridged | None:
        key = (gateway, sensor)
        if key not in self.sensors and len(self.sensors) < MOST_SENSORS:
            called = self._settings.address_of(sensor)
            self.sensors[key] = Bridged(
                sensor_id(sensor) if called == sensor else called, self._clock.now_s(), self._settings.stall_s
            )
        return self.sensors.get(key)

    def _note_other(self, sensor: str) -> None:
        if len(self.others) < MOST_SENSORS:
            self.others.add(sensor)

    def _lose(self, gateway: str, at_s: float) -> None:
        for (through, _), bridged in self.sensors.items():
            if gateway in (ANY, through):
                bridged.lose(at_s)

    async def _look(self) -> None:
        while True:
            await self._clock.sleep(_LOOK_S)
            now_s = self._clock.now_s()
            for key, bridged in self.sensors.items():
                bridged.look(now_s)
                if self.link.is_up and key not in self._asking:
                    request = bridged.ask(now_s)
                    if request is not None:
                        self._ask(key, request)

    def _ask(self, key: tuple[str, str], request: bytes) -> None:
        """Have the sensor send again; what is not delivered is asked again."""
        topic = control(*key, self._settings.bridge.address.gym)
        task = self._asking[key] = asyncio.create_task(self._broker.send(Letter(topic, request)))
        task.add_done_callback(lambda _: self._asking.pop(key, None))

    async def _follow_link(self) -> None:
        seen, told = 0, ""
        while True:
            seen = await self.link.news(seen)
            if self.link.is_up or self.link.why == told:
                told = "" if self.link.is_up else told
                continue
            told = self.link.why
            self._lose(ANY, self._clock.now_s())
            for bridged in self.sensors.values():
                if bridged.was_met:
                    bridged.tell(self._clock.now_s(), f"is not heard: {told}")


class GatewaySource:
    """Arrivals of one sensor behind a gateway; use it as `async with GatewaySource(…) as source`, then iterate.

    Iterating raises `BrokerError` when nothing is heard in time, several sensors would do, or the broker refuses.

    Parameters
    ----------
    clock
        The session's clock.
    settings
        Which sensor, and how to listen.
    """

    def __init__(self, clock: HostClock, settings: GatewaySettings) -> None:
        self._clock, self._settings = clock, settings
        self._heard = Gateways(clock, settings)

    async def __aenter__(self) -> Self:
        await self._heard.__aenter__()
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self._heard.__aexit__(kind, error, trace)

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        yield self._note(Channel.LINK, LinkState.SEARCHING.value)
        told, until_s = "", self._until_s()
        while not (found := self._met()):
            link = self._heard.link
            if link.lasts or (until_s is not None and self._clock.now_s() >= until_s):
                raise BrokerError(self._not_heard())
            if link.why and link.why != told:
                told = link.why
                yield self._note(Channel.NOTICE, f"is not heard: {told}")
            await self._clock.sleep(_LOOK_S)
        if self._settings.bridge.sensor == ANY:
            await self._clock.sleep(self._settings.gather_s)
            found = self._met()
        if len(found) > 1:
            raise BrokerError(self._which(sorted(found)))
        async for arrival in found.popitem()[1].inbox:
            yield arrival

    def _until_s(self) -> float | None:
        return None if self._settings.find_s is None else self._clock.now_s() + self._settings.find_s

    def _met(self) -> dict[tuple[str, str], Bridged]:
        return {key: bridged for key, bridged in self._heard.sensors.items() if bridged.was_met}

    def _note(self, channel: Channel, text: str) -> Arrival:
        return Arrival("", self._clock.now_s(), channel, text.encode())

    def _which(self, found: list[tuple[str, str]]) -> str:
        bridge = self._settings.bridge
        named = ", ".join(sensor for _, sensor in found)
        return (
            f"{len(found)} sensors are heard through {bridge.gateway}: {named}. Say which one by --sensor "
            f"{bridge.to(*found[0])}, or analyse all of them by `rungwise gather`."
        )

    def _not_heard(self) -> str:
        bridge, link = self._settings.bridge, self._heard.link
        if not link.is_up:
            return link.why or f"No broker answers at {bridge.address.where}: check host, port and network."
        others = sorted(self._heard.others | {sensor for _, sensor in self._heard.sensors})
        if bridge.sensor == ANY or not others:
            return f"No sensor is heard through {bridge.gateway}: check its name, whether it runs, and wake a sensor."
        return (
            f"{bridge.sensor} is not heard through {bridge.gateway}, but known there: {', '.join(others)}. Wake it, or "
            f"ask for another (--sensor {bridge.to(bridge.gateway, others[0])})."
        )
