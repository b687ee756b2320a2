"""Backend classes for bleak with a made-up sensor behind them, whose every connection goes as a test says."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from bleak.assigned_numbers import CharacteristicPropertyName
from bleak.backends.characteristic import BleakGATTCharacteristic
from bleak.backends.client import BaseBleakClient
from bleak.backends.device import BLEDevice
from bleak.backends.scanner import AdvertisementData, BaseBleakScanner
from bleak.backends.service import BleakGATTService, BleakGATTServiceCollection
from bleak.exc import BleakError

from sensor.protocol import BATTERY_LEVEL_UUID, CONTROL_UUID, DATA_UUID, INFO_UUID, SERVICE_UUID
from sensor.radio import Backends

Properties = list[CharacteristicPropertyName]
CHARACTERISTICS: dict[str, Properties] = {
    DATA_UUID: ["notify"],
    CONTROL_UUID: ["read", "write"],
    INFO_UUID: ["read"],
    BATTERY_LEVEL_UUID: ["read", "notify"],
}


@dataclass
class Connection:
    """How one connection goes; the defaults are a good one.

    `on_start` is called when Start was written, with the client, and may notify or lose the link.
    """

    connect_error: Exception | None = None
    connect_hangs: bool = False
    hanging: frozenset[str] = frozenset()
    failing: frozenset[str] = frozenset()
    disconnect_hangs: bool = False
    unpaired: bool = False
    pairing_fails: bool = False
    on_start: Callable[[FakeClient], None] = lambda client: None


@dataclass
class FakeRadio:
    """The air: sensors that advertise, and what happens at each connection in turn (the last one repeats)."""

    connections: list[Connection] = field(default_factory=lambda: [Connection()])
    sensors: list[tuple[str, str, int]] = field(default_factory=lambda: [("AA", "clip", -50)])
    scan_errors: list[Exception | None] = field(default_factory=list)
    stop_errors: list[Exception] = field(default_factory=list)
    scan_hangs: list[bool] = field(default_factory=list)
    log: list[str] = field(default_factory=list)
    clients: list[FakeClient] = field(default_factory=list)
    adapter_gone: asyncio.Future[None] | None = None
    service: str = SERVICE_UUID
    information: bytes | None = None
    characteristics: dict[str, Properties] = field(default_factory=lambda: CHARACTERISTICS)
    searched: list[list[str] | None] = field(default_factory=list)

    def backends(self) -> Backends:
        scanner = type("FakeScanner", (_FakeScanner,), {"radio": self})
        client = type("FakeClient", (FakeClient,), {"radio": self})
        return Backends(scanner, client, self.adapter_gone)

    def next_connection(self) -> Connection:
        return self.connections.pop(0) if len(self.connections) > 1 else self.connections[0]


class _FakeScanner(BaseBleakScanner):
    radio: FakeRadio

    def __init__(self, detection_callback: Any, service_uuids: list[str] | None, mode: str = "", **_: Any) -> None:
        super().__init__(detection_callback, service_uuids)

    async def start(self) -> None:
        error = self.radio.scan_errors.pop(0) if self.radio.scan_errors else None
        if error is not None:
            raise error
        if self.radio.scan_hangs and self.radio.scan_hangs.pop(0):
            await asyncio.Event().wait()
        self.radio.log.append("scan")
        self.radio.searched.append(self._service_uuids)
        for address, name, rssi in self.radio.sensors:
            data = AdvertisementData(name, {}, {}, [self.radio.service], None, rssi, ())
            device = self.create_or_update_device(address, address, name, None, data)
            asyncio.get_running_loop().call_soon(self.call_detection_callbacks, device, data)

    async def stop(self) -> None:
        self.radio.log.append("stop scan")
        if self.radio.stop_errors:
            raise self.radio.stop_errors.pop(0)


class FakeClient(BaseBleakClient):
    radio: FakeRadio

    def __init__(self, device: BLEDevice | str, *, timeout: float, disconnected_callback: Any, **_: Any) -> None:
        super().__init__(device, timeout=timeout, disconnected_callback=disconnected_callback)
        self.going = self.radio.next_connection()
        self.connected = False
        self.notify: dict[str, Callable[[bytearray], None]] = {}
        self.written: list[bytes] = []
        self.answered: list[bool] = []
        self.radio.clients.append(self)

    name = property(lambda self: "clip")
    mtu_size = property(lambda self: 247)
    is_connected = property(lambda self: self.connected)

    async def connect(self, pair: bool, **_: Any) -> None:
        self.radio.log.append("connect")
        if self.going.connect_hangs:
            await asyncio.Event().wait()
        if self.going.connect_error is not None:
            raise self.going.connect_error
        self.services, self.connected = _services(self.radio), True

    async def disconnect(self) -> None:
        self.radio.log.append("disconnect")
        self.connected = False
        if self.going.disconnect_hangs:
            await asyncio.Event().wait()

    async def read_gatt_char(self, characteristic: BleakGATTCharacteristic, **_: Any) -> bytearray:
        await self._operation("read", characteristic)
        if characteristic.uuid == INFO_UUID and self.radio.information is not None:
            return bytearray(self.radio.information)
        return bytearray(characteristic.uuid[4:8], "ascii")

    async def write_gatt_char(self, characteristic: BleakGATTCharacteristic, data: Any, response: bool) -> None:
        await self._operation("write", characteristic)
        self.written.append(bytes(data))
        self.answered.append(response)
        if bytes(data) == b"\x01":
            self.going.on_start(self)

    async def start_notify(self, characteristic: BleakGATTCharacteristic, callback: Any, **_: Any) -> None:
        await self._operation("subscribe", characteristic)
        self.notify[characteristic.uuid] = callback

    def send(self, *payloads: bytes, uuid: str = DATA_UUID) -> None:
        for payload in payloads:
            self.notify[uuid](bytearray(payload))

    def lose_link(self) -> None:
        self.connected = False
        if self._disconnected_callback is not None:
            self._disconnected_callback()

    async def _operation(self, kind: str, characteristic: BleakGATTCharacteristic) -> None:
        what = f"{kind} {characteristic.uuid[4:8]}"
        self.radio.log.append(what)
        if self.going.unpaired:
            raise BleakError("Encryption is insufficient.")
        if what in self.going.failing:
            raise BleakError(f"{what} failed")
        if what in self.going.hanging:
            await asyncio.Event().wait()

    async def pair(self, *_: Any, **__: Any) -> None:
        if self.going.pairing_fails:
            raise BleakError("pairing failed")
        self.going.unpaired = False

    async def unpair(self) -> None: ...
    async def read_gatt_descriptor(self, *_: Any, **__: Any) -> bytearray:
        raise NotImplementedError

    async def write_gatt_descriptor(self, *_: Any) -> None: ...
    async def stop_notify(self, *_: Any) -> None: ...


def _services(radio: FakeRadio) -> BleakGATTServiceCollection:
    services = BleakGATTServiceCollection()
    service = BleakGATTService(None, 1, radio.service)
    services.add_service(service)
    for handle, (uuid, properties) in enumerate(radio.characteristics.items(), 2):
        services.add_characteristic(BleakGATTCharacteristic(None, handle, uuid, properties, lambda: 244, service))
    return services
