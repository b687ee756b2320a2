"""A sensor's services as objects below its org.bluez.Device1: what bleak reads, writes and subscribes to.

Source: BlueZ 5.66, doc/gatt-api.txt; errors: src/gatt-client.c, `create_gatt_dbus_error`.
"""

from __future__ import annotations

import asyncio
import os
import socket
from collections import defaultdict
from collections.abc import Awaitable
from functools import partial
from typing import Any
from uuid import UUID

from bumble import att, core
from bumble.device import Connection, Peer
from bumble.gatt_client import CharacteristicProxy, ServiceProxy
from dbus_fast import Message, MessageType, Variant
from dbus_fast.aio import MessageBus

from tests.air.tree import RefusalError, Tree

SERVICE, CHARACTERISTIC, DESCRIPTOR = (f"org.bluez.Gatt{kind}1" for kind in ("Service", "Characteristic", "Descriptor"))
FAILED = "org.bluez.Error.Failed"
_KEPT_BACK = {"1800", "1801"}
"""Generic Access and Generic Attribute: the daemon does not show them to others."""
_FLAGS = {1: "broadcast", 2: "read", 4: "write-without-response", 8: "write", 16: "notify", 32: "indicate"}
_LARGEST_MTU = 517


class GattObjects:
    """The GATT objects of one device, and who listens to what.

    As in BlueZ, who has subscribed stays subscribed when the link is lost, until it leaves the bus: on the next link it
    is served again, and every listener makes a signal of its own (github.com/bluez/bluez issues, "duplicate
    notifications after reconnection"; reproduced on BlueZ 5.66).
    """

    def __init__(self, bus: MessageBus, tree: Tree, device_path: str) -> None:
        self._bus = bus
        self._tree = tree
        self._device_path = device_path
        self._found: dict[str, Any] = {}
        self._listeners: defaultdict[str, set[str]] = defaultdict(set)
        self._sockets: dict[str, socket.socket] = {}
        self.stale_mtu = False

    async def resolve(self, link: Connection) -> None:
        """Discover everything on a new link and show it; serve again who listened before."""
        peer = Peer(link)
        mtu = await peer.request_mtu(_LARGEST_MTU)
        self._found.clear()
        for service in await peer.discover_services():
            if uuid_text(service.uuid)[4:8] not in _KEPT_BACK:
                await self._show(peer, service, 23 if self.stale_mtu else mtu)
        for path, listeners in list(self._listeners.items()):
            if listeners and path in self._found:
                await self._subscribe(path)

    def link_lost(self) -> None:
        """Take note that nothing can be reached any more."""
        self._found.clear()
        for path in list(self._sockets):
            self._close(path)

    def forget_listener(self, name: str) -> None:
        """Drop whoever has left the bus."""
        for listeners in self._listeners.values():
            listeners.discard(name)

    async def answer(self, call: Message) -> tuple[str, list[Any]] | None:
        """Answer a call to one of the objects; None: it was answered here."""
        found = self._found.get(call.path)
        if found is None:
            raise RefusalError(FAILED, "Not connected")
        match call.member:
            case "ReadValue":
                value = bytes(await _on_air(found.read_value()))
                if isinstance(found, CharacteristicProxy):
                    self._tree.change(call.path, CHARACTERISTIC, Value=Variant("ay", value))
                return "ay", [value]
            case "WriteValue":
                kind = call.body[1].get("type", Variant("s", "request")).value
                await _on_air(found.write_value(bytes(call.body[0]), with_response=kind == "request"))
            case "StartNotify":
                await self._start_notify(call)
            case "StopNotify":
                self._listeners[call.path].discard(call.sender)
                self._tree.change(call.path, CHARACTERISTIC, Notifying=Variant("b", False))
            case "AcquireNotify":
                return await self._acquire_notify(call, found)
            case _:
                raise RefusalError("org.bluez.Error.NotSupported", str(call.member))
        return "", []

    async def _show(self, peer: Peer, service: ServiceProxy, mtu: int) -> None:
        at = f"{self._device_path}/service{service.handle:04x}"
        uuid, device = Variant("s", uuid_text(service.uuid)), Variant("o", self._device_path)
        self._tree.add(at, SERVICE, UUID=uuid, Device=device, Primary=Variant("b", True))
        for found in await peer.discover_characteristics(service=service):
            path = f"{at}/char{found.handle - 1:04x}"
            self._found[path] = found
            self._show_characteristic(path, at, found, mtu)
            for below in await peer.discover_descriptors(found):
                under = f"{path}/desc{below.handle:04x}"
                self._found[under] = below
                kind, of = Variant("s", uuid_text(below.type)), Variant("o", path)
                self._tree.add(under, DESCRIPTOR, UUID=kind, Characteristic=of, Value=Variant("ay", b""))

    def _show_characteristic(self, path: str, service: str, found: CharacteristicProxy[bytes], mtu: int) -> None:
        flags = [name for bit, name in _FLAGS.items() if int(found.properties) & bit]
        values = {
            "UUID": Variant("s", uuid_text(found.uuid)),
            "Service": Variant("o", service),
            "Value": Variant("ay", b""),
            "Flags": Variant("as", flags),
            "MTU": Variant("q", mtu),
        }
        if "notify" in flags:
            values |= {"Notifying": Variant("b", False), "NotifyAcquired": Variant("b", False)}
        self._tree.add(path, CHARACTERISTIC, **values)

    async def _start_notify(self, call: Message) -> None:
        if call.path in self._sockets:
            raise RefusalError("org.bluez.Error.NotPermitted", "Notify acquired")
        if call.sender in self._listeners[call.path]:
            raise RefusalError("org.bluez.Error.InProgress", "Already notifying")
        self._listeners[call.path].add(call.sender)
        if len(self._listeners[call.path]) == 1:
            await self._subscribe(call.path)
        self._tree.change(call.path, CHARACTERISTIC, Notifying=Variant("b", True))

    async def _subscribe(self, path: str) -> None:
        def tell(value: bytes) -> None:
            for _ in self._listeners[path]:
                self._tree.change(path, CHARACTERISTIC, Value=Variant("ay", bytes(value)))

        await _on_air(self._found[path].subscribe(tell))

    async def _acquire_notify(self, call: Message, found: CharacteristicProxy[bytes]) -> None:
        ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        ours.setblocking(False)
        self._sockets[call.path] = ours

        def tell(value: bytes) -> None:
            if call.path in self._sockets:
                ours.send(bytes(value))

        asyncio.get_running_loop().add_reader(ours.fileno(), partial(self._close, call.path))
        await _on_air(found.subscribe(tell))
        self._tree.change(call.path, CHARACTERISTIC, NotifyAcquired=Variant("b", True))
        mtu = self._tree.value(call.path, CHARACTERISTIC, "MTU")
        handle = os.dup(theirs.fileno())
        theirs.close()
        await self._bus.send(
            Message(
                message_type=MessageType.METHOD_RETURN,
                reply_serial=call.serial,
                destination=call.sender,
                signature="hq",
                body=[0, mtu],
                unix_fds=[handle],
            )
        )
        os.close(handle)  # only then can it be seen that the other side closes its own

    def _close(self, path: str) -> None:
        ours = self._sockets.pop(path)
        asyncio.get_running_loop().remove_reader(ours.fileno())
        ours.close()
        self._tree.change(path, CHARACTERISTIC, NotifyAcquired=Variant("b", False))


async def _on_air(operation: Awaitable[Any]) -> Any:
    """Carry out a GATT operation; what fails fails as the daemon says it.

    When the link goes, bumble cancels what an operation waits for: not this task.
    """
    try:
        return await operation
    except att.ATT_Error as error:
        raise RefusalError(FAILED, f"Operation failed with ATT error: 0x{error.error_code:02x}") from error
    except (asyncio.CancelledError, core.BaseBumbleError) as error:
        raise RefusalError(FAILED, "Not connected") from error


def uuid_text(uuid: core.UUID) -> str:
    """Return a UUID of any length as 128 bits in the usual notation."""
    return str(UUID(bytes=bytes(uuid.to_bytes(force_128=True))[::-1]))
