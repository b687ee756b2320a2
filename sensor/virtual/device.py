"""The virtual sensor as a real GATT server, on whatever virtual or real radio the `bumble` device stands on.

advertising ──connect──► connected, silent ──Start──► streaming ──motion over, nothing asked for──► gone
     ▲                                                    │
     └───────────── link lost (samples go on into the ring) ┘
"""

from __future__ import annotations

import asyncio
from contextlib import aclosing

from bumble import att, hci
from bumble.core import UUID, AdvertisingData
from bumble.device import Connection, Device
from bumble.gatt import Characteristic, CharacteristicValue, Service
from bumble.profiles.battery_service import BatteryService
from bumble.profiles.device_information_service import DeviceInformationService

from sensor.protocol import CONTROL_UUID, DATA_UUID, INFO_UUID, SERVICE_UUID, ProtocolError, decode_command
from sensor.source import HostClock
from sensor.virtual.core import FIRMWARE, RefusedError, SensorCore
from sensor.virtual.faults import Faults
from sensor.virtual.pace import paced
from sensor.virtual.packets import BATTERY_PERCENT, LARGEST_ATT_MTU

NAME = "RW-demo"
"""At most 8 characters: flags and one 128-bit UUID leave 10 of an advertisement's 31 bytes, 2 of them for a header."""
ADVERTISING_INTERVAL_MS = 50.0
_OPEN = Characteristic.Permissions.READABLE | Characteristic.Permissions.WRITEABLE
_PRIVATE = (
    _OPEN | Characteristic.Permissions.READ_REQUIRES_ENCRYPTION | Characteristic.Permissions.WRITE_REQUIRES_ENCRYPTION
)


