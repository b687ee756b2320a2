"""A sensor of another maker in the air: it advertises its name alone, and notifies what its description says."""

from __future__ import annotations

import asyncio
import math

from bumble.core import UUID, AdvertisingData
from bumble.device import Connection, Device
from bumble.gatt import Characteristic, CharacteristicValue, Service

from sensor.source import HostClock
from tests.sensor.own.tags import PERIOD_S, Tag

TAG = Tag(sequence="B", time="H")
NAME, SERVICE, DATA, START = "tag", "ff00", "ff01", "ff02"
TEXT = TAG.text + f'[[start]]\ncharacteristic = "{START}"\nhex = "01 64"\n'
_ASKED = b"\x01\x64"


class DescribedSensor:
    """Counts its notifications since it was switched on, and sends them from when it is asked to.

    Parameters
    ----------
    device
        A `bumble` device, not yet powered.
    clock
        Paces the notifications.
    tasks
        Where the streaming runs, so that its failure is seen.
    """

    def __init__(self, device: Device, clock: HostClock, tasks: asyncio.TaskGroup) -> None:
        self._device, self._clock, self._tasks = device, clock, tasks
        self._link: Connection | None = None
        self._leaving = False
        self._next = 0
        prop, allowed = Characteristic.Properties, Characteristic.Permissions
        self._data = Characteristic(UUID(DATA), prop.NOTIFY, allowed.READABLE, CharacteristicValue())
        asked = CharacteristicValue(write=self._on_start)
        start = Characteristic(UUID(START), prop.WRITE, allowed.WRITEABLE, asked)
        device.add_service(Service(UUID(SERVICE), [self._data, start]))
        device.on(device.EVENT_CONNECTION, self._on_connection)

    async def switch_on(self) -> None:
        """Power the radio, begin to count, and advertise until connected."""
        await self._device.power_on()
        self._began_s = self._clock.now_s()
        await self._advertise()

    async def switch_off(self) -> None:
        """Say goodbye, and advertise no more."""
        self._leaving = True
        if self._link is not None:
            await self._link.disconnect()
        else:
            await self._device.stop_advertising()

    async def _advertise(self) -> None:
        name = bytes(AdvertisingData([(AdvertisingData.COMPLETE_LOCAL_NAME, NAME.encode())]))
        await self._device.start_advertising(advertising_data=name)

    def _on_connection(self, link: Connection) -> None:
        self._link = link
        link.on(link.EVENT_DISCONNECTION, self._on_disconnection)

    async def _on_disconnection(self, _reason: int) -> None:
        self._link = None
        if not self._leaving:
            await self._advertise()

    def _on_start(self, link: Connection, value: bytes) -> None:
        if bytes(value) == _ASKED:
            self._next = max(self._next, math.ceil((self._clock.now_s() - self._began_s) / PERIOD_S) - 1)
            self._tasks.create_task(self._stream(link))

    async def _stream(self, link: Connection) -> None:
        while self._link is link:
            taken_s = self._began_s + (self._next + 1) * PERIOD_S
            await self._clock.sleep(taken_s - self._clock.now_s())
            if self._link is link:
                await self._device.notify_subscriber(link, self._data, TAG.sends(self._next).payload)
                self._next += 1
