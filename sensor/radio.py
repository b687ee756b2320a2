"""A sensor over Bluetooth Low Energy: find it, connect, listen, and come back after every loss.

    SEARCHING ──found, connected──► CONNECTED ──link lost──────────────────────► LOST ──► SEARCHING …
        │  └─ Bluetooth itself gone ──► BLOCKED ─ back ─► SEARCHING …
        │                               └─no packet for a while──► STALLED ─────────┘
        └─ (asked to end when the sensor is gone for good) ──► ENDED

The callbacks only stamp and enqueue, and note what is missing; that is asked for while live packets go on. After every
loss the client is disconnected before anything else, even when the loss was not ours: otherwise BlueZ delivers each
packet of the next connection more than once.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import suppress
from dataclasses import replace
from functools import partial
from types import TracebackType
from typing import Self

from bleak import BleakClient
from bleak.backends.characteristic import BleakGATTCharacteristic
from bleak.backends.device import BLEDevice

from sensor.backfill import RETRY_S
from sensor.battery import follow_battery
from sensor.inbox import Inbox
from sensor.intake import Intake
from sensor.own.description import Write
from sensor.protocol import (
    CONTROL_UUID,
    INFO_UUID,
    Command,
    SetRange,
    SetRate,
    encode_command,
)
from sensor.radio_errors import FAILURES, NOT_PAIRED, RadioError, explain, wants_pairing
from sensor.radio_search import Backends, RadioSettings, Sighting, scan, search, within
from sensor.source import Arrival, Channel, HostClock, LinkState

__all__ = ["Backends", "RadioError", "RadioSettings", "RadioSource", "Sighting", "scan"]

_WATCH_SLICES = 4
_ASKED_A_RETRY = 20
"""How often in the time of a retry it is looked whether something is missing."""
_CONNECT_OPERATIONS = 3
"""Connecting takes several operations (link, MTU, discovery), and bleak's own time limit does not cover them all."""


