"""The bytes of packet.md, the device's side; pure.

The same file runs on the board (MicroPython), and in the tests on MicroPython's unix port and on CPython, where it is
held byte for byte against the vectors of packet.md. Hence no numpy, no classes of `struct`, and whole numbers only:
floats have 32 bits on most boards. What is called *samples* is bytes as they go on the air, int16 little-endian,
x y z of the accelerometer, then x y z of the gyro.
"""

import struct

PROTOCOL_VERSION = 1
SERVICE_UUID = "6b5e0001-b708-40f3-ad48-2b28ebde7bbf"
DATA_UUID = "6b5e0002-b708-40f3-ad48-2b28ebde7bbf"
CONTROL_UUID = "6b5e0003-b708-40f3-ad48-2b28ebde7bbf"
INFO_UUID = "6b5e0004-b708-40f3-ad48-2b28ebde7bbf"

SIX_AXES = 0x20
CAN_RESEND = 0x01

SATURATED = 0x01
DROPPED = 0x02
RESTARTED = 0x04
RESENT = 0x08

SMALL = 0
LARGE = 1
LARGE_FROM_MTU = 64

START = 1
STOP = 2
SET_RATE = 3
SET_RANGE = 4
RESEND = 5
MARK = 6
_FORMS = {START: "<B", STOP: "<B", SET_RATE: "<BI", SET_RANGE: "<BHH", RESEND: "<BIH", MARK: "<BH"}

ATT_MTU_MIN = 23
ATT_VALUE_MAX = 512
"""Longest attribute value (Bluetooth Core Specification, Vol 3, Part F, 3.2.9)."""
NOTIFICATION_HEADER = 3
"""Opcode and handle of a notification (Vol 3, Part F, 3.4.7.1)."""

AD_FLAGS = 0x01
AD_UUIDS_128 = 0x07
AD_NAME = 0x09
AD_INTERVAL = 0x12
"""Types of advertising data (Assigned Numbers, 2.3): flags, all 128-bit service UUIDs, name, connection interval."""


def layout_for(att_mtu: int) -> int:
    """Return the layout to use at an ATT MTU."""
    return LARGE if att_mtu >= LARGE_FROM_MTU else SMALL


def header_bytes(layout: int) -> int:
    """Return the length of a packet's header."""
    return 10 if layout == LARGE else 8


def max_samples(att_mtu: int, axes: int) -> int:
    """Return how many samples fit into one notification at an ATT MTU (23 or more)."""
    room = min(att_mtu - NOTIFICATION_HEADER, ATT_VALUE_MAX) - header_bytes(layout_for(att_mtu))
    return room // (2 * axes)


def put_header(out: bytearray, layout: int, flags: int, boot_id: int, index: int, device_us: int, axes: int) -> int:
    """Write a packet's header to the start of `out`; return its length.

    `index` (of the first sample) and `device_us` (its time, µs) may be of any size; what does not fit wraps.
    """
    head = layout << 6 | (SIX_AXES if axes == 6 else 0) | flags
    if layout == LARGE:
        struct.pack_into("<BBII", out, 0, head, boot_id & 0xFF, index & 0xFFFFFFFF, device_us & 0xFFFFFFFF)
    else:
        ticks = device_us % (1 << 22) // 64
        struct.pack_into("<BBIH", out, 0, head, boot_id & 0xFF, index & 0xFFFFFFFF, ticks)
    return header_bytes(layout)


def saturated(samples: bytes | bytearray) -> bool:
    """Say whether a count stands at an end of 16 bits."""
    counts = struct.unpack("<%dh" % (len(samples) // 2), samples)
    return bool(max(counts) == 32767 or min(counts) == -32768)


def information(
    boot_id: int, rate_millihz: int, ranges: tuple[int, int], ring_samples: int, bits: int, firmware: tuple[int, int]
) -> bytes:
    """Return the information characteristic.

    Parameters
    ----------
    ranges
        ± g and ± degrees a second that 16 bits stand for (0: no gyro).
    ring_samples
        Samples kept for `Resend`; 65535 stands for that many or more.
    bits
        `SIX_AXES`, `CAN_RESEND`.
    """
    # Exact in 32-bit floats: a range is a whole number with few digits, and it is divided by a power of two.
    force, turn = ranges[0] / 32768, ranges[1] / 32768
    ring = min(ring_samples, 65535)
    numbers = (PROTOCOL_VERSION, bits, boot_id, rate_millihz, force, turn, ring)
    return struct.pack("<BBIIffHBB", *numbers, firmware[0], firmware[1])


def mark(token: int, next_index: int, device_us: int) -> bytes:
    """Return what the control characteristic reads after `Mark`."""
    return struct.pack("<HII", token, next_index & 0xFFFFFFFF, device_us & 0xFFFFFFFF)


def command(payload: bytes) -> tuple[int, ...] | None:
    """Return opcode and arguments of what was written to the control characteristic; None if it is no command."""
    form = _FORMS.get(payload[0]) if len(payload) else None
    if form is None or len(payload) != struct.calcsize(form):
        return None
    return tuple(struct.unpack(form, payload))


def uuid_bytes(uuid: str) -> bytes:
    """Return a UUID as it goes on the air: the last byte first."""
    digits = uuid.replace("-", "")
    return bytes(int(digits[k : k + 2], 16) for k in range(30, -2, -2))


def advertisement() -> bytes:
    """Return the advertising data: general discoverable, no BR/EDR, our service."""
    return _field(AD_FLAGS, b"\x06") + _field(AD_UUIDS_128, uuid_bytes(SERVICE_UUID))


def scan_response(name: str, interval_ms: tuple[int, int]) -> bytes:
    """Return the scan response: the name, and the connection interval that suits (least and most, ms)."""
    steps = struct.pack("<HH", interval_ms[0] * 4 // 5, interval_ms[1] * 4 // 5)
    room = 31 - 2 - len(steps) - 2
    return _field(AD_INTERVAL, steps) + _field(AD_NAME, name.encode()[:room])


def _field(kind: int, value: bytes) -> bytes:
    return bytes((len(value) + 1, kind)) + value
