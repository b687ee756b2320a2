"""Before a live bout closes: what was said of it, held against the whole of what was seen, and put right.

The whole-bout reading sees more than the sliding window, yet nothing of the future. Reps told before keep their times;
those that it does not hold are withdrawn, and those it finds besides are added, late as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.motion.results import Bout, Rep

_SAME = 0.5
"""Of the time that two readings of a rep cover together, the share that both must cover to mean the same one."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What makes the told reps those of the whole reading.

    Attributes
    ----------
    withdrawn
        Places of told reps that were none, last first.
    added
        Reps that were overlooked, in order.
    """

    withdrawn: tuple[int, ...]
    added: tuple[Rep, ...]


def correction(told: Sequence[Rep], read: Sequence[Rep]) -> Correction:
    """Compare what was told with what the whole reading gives."""
    pairs = sorted(
        ((_shared(a, b), i, k) for i, a in enumerate(told) for k, b in enumerate(read)),
        reverse=True,
    )
    kept: dict[int, int] = {}
    for shared, i, k in pairs:
        if shared >= _SAME and i not in kept and k not in kept.values():
            kept[i] = k
    withdrawn = tuple(i for i in range(len(told) - 1, -1, -1) if i not in kept)
    return Correction(withdrawn, tuple(rep for k, rep in enumerate(read) if k not in kept.values()))


def own_and_others(bouts: Sequence[Bout], told: Sequence[Rep]) -> tuple[Bout | None, list[Bout]]:
    """Return, of the bouts read, the one that what was told means most of, and the rest."""

    def overlap(bout: Bout) -> float:
        return sum(max(0.0, min(bout.end_s, r.end_s) - max(bout.start_s, r.start_s)) for r in told)

    own = max(bouts, key=overlap, default=None)
    return own, [bout for bout in bouts if bout is not own]


def _shared(a: Rep, b: Rep) -> float:
    both = min(a.end_s, b.end_s) - max(a.start_s, b.start_s)
    return both / (max(a.end_s, b.end_s) - min(a.start_s, b.start_s))
