"""A clock for what is measured by the processor's time."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass
class Hand:
    """A clock that stands where it is put."""

    at_s: float = 0.0

    def now_s(self) -> float:
        """Return where it stands."""
        return self.at_s

    def utc_us(self) -> int:
        """Return the same on 2 March 2026."""
        return 1_772_440_000_000_000 + round(self.at_s * 1e6)

    async def sleep(self, duration_s: float) -> None:
        """Go on."""
        self.at_s += duration_s
