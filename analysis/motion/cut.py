"""Reps cut off by the start or the end of the samples, and small ones left out between two others.

A recording trimmed to a set begins and ends somewhere in a rep. A way left over there, whose counterpart lies outside
the samples, may be such a rep; how many reps there are in all is for the rhythm to say (`loop.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from analysis.motion.bouts import Group
from analysis.motion.lobes import Lobes
from analysis.motion.words import Kind, Stroke, Word

_NEAR = 5
"""Reps whose size a stroke at an end is compared with."""


@dataclass(frozen=True, slots=True)
class Ends:
    """Share of a rep that the strokes left over before and after a reading make; 0 where the samples go on."""

    before: float
    after: float

    @property
    def most(self) -> float:
        """Share at the end where more is left over."""
        return max(self.before, self.after)


def ends_of(group: Group, pieces: Lobes, n: int, period: float, near: float) -> Ends:
    """Return what lies between the reading `group` and the ends of `n` grid points.

    Parameters
    ----------
    period
        Of the set: what lies further away is none of it. Grid points.
    near
        A stroke as near as this to an end is cut off by it. Grid points.
    """
    first, last = group.words[0], group.words[-1]
    before = after = 0.0
    if pieces.start[0] <= near and first.start <= period:
        before = _share(pieces.travel[: first.up.first].tolist(), group.words[:_NEAR])
    if pieces.stop[-1] >= n - near and last.stop >= n - period:
        after = _share(pieces.travel[last.down.last + 1 :].tolist(), group.words[-_NEAR:])
    return Ends(before, after)


def completed(group: Group, pieces: Lobes, n: int, ends: Ends) -> Group:
    """Add the rep that the samples cut off, at the end where more of it is left.

    A way that lies outside the samples has no length.
    """
    gain = float(np.median([w.gain for w in group.words]))
    if ends.before > ends.after:
        k = group.words[0].up.first - 1
        up = _stroke(pieces, k - 1) if k >= 1 else replace(_stroke(pieces, k), side=1, start=0, stop=1)
        word = Word((up, _stroke(pieces, k)), Kind.FULL, gain * ends.before)
        return replace(group, words=(word, *group.words))
    k = group.words[-1].down.last + 1
    further = k + 1 < len(pieces)
    down = _stroke(pieces, k + 1) if further else replace(_stroke(pieces, k), side=-1, start=n - 1, stop=n)
    word = Word((_stroke(pieces, k), down), Kind.FULL, gain * ends.after)
    return replace(group, words=(*group.words, word))


def filled(group: Group, pieces: Lobes, least: float) -> Group | None:
    """Add the way up and down left out in the longest gap between two reps; None where none is as long as `least`."""
    words = group.words
    gaps = [(b.start - a.stop, i) for i, (a, b) in enumerate(pairwise(words))]
    for gap, i in sorted(gaps, reverse=True):
        inside = range(words[i].down.last + 1, words[i + 1].up.first)
        ups = [k for k in inside if pieces.side[k] > 0]
        downs = [k for k in inside if ups and k > ups[0] and pieces.side[k] < 0]
        if gap >= least and downs:
            word = Word((_stroke(pieces, ups[0]), _stroke(pieces, downs[-1])), Kind.FULL, 0.0)
            return replace(group, words=(*words[: i + 1], word, *words[i + 1 :]))
    return None


def _stroke(pieces: Lobes, k: int) -> Stroke:
    return Stroke(
        first=k,
        last=k,
        side=int(pieces.side[k]),
        start=int(pieces.start[k]),
        stop=int(pieces.stop[k]),
        early=None,
        travel=float(pieces.travel[k]),
        peak=float(pieces.peak[k]),
    )


def _share(travels: Sequence[float], like: Sequence[Word]) -> float:
    """Return the share of a rep that ways of these lengths make."""
    size = float(np.median([w.size for w in like]))
    return sum(0.5 * min(1.0, travel / size) for travel in travels)
