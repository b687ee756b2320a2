"""Where a moment is drawn; pure."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor


@dataclass(frozen=True, slots=True)
class Scale:
    """A stretch of time across `width` cells, of which the first is column `x`."""

    from_s: float
    to_s: float
    width: int
    x: int = 0

    @property
    def cells_per_s(self) -> float:
        """Cells that a second takes."""
        return self.width / (self.to_s - self.from_s) if self.to_s > self.from_s else 0.0

    def column(self, at_s: float) -> int:
        """Return the column of a moment; those out of sight lie outside."""
        return self.x + floor((at_s - self.from_s) * self.cells_per_s)

    def kept(self, at_s: float) -> int:
        """Return the column of a moment, at most at one of the edges."""
        return min(self.x + self.width - 1, max(self.x, self.column(at_s)))

    def columns(self, start_s: float, end_s: float) -> range:
        """Return the columns in sight of a stretch, one at least; none where it is out of sight."""
        if end_s <= self.from_s or start_s >= self.to_s or self.width <= 0:
            return range(0)
        first = self.kept(start_s)
        return range(first, max(first + 1, min(self.x + self.width, self.column(end_s))))

    def has(self, at_s: float) -> bool:
        """Whether a moment is in sight; both edges are."""
        return self.from_s <= at_s <= self.to_s
