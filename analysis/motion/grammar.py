"""Step 4: which strokes make reps. Dynamic programming over the whole sequence.

Words of the grammar: up–down (a full rep), up–half down–up–down (one-and-a-half), and *skip* for anything else. The
cost of a word is how badly it closes (the way down against the way up) and how unlike its neighbours it is; skipping
costs what it leaves unexplained. Both directions of travel are read by the caller where the direction is not known.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log
from statistics import median

from analysis.motion.parameters import SetParameters
from analysis.motion.strokes import Stroke


@dataclass(frozen=True, slots=True)
class Word:
    """A rep as its strokes: up, down (full) or up, down, up, down (one-and-a-half)."""

    strokes: tuple[Stroke, ...]

    @property
    def up(self) -> Stroke:
        """The (first) way up."""
        return self.strokes[0]

    @property
    def down(self) -> Stroke:
        """The (last) way down."""
        return self.strokes[-1]

    @property
    def start(self) -> float:
        """Where the first movement begins, grid units."""
        return self.up.start if self.up.early is None else self.up.early

    @property
    def stop(self) -> float:
        """Where the last movement ends, grid units."""
        return self.down.stop

    @property
    def span(self) -> slice:
        """Grid points of the rep."""
        return slice(self.up.begin.index, self.down.end.index + 1)

    @property
    def size(self) -> float:
        """Travel of the rep: the mean of both ways."""
        return 0.5 * (self.up.travel + self.down.travel)

    @property
    def pace(self) -> float:
        """Time in motion on the first way up and the last way down, grid units."""
        return max(1.0, self.up.stop - self.up.start + self.down.stop - self.down.start)

    @property
    def halved(self) -> bool:
        """Whether it is a one-and-a-half rep."""
        return len(self.strokes) == 4


def read(strokes: Sequence[Stroke], rate_hz: float, least: float, parameters: SetParameters) -> list[Word]:
    """Return the reps of a sequence of alternating strokes, in order.

    Parameters
    ----------
    strokes
        Alternating ways up and down.
    rate_hz
        Grid rate.
    least
        Smallest travel of a rep, in the unit of the strokes' travel.
    """
    reader = _Reader(strokes, rate_hz, least, parameters)
    words = reader.decode(None)
    for _ in range(2):
        if len(words) < parameters.least_reps:
            break
        words = reader.decode(reader.typical(words))
    return words


@dataclass(frozen=True, slots=True)
class _Reader:
    strokes: Sequence[Stroke]
    rate_hz: float
    least: float
    parameters: SetParameters

    def typical(self, words: Sequence[Word]) -> list[tuple[float, float]]:
        """Typical travel and pace (duration of up and down) near each stroke: medians of the seven nearest reps."""
        out = []
        middle = len(words) - 1
        places = [w.up.end.index for w in words]
        sizes, paces = [w.size for w in words], [w.pace for w in words]
        for stroke in self.strokes:
            centre = bisect_left(places, stroke.begin.index)
            first = max(0, min(centre - 3, middle - 6))
            near = slice(first, first + 7)
            out.append((median(sizes[near]), median(paces[near])))
        return out

    def decode(self, typical: Sequence[tuple[float, float]] | None) -> list[Word]:
        """Cheapest sequence of words and skips."""
        n = len(self.strokes)
        best, step = [0.0] * (n + 1), [None] * (n + 1)  # type: tuple[list[float], list[Word | None]]
        for k in range(1, n + 1):
            like = None if typical is None else typical[k - 1]
            size = 2 * self.least if like is None else like[0]
            best[k] = best[k - 1] + min(1.0, 0.25 + self.strokes[k - 1].travel / size)
            for length in (2, 4) if self.strokes[k - 1].side < 0 else ():
                word = self._word(k - length, k) if k >= length else None
                if word is None:
                    continue
                cost = best[k - length] + _cost(word, like)
                if cost < best[k]:
                    best[k], step[k] = cost, word
        return _trace(step)

    def _word(self, start: int, stop: int) -> Word | None:
        part = tuple(self.strokes[start:stop])
        up, down = part[0], part[-1]
        p, rate = self.parameters, self.rate_hz
        long = max(up.travel, down.travel)
        fits = (
            long >= self.least
            and min(up.travel, down.travel) >= 0.5 * self.least
            and p.shortest_rep_s * rate <= down.stop - up.start
            and up.stop - up.start <= p.longest_up_s * rate
            and down.stop - down.start <= p.longest_down_s * rate
            and all(b.start - a.stop <= p.longest_hold_s * rate for a, b in pairwise(part))
        )
        if not fits:
            return None
        if len(part) == 2:
            return Word(part) if abs(up.travel - down.travel) <= 1.6 * p.closure * long else None
        return Word(part) if self._halves(part, long) else None

    def _halves(self, part: tuple[Stroke, ...], long: float) -> bool:
        """Whether four strokes make one-and-a-half: part-way down, a short pause, up again, down."""
        up, half, again, down = part
        open_end = abs(up.travel - half.travel + again.travel - down.travel)
        return (
            0.2 < half.travel / long < 0.8
            and 0.2 < again.travel / long < 0.85
            and open_end < 0.5 * long
            and again.stop - half.start <= self.parameters.longest_half_s * self.rate_hz
        )


def _trace(step: Sequence[Word | None]) -> list[Word]:
    words: list[Word] = []
    k = len(step) - 1
    while k > 0:
        word = step[k]
        if word is not None:
            words.append(word)
        k -= 1 if word is None else len(word.strokes)
    return words[::-1]


def _cost(word: Word, like: tuple[float, float] | None) -> float:
    closure = (word.up.travel - word.down.travel) / max(word.up.travel, word.down.travel)
    cost = 1.6 * closure**2 + (0.4 if word.halved else 0.0)
    if like is not None:
        cost += 1.2 * min(1.5, log(word.size / like[0]) ** 2) + 0.6 * min(1.5, log(word.pace / like[1]) ** 2)
    return cost
