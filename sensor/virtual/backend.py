"""Scanner and client classes for `bleak` over a virtual adapter, so that bleak's real public face runs on top of them.

`bleak` takes a class as `backend=` and makes the instances itself; so :func:`backends` binds the adapter to a subclass
of each.
"""

from __future__ import annotations

import asyncio
from typing import Any, ClassVar, TypeVar

from bleak import BleakScanner
from bleak.assigned_numbers import CharacteristicPropertyName
from bleak.backends.characteristic import BleakGATTCharacteristic
from bleak.backends.client import BaseBleakClient, NotifyCallback
from bleak.backends.descriptor import BleakGATTDescriptor
from bleak.backends.device import BLEDevice
from bleak.backends.scanner import AdvertisementDataCallback, BaseBleakScanner
from bleak.backends.service import BleakGATTService, BleakGATTServiceCollection
from bleak.exc import BleakDeviceNotFoundError, BleakError
from bumble.device import Advertisement, Connection, Peer
from bumble.gatt_client import CharacteristicProxy, ServiceProxy

from sensor.radio import Backends
from sensor.virtual.adapter import VirtualAdapter
from sensor.virtual.translate import advertisement_data, bleak_errors, uuid_text

LARGEST_ATT_MTU = 517
SMALLEST_ATT_MTU = 23
_PROPERTIES: dict[int, CharacteristicPropertyName] = {
    0x01: "broadcast",
    0x02: "read",
    0x04: "write-without-response",
    0x08: "write",
    0x10: "notify",
    0x20: "indicate",
    0x40: "authenticated-signed-writes",
    0x80: "extended-properties",
}
"""Characteristic properties (Bluetooth Core Specification, Vol 3, Part G, 3.3.1.1), as bleak names them."""


Backend = TypeVar("Backend", "_Scanner", "_Client")


def backends(adapter: VirtualAdapter) -> Backends:
    """Return scanner and client classes for `bleak` that use this adapter."""
    return Backends(
        scanner=_bound(_Scanner, adapter),
        client=_bound(_Client, adapter),
        adapter_gone=adapter.gone,
    )


def _bound(kind: type[Backend], adapter: VirtualAdapter) -> type[Backend]:
    return type(kind.__name__.strip("_"), (kind,), {"adapter": adapter})


class _Scanner(BaseBleakScanner):
    adapter: ClassVar[VirtualAdapter]

    def __init__(
        self,
        detection_callback: AdvertisementDataCallback | None,
        service_uuids: list[str] | None,
        scanning_mode: str = "active",
        **_options: Any,
    ) -> None:
        super().__init__(detection_callback, service_uuids)
        self._active = scanning_mode == "active"

    async def start(self) -> None:
        self.adapter.check()
        self.seen_devices = {}
        device = self.adapter.device
        device.on(device.EVENT_ADVERTISEMENT, self._on_advertisement)
        with bleak_errors():
            await device.start_scanning(active=self._active)

    async def stop(self) -> None:
        device = self.adapter.device
        device.remove_listener(device.EVENT_ADVERTISEMENT, self._on_advertisement)
        if not self.adapter.is_gone:
            with bleak_errors():
                await device.stop_scanning()

    def _on_advertisement(self, heard: Advertisement) -> None:
        data = advertisement_data(heard)
        if self.is_allowed_uuid(data.service_uuids):
            address = heard.address.to_string(with_type_qualifier=False)
            found = self.create_or_update_device(address, address, data.local_name, heard.address, data)
            self.call_detection_callbacks(found, data)


