"""`firmware_notes/gatt.md` names the same attributes as the codec."""

import re
import uuid
from pathlib import Path

from sensor import protocol

TEXT = (Path(__file__).parents[2] / "firmware_notes" / "gatt.md").read_text(encoding="utf-8")
ROWS = dict(re.findall(r"^\| ([^|]+?) \| ([0-9a-f-]{36}) \|", TEXT, re.MULTILINE))


def test_uuids_are_those_of_the_codec():
    assert ROWS == {
        "motion service": protocol.SERVICE_UUID,
        "data": protocol.DATA_UUID,
        "control": protocol.CONTROL_UUID,
        "information": protocol.INFO_UUID,
        "battery service": protocol.BATTERY_SERVICE_UUID,
        "battery level": protocol.BATTERY_LEVEL_UUID,
        "device information": protocol.DEVICE_INFORMATION_UUID,
    }


def test_own_base_is_a_random_uuid_and_the_rest_is_the_sig_base():
    # Random: RFC 9562, version 4. SIG base: Bluetooth Core Specification, Vol 3, Part B, 2.5.1.
    own = [uuid.UUID(u) for u in (protocol.SERVICE_UUID, protocol.DATA_UUID, protocol.CONTROL_UUID, protocol.INFO_UUID)]
    assert {u.version for u in own} == {4}
    assert len({u.bytes[4:] for u in own}) == 1
    sig = (protocol.BATTERY_SERVICE_UUID, protocol.BATTERY_LEVEL_UUID, protocol.DEVICE_INFORMATION_UUID)
    assert [u[4:8] for u in sig] == ["180f", "2a19", "180a"]
    assert {u[8:] for u in sig} == {"-0000-1000-8000-00805f9b34fb"}
