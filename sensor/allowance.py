"""How much may come: what a sensor sends is bounded, whatever it is; sans-I/O."""

from __future__ import annotations

BYTES_PER_S = 32_768.0
"""Twice what six axes at 1 kHz need, packet heads included: an hour at this rate is 118 MB on the disk."""
BURST_BYTES = 4_194_304.0
"""The largest ring that the protocol can announce, of six axes in the smallest packets, twice over."""


class Allowance:
    """A bucket that fills at a steady rate and is emptied by what comes (token bucket; RFC 2697 calls it a meter)."""

    def __init__(self) -> None:
        self._left = BURST_BYTES
        self._at_s: float | None = None

    def take(self, size: int, now_s: float) -> bool:
        """Return whether `size` more bytes may come at this time of a clock that does not go back."""
        since_s = 0.0 if self._at_s is None else max(0.0, now_s - self._at_s)
        self._at_s = now_s
        self._left = min(BURST_BYTES, self._left + since_s * BYTES_PER_S)
        if size > self._left:
            return False
        self._left -= size
        return True
