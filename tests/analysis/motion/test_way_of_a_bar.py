"""Which way the concentric of a bar goes: what a set says of it by itself, and what the other sets say."""

from __future__ import annotations

from math import log

import numpy as np
import pytest

from analysis.motion.bouts import Group
from analysis.motion.found import Found
from analysis.motion.lobes import Track
from analysis.motion.ways import LIFTED, carried, likeliest, slower, tiring
from analysis.motion.words import Kind, Stroke, Word

RATE_HZ = 25.0


def reading(sign: int, start: int, gains: list[float], *, growth: float = 0.0, down: int = 20) -> Found:
    """A set of a rep every two seconds, each explaining so much; the ways up take `growth` longer every rep."""
    n = 4000
    flat = np.zeros(n)
    track = Track(np.arange(n) / RATE_HZ, flat, flat, RATE_HZ, 0.012)
    words = []
    for i, gain in enumerate(gains):
        at = start + 50 * i
        turn = at + round(20 * (1 + growth * i))
        up = Stroke(2 * i, 2 * i, 1, at, turn, None, 0.4, 0.6)
        way_down = Stroke(2 * i + 1, 2 * i + 1, -1, turn + 2, turn + 2 + down, None, 0.4, 0.6)
        words.append(Word((up, way_down), Kind.FULL, gain))
    return Found(Group(tuple(words), 0.4), track, np.tile([0.0, 0.0, 1.0], (n, 1)), None, sign=sign)


CLEAR = [
    reading(1, 0, [10.0] * 8),
    reading(-1, 25, [10.0] * 6),
    reading(1, 1000, [10.0] * 8),
    reading(-1, 1025, [8.0] * 8),
]
OPEN = [reading(1, 2000, [9.8] * 8), reading(-1, 2025, [10.0] * 8)]


def test_a_set_that_reads_nearly_as_well_the_other_way_goes_the_way_of_the_others() -> None:
    kept = {f.span_s[0]: f for f in likeliest([*CLEAR, *OPEN])}
    assert {start_s: f.sign for start_s, f in kept.items()} == {0: 1, 40: 1, 80: 1}
    assert kept[80.0].way < 0, "by itself it says the other way"
    assert kept[80.0].way_known > 1, "and the others are surer"


@pytest.mark.parametrize(("before", "sign"), [(0.0, -1), (3.0, 1), (-3.0, -1)])
def test_sets_before_decide_what_a_set_leaves_open(before: float, sign: int) -> None:
    (only,) = likeliest(OPEN, before)
    assert only.sign == sign


def test_a_set_that_is_read_ill_the_right_way_round_does_not_outweigh_the_others() -> None:
    """A slip or a hole may cost half of the reps one way round; a wrong way costs one rep."""
    ill = [reading(1, 2000, [10.0] * 3), reading(-1, 2025, [10.0] * 9)]
    (alone,) = likeliest(ill)
    assert alone.sign == -1
    assert alone.upward > -3
    assert [f.sign for f in likeliest([*CLEAR, *ill], 20.0)] == [1, 1, 1]


def test_the_exercise_may_change() -> None:
    """However many sets went one way, the next may go the other, one in twenty: log odds of at most ln 19."""
    assert carried(100.0) == pytest.approx(log(19))
    assert carried(0.0) == pytest.approx(0.0)
    (changed,) = likeliest([reading(1, 0, [6.0] * 8), reading(-1, 25, [10.0] * 8, growth=0.08)], 100.0)
    assert changed.sign == -1


def test_the_way_that_slows_down_over_a_set_is_the_concentric() -> None:
    """Effort slows the concentric (Sánchez-Medina & González-Badillo 2011); the way back hardly."""
    assert tiring(reading(1, 0, [10.0] * 8, growth=0.05).group.words) > 2
    assert tiring(reading(1, 0, [10.0] * 8, growth=-0.05).group.words) < -2
    assert tiring(reading(1, 0, [10.0] * 8).group.words) == pytest.approx(0.0)
    assert tiring(reading(1, 0, [10.0] * 3, growth=0.5).group.words) == 0.0
    tie = [reading(1, 0, [10.0] * 8, growth=0.04), reading(-1, 25, [10.0] * 8, growth=-0.04)]
    assert [f.sign for f in likeliest(tie)] == [1]
    assert [f.sign for f in likeliest(tie[::-1])] == [1]


def test_slow_lowering_is_likelier_than_slow_pulling() -> None:
    assert slower(reading(1, 0, [10.0] * 5, down=60).group.words) == pytest.approx(log(3) - 0.5)
    assert slower(reading(1, 0, [10.0] * 5, down=24).group.words) == 0.0
    assert slower(reading(1, 0, [10.0] * 5, down=6).group.words) < -0.5
    (only,) = likeliest([reading(1, 0, [9.9] * 5, down=60), reading(-1, 25, [10.0] * 5, down=7)])
    assert only.sign == 1


def test_where_nothing_tells_a_bar_is_lifted() -> None:
    tie = [reading(-1, 25, [10.0] * 8), reading(1, 0, [10.0] * 8)]
    assert [f.sign for f in likeliest(tie, LIFTED)] == [1]
