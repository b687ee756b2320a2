"""What comes of one station's logbook, put in its order, and the mark that is told back; pure.

Changes are applied strictly one after another, by their sequence and never by a time. What came twice is known, what is
missing is asked for by telling the mark again, so the broker may lose, double and reorder whatever it likes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Generic, Protocol, TypeVar

AGAIN_S = 2.0
"""While something is missing, the mark is told again so often."""
AHEAD = 1024
"""Records so far ahead of the mark are not held: they are sent again once it comes near."""
BATCH = 128
"""Changes of one transaction after another, before the mark is told."""


class Numbered(Protocol):
    """A change with its place."""

    @property
    def sequence(self) -> int:
        """From 1, without holes."""
        ...


One = TypeVar("One", bound=Numbered)


@dataclass(slots=True)
class Intake(Generic[One]):
    """The way of one logbook's changes into ours.

    Attributes
    ----------
    epoch, through
        Our mark: all changes of this epoch up to this one are applied. None: not looked up yet.
    noted_utc_us
        When that one was written by the station's clock, µs since 1970-01-01 UTC; 0 before the first.
    refused
        Changes that could not be used, and were passed.
    """

    epoch: str = ""
    through: int | None = None
    noted_utc_us: int = 0
    refused: int = 0
    _coming: str = ""
    _last: int = 0
    _waiting: dict[int, One] = field(default_factory=dict)
    _owed: bool = False
    _told_s: float | None = None
    _stuck_s: float | None = None

    @property
    def behind(self) -> int:
        """How many changes are known of and not applied yet."""
        return max(0, self._last - self._after) if self._coming else 0

    @property
    def _after(self) -> int:
        return (self.through or 0) if self.epoch == self._coming else 0

    def begin(self, epoch: str, through: int, noted_utc_us: int) -> None:
        """Take our mark as the logbook has it."""
        self.epoch, self.through, self.noted_utc_us, self._owed = epoch, through, noted_utc_us, True
        self._coming = self._coming or epoch

    def present(self, epoch: str, last: int) -> None:
        """Take note that the station is there, and how far its logbook goes."""
        if epoch:
            self._turn_to(epoch)
            self._last = last
        self._owed = True

    def take(self, epoch: str, one: One) -> None:
        """Take one change, whichever it is."""
        if not self._coming or (one.sequence == 1 and not self._last):
            self._turn_to(epoch)
        if epoch != self._coming:
            return  # of a history that the station has given up, or has not told of yet
        if one.sequence <= self._after and self.through is not None:
            self._owed = True  # it does not know that we have this one
        elif one.sequence <= self._after + AHEAD:
            self._waiting[one.sequence] = one
            self._last = max(self._last, one.sequence)

    def _turn_to(self, epoch: str) -> None:
        if epoch != self._coming:
            self._coming, self._last = epoch, 0
            self._waiting.clear()

    def ready(self, at_s: float) -> tuple[str, Sequence[One]]:
        """Return the epoch and the changes that can be applied now, in their order; none where the next is missing."""
        if self.through is None or (self._stuck_s is not None and at_s - self._stuck_s < AGAIN_S):
            return self._coming, ()
        batch: list[One] = []
        while len(batch) < BATCH and (one := self._waiting.get(self._after + 1 + len(batch))):
            batch.append(one)
        return self._coming, batch

    def applied(self, epoch: str, through: int, noted_utc_us: int, refused: int, at_s: float) -> None:
        """Take note of what the logbook took: our mark is what it says."""
        moved = (epoch, through) != (self.epoch, self.through)
        self._stuck_s = None if moved else at_s
        self.epoch, self.through, self.noted_utc_us = epoch, through, noted_utc_us
        self.refused += refused
        for sequence in [one for one in self._waiting if one <= self._after]:
            del self._waiting[sequence]
        self._owed = True

    def is_due(self, at_s: float) -> bool:
        """Whether the mark is to be told now: once it is owed, at once when a hole is seen, then again and again."""
        if self.through is None:
            return False
        if self._owed:
            return True
        if not self.behind or self.ready(at_s)[1]:
            return False
        return self._told_s is None or at_s - self._told_s >= AGAIN_S

    def told(self, at_s: float) -> None:
        """Take note that the mark was told."""
        self._owed, self._told_s = False, at_s
