"""A sensor's battery level while it is connected: notified where it can be, read now and then where not."""

from __future__ import annotations

import asyncio
import math
from collections.abc import Callable
from contextlib import suppress

from bleak import BleakClient
from bleak.backends.characteristic import BleakGATTCharacteristic

from sensor.radio_errors import FAILURES
from sensor.radio_search import RadioSettings
from sensor.source import HostClock

PAUSE_S = 1.0
"""A level does not change more often, whatever a sensor says: what comes sooner is passed over (clock seconds)."""


async def follow_battery(
    client: BleakClient, clock: HostClock, settings: RadioSettings, tell: Callable[[bytes], None]
) -> None:
    """Tell each new level until cancelled."""
    with suppress(*FAILURES):
        level = client.services.get_characteristic(settings.sort.battery)
        if level is not None and "notify" in level.properties:
            async with asyncio.timeout(settings.io_s):
                await client.start_notify(level, _seldom(clock, tell))
            return
    while True:
        await clock.sleep(settings.battery_s)
        with suppress(*FAILURES):
            async with asyncio.timeout(settings.io_s):
                value = await client.read_gatt_char(settings.sort.battery)
            tell(bytes(value))


def _seldom(clock: HostClock, tell: Callable[[bytes], None]) -> Callable[[BleakGATTCharacteristic, bytearray], None]:
    """Return a callback that tells what comes, but not more often than `PAUSE_S` allows."""
    again_s = -math.inf

    def on_level(_characteristic: BleakGATTCharacteristic, payload: bytearray) -> None:
        nonlocal again_s
        if clock.now_s() >= again_s:
            again_s = clock.now_s() + PAUSE_S
            tell(bytes(payload))

    return on_level
