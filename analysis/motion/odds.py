"""How sure a count is: the share of every other count in all readings, weighed by what they cost.

Forward sums over the lattice of words and skips (Baum et al. 1970, Ann. Math. Stat. 41:164), with a place for every
count. All weights are taken against the cheapest path to the same place, so that nothing runs out of range.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from typing import NamedTuple

import numpy as np

from analysis.motion.samples import FloatArray

_NEGLIGIBLE_NATS = 12.0
"""A step that costs so much more than the cheapest one to the same place is left out."""


class Arc(NamedTuple):
    """A word or a skip, from lobe `start` to before lobe `stop`: its cost in nats, and the reps it counts (0 or 1)."""

    start: int
    stop: int
    cost: float
    reps: int


def count_shares(arcs: Sequence[Arc], n: int) -> FloatArray:
    """Return the probability of every count, from 0 on, over all paths from lobe 0 to `n`.

    Parameters
    ----------
    arcs
        In the order of their starts; every lobe must be reachable.
    """
    best = [0.0] + [float("inf")] * n
    for arc in arcs:
        best[arc.stop] = min(best[arc.stop], best[arc.start] + arc.cost)
    shares = np.zeros((n + 1, n + 2))
    shares[0, 0] = 1.0
    for arc in arcs:
        over = best[arc.start] + arc.cost - best[arc.stop]
        if over < _NEGLIGIBLE_NATS:
            before = shares[arc.start]
            shares[arc.stop, arc.reps :] += exp(-over) * (before[:-1] if arc.reps else before)
    return np.asarray(shares[n] / shares[n].sum())


def log_odds(shares: FloatArray, count: int) -> float:
    """Log odds of `count` against all others, nats, within ±20."""
    share = float(shares[count]) if count < len(shares) else 0.0
    return log(max(share, 2e-9)) - log(max(1.0 - share, 2e-9))
