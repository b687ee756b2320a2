"""What a sensor says of itself: connect, read, let go. For lists and checks; a session uses `sensor.radio`."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from dataclasses import dataclass

from bleak import BleakClient
from bleak.backends.device import BLEDevice

from sensor.protocol import FIRMWARE_REVISION_UUID, INFO_UUID, Info, ProtocolError
from sensor.radio_errors import FAILURES
from sensor.radio_search import Backends
from sensor.radio_sort import Sort
from sensor.radio_words import printable

VISIT_S = 8.0
"""Longest time for one visit, real seconds: connecting takes a second or two where the signal is good."""


@dataclass(frozen=True, slots=True)
class Card:
    """What a sensor says of itself; None where it does not.

    Attributes
    ----------
    battery
        Percent.
    firmware
        Of the standard Device Information service, else of the information characteristic.
    """

    info: Info | None = None
    battery: int | None = None
    firmware: str | None = None


async def visit(device: BLEDevice, backends: Backends | None = None, sort: Sort | None = None) -> Card:
    """Return what a sensor says of itself; nothing of it where it cannot be reached."""
    client = BleakClient(device, timeout=VISIT_S, backend=(backends or Backends()).client)
    card = Card()
    with suppress(*FAILURES):
        try:
            async with asyncio.timeout(VISIT_S):
                await client.connect()
                card = await _read(client, sort or Sort())
        finally:
            await asyncio.wait_for(client.disconnect(), VISIT_S)
    return card


async def _read(client: BleakClient, sort: Sort) -> Card:
    info = b"" if sort.info else await _value(client, INFO_UUID)
    level = await _value(client, sort.battery)
    revision = await _value(client, FIRMWARE_REVISION_UUID)
    said = None
    with suppress(ProtocolError):
        said = Info.from_bytes(info) if info else None
    firmware = printable(revision.decode("utf-8", "replace")).strip()
    return Card(
        info=sort.info or said,
        battery=level[0] if level else None,
        firmware=firmware or (".".join(map(str, said.firmware)) if said else None),
    )


async def _value(client: BleakClient, uuid: str) -> bytes:
    """Return a characteristic's value, empty where the sensor has none."""
    try:
        return bytes(await client.read_gatt_char(uuid))
    except FAILURES:
        return b""
