"""A Bluetooth adapter on the virtual air: a `bumble` host on the controller that the sensor's process serves."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from bleak.exc import BleakBluetoothNotAvailableError, BleakBluetoothNotAvailableReason
from bumble.device import Device
from bumble.hci import Address
from bumble.transport.tcp_client import open_tcp_client_transport

from sensor.virtual.process_setup import ADAPTER_ADDRESS, LOOPBACK

# bumble logs warnings; without a handler Python would write them to stderr, into the middle of a full screen.
logging.getLogger("bumble").addHandler(logging.NullHandler())


class VirtualAdapter:
    """A host on a virtual controller that another process serves.

    Parameters
    ----------
    device
        The `bumble` host, powered.
    gone
        Done when the other process has hung up.
    """

    def __init__(self, device: Device, gone: asyncio.Future[None]) -> None:
        self.device = device
        self.gone = gone

    @property
    def is_gone(self) -> bool:
        """Whether the other process has hung up."""
        return self.gone.done()

    def check(self) -> None:
        """Raise bleak's error for a missing adapter when the other process has hung up."""
        if self.is_gone:
            raise BleakBluetoothNotAvailableError(
                "the virtual Bluetooth adapter is gone", BleakBluetoothNotAvailableReason.NO_BLUETOOTH
            )


@asynccontextmanager
async def virtual_adapter(port: int) -> AsyncIterator[VirtualAdapter]:
    """Use the virtual adapter that is served at a port of the loopback interface."""
    transport = await open_tcp_client_transport(f"{LOOPBACK}:{port}")
    gone = transport.source.terminated
    device = Device.with_hci("Rungwise", Address(ADAPTER_ADDRESS), transport.source, transport.sink)
    try:
        await device.power_on()
        yield VirtualAdapter(device, gone)
    finally:
        _forget_cancelled(device)
        await transport.close()
        await gone


def _forget_cancelled(device: Device) -> None:
    """Let go of a command that was cancelled in mid-air: bumble would fail to tell it that the transport is lost."""
    pending = device.host.pending_response
    if pending is not None and pending.done():
        device.host.pending_response = None
