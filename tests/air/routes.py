"""The two routes from a radio source to virtual sensors, so that one test may take both."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass
from typing import Protocol

from bumble.device import Device

from sensor.radio import Backends
from sensor.virtual.adapter import VirtualAdapter
from sensor.virtual.backend import backends
from sensor.virtual.process_setup import Setup
from tests.air.faults import Air
from tests.air.room import described_room, room
from tests.air.stand_in import StandIn


@dataclass(frozen=True)
class Place:
    """Where sensors are: how bleak gets there, and what may go wrong (`tests.air.room.Room`, by name)."""

    backends: Backends
    disturb: Callable[..., Awaitable[None]]


class Route(Protocol):
    """A way to virtual sensors."""

    def sensors(self, setup: Setup, count: int = 1) -> AbstractAsyncContextManager[Place]:
        """Put sensors of the same name into the air for as long as the block lasts."""
        ...

    def described(self, setup: Setup) -> AbstractAsyncContextManager[Place]:
        """Put a sensor of another maker (`tests.air.described`) there; of the setup, only the speed counts."""
        ...


class OwnBackend:
    """Route A: bleak's public face on the backend of the virtual link."""

    @asynccontextmanager
    async def sensors(self, setup: Setup, count: int = 1) -> AsyncIterator[Place]:
        """Put sensors of the same name into the air for as long as the block lasts."""
        async with room(setup, count) as (radio, faults):
            yield _place(radio, faults)

    @asynccontextmanager
    async def described(self, setup: Setup) -> AsyncIterator[Place]:
        """Put a sensor of another maker into the air for as long as the block lasts."""
        async with described_room(setup) as (radio, faults):
            yield _place(radio, faults)


def _place(radio: Device, faults: Air) -> Place:
    there = VirtualAdapter(radio, asyncio.get_running_loop().create_future())
    return Place(backends(there), faults.do)


class StockBleak:
    """Route B: bleak as it is, on a D-Bus of its own with a stand-in for the Bluetooth daemon."""

    def __init__(self, daemon: StandIn) -> None:
        self._daemon = daemon

    @asynccontextmanager
    async def sensors(self, setup: Setup, count: int = 1) -> AsyncIterator[Place]:
        """Put sensors of the same name into the air for as long as the block lasts."""
        await self._daemon.tell("furnish", setup=setup.to_json(), sensors=count)
        async with self._furnished() as place:
            yield place

    @asynccontextmanager
    async def described(self, setup: Setup) -> AsyncIterator[Place]:
        """Put a sensor of another maker into the air for as long as the block lasts."""
        await self._daemon.tell("furnish_described", setup=setup.to_json())
        async with self._furnished() as place:
            yield place

    @asynccontextmanager
    async def _furnished(self) -> AsyncIterator[Place]:
        try:
            async with bus_of_this_loop():
                yield Place(Backends(), self._disturb)
        finally:
            await self._daemon.tell("clear")

    async def _disturb(self, fault: str, **how: object) -> None:
        await self._daemon.tell("disturb", fault=fault, **how)


@asynccontextmanager
async def bus_of_this_loop() -> AsyncIterator[None]:
    """Close, at the end, the connection to the bus that bleak keeps open for each event loop."""
    from bleak.backends.bluezdbus import manager

    try:
        yield
    finally:
        held = manager._global_instances.pop(asyncio.get_running_loop(), None)
        if held is not None and held._bus is not None:
            held._bus.disconnect()
            await held._bus.wait_for_disconnect()
