"""How far the count of a set that travels can be trusted: from its odds in the lattice to the odds of being right.

The lattice weighs readings of the lobes it was given; it does not know what the smoother made of the signal. So the
odds are corrected by what the reading shows of itself, in a logistic regression (Cox 1958, J. R. Stat. Soc. B 20:215)
fitted on sets of the virtual trainee alone, drawn wider than life: `tests/bench/trust.py` draws, fits and prints.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass

import numpy as np

from analysis.motion.bouts import Group
from analysis.motion.lobes import Lobes
from analysis.motion.samples import FloatArray
from analysis.motion.words import Kind, Word


@dataclass(frozen=True, slots=True)
class Signs:
    """What tells of a count, each with its weight in `WEIGHTS`.

    Attributes
    ----------
    odds
        Log odds of the count in the lattice, nats, within −4 … 8.
    steady
        1 where every reading gave the same count, 0 else.
    left
        1 where a large way up within the set belongs to no rep, 0 else.
    uneven
        Standard deviation of the reps' travel over that of a typical rep.
    slow
        Seconds that both ways of a typical rep last over its travel, s/m: what drift may hide.
    halved
        Share of one-and-a-half reps, whose halves are easily taken for reps.
    turned_deg
        Farthest that the posture at an end of a rep is from the usual one.
    near
        1 where another set is read within `NEAR_S`, which may be the rest of this one, 0 else.
    """

    odds: float
    steady: float
    left: float
    uneven: float
    slow: float
    halved: float
    turned_deg: float
    near: float


WEIGHTS = Signs(
    odds=0.193, steady=1.194, left=-1.038, uneven=-1.007, slow=-0.108, halved=-1.184, turned_deg=-0.052, near=-3.346
)
BASE = 0.608
NEAR_S = 15.0
_MOST = Signs(odds=8.0, steady=1.0, left=1.0, uneven=0.5, slow=16.7, halved=1.0, turned_deg=40.0, near=1.0)
_LEAST_ODDS = -4.0


def trimmed(signs: Signs) -> Signs:
    """Return the signs within the range in which the weights were fitted."""
    return Signs(
        *(max(_LEAST_ODDS, min(most, sign)) for most, sign in zip(astuple(_MOST), astuple(signs), strict=True))
    )


def trust(signs: Signs) -> float:
    """Return the log odds that the count is right, nats."""
    return BASE + float(np.dot(astuple(WEIGHTS), astuple(trimmed(signs))))


def signs_of(
    group: Group,
    others: Sequence[Group],
    words: Sequence[Word],
    lobes: Lobes,
    ends: FloatArray,
    rate_hz: float,
    *,
    odds: float,
    steady: bool,
) -> Signs:
    """Return what the reading `words` of `lobes` shows of the count of one of its groups.

    Parameters
    ----------
    others
        All groups of the reading.
    ends : (k, 3) array
        Gravity direction at either end of the group's reps.
    """
    counted = [word for word in group.words if word.kind is not Kind.PARTIAL]
    gaps = [max(o.start - group.stop, group.start - o.stop) for o in others if o is not group]
    lasting = [w.up.stop - w.up.start + w.down.stop - w.down.start for w in counted]
    away = np.linalg.norm(ends - np.median(ends, axis=0), axis=1)
    return Signs(
        odds=odds,
        steady=float(steady),
        left=float(_leaves(group, words, lobes)),
        uneven=float(np.std([w.size for w in counted])) / group.size,
        slow=float(np.median(lasting)) / rate_hz / group.size,
        halved=sum(w.kind is Kind.HALVED for w in counted) / len(counted),
        turned_deg=float(np.degrees(away.max())),
        near=float(min(gaps, default=np.inf) < NEAR_S * rate_hz),
    )


def _leaves(group: Group, words: Sequence[Word], lobes: Lobes) -> bool:
    """Whether a large way up within the group belongs to none of its reps."""
    inside = (lobes.start >= int(group.start)) & (lobes.start < int(group.stop))
    large = inside & (lobes.side > 0) & (lobes.travel > 0.5 * group.size)
    for word in words:
        large[word.up.first : word.down.last + 1] = False
    return bool(large.any())
