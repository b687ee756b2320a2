"""The information characteristic: what the counts of a boot id's packets mean; sans-I/O.

Import these from `sensor.protocol`, the public face of the wire format.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass
from enum import IntFlag

import numpy as np

from sensor.limits import WIRE_RATE_HZ
from sensor.wire import SIX_AXES, check, pack

PROTOCOL_VERSION = 1
STANDARD_GRAVITY_M_S2 = 9.80665
"""Standard acceleration of gravity, exact (3rd CGPM, 1901)."""
_INFO = struct.Struct("<BBIIffHBB")


class InfoFlags(IntFlag):
    """What the device can do beyond streaming."""

    NONE = 0
    CAN_RESEND = 1
    CALIBRATED = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Info:
    """The information characteristic: what one boot id's packets mean. 22 bytes, one read at ATT MTU 23.

    Attributes
    ----------
    boot_id
        New at each start of the device and at each change of rate or range, so that all samples of a boot id have one
        rate and one scale. u32; its low byte, `boot_tag`, differs from that of the boot id before.
    rate_hz
        Samples per second of the device's own clock, as measured by the device; kept to 0.001 Hz.
    force_g_per_count
        Standard gravities per count, kept as a 32-bit float: range / 32768 is exact for ranges of 2, 4, 8, 16 g.
    turn_deg_s_per_count
        Degrees a second per count, likewise; 0 with 3 axes.
    axes
        3 (accelerometer) or 6 (and gyro).
    ring_samples
        How many samples the device keeps for `Resend`; 65535 stands for that many or more.
    firmware
        Major and minor version.
    """

    boot_id: int
    rate_hz: float
    force_g_per_count: float
    turn_deg_s_per_count: float = 0.0
    axes: int = 6
    ring_samples: int = 0
    firmware: tuple[int, int] = (0, 0)
    flags: InfoFlags = InfoFlags.NONE
    version: int = PROTOCOL_VERSION

    def __post_init__(self) -> None:
        # As the wire keeps them, so that a round trip gives an equal value.
        object.__setattr__(self, "rate_hz", round(self.rate_hz, 3))
        object.__setattr__(self, "force_g_per_count", float(np.float32(self.force_g_per_count)))
        object.__setattr__(self, "turn_deg_s_per_count", float(np.float32(self.turn_deg_s_per_count)))
        force, turn = self.force_g_per_count, self.turn_deg_s_per_count
        check(self.version == PROTOCOL_VERSION, "protocol version {}: update Rungwise or the firmware", self.version)
        check(0 <= self.boot_id < 1 << 32, "boot id {}: make it an unsigned 32-bit number", self.boot_id)
        check(self.axes in (3, 6), "{} axes: the device must have 3 or 6", self.axes)
        slowest, fastest = WIRE_RATE_HZ
        check(slowest <= self.rate_hz <= fastest, "rate {} Hz: set one of {:g} to {:g} Hz", self.rate_hz, *WIRE_RATE_HZ)
        check(0 < force <= 1, "{} g per count: must be above 0 and at most 1", force)
        turn_ok = 0 < turn <= 1 if self.axes == 6 else turn == 0
        check(turn_ok, "{} deg/s per count: above 0 and at most 1 with 6 axes, 0 with 3", turn)

    @classmethod
    def from_bytes(cls, payload: bytes) -> Info:
        """Read the characteristic; bytes past the 22nd belong to later minor versions and are passed over."""
        check(len(payload) >= _INFO.size, "{} bytes of information, 22 needed: read it again", len(payload))
        version, bits, boot_id, rate, force, turn, ring, major, minor = _INFO.unpack_from(payload)
        return cls(
            version=version,
            boot_id=boot_id,
            rate_hz=rate / 1000,
            force_g_per_count=force,
            turn_deg_s_per_count=turn,
            axes=6 if bits & SIX_AXES else 3,
            ring_samples=ring,
            firmware=(major, minor),
            flags=InfoFlags(bits & 3),
        )

    def __bytes__(self) -> bytes:
        bits = int(self.flags) | (SIX_AXES if self.axes == 6 else 0)
        rate, scales = round(self.rate_hz * 1000), (self.force_g_per_count, self.turn_deg_s_per_count)
        return pack(_INFO, self.version, bits, self.boot_id, rate, *scales, self.ring_samples, *self.firmware)

    @property
    def boot_tag(self) -> int:
        """Low byte of the boot id, as packets carry it."""
        return self.boot_id & 0xFF

    @property
    def force_m_s2_per_count(self) -> float:
        """Scale of the accelerometer in SI units."""
        return self.force_g_per_count * STANDARD_GRAVITY_M_S2

    @property
    def turn_rad_s_per_count(self) -> float:
        """Scale of the gyro in SI units."""
        return math.radians(self.turn_deg_s_per_count)
