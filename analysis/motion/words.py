"""Strokes, and the words of the grammar made of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import pairwise


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


def sizes(words: Sequence[Word]) -> list[float]:
    """Travels of the reps that count."""
    return [w.size for w in words if w.kind is not Kind.PARTIAL]


_STEPS_S, _AFTER_S = 1.0, 0.5
"""Steps for so long in a pause, or so soon after the end: whoever walks has let go."""
_IN_PAUSE, _AT_END = 6.0, 3.0
"""What they cost a word, nats; waves on a slow stroke look like steps, so strokes themselves are not asked."""


def walked(strokes: Sequence[Stroke], steps: Sequence[int], rate_hz: float) -> float:
    """Price steps between strokes or right after them; `steps` counts the grid points of walking so far."""
    paused = sum(steps[max(a.stop, b.begin)] - steps[a.stop] for a, b in pairwise(strokes))
    later = steps[min(strokes[-1].stop + round(_AFTER_S * rate_hz), len(steps) - 1)]
    return _IN_PAUSE * (paused >= _STEPS_S * rate_hz) + _AT_END * (later > steps[strokes[-1].stop])


def bounded(z: float) -> float:
    """Price a distance in spreads, nats; beyond three spreads no more."""
    return 0.5 * min(z * z, 9.0)
