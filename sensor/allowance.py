"""How much may come: what a sensor sends is bounded, whatever it is; sans-I/O."""

from __future__ import annotations

from sensor.info import Info

BYTES_PER_S = 32_768.0
"""Allowed to any sensor: twice what six axes at 1 kHz need, packet heads included; an hour of it is 118 MB on disk."""
MOST_BYTES_PER_S = 176_000.0
"""Allowed to no sensor, whatever it says of itself: more than the air carries, 175.3 kB/s of notifications at 2 Mbit/s.

Bluetooth Core Specification 5.4, Vol 6, Part B, 2.1 and 4.1: 262 bytes for 251 of payload, of which 244 are a
notification's value, 150 µs, 11 bytes of answer, 150 µs."""
HEAD_ROOM = 2.0
"""For a rate that is told wrong, and what is sent again beside the live packets."""
BURST_BYTES = 4_194_304.0
"""The largest ring that the protocol can announce, of six axes in the smallest packets, twice over."""
_LARGEST_HEAD = 10


class Allowance:
    """A bucket that fills at a steady rate and is emptied by what comes (token bucket; RFC 2697 calls it a meter)."""

    def __init__(self) -> None:
        self._bytes_per_s = BYTES_PER_S
        self._left = BURST_BYTES
        self._at_s: float | None = None

    def expect(self, bytes_per_s: float) -> None:
        """Allow a sensor what it needs, within the bounds above."""
        self._bytes_per_s = min(MOST_BYTES_PER_S, max(BYTES_PER_S, HEAD_ROOM * bytes_per_s))

    def take(self, size: int, now_s: float) -> bool:
        """Return whether `size` more bytes may come at this time of a clock that does not go back."""
        since_s = 0.0 if self._at_s is None else max(0.0, now_s - self._at_s)
        self._at_s = now_s
        self._left = min(BURST_BYTES, self._left + since_s * self._bytes_per_s)
        if size > self._left:
            return False
        self._left -= size
        return True


def needs(info: Info) -> float:
    """Return the most that a sensor of the wire format sends live, bytes a second: one sample a packet."""
    return info.rate_hz * (_LARGEST_HEAD + 2 * info.axes)
