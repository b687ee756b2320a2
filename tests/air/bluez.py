"""A stand-in for the Linux Bluetooth daemon, in a process of its own: `python -m tests.air.bluez`.

It owns org.bluez on the bus of DBUS_SYSTEM_BUS_ADDRESS and shows one adapter. In that adapter's air are the sensors
that it is told of: those of a virtual sensor's process, by its port, or those of a room of its own. It does what bleak
3 calls, no more.
Source: BlueZ 5.66, doc/adapter-api.txt.

The parent writes one JSON object a line, `{"do": …, …}`, and reads a line for each: `ok`, or `failed WHY`; the first
one comes when the daemon is up. It ends when stdin is closed.
"""

from __future__ import annotations

import asyncio
import json
import sys
from contextlib import AsyncExitStack
from typing import Any

from bumble.device import Advertisement, Device
from dbus_fast import BusType, Message, MessageType, Variant
from dbus_fast.aio import MessageBus

from sensor.virtual.adapter import virtual_adapter
from sensor.virtual.process_setup import Setup
from tests.air.faults import Air
from tests.air.gatt_objects import FAILED
from tests.air.remote import DEVICE, Remote
from tests.air.room import described_room, room
from tests.air.tree import OBJECT_MANAGER, PROPERTIES, RefusalError, Tree

NAME = "org.bluez"
ADAPTER = "org.bluez.Adapter1"
ADAPTER_PATH = "/org/bluez/hci0"
_NOT_READY = RefusalError("org.bluez.Error.NotReady", "Resource Not Ready")