class VirtualSensor:
    """A GATT server with the motion service, battery and device information.

    Parameters
    ----------
    device
        A `bumble` device, not yet powered.
    core
        What the sensor does.
    clock
        Paces the packets.
    tasks
        Where the streaming runs, so that its failure is seen.
    faults
        What shall go wrong.
    max_att_mtu
        Largest ATT MTU that the sensor agrees to.
    private
        Motion, control and information need an encrypted link: the host must pair.

    Attributes
    ----------
    gone
        Set when the motion is over and the sensor has switched itself off.
    """

    def __init__(
        self,
        device: Device,
        core: SensorCore,
        clock: HostClock,
        tasks: asyncio.TaskGroup,
        *,
        faults: Faults | None = None,
        max_att_mtu: int = LARGEST_ATT_MTU,
        private: bool = False,
    ) -> None:
        self._device = device
        self._core = core
        self._clock = clock
        self._tasks = tasks
        self._faults = faults or Faults()
        self._sent = 0
        self._stalled = False
        self._leaving = False
        self._link: Connection | None = None
        self._streaming: asyncio.Task[None] | None = None
        self.gone = asyncio.Event()
        self._permissions = _PRIVATE if private else _OPEN
        self._data = self._characteristic(DATA_UUID, Characteristic.Properties.NOTIFY, CharacteristicValue())
        self._battery_percent = BATTERY_PERCENT
        self._battery = BatteryService(lambda _: self._battery_percent)
        device.gatt_server.max_mtu = max_att_mtu
        device.add_services(self._services())
        device.on(device.EVENT_CONNECTION, self._on_connection)

    async def switch_on(self) -> None:
        """Power the radio and advertise until connected."""
        await self._device.power_on()
        await self._advertise()

    async def switch_off(self) -> None:
        """Say goodbye as a sensor does that powers down, and advertise no more."""
        self._leaving = True
        if self._link is not None:
            await self._link.disconnect(hci.HCI_REMOTE_DEVICE_TERMINATED_CONNECTION_DUE_TO_POWER_OFF_ERROR)
        else:
            await self._device.stop_advertising()
        self.gone.set()

    async def set_battery(self, percent: int) -> None:
        """Have so much left in the battery, and notify whoever subscribed to its level."""
        self._battery_percent = percent
        await self._device.notify_subscribers(self._battery.battery_level_characteristic)

    async def restart(self) -> None:
        """Lose power for a moment: the link breaks without a word, index and clock begin anew."""
        self._core.restart(self._clock.now_s())
        if self._link is not None:
            await self._link.disconnect(hci.HCI_CONNECTION_TIMEOUT_ERROR)

    def _services(self) -> list[Service]:
        prop = Characteristic.Properties
        control = CharacteristicValue(read=lambda _: self._core.marked, write=self._on_control)
        info = CharacteristicValue(read=lambda _: bytes(self._core.info))
        motion = Service(
            SERVICE_UUID,
            [
                self._data,
                self._characteristic(CONTROL_UUID, prop.READ | prop.WRITE, control),
                self._characteristic(INFO_UUID, prop.READ, info),
            ],
        )
        about = DeviceInformationService(
            manufacturer_name="Rungwise", model_number="virtual", firmware_revision=".".join(map(str, FIRMWARE))
        )
        return [motion, self._battery, about]

    def _characteristic(
        self, uuid: str, properties: Characteristic.Properties, value: CharacteristicValue[bytes]
    ) -> Characteristic[bytes]:
        return Characteristic(uuid, properties, self._permissions, value)

    async def _advertise(self) -> None:
        await self._device.start_advertising(
            advertising_data=advertisement(NAME),
            advertising_interval_min=ADVERTISING_INTERVAL_MS,
            advertising_interval_max=ADVERTISING_INTERVAL_MS,
        )

    def _on_connection(self, link: Connection) -> None:
        self._link, self._stalled = link, False
        link.on(link.EVENT_DISCONNECTION, self._on_disconnection)

    async def _on_disconnection(self, _reason: int) -> None:
        self._link = None
        self._core.pause()
        if not self._leaving:
            await self._clock.sleep(self._faults.away_s)
            await self._advertise()

    def _on_control(self, link: Connection, value: bytes) -> None:
        """Carry out what was written; refuse with the ATT error for a value that is not allowed (0x13)."""
        try:
            self._core.take(decode_command(bytes(value)), self._clock.now_s(), link.att_mtu)
        except (ProtocolError, RefusedError) as error:
            raise att.ATT_Error(att.ErrorCode.VALUE_NOT_ALLOWED, message=str(error)) from error
        if self._core.streaming and (self._streaming is None or self._streaming.done()):
            self._streaming = self._tasks.create_task(self._stream())

    async def _stream(self) -> None:
        async with aclosing(paced(self._core, self._clock)) as packets:
            async for _, packet in packets:
                await self._send(packet)
        if self._core.finished and self._link is not None:
            await self.switch_off()

    async def _send(self, packet: bytes) -> None:
        self._sent += 1
        self._stalled |= self._sent - 1 in self._faults.stall_after
        if self._link is None or self._stalled or self._sent in self._faults.skip:
            return
        await self._device.notify_subscriber(self._link, self._data, packet)
        await asyncio.sleep(0)  # let the radio take it: the virtual link has no other back-pressure
        if self._sent in self._faults.lose_link_after and self._link is not None:
            await self._link.disconnect(hci.HCI_CONNECTION_TIMEOUT_ERROR)


def advertisement(name: str) -> bytes:
    """Return the 31 bytes (or fewer) that the sensor advertises: flags, our service, its name."""
    general_discoverable_without_classic = bytes([0x06])
    data = bytes(
        AdvertisingData(
            [
                (AdvertisingData.FLAGS, general_discoverable_without_classic),
                (AdvertisingData.COMPLETE_LIST_OF_128_BIT_SERVICE_CLASS_UUIDS, bytes(UUID(SERVICE_UUID))),
                (AdvertisingData.COMPLETE_LOCAL_NAME, name.encode()),
            ]
        )
    )
    if len(data) > 31:
        raise ValueError(f"{name!r} does not fit an advertisement: use at most 8 bytes")
    return data