class RadioSource:
    """Arrivals of one sensor over Bluetooth; use it as `async with RadioSource(clock) as source`, then iterate.

    Iterating raises `RadioError` when Bluetooth cannot be used at all or the first search finds nothing. Once a
    sensor has been connected, every loss leads to a new search, for this one and no other.

    Parameters
    ----------
    clock
        The session's clock.
    settings
        How to behave.
    backends
        Classes for bleak to use; None: the operating system's.
    """

    def __init__(
        self, clock: HostClock, settings: RadioSettings | None = None, backends: Backends | None = None
    ) -> None:
        self._clock = clock
        self._settings = settings or RadioSettings()
        self._sort = self._settings.sort
        self._backends = backends or Backends()
        self._inbox = Inbox(self._settings.queue_size)
        self._intake = Intake(self._inbox, self._sort.bytes_per_s)
        self._client: BleakClient | None = None
        self._sensor_id = self._settings.address or ""
        self._packets = 0
        self._met = False
        self._task: asyncio.Task[None] | None = None

    async def __aenter__(self) -> Self:
        self._task = asyncio.create_task(self._run())
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._inbox.close()
        if self._task is not None:
            self._task.cancel()
            await asyncio.wait([self._task])

    def __aiter__(self) -> AsyncIterator[Arrival]:
        return self._inbox

    @property
    def dropped(self) -> int:
        """Packets dropped because the reader was too slow, or the sensor sent more than any sensor needs."""
        return self._inbox.dropped + self._intake.refused

    async def send(self, command: Command) -> None:
        """Write a command to the sensor; a change of rate or range is followed by a new INFO arrival.

        Raises
        ------
        RadioError
            When no sensor is connected, or it refuses.
        """
        if self._sort.description is not None:
            raise RadioError(f"The {self._sort.name} is used as described and takes no commands. Use it as it is.")
        if self._client is None:
            raise RadioError("No sensor is connected. Wait until it is, then try again.")
        try:
            await self._command(self._client, command)
        except FAILURES as error:
            raise RadioError(f"The sensor did not take the command ({error}). Try again.") from error

    async def _run(self) -> None:
        try:
            await self._keep_connected()
        except FAILURES as error:
            self._inbox.close(explain(error))
        except Exception as error:
            self._inbox.close(error)
        else:
            self._inbox.close()

    async def _keep_connected(self) -> None:
        brief = 0
        while (device := await self._search()) is not None:
            self._sensor_id, began_s = device.address, self._clock.now_s()
            try:
                await self._listen(device)
            except FAILURES:
                await self._clock.sleep(self._settings.retry_s)
                continue
            brief = brief + 1 if self._clock.now_s() - began_s < self._settings.retry_s else 0
            if brief > 1:  # one may be chance, and is made up for at once
                await self._clock.sleep(self._settings.retry_s)
        self._note(LinkState.ENDED)

    async def _search(self) -> BLEDevice | None:
        return await search(self._clock, self._settings, self._backends, self._note, met=self._met)

    async def _listen(self, device: BLEDevice) -> None:
        """Connect and pass on what comes, until the link is lost or has gone silent."""
        lost: asyncio.Future[None] = asyncio.get_running_loop().create_future()

        def on_loss(_client: BleakClient) -> None:
            if not lost.done():
                lost.set_result(None)

        client = BleakClient(
            device, disconnected_callback=on_loss, timeout=self._settings.io_s, backend=self._backends.client
        )
        try:
            await self._open(client)
            battery = follow_battery(client, self._clock, self._settings, partial(self._enqueue, Channel.BATTERY))
            meanwhile = [asyncio.create_task(one) for one in (self._ask_for_missing(client), battery)]
            try:
                await self._watch(lost)
            finally:
                for task in meanwhile:
                    task.cancel()
                await asyncio.gather(*meanwhile, return_exceptions=True)
        finally:
            if self._client is not None:
                self._client = None
                self._note(LinkState.LOST)
            await self._drop(client)

    async def _open(self, client: BleakClient) -> None:
        async with asyncio.timeout(_CONNECT_OPERATIONS * self._settings.io_s):
            await client.connect()
        self._client, self._met = client, True
        self._settings = replace(self._settings, address=self._sensor_id)
        self._note(LinkState.CONNECTED)
        self._sort.check(client.services)
        await self._introduce(client)
        with suppress(*FAILURES):  # a sensor without a battery service is a sensor all the same
            await self._read(client, self._sort.battery, Channel.BATTERY)
        async with asyncio.timeout(self._settings.io_s):
            await client.start_notify(self._sort.data, self._on_data)
        for one in self._sort.start:  # only now: the first packets after subscribing may be missed
            await self._write(client, one)

    async def _introduce(self, client: BleakClient) -> None:
        """Pass on what the data mean: as the sensor was described, or as it says."""
        if self._sort.description is not None:
            self._enqueue(Channel.INFO, self._sort.description)
            return
        await self._ask(client)
        await self._set_up(client)

    async def _ask(self, client: BleakClient) -> None:
        """Read what the sensor is; pair with one that speaks over an encrypted link only."""
        try:
            await self._read(client, INFO_UUID, Channel.INFO)
        except FAILURES as refused:
            if not wants_pairing(refused):
                raise
            try:
                async with asyncio.timeout(self._settings.io_s):
                    await client.pair()
            except (*FAILURES, NotImplementedError) as error:
                raise RadioError(NOT_PAIRED) from error
            await self._read(client, INFO_UUID, Channel.INFO)

    async def _set_up(self, client: BleakClient) -> None:
        """Set what is to be set; a sensor that refuses goes on as it is."""
        info = self._intake.back_fill.info
        for command in self._settings.set_to(self._sensor_id, info) if info else ():
            with suppress(*FAILURES):
                await self._command(client, command)

    async def _watch(self, lost: asyncio.Future[None]) -> None:
        """Wait until the link is lost, or no packet has come for a while.

        The wait goes in slices, so that a host that was busy itself does not take its own pause for the sensor's.
        """
        quiet, seen = 0, self._packets
        while not await within(self._clock, self._settings.stall_s / _WATCH_SLICES, lost):
            quiet = quiet + 1 if seen == self._packets else 0
            seen = self._packets
            if quiet == _WATCH_SLICES:
                self._note(LinkState.STALLED)
                return

    async def _ask_for_missing(self, client: BleakClient) -> None:
        """Have the sensor send again what did not come, as long as the link holds."""
        while True:
            await self._clock.sleep(RETRY_S / _ASKED_A_RETRY)
            request = self._intake.back_fill.ask(self._clock.now_s())
            if request is not None:
                with suppress(*FAILURES):  # refused, or the link is going: asked again, or found lost
                    await self._write(client, _written(request))

    async def _drop(self, client: BleakClient) -> None:
        with suppress(*FAILURES):
            async with asyncio.timeout(self._settings.io_s):
                await client.disconnect()

    async def _read(self, client: BleakClient, uuid: str, channel: Channel) -> None:
        async with asyncio.timeout(self._settings.io_s):
            self._enqueue(channel, bytes(await client.read_gatt_char(uuid)))

    async def _command(self, client: BleakClient, command: Command) -> None:
        await self._write(client, _written(command))
        if isinstance(command, SetRate | SetRange):
            await self._read(client, INFO_UUID, Channel.INFO)

    async def _write(self, client: BleakClient, one: Write) -> None:
        async with asyncio.timeout(self._settings.io_s):
            await client.write_gatt_char(one.characteristic, one.octets, response=one.response)

    def _on_data(self, _characteristic: BleakGATTCharacteristic, payload: bytearray) -> None:
        self._packets += 1
        self._enqueue(Channel.DATA, bytes(payload))

    def _note(self, state: LinkState) -> None:
        self._enqueue(Channel.LINK, state.value.encode())

    def _enqueue(self, channel: Channel, payload: bytes) -> None:
        self._intake.take(Arrival(self._sensor_id, self._clock.now_s(), channel, payload))


def _written(command: Command) -> Write:
    return Write(CONTROL_UUID, encode_command(command), response=True)