class _Client(BaseBleakClient):
    adapter: ClassVar[VirtualAdapter]

    def __init__(
        self, address_or_ble_device: BLEDevice | str, *, services: set[str] | None = None, **rest: Any
    ) -> None:
        super().__init__(
            address_or_ble_device,
            disconnected_callback=rest.get("disconnected_callback"),
            timeout=rest["timeout"],
        )
        self._found = address_or_ble_device if isinstance(address_or_ble_device, BLEDevice) else None
        self._wanted = services
        self._link: Connection | None = None
        self._gone = asyncio.Event()
        self._asked = False
        """Whether the host itself is disconnecting; bleak's callback is for the unasked kind."""
        self._subscribers: dict[int, Any] = {}

    @property
    def name(self) -> str:
        return (self._found and self._found.name) or self.address.replace(":", "-")

    @property
    def mtu_size(self) -> int:
        return self._link.att_mtu if self._link else SMALLEST_ATT_MTU

    @property
    def is_connected(self) -> bool:
        return self._link is not None

    async def connect(self, pair: bool, **_options: Any) -> None:
        if self.is_connected:
            raise BleakError("already connected")
        self.adapter.check()
        found = await self._find()
        with bleak_errors():
            self._link = await self.adapter.device.connect(found.details, timeout=self._timeout)
        self._gone.clear()
        self._asked = False
        self._link.on(Connection.EVENT_DISCONNECTION, self._on_disconnection)
        try:
            with bleak_errors():
                await self._discover(Peer(self._link))
        except BaseException:
            await self.disconnect()
            raise

    async def disconnect(self) -> None:
        if self._link is None:
            return
        self._asked = True
        with bleak_errors():
            await self._link.disconnect()
            await self._gone.wait()

    async def pair(self, *_args: Any, **_options: Any) -> None:
        with bleak_errors():
            await self._connected().pair()

    async def unpair(self) -> None:
        raise NotImplementedError("the virtual adapter keeps no keys")

    async def read_gatt_char(
        self, characteristic: BleakGATTCharacteristic, *, use_cached: bool = False, **_options: Any
    ) -> bytearray:
        return await self._read(characteristic.obj)

    async def read_gatt_descriptor(
        self, descriptor: BleakGATTDescriptor, *, use_cached: bool = False, **_options: Any
    ) -> bytearray:
        return await self._read(descriptor.obj)

    async def write_gatt_char(self, characteristic: BleakGATTCharacteristic, data: Any, response: bool) -> None:
        await self._write(characteristic.obj, data, response)

    async def write_gatt_descriptor(self, descriptor: BleakGATTDescriptor, data: Any) -> None:
        await self._write(descriptor.obj, data, response=True)

    async def start_notify(
        self, characteristic: BleakGATTCharacteristic, callback: NotifyCallback, **_options: Any
    ) -> None:
        def subscriber(value: bytes) -> None:
            callback(bytearray(value))

        self._connected()
        self._subscribers[characteristic.handle] = subscriber
        with bleak_errors():
            await characteristic.obj.subscribe(subscriber)

    async def stop_notify(self, characteristic: BleakGATTCharacteristic) -> None:
        self._connected()
        with bleak_errors():
            await characteristic.obj.unsubscribe(self._subscribers.pop(characteristic.handle, None))

    async def _find(self) -> BLEDevice:
        if self._found is None:
            self._found = await BleakScanner.find_device_by_address(
                self.address, timeout=self._timeout, backend=_bound(_Scanner, self.adapter)
            )
        if self._found is None:
            raise BleakDeviceNotFoundError(self.address, f"{self.address} was not found")
        return self._found

    async def _discover(self, peer: Peer) -> None:
        await peer.request_mtu(LARGEST_ATT_MTU)
        self.services = BleakGATTServiceCollection()
        for service in await peer.discover_services():
            uuid = uuid_text(service.uuid)
            if self._wanted is None or uuid in self._wanted:
                await self._add_service(peer, service, uuid, self.services)

    async def _add_service(
        self, peer: Peer, service: ServiceProxy, uuid: str, services: BleakGATTServiceCollection
    ) -> None:
        added = BleakGATTService(service, service.handle, uuid)
        services.add_service(added)
        for characteristic in await peer.discover_characteristics(service=service):
            services.add_characteristic(member := self._characteristic(characteristic, added))
            for found in await peer.discover_descriptors(characteristic):
                services.add_descriptor(BleakGATTDescriptor(found, found.handle, uuid_text(found.type), member))

    def _characteristic(self, found: CharacteristicProxy[bytes], service: BleakGATTService) -> BleakGATTCharacteristic:
        properties = [name for bit, name in _PROPERTIES.items() if found.properties & bit]
        return BleakGATTCharacteristic(
            found, found.handle, uuid_text(found.uuid), properties, lambda: self.mtu_size - 3, service
        )

    def _on_disconnection(self, _reason: int) -> None:
        self._link = None
        self.services = None
        self._subscribers.clear()
        self._gone.set()
        if self._disconnected_callback is not None and not self._asked:
            self._disconnected_callback()

    def _connected(self) -> Connection:
        if self._link is None:
            raise BleakError("not connected")
        return self._link

    async def _read(self, attribute: Any) -> bytearray:
        self._connected()
        with bleak_errors():
            return bytearray(await attribute.read_value())

    async def _write(self, attribute: Any, data: Any, response: bool) -> None:
        self._connected()
        with bleak_errors():
            await attribute.write_value(bytes(data), with_response=response)
