"""Which way the concentric of a bar goes is the same in all its sets: what one set leaves open, the others say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.motion.bouts import Group
from analysis.motion.found import Found, best_of, way_of
from analysis.motion.lobes import Track
from analysis.motion.words import Kind, Stroke, Word

RATE_HZ = 25.0


def reading(sign: int, start: int, gains: list[float]) -> Found:
    """A set of a rep every two seconds, each explaining so much."""
    n = 4000
    flat = np.zeros(n)
    track = Track(np.arange(n) / RATE_HZ, flat, flat, RATE_HZ, 0.012)
    words = []
    for i, gain in enumerate(gains):
        at = start + 50 * i
        up = Stroke(2 * i, 2 * i, 1, at, at + 20, None, 0.4, 0.6)
        words.append(Word((up, replace(up, first=2 * i + 1, last=2 * i + 1, side=-1, start=at + 22)), Kind.FULL, gain))
    return Found(Group(tuple(words), 0.4), track, np.tile([0.0, 0.0, 1.0], (n, 1)), None, sign=sign)


CLEAR = [
    reading(1, 0, [10.0] * 8),
    reading(-1, 25, [10.0] * 6),
    reading(1, 1000, [10.0] * 8),
    reading(-1, 1025, [8.0] * 8),
]
OPEN = [reading(1, 2000, [9.8] * 8), reading(-1, 2025, [10.0] * 8)]


def test_a_set_that_reads_nearly_as_well_the_other_way_goes_the_way_of_the_others() -> None:
    read = [*CLEAR, *OPEN]
    assert sorted((f.span_s[0], f.sign) for f in best_of(read)) == [(0, 1), (40, 1), (81, -1)]
    way = way_of(best_of(read), 0.0)
    assert way == 1
    kept = {f.span_s[0]: f for f in best_of(read, way)}
    assert [f.sign for f in kept.values()] == [1, 1, 1]
    assert kept[80.0].rival > kept[80.0].gain, "it is not called surer for that"


@pytest.mark.parametrize(("before", "way"), [(0.0, 0), (3.0, 1), (-3.0, -1)])
def test_one_set_that_is_open_says_nothing_and_earlier_ones_do(before: float, way: int) -> None:
    assert way_of(best_of(OPEN), before) == way
