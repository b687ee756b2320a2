"""What `firmware_notes/gatt.md` says of a sensor, held against the sensor that a client is connected to."""

from __future__ import annotations

import pytest
from bleak import BleakClient
from bleak.exc import BleakError

from sensor.protocol import (
    BATTERY_LEVEL_UUID,
    CONTROL_UUID,
    DATA_UUID,
    DEVICE_INFORMATION_UUID,
    INFO_UUID,
    Mark,
    Marked,
    SetRange,
    SetRate,
    Start,
    encode_command,
)


def check_services(client: BleakClient) -> None:
    """Services, properties and descriptors."""
    assert DEVICE_INFORMATION_UUID in {service.uuid for service in client.services}
    found = {c.uuid: c for service in client.services for c in service.characteristics}
    assert set(found[DATA_UUID].properties) == {"notify"}
    assert set(found[CONTROL_UUID].properties) == {"read", "write"}
    assert set(found[INFO_UUID].properties) == {"read"}
    assert set(found[BATTERY_LEVEL_UUID].properties) == {"read", "notify"}
    assert [d.uuid[4:8] for d in found[DATA_UUID].descriptors] == ["2902"]


async def check_control(client: BleakClient) -> None:
    """Start and mark are taken, nonsense is refused with ATT error 0x13, value not allowed."""
    for command in (Start(), Mark(4711)):
        await client.write_gatt_char(CONTROL_UUID, encode_command(command), response=True)
    assert Marked.from_bytes(bytes(await client.read_gatt_char(CONTROL_UUID))).token == 4711
    for nonsense in (b"\xff", b"", encode_command(SetRange(3, 0)), encode_command(SetRate(5000.0))):
        with pytest.raises(BleakError, match=r"(?i)value.not.allowed"):
            await client.write_gatt_char(CONTROL_UUID, nonsense, response=True)
