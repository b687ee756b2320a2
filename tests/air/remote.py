"""A sensor in range as org.bluez.Device1. Source: BlueZ 5.66, doc/device-api.txt."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import Any

from bumble.core import AdvertisingData, BaseBumbleError
from bumble.device import Advertisement, Connection, Device
from dbus_fast import Message, Variant
from dbus_fast.aio import MessageBus

from tests.air.gatt_objects import FAILED, GattObjects, uuid_text
from tests.air.tree import RefusalError, Tree

DEVICE = "org.bluez.Device1"


class Remote:
    """One device that was heard.

    Parameters
    ----------
    radio
        The bumble host that heard it.
    path
        Where the object lies.
    """

    def __init__(self, bus: MessageBus, tree: Tree, radio: Device, path: str, heard: Advertisement) -> None:
        self._tree = tree
        self._radio = radio
        self._address = heard.address
        self._link: Connection | None = None
        self._connecting: asyncio.Task[Connection] | None = None
        self._resolving: asyncio.Task[None] | None = None
        self.path = path
        self.gatt = GattObjects(bus, tree, path)
        name, address = heard.data.get(AdvertisingData.COMPLETE_LOCAL_NAME), heard.address.to_string(False)
        uuids = heard.data.get_all(AdvertisingData.COMPLETE_LIST_OF_128_BIT_SERVICE_CLASS_UUIDS)
        values = {
            "Address": Variant("s", address),
            "AddressType": Variant("s", "random"),
            "Adapter": Variant("o", path.rpartition("/")[0]),
            "Alias": Variant("s", str(name or address.replace(":", "-"))),
            "UUIDs": Variant("as", [uuid_text(uuid) for found in uuids for uuid in found]),
            "RSSI": Variant("n", heard.rssi),
        }
        states = {"Paired", "Trusted", "Blocked", "LegacyPairing", "Connected", "ServicesResolved"}
        values |= {state: Variant("b", False) for state in states} | ({"Name": Variant("s", str(name))} if name else {})
        tree.add(path, DEVICE, **values)

    def heard(self, heard: Advertisement) -> None:
        """Take note of another advertisement."""
        self._tree.change(self.path, DEVICE, RSSI=Variant("n", heard.rssi))

    async def answer(self, call: Message) -> tuple[str, list[Any]]:
        """Answer a method of the device."""
        match call.member:
            case "Connect":
                await self._connect()
            case "Disconnect":
                await self.disconnect()
            case _:
                raise RefusalError("org.bluez.Error.NotSupported", str(call.member))
        return "", []

    async def disconnect(self) -> None:
        """Break the link, or the attempt to make one; without either it is an error."""
        if self._connecting is not None:
            self._connecting.cancel()
        elif self._link is not None:
            await self._link.disconnect()
        else:
            raise RefusalError("org.bluez.Error.NotConnected", "Not Connected")

    async def leave(self) -> None:
        """Break the link, if there is one: the object goes away."""
        with suppress(RefusalError):
            await self.disconnect()

    async def _connect(self) -> None:
        if self._connecting is not None:
            raise RefusalError("org.bluez.Error.InProgress", "Operation already in progress")
        self._connecting = asyncio.create_task(self._radio.connect(self._address))
        try:
            self._link = await self._connecting
        except (BaseBumbleError, TimeoutError) as error:
            raise RefusalError(FAILED, "le-connection-abort-by-remote") from error
        except asyncio.CancelledError:
            raise RefusalError(FAILED, "le-connection-abort-by-peer") from None
        finally:
            self._connecting = None
        self._link.on(Connection.EVENT_DISCONNECTION, self._on_disconnection)
        self._tree.change(self.path, DEVICE, Connected=Variant("b", True))
        self._resolving = asyncio.create_task(self._resolve(self._link))

    async def _resolve(self, link: Connection) -> None:
        try:
            await self.gatt.resolve(link)
        except (BaseBumbleError, asyncio.CancelledError, RefusalError):
            return  # the link went meanwhile, which is told by itself
        self._tree.change(self.path, DEVICE, ServicesResolved=Variant("b", True))

    def _on_disconnection(self, _reason: int) -> None:
        self._link = None
        self.gatt.link_lost()
        self._tree.change(self.path, DEVICE, ServicesResolved=Variant("b", False))
        self._tree.change(self.path, DEVICE, Connected=Variant("b", False))