class Daemon:
    """The daemon: adapter, devices, and who scans."""

    def __init__(self, bus: MessageBus, stack: AsyncExitStack) -> None:
        self._bus = bus
        self._stack = stack
        self._tree = Tree(bus)
        self._devices: dict[str, Remote] = {}
        self._air: list[tuple[Device, Air]] = []
        self._scanners: set[str] = set()
        self._looked = asyncio.Event()
        self._silent: set[str] = set()
        self._forgetting = 0
        self._stale_mtu = False
        self._tasks: set[asyncio.Task[None]] = set()

    async def start(self) -> None:
        """Show the adapter and take the name."""
        self._tree.add(
            ADAPTER_PATH,
            ADAPTER,
            Address=Variant("s", "F0:F0:F0:F0:F0:F0"),
            Alias=Variant("s", "stand-in"),
            Powered=Variant("b", True),
            Discovering=Variant("b", False),
            Roles=Variant("as", ["central"]),
        )
        self._bus.add_message_handler(self._on_message)
        await self._bus.call(_who_leaves())
        await self._bus.request_name(NAME)

    async def take(self, port: int) -> None:
        """Let the sensor whose process serves this port be in the air."""
        adapter = await self._stack.enter_async_context(virtual_adapter(port))
        there = (adapter.device, Air(adapter.device))
        adapter.gone.add_done_callback(lambda _: self._air.remove(there) if there in self._air else None)
        await self._hear(*there)

    async def furnish(self, setup: str, sensors: int) -> None:
        """Let the sensors of a room be in the air."""
        await self._hear(*await self._stack.enter_async_context(room(Setup.from_json(setup), sensors)))

    async def furnish_described(self, setup: str) -> None:
        """Let a sensor of another maker be in the air."""
        await self._hear(*await self._stack.enter_async_context(described_room(Setup.from_json(setup))))

    async def clear(self) -> None:
        """Let the air be empty, all faults over and everything forgotten."""
        self._scanners.clear()
        await self.forget()
        self._air.clear()
        self._silent.clear()
        self._forgetting = 0
        self._stale_mtu = False
        await self._stack.aclose()

    async def disturb(self, fault: str, **how: Any) -> None:
        """Begin a fault of the air."""
        for _, air in self._air:
            await air.do(fault, **how)

    async def forget(self) -> None:
        """Drop every device, as the daemon does with those not paired some time after a scan."""
        for path in list(self._devices):
            await self._devices.pop(path).leave()
            self._tree.remove(path)

    async def forget_at_connect(self, times: int) -> None:
        """Have forgotten the device, the next times that someone wants to connect to it."""
        self._forgetting = times

    async def power(self, on: bool) -> None:
        """Switch the adapter off, which breaks its links, or on."""
        self._tree.change(ADAPTER_PATH, ADAPTER, Powered=Variant("b", on), Discovering=Variant("b", False))
        if not on:
            self._scanners.clear()
            for device, air in self._air:
                await device.stop_scanning()
                await air.lose()

    async def until_scanning(self) -> None:
        """Wait until someone has the adapter look around."""
        while not self._scanners:
            self._looked.clear()
            await self._looked.wait()

    async def silence(self, method: str) -> None:
        """Leave the next call of this method without an answer."""
        self._silent.add(method)

    async def keep_mtu_stale(self, stale: bool) -> None:
        """Show the smallest MTU on each characteristic, whatever was agreed on."""
        self._stale_mtu = stale

    async def _hear(self, device: Device, air: Air) -> None:
        self._air.append((device, air))
        device.on(device.EVENT_ADVERTISEMENT, lambda heard: self._on_heard(device, heard))
        if self._scanners:
            await device.start_scanning()

    def _on_heard(self, radio: Device, heard: Advertisement) -> None:
        if not self._scanners or not any(radio is device for device, _ in self._air):
            return  # a room that is closed may still be on its way out
        path = f"{ADAPTER_PATH}/dev_{heard.address.to_string(False).replace(':', '_')}"
        if path in self._devices:
            self._devices[path].heard(heard)
        else:
            self._devices[path] = Remote(self._bus, self._tree, radio, path, heard)

    def _on_message(self, message: Message) -> bool | None:
        if message.message_type is MessageType.SIGNAL and message.member == "NameOwnerChanged":
            name, _, owner = message.body
            if not owner:
                self._forget_client(name)
        if message.message_type is not MessageType.METHOD_CALL or not str(message.path).startswith(("/org/bluez", "/")):
            return None
        if message.interface == "org.freedesktop.DBus.Peer":
            return None
        task = asyncio.get_running_loop().create_task(self._handle(message))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
        return True

    def _forget_client(self, name: str) -> None:
        self._scanners.discard(name)
        for remote in self._devices.values():
            remote.gatt.forget_listener(name)

    async def _handle(self, call: Message) -> None:
        if call.member in self._silent:
            self._silent.discard(str(call.member))
            return
        try:
            answer = await self._answer(call)
        except RefusalError as refusal:
            self._bus.send(Message.new_error(call, refusal.name, str(refusal)))
        except Exception as error:
            self._bus.send(Message.new_error(call, FAILED, repr(error)))
        else:
            if answer is not None:
                self._bus.send(Message.new_method_return(call, *answer))

    async def _answer(self, call: Message) -> tuple[str, list[Any]] | None:
        path = str(call.path)
        if call.interface == OBJECT_MANAGER:
            return self._tree.answer(call)
        if path not in self._tree:
            raise RefusalError("org.freedesktop.DBus.Error.UnknownObject", path)
        if call.interface == PROPERTIES:
            return self._tree.answer(call)
        if not self._tree.value(ADAPTER_PATH, ADAPTER, "Powered"):
            raise _NOT_READY
        if path == ADAPTER_PATH:
            return await self._adapter(call)
        if call.member == "Connect" and self._forgetting:
            self._forgetting -= 1
            await self.forget()
            raise RefusalError("org.freedesktop.DBus.Error.UnknownObject", path)
        remote = self._devices["/".join(path.split("/")[:5])]
        remote.gatt.stale_mtu = self._stale_mtu
        return await (remote.answer(call) if call.interface == DEVICE else remote.gatt.answer(call))

    async def _adapter(self, call: Message) -> tuple[str, list[Any]]:
        match call.member:
            case "SetDiscoveryFilter":
                pass
            case "StartDiscovery":
                await self._scan(call.sender)
            case "StopDiscovery":
                await self._stop_scan(call.sender)
            case _:
                raise RefusalError("org.bluez.Error.NotSupported", str(call.member))
        return "", []

    async def _scan(self, who: str) -> None:
        if who in self._scanners:
            raise RefusalError("org.bluez.Error.InProgress", "Operation already in progress")
        self._scanners.add(who)
        self._looked.set()
        if len(self._scanners) == 1:
            for device, _ in self._air:
                await device.start_scanning()
        self._tree.change(ADAPTER_PATH, ADAPTER, Discovering=Variant("b", True))

    async def _stop_scan(self, who: str) -> None:
        if who not in self._scanners:
            raise RefusalError(FAILED, "No discovery started")
        self._scanners.discard(who)
        if not self._scanners:
            for device, _ in self._air:
                await device.stop_scanning()
            self._tree.change(ADAPTER_PATH, ADAPTER, Discovering=Variant("b", False))
            for path in self._devices:
                self._tree.change(path, DEVICE, without=["RSSI"])


def _who_leaves() -> Message:
    """Return the call by which the bus tells who leaves it (D-Bus Specification 0.43, "Message Bus Messages")."""
    bus = "org.freedesktop.DBus"
    return Message(
        destination=bus,
        path="/org/freedesktop/DBus",
        interface=bus,
        member="AddMatch",
        signature="s",
        body=[f"type='signal',sender='{bus}',member='NameOwnerChanged'"],
    )


async def _obey(daemon: Daemon) -> None:
    """Carry out what the parent writes, line by line."""
    reader = asyncio.StreamReader()
    await asyncio.get_running_loop().connect_read_pipe(lambda: asyncio.StreamReaderProtocol(reader), sys.stdin)
    _tell("ok")
    while line := await reader.readline():
        order = json.loads(line)
        try:
            await getattr(daemon, order.pop("do"))(**order)
        except Exception as error:
            _tell(f"failed {error!r}")
        else:
            _tell("ok")


def _tell(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


async def _main() -> None:
    bus = await MessageBus(bus_type=BusType.SYSTEM, negotiate_unix_fd=True).connect()
    async with AsyncExitStack() as stack:
        daemon = Daemon(bus, stack)
        await daemon.start()
        await _obey(daemon)
    bus.disconnect()


if __name__ == "__main__":
    asyncio.run(_main())
