"""Numbers of the Bluetooth SIG in the documents, the codec and the reference firmware; the specification beside each.

Assigned Numbers: 3.4.2 services, 3.8.1 characteristics, 3.7 descriptors (numbers and sections from memory).
"""

import ast
import re

import pytest
from interpreters import NOTES

from firmware_notes.reference import packet
from sensor import protocol

GATT = (NOTES / "gatt.md").read_text(encoding="utf-8")
RADIO = ast.parse((NOTES / "reference" / "radio.py").read_text(encoding="utf-8"))
BATTERY_SERVICE, BATTERY_LEVEL, DEVICE_INFORMATION, CCCD = 0x180F, 0x2A19, 0x180A, 0x2902
MAKER, MODEL, FIRMWARE = 0x2A29, 0x2A24, 0x2A26


def sig(number):
    """The 128-bit form of a number of the SIG (Core Specification, Vol 3, Part B, 2.5.1)."""
    return f"{number:08x}-0000-1000-8000-00805f9b34fb"


def constants():
    """What the firmware's radio names at its top."""
    found = {}
    for node in RADIO.body:
        if isinstance(node, ast.Assign):
            (target,), value = node.targets, ast.literal_eval(node.value)
            names, values = (target.elts, value) if isinstance(target, ast.Tuple) else ([target], [value])
            found |= {name.id: one for name, one in zip(names, values, strict=True)}
    return found


def test_services_and_characteristics():
    assert sig(BATTERY_SERVICE) == protocol.BATTERY_SERVICE_UUID
    assert sig(BATTERY_LEVEL) == protocol.BATTERY_LEVEL_UUID
    assert sig(DEVICE_INFORMATION) == protocol.DEVICE_INFORMATION_UUID
    named = constants()
    assert (named["_BATTERY_SERVICE"], named["_BATTERY_LEVEL"]) == (BATTERY_SERVICE, BATTERY_LEVEL)
    assert named["_DEVICE_INFORMATION"] == DEVICE_INFORMATION
    assert (named["_MAKER"], named["_MODEL"], named["_FIRMWARE"]) == (MAKER, MODEL, FIRMWARE)
    for number in (BATTERY_SERVICE, BATTERY_LEVEL, DEVICE_INFORMATION):
        assert sig(number) in GATT


def test_properties():
    # Characteristic properties: read 0x02, write 0x08, notify 0x10 (Core Specification, Vol 3, Part G, 3.3.1.1).
    named = constants()
    assert (named["_READ"], named["_WRITE"], named["_NOTIFY"]) == (0x02, 0x08, 0x10)


def test_client_characteristic_configuration():
    assert f"0x{CCCD:04x}" in GATT
    assert f"0x{CCCD:04x}" in (NOTES / "reference" / "radio.py").read_text(encoding="utf-8")


def test_own_uuids_are_the_codecs():
    for name in ("SERVICE_UUID", "DATA_UUID", "CONTROL_UUID", "INFO_UUID"):
        assert getattr(packet, name) == getattr(protocol, name)


def test_att_limits():
    # Default and least ATT_MTU over LE: 23 (Core Specification, Vol 3, Part G, 5.2.1). Longest attribute value: 512
    # (Part F, 3.2.9). A notification holds ATT_MTU − 3 bytes (Part F, 3.4.7.1).
    assert protocol.ATT_MTU_MIN == packet.ATT_MTU_MIN == 23
    assert protocol.ATT_VALUE_MAX == packet.ATT_VALUE_MAX == 512
    for mtu in range(23, 600):
        for axes in (3, 6):
            size = packet.header_bytes(packet.layout_for(mtu)) + packet.max_samples(mtu, axes) * axes * 2
            assert size <= min(mtu - 3, 512) < size + axes * 2
            assert packet.max_samples(mtu, axes) == protocol.max_samples(mtu, axes)
    with pytest.raises(protocol.ProtocolError):
        protocol.max_samples(22, 6)


def test_intervals_and_advertising():
    # A connection interval is a multiple of 1.25 ms from 7.5 ms to 4 s (Vol 6, Part B, 4.5.1), so is what is wished;
    # advertising intervals are multiples of 0.625 ms from 20 ms on (Vol 6, Part B, 4.4.2.2).
    least, most = constants()["WISHED_INTERVAL_MS"]
    assert (least * 100 % 125, most * 100 % 125) == (0, 0)
    assert 7.5 <= least <= most <= 4000
    for us in (constants()["QUICK_US"], constants()["SLOW_US"]):
        assert us % 625 == 0
        assert us >= 20_000
    assert re.search(r"interval of 15 to 30 ms", GATT)
