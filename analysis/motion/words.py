"""Strokes, and the words of the grammar made of them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto


@dataclass(frozen=True, slots=True)
class Stroke:
    """One way up or down: one lobe, or neighbouring lobes of the same direction.

    Attributes
    ----------
    first, last
        Places of its first and last lobe.
    side
        +1 up, −1 down.
    start, stop
        Grid points between which it moves; without an early piece.
    early
        Grid point at which a separate, small first piece began (a shoulder-blade rise), or None.
    travel
        Net travel, early piece included.
    peak
        Greatest speed.
    """

    first: int
    last: int
    side: int
    start: int
    stop: int
    early: int | None
    travel: float
    peak: float

    @property
    def begin(self) -> int:
        """Where any part of it begins."""
        return self.start if self.early is None else self.early


class Kind(Enum):
    """How a word reads."""

    FULL = auto()
    """Up, down."""
    HALVED = auto()
    """Up, part-way down, up, down: one-and-a-half."""
    PARTIAL = auto()
    """Part-way up, down: an attempt."""


@dataclass(frozen=True, slots=True)
class Word:
    """A rep as its strokes: up, down (full, partial) or up, down, up, down (one-and-a-half).

    `gain` is how much cheaper the reading is with it than with its lobes skipped, nats.
    """

    strokes: tuple[Stroke, ...]
    kind: Kind
    gain: float = 0.0

    @property
    def up(self) -> Stroke:
        """The (first) way up."""
        return self.strokes[0]

    @property
    def down(self) -> Stroke:
        """The (last) way down."""
        return self.strokes[-1]

    @property
    def start(self) -> int:
        """Where the first movement begins, grid points."""
        return self.up.begin

    @property
    def stop(self) -> int:
        """Where the last movement ends, grid points."""
        return self.down.stop

    @property
    def size(self) -> float:
        """Travel of the rep: the mean of both ways."""
        return 0.5 * (self.up.travel + self.down.travel)


Candidate = tuple[tuple[Stroke, ...], Kind, float]
"""Strokes that may make a word, its kind, and what it would cost: most are never made."""
