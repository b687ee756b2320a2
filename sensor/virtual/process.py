"""The virtual sensor in a process of its own: `python -m sensor.virtual.process`.

Two virtual controllers share one virtual air. The sensor's host sits on one of them; the other one is free, and its
HCI is served on a port of the loopback interface, for whoever wants a Bluetooth adapter.

The parent writes one line of JSON (`process_setup.Setup`) to stdin and reads one line from stdout: `ready PORT`, or
`failed WHY`. The process ends when the motion is over, when its one client hangs up, or when stdin is closed.
"""

from __future__ import annotations

import asyncio
import os
import sys
import threading
from contextlib import suppress

from bumble.controller import Controller
from bumble.device import Device
from bumble.hci import Address
from bumble.host import Host
from bumble.link import LocalLink
from bumble.transport.common import AsyncPipeSink, StreamPacketSource

from sensor.source import SystemClock
from sensor.virtual.core import SensorCore
from sensor.virtual.device import VirtualSensor
from sensor.virtual.process_setup import ADAPTER_ADDRESS, LOOPBACK, Setup

ACL_BYTES = 251
"""Longest data packet of the virtual controllers, so that a notification needs no more than a few fragments."""
TURN_S = 0.01


class HciPort:
    """A free virtual controller whose HCI one TCP client may use.

    Attributes
    ----------
    over
        Set when the client has hung up.
    """

    def __init__(self, link: LocalLink) -> None:
        self.over = asyncio.Event()
        self._writer: asyncio.StreamWriter | None = None
        self._source = StreamPacketSource()
        controller = Controller(
            "adapter", host_source=self._source, host_sink=self, link=link, public_address=ADAPTER_ADDRESS
        )
        controller.le_acl_data_packet_length = ACL_BYTES

    def on_packet(self, packet: bytes) -> None:
        """Pass a packet of the controller on to the client."""
        if self._writer is not None:
            self._writer.write(packet)

    async def serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """Pass the client's packets on to the controller, until it hangs up."""
        self._writer = writer
        with suppress(ConnectionError):
            while data := await reader.read(1 << 16):
                self._source.data_received(data)
        self.over.set()

    async def hang_up(self) -> None:
        """Close the connection when what is on its way through the controllers (some turns of the loop) is written."""
        await asyncio.sleep(TURN_S)
        if self._writer is not None:
            self._writer.close()
            with suppress(ConnectionError):
                await self._writer.wait_closed()


def main() -> int:
    """Run one virtual sensor; return the exit status."""
    setup = Setup.from_json(sys.stdin.readline())
    try:
        core = SensorCore(setup.feed, setup.boot_id)
    except (ValueError, OSError) as error:
        _tell(f"failed {error}")
        return 2
    asyncio.run(_run(setup, core))
    return 0


async def _run(setup: Setup, core: SensorCore) -> None:
    link = LocalLink()  # type: ignore[no-untyped-call]
    port = HciPort(link)
    _watch_parent(asyncio.get_running_loop(), port.over)
    server = await asyncio.start_server(port.serve, LOOPBACK, 0)
    async with server, asyncio.TaskGroup() as tasks:
        clock = SystemClock(setup.speed)
        sensor = VirtualSensor(
            _device(link, setup.address),
            core,
            clock,
            tasks,
            faults=setup.faults,
            max_att_mtu=setup.max_att_mtu,
            private=setup.private,
        )
        await sensor.switch_on()
        _tell(f"ready {server.sockets[0].getsockname()[1]}")
        await _first_of(sensor.gone, port.over)
        core.pause()
        await port.hang_up()


def _device(link: LocalLink, address: str) -> Device:
    controller = Controller("sensor", link=link, public_address=address)
    controller.le_acl_data_packet_length = ACL_BYTES
    host = Host(controller, AsyncPipeSink(controller))
    return Device(name="sensor", address=Address(address), host=host)


async def _first_of(*events: asyncio.Event) -> None:
    waiting = [asyncio.create_task(event.wait()) for event in events]
    await asyncio.wait(waiting, return_when=asyncio.FIRST_COMPLETED)
    for task in waiting:
        task.cancel()


def _watch_parent(loop: asyncio.AbstractEventLoop, over: asyncio.Event) -> None:
    """Set `over` when stdin is closed: however the parent dies, this process does not outlive it.

    The thread reads the bare descriptor: a thread inside Python's buffered stdin would block the interpreter's exit.
    """

    def wait() -> None:
        while os.read(0, 1024):
            pass
        with suppress(RuntimeError):  # the loop has ended by itself
            loop.call_soon_threadsafe(over.set)

    threading.Thread(target=wait, daemon=True).start()


def _tell(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
