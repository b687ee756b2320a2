"""How much of a station is read at most; pure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Allowance:
    """Lets so many pass a second, and a burst at once.

    Parameters
    ----------
    a_second
        How many, in the long run.
    burst
        How many at once, after a pause.

    Attributes
    ----------
    dropped
        How many did not pass so far.
    """

    a_second: float
    burst: float
    dropped: int = 0
    _left: float | None = None
    _at_s: float = 0.0

    def passes(self, at_s: float) -> bool:
        """Whether one more may pass, at a moment of the same clock as before."""
        before = self.burst if self._left is None else self._left
        left = min(self.burst, before + max(0.0, at_s - self._at_s) * self.a_second)
        self._at_s = at_s
        is_let = left >= 1.0
        self._left = left - is_let
        self.dropped += not is_let
        return is_let
