"""The wire format: bytes of the sensor's characteristics to frozen values and back; sans-I/O.

`firmware_notes/packet.md` is the specification, with byte tables and hex vectors that a test holds against this module.
All numbers are little-endian. Whatever comes in, decoding either succeeds or raises :class:`ProtocolError`.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field, replace
from enum import IntEnum, IntFlag

import numpy as np
from numpy.typing import NDArray

from sensor.control import (
    Command,
    Mark,
    Marked,
    Resend,
    SetRange,
    SetRate,
    Start,
    Stop,
    decode_command,
    encode_command,
)
from sensor.info import PROTOCOL_VERSION, STANDARD_GRAVITY_M_S2, Info, InfoFlags
from sensor.wire import SIX_AXES, ProtocolError, check, pack

__all__ = [
    "BATTERY_LEVEL_UUID",
    "BATTERY_SERVICE_UUID",
    "CONTROL_UUID",
    "DATA_UUID",
    "DEVICE_INFORMATION_UUID",
    "FIRMWARE_REVISION_UUID",
    "INFO_UUID",
    "PROTOCOL_VERSION",
    "SERVICE_UUID",
    "STANDARD_GRAVITY_M_S2",
    "Command",
    "Info",
    "InfoFlags",
    "Layout",
    "Mark",
    "Marked",
    "Packet",
    "PacketFlags",
    "ProtocolError",
    "Resend",
    "SetRange",
    "SetRate",
    "Start",
    "Stop",
    "decode",
    "decode_command",
    "encode",
    "encode_command",
    "layout_for",
    "max_samples",
    "unwrap",
]

SERVICE_UUID = "6b5e0001-b708-40f3-ad48-2b28ebde7bbf"
DATA_UUID = "6b5e0002-b708-40f3-ad48-2b28ebde7bbf"
CONTROL_UUID = "6b5e0003-b708-40f3-ad48-2b28ebde7bbf"
INFO_UUID = "6b5e0004-b708-40f3-ad48-2b28ebde7bbf"
# Bluetooth SIG assigned numbers: Battery Service, Battery Level, Device Information Service.
BATTERY_SERVICE_UUID = "0000180f-0000-1000-8000-00805f9b34fb"
BATTERY_LEVEL_UUID = "00002a19-0000-1000-8000-00805f9b34fb"
DEVICE_INFORMATION_UUID = "0000180a-0000-1000-8000-00805f9b34fb"
FIRMWARE_REVISION_UUID = "00002a26-0000-1000-8000-00805f9b34fb"

ATT_MTU_MIN = 23
ATT_VALUE_MAX = 512
"""Longest attribute value (Bluetooth Core Specification, Vol 3, Part F, 3.2.9)."""
_LARGE_FROM_MTU = 64


class PacketFlags(IntFlag):
    """What the device has to say about one packet."""

    NONE = 0
    SATURATED = 1
    """A sample stands at the end of its range, or passed it (overflow)."""
    DROPPED = 2
    """Samples before this packet were never sent, because the send queue was full."""
    RESTARTED = 4
    """First packet of a boot id."""
    RESENT = 8
    """Answer to `Resend`, out of the ring buffer."""


class Layout(IntEnum):
    """The two packet layouts; the values stand in the top two bits of a packet."""

    SMALL = 0
    """For ATT MTU 23: 8-byte header, timestamp of 16 bits in steps of 64 µs."""
    LARGE = 1
    """For larger MTUs: 10-byte header, timestamp of 32 bits in µs."""

    @property
    def header_bytes(self) -> int:
        """Length of the header."""
        return 8 if self is Layout.SMALL else 10

    @property
    def tick_us(self) -> int:
        """Step of the timestamp, µs."""
        return 64 if self is Layout.SMALL else 1

    @property
    def wrap_us(self) -> int:
        """The timestamp is known modulo this many µs."""
        return 1 << 22 if self is Layout.SMALL else 1 << 32


_HEADER = {Layout.SMALL: struct.Struct("<BBIH"), Layout.LARGE: struct.Struct("<BBII")}
_RESERVED, _FLAGS = 0x10, 0x0F


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Packet:
    """One notification of the data characteristic: consecutive samples of one boot id.

    Attributes
    ----------
    boot_tag
        Low byte of the boot id.
    first_index
        Index of the first sample, u32: sampling instants since the boot id began, sent or not; wraps.
    device_us
        Time of the first sample on the device's clock, µs; after `decode` known modulo `wrap_us`.
    counts : (n, 3) or (n, 6) int16 array
        x, y, z of the accelerometer, then of the gyro.
    wrap_us
        Modulus of `device_us`: 2³² for the large layout, 2²² for the small one.
    """

    boot_tag: int
    first_index: int
    device_us: int
    counts: NDArray[np.int16]
    flags: PacketFlags = PacketFlags.NONE
    wrap_us: int = field(default=Layout.LARGE.wrap_us)

    def __post_init__(self) -> None:
        check(0 <= self.boot_tag <= 0xFF, "boot tag {}: give the low byte of the boot id", self.boot_tag)
        check(0 <= self.first_index < 1 << 32, "sample index {}: reduce it modulo 2**32", self.first_index)
        check(self.device_us >= 0, "device time {} µs: count from the start of the device", self.device_us)
        shape = self.counts.shape
        check(self.counts.dtype == np.int16, "counts of {}: make them int16", self.counts.dtype)
        shape_ok = len(shape) == 2 and shape[0] > 0 and shape[1] in (3, 6)
        check(shape_ok, "counts of shape {}: make it (n, 3) or (n, 6)", shape)

    def __len__(self) -> int:
        return len(self.counts)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Packet) and self._key() == other._key()

    def __hash__(self) -> int:
        return hash(self._key())

    @property
    def axes(self) -> int:
        """3 or 6."""
        return int(self.counts.shape[1])

    def reduced(self, layout: Layout) -> Packet:
        """Return what is left of the packet after a trip through `layout`: the timestamp reduced, the rest the same."""
        kept_us = self.device_us % layout.wrap_us // layout.tick_us * layout.tick_us
        return replace(self, device_us=kept_us, wrap_us=layout.wrap_us)

    def _key(self) -> tuple[object, ...]:
        samples = (self.counts.shape, self.counts.astype("<i2").tobytes())
        return (self.boot_tag, self.first_index, self.device_us, self.flags, self.wrap_us, *samples)


def layout_for(att_mtu: int) -> Layout:
    """Layout to use at an ATT MTU: the large one wherever its two more bytes do not cost a sample in four or more."""
    return Layout.LARGE if att_mtu >= _LARGE_FROM_MTU else Layout.SMALL


def max_samples(att_mtu: int, axes: int) -> int:
    """Most samples of one notification at an ATT MTU (23 … 517), in the layout of `layout_for`."""
    check(att_mtu >= ATT_MTU_MIN, "ATT MTU {}: the smallest that exists is {}", att_mtu, ATT_MTU_MIN)
    room = min(att_mtu - 3, ATT_VALUE_MAX) - layout_for(att_mtu).header_bytes
    return room // (2 * axes)


def encode(packet: Packet, layout: Layout) -> bytes:
    """Bytes of one notification. The timestamp is reduced as the layout says, see `Packet.reduced`."""
    head = layout << 6 | (SIX_AXES if packet.axes == 6 else 0) | int(packet.flags)
    ticks = packet.device_us % layout.wrap_us // layout.tick_us
    payload = pack(_HEADER[layout], head, packet.boot_tag, packet.first_index, ticks) + _le(packet.counts)
    check(len(payload) <= ATT_VALUE_MAX, "a packet of {} bytes: send fewer samples, 512 fit", len(payload))
    return payload


@dataclass(frozen=True, slots=True)
class Extent:
    """Which samples a packet holds, without them: of which boot id (its low byte), from which index, how many."""

    boot_tag: int
    first_index: int
    samples: int


def extent(payload: bytes) -> Extent:
    """Read which samples one notification of the data characteristic holds.

    Raises
    ------
    ProtocolError
        Where `decode` does.
    """
    layout, axes = _kind(payload)
    _, tag, index, _ = _HEADER[layout].unpack_from(payload)
    return Extent(tag, index, (len(payload) - layout.header_bytes) // (2 * axes))


def decode(payload: bytes) -> Packet:
    """Read one notification of the data characteristic.

    Raises
    ------
    ProtocolError
        When the bytes are no packet; skip it, count it.
    """
    layout, axes = _kind(payload)
    _, tag, index, ticks = _HEADER[layout].unpack_from(payload)
    counts = np.frombuffer(payload, "<i2", offset=layout.header_bytes).reshape(-1, axes)
    return Packet(
        boot_tag=tag,
        first_index=index,
        device_us=ticks * layout.tick_us,
        counts=counts,
        flags=PacketFlags(payload[0] & _FLAGS),
        wrap_us=layout.wrap_us,
    )


def _kind(payload: bytes) -> tuple[Layout, int]:
    """Return layout and axes of a packet that is one."""
    check(8 < len(payload) <= ATT_VALUE_MAX, "a packet of {} bytes: skip it, and check the firmware", len(payload))
    head = payload[0]
    known = head >> 6 <= 1 and not head & _RESERVED
    check(known, "a packet of unknown layout 0x{:02x}: skip it, update Rungwise", head)
    layout, axes = Layout(head >> 6), 6 if head & SIX_AXES else 3
    body = len(payload) - layout.header_bytes
    check(body > 0 and body % (2 * axes) == 0, "a packet of {} bytes for {} axes is cut: skip it", len(payload), axes)
    return layout, axes


def unwrap(value: int, modulus: int, near: int) -> int:
    """Return the number nearest to `near` that equals `value` modulo `modulus` (of two as near, the lower).

    Extends a sample index (modulo 2³²) near the next index expected, and a device time (modulo `Packet.wrap_us`) near
    the time that the index lets expect.
    """
    half = modulus // 2
    return near + (value - near + half) % modulus - half


def _le(counts: NDArray[np.int16]) -> bytes:
    return counts.astype("<i2", copy=False).tobytes()
