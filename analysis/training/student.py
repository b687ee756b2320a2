"""Student's t, for whole degrees of freedom: the finite sums of Abramowitz & Stegun (1964), 26.7.3 and 26.7.4.

`scipy.special` has it, too, but takes longer to load than years of sessions to read.
"""

from __future__ import annotations

from functools import lru_cache
from math import atan, cos, pi, sin, sqrt, tan

_HALVINGS = 60
"""Of a quarter turn: as fine as a double is."""


def within(t: float, freedom: int) -> float:
    """Return the probability that |T| is at most `t`, which is 0 or more.

    Parameters
    ----------
    freedom
        Degrees of freedom, 1 or more.
    """
    return _within_angle(atan(t / sqrt(freedom)), freedom)


def _within_angle(angle: float, freedom: int) -> float:
    odd = freedom % 2
    term, total = (cos(angle), 0.0) if odd else (1.0, 0.0)
    for power in range(odd, freedom - 1, 2):
        total += term
        term *= (power + 1) / (power + 2) * cos(angle) ** 2
    return 2 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total


@lru_cache
def t_within(share: float, freedom: int) -> float:
    """Return the t that |T| stays within with a probability of `share`, between 0 and 1; the inverse of `within`."""
    low, high = 0.0, pi / 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _within_angle(middle, freedom) < share else (low, middle)
    return sqrt(freedom) * tan(low)
