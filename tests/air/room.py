"""Virtual sensors and a host's radio on one virtual air in this process, with all that may go wrong between them."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from bumble.controller import Controller
from bumble.device import Device
from bumble.hci import Address
from bumble.host import Host
from bumble.link import LocalLink
from bumble.transport.common import AsyncPipeSink

from sensor.source import SystemClock
from sensor.virtual.core import SensorCore
from sensor.virtual.device import VirtualSensor
from sensor.virtual.process import ACL_BYTES
from sensor.virtual.process_setup import ADAPTER_ADDRESS, SENSOR_ADDRESS, Setup
from tests.air.described import DescribedSensor
from tests.air.faults import Air

SECOND_ADDRESS = "F2:52:57:00:00:03"
_ADDRESSES = (SENSOR_ADDRESS, SECOND_ADDRESS)


class Room(Air):
    """Faults of the air, and those of the sensors in it."""

    def __init__(self, device: Device, sensors: list[VirtualSensor]) -> None:
        super().__init__(device)
        self._sensors = sensors

    async def restart(self) -> None:
        """Take the battery of each sensor out for a moment."""
        for sensor in self._sensors:
            await sensor.restart()

    async def run_down(self, percent: int) -> None:
        """Let the battery of each sensor fall to so much."""
        for sensor in self._sensors:
            await sensor.set_battery(percent)


@asynccontextmanager
async def room(setup: Setup, sensors: int = 1) -> AsyncIterator[tuple[Device, Room]]:
    """Furnish a room with sensors, all of the same name; yield the host's radio, powered, and the faults."""
    link = LocalLink()  # type: ignore[no-untyped-call]
    radio = _device(link, ADAPTER_ADDRESS)
    async with asyncio.TaskGroup() as tasks:
        clock = SystemClock(setup.speed)
        cores = [SensorCore(setup.feed, setup.boot_id + number) for number in range(sensors)]
        there = [
            VirtualSensor(
                _device(link, address), core, clock, tasks, faults=setup.faults, max_att_mtu=setup.max_att_mtu
            )
            for core, address in zip(cores, _ADDRESSES, strict=False)
        ]
        for sensor in there:
            await sensor.switch_on()
        await radio.power_on()
        faults = Room(radio, there)
        yield radio, faults
        await radio.stop_scanning()
        for core, sensor in zip(cores, there, strict=True):
            core.pause()
            await sensor.switch_off()


@asynccontextmanager
async def described_room(setup: Setup) -> AsyncIterator[tuple[Device, Air]]:
    """Furnish a room with a sensor of another maker (`tests.air.described`); yield as `room` does."""
    link = LocalLink()  # type: ignore[no-untyped-call]
    radio = _device(link, ADAPTER_ADDRESS)
    async with asyncio.TaskGroup() as tasks:
        sensor = DescribedSensor(_device(link, SENSOR_ADDRESS), SystemClock(setup.speed), tasks)
        await sensor.switch_on()
        await radio.power_on()
        yield radio, Air(radio)
        await radio.stop_scanning()
        await sensor.switch_off()


def _device(link: LocalLink, address: str) -> Device:
    controller = Controller(address, link=link, public_address=address)
    controller.le_acl_data_packet_length = ACL_BYTES
    return Device(name=address, address=Address(address), host=Host(controller, AsyncPipeSink(controller)))
