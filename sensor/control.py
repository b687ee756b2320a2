"""What the host writes to the control characteristic, and what it reads there; sans-I/O.

Import these from `sensor.protocol`, the public face of the wire format.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from dataclasses import dataclass

from sensor.wire import check, pack


@dataclass(frozen=True, slots=True)
class Start:
    """Begin to send packets; given after subscribing, because the first notifications may be missed."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Stop sending packets; the sample index goes on with time."""


@dataclass(frozen=True, slots=True)
class SetRate:
    """Sample at `rate_hz` (0.001 Hz steps); a new boot id begins, so read the information again."""

    rate_hz: float


@dataclass(frozen=True, slots=True)
class SetRange:
    """Measure up to ± `force_g` and ± `turn_deg_s` (0: leave the gyro); a new boot id begins."""

    force_g: int
    turn_deg_s: int = 0


@dataclass(frozen=True, slots=True)
class Resend:
    """Send `count` samples from `first_index` on (modulo 2³²) again, as far as the ring holds them."""

    first_index: int
    count: int


@dataclass(frozen=True, slots=True)
class Mark:
    """Note the moment; reading the control characteristic then gives `Marked` with the same token."""

    token: int


Command = Start | Stop | SetRate | SetRange | Resend | Mark


@dataclass(frozen=True, slots=True)
class Marked:
    """The last mark: index of the next sample and device time (µs, modulo 2³²) when `Mark` was taken in."""

    token: int
    next_index: int
    device_us: int

    @classmethod
    def from_bytes(cls, payload: bytes) -> Marked:
        """Read the control characteristic's value."""
        check(len(payload) == _MARKED.size, "{} bytes of mark, 10 needed: give a mark first", len(payload))
        return cls(*_MARKED.unpack(payload))

    def __bytes__(self) -> bytes:
        return pack(_MARKED, self.token, self.next_index, self.device_us)


_MARKED = struct.Struct("<HII")
_NO_ARGUMENT, _RATE, _RANGE = struct.Struct("<B"), struct.Struct("<BI"), struct.Struct("<BHH")
_RESEND, _MARK = struct.Struct("<BIH"), struct.Struct("<BH")
_COMMANDS: dict[int, tuple[struct.Struct, Callable[..., Command]]] = {
    1: (_NO_ARGUMENT, Start),
    2: (_NO_ARGUMENT, Stop),
    3: (_RATE, lambda millihz: SetRate(millihz / 1000)),
    4: (_RANGE, SetRange),
    5: (_RESEND, Resend),
    6: (_MARK, Mark),
}


def encode_command(command: Command) -> bytes:
    """Bytes to write to the control characteristic."""
    match command:
        case Start():
            return pack(_NO_ARGUMENT, 1)
        case Stop():
            return pack(_NO_ARGUMENT, 2)
        case SetRate(rate_hz):
            return pack(_RATE, 3, round(rate_hz * 1000))
        case SetRange(force_g, turn_deg_s):
            return pack(_RANGE, 4, force_g, turn_deg_s)
        case Resend(first_index, count):
            return pack(_RESEND, 5, first_index, count)
        case Mark(token):
            return pack(_MARK, 6, token)


def decode_command(payload: bytes) -> Command:
    """Read what was written to the control characteristic (the device's side)."""
    known = payload[:1] != b"" and payload[0] in _COMMANDS
    check(known, "no command begins with {!r}: use those of packet.md", payload[:1].hex())
    form, make = _COMMANDS[payload[0]]
    check(len(payload) == form.size, "{} bytes for a command of {}: send it again", len(payload), form.size)
    return make(*form.unpack(payload)[1:])
