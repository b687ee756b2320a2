"""What every part of the codec shares: its one error, a check, and packing that raises it."""

from __future__ import annotations

import struct

SIX_AXES = 0x20
"""Bit of the second byte of the information, and of the first of a packet, that says 6 axes, not 3."""


class ProtocolError(ValueError):
    """Bytes (or values) that are not of this protocol; the message says what to do next."""


def check(ok: bool, message: str, *values: object) -> None:
    """Raise `ProtocolError` with `message.format(*values)` unless `ok`; formats only then, for this runs per packet."""
    if not ok:
        raise ProtocolError(message.format(*values))


def pack(form: struct.Struct, *values: float) -> bytes:
    """`form.pack`, raising `ProtocolError` where a value does not fit its field."""
    try:
        return form.pack(*values)
    except (struct.error, OverflowError) as error:
        raise ProtocolError(f"a value does not fit its field ({error}): keep to the ranges of packet.md") from error
