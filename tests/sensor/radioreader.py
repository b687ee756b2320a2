"""Reads a radio source on a clock that stands still."""

from __future__ import annotations

import asyncio

from fakeradio import FakeRadio
from stepclock import StepClock

from sensor.radio import RadioSettings, RadioSource
from sensor.source import Arrival, Channel

STALL_S = 4.0
SETTINGS = RadioSettings(stall_s=STALL_S, io_s=0.05, gather_s=0)


class Reader:
    """Reads a source in the background, so that a test can look at what has come so far."""

    def __init__(self, source: RadioSource) -> None:
        self.arrivals: list[Arrival] = []
        self._task = asyncio.create_task(self._read(source))

    async def _read(self, source: RadioSource) -> None:
        async for arrival in source:
            self.arrivals.append(arrival)

    async def ended(self) -> None:
        await self._task

    def stop(self) -> None:
        self._task.cancel()

    @property
    def links(self) -> list[str]:
        return [a.payload.decode() for a in self.arrivals if a.channel is Channel.LINK]

    @property
    def batteries(self) -> list[bytes]:
        return [a.payload for a in self.arrivals if a.channel is Channel.BATTERY]

    @property
    def data(self) -> list[bytes]:
        return [a.payload for a in self.arrivals if a.channel is Channel.DATA]


async def read_all(source: RadioSource) -> None:
    async with source:
        async for _ in source:
            pass


async def run_for(radio: FakeRadio, duration_s: float, settings: RadioSettings = SETTINGS) -> Reader:
    """Run a source for a while of its clock, then close it."""
    clock = StepClock()
    async with RadioSource(clock, settings, radio.backends()) as source:
        reader = Reader(source)
        await clock.advance(duration_s)
    reader.stop()
    return reader
