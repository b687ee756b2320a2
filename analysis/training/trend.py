"""Whether a figure rises or falls over weeks, or only scatters: a straight line by least squares, with its error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from analysis.training.student import t_within

CONFIDENCE = 0.95
"""A slope is told as one where zero lies outside this interval (convention, no source)."""

FEWEST = 4
"""With fewer points a line says next to nothing of its own error (no source)."""


@dataclass(frozen=True, slots=True)
class Trend:
    """A straight line through points.

    Attributes
    ----------
    slope, sd
        Change in one unit of x, and its standard error.
    points
        How many there were.
    margin
        Half of the interval of `CONFIDENCE` around the slope, by Student's t with two degrees of freedom less.
    """

    slope: float
    sd: float
    points: int

    @property
    def margin(self) -> float:
        """Half the width of the slope's confidence interval."""
        return t_within(CONFIDENCE, self.points - 2) * self.sd

    @property
    def direction(self) -> int:
        """+1 rising, −1 falling, 0 where it may as well be scatter."""
        if abs(self.slope) <= self.margin or self.slope == 0:
            return 0
        return 1 if self.slope > 0 else -1


def trend(points: Sequence[tuple[float, float]]) -> Trend | None:
    """Return the line through (x, y) by least squares; None with fewer than `FEWEST`, or all at one x.

    The slope's standard error is √(Σ residual² / (n − 2) / Σ (x − x̄)²).
    """
    count = len(points)
    if count < FEWEST:
        return None
    mean_x = sum(x for x, _ in points) / count
    mean_y = sum(y for _, y in points) / count
    spread = sum((x - mean_x) ** 2 for x, _ in points)
    if spread == 0:
        return None
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / spread
    left = sum((y - mean_y - slope * (x - mean_x)) ** 2 for x, y in points)
    return Trend(slope, sqrt(left / (count - 2) / spread), count)
