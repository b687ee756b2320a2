"""Which way the concentric of a bar goes: what a set says of it, and what the sets before it said.

Read the wrong way round, a set lacks a rep (its first way up and its last way down are left over), unless taking hold
and letting go look much like strokes. A second sign is effort: as a set goes on, the concentric slows down, and the
eccentric hardly does (Sánchez-Medina & González-Badillo 2011, Med. Sci. Sports Exerc. 43:1725). A third is tempo: slow
lowering after a quick pull is trained, the reverse is not (common practice, no source). And most bars are used one way
for a whole session. The weights are those of a logistic regression on sets of the virtual trainee.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import copysign, exp, log, sqrt
from statistics import median

import numpy as np

from analysis.motion.found import Found
from analysis.motion.words import Word

_REP_NATS = 1.8
"""What one more rep read says, log odds."""
_MOST_REPS = 1.5
"""Reps more than a wrong way loses: beyond that, a reading has failed for other reasons."""
_TIRING_NATS = 0.55
"""What one standard error of tiring says, log odds."""
_MOST_TIRING = 3.0
_SLOWER_NATS = 0.9
"""What ways down e times slower than the ways up, and more, say, log odds."""
_LIKE_PACE = 0.5
_OTHER_WAY = 0.05
"""Chance that another exercise is done, the other way round, in the next set."""
LIFTED = log(2.0)
"""Log odds before anything is seen: of three bars two are lifted, one is pulled down (common practice, no source)."""
_LEAST_WORDS = 4
_NATURAL, _NATURAL_WORDS = 0.12, 8
"""How much the pace of a rep varies, natural log, as if seen in so many reps before: few reps are alike by chance."""


def tiring(words: Sequence[Word]) -> float:
    """Return by how many standard errors the ways up of a set slow down more than its ways down do, within ±3."""
    n = len(words)
    if n < _LEAST_WORDS:
        return 0.0
    ratio = np.log([(w.up.stop - w.up.start) / (w.down.stop - w.down.start) for w in words])
    place = np.arange(n) - 0.5 * (n - 1)
    slope = float(place @ ratio) / float(place @ place)
    left = float(np.sum((ratio - np.mean(ratio) - slope * place) ** 2))
    spread = sqrt((_NATURAL_WORDS * _NATURAL**2 + left) / (_NATURAL_WORDS + n - 2))
    return max(-_MOST_TIRING, min(_MOST_TIRING, slope * sqrt(float(place @ place)) / spread))


def slower(words: Sequence[Word]) -> float:
    """Return by how much more than `_LIKE_PACE` the ways down last than the ways up, natural log, within ±1."""
    ratio = median(log((w.down.stop - w.down.start) / (w.up.stop - w.up.start)) for w in words)
    return copysign(min(1.0, max(0.0, abs(ratio) - _LIKE_PACE)), ratio)


def evidence(one: Found, other: Found | None) -> float:
    """Return the log odds that `one` is read the right way round, and not `other`, its mirror image."""
    per_rep = max(one.gain, 0.0 if other is None else other.gain) / max(one.group.count, 1)
    more = (one.gain - (0.0 if other is None else other.gain)) / max(per_rep, 1e-9)
    tired = tiring(one.group.words) - (0.0 if other is None else tiring(other.group.words))
    slow = slower(one.group.words) - (0.0 if other is None else slower(other.group.words))
    return _REP_NATS * max(-_MOST_REPS, min(_MOST_REPS, more)) + _TIRING_NATS * tired + _SLOWER_NATS * slow


def carried(upward: float) -> float:
    """Return the log odds that the next set goes up, from those of the last: the exercise may have changed."""
    chance = 1.0 / (1.0 + exp(-max(-50.0, min(50.0, upward))))
    same = (1.0 - _OTHER_WAY) * chance + _OTHER_WAY * (1.0 - chance)
    return log(same / (1.0 - same))


def likeliest(found: Sequence[Found], upward: float = 0.0) -> list[Found]:
    """Keep, of readings that overlap, the one that explains most, turned round where the other way is likelier.

    Parameters
    ----------
    upward
        Log odds that the concentric goes up, from sets before (`carried`).
    """
    alone = _kept(found, lambda _: 0.0)

    def leaning(one: Found) -> float:
        return carried(upward + sum(other.upward for other in alone if not other.overlaps(one)))

    return _kept(found, leaning)


def _kept(found: Sequence[Found], leaning: Callable[[Found], float]) -> list[Found]:
    kept: list[Found] = []

    def is_free(one: Found) -> bool:
        return not any(one.overlaps(k) for k in kept)

    for one in sorted(found, key=lambda f: -f.gain):
        if not is_free(one):
            continue
        mirrored = [f for f in found if f.sign == -one.sign and f.is_level == one.is_level and f.overlaps(one)]
        rivals = [f for f in found if f is not one and f.overlaps(one)]
        other = max(mirrored, key=lambda f: f.gain, default=None)
        said = evidence(one, other)
        lean = 0.0 if one.is_level else one.sign * leaning(one)
        best = max((f.gain for f in rivals), default=0.0)
        if other is not None and said + lean < 0.0 and is_free(other):
            kept.append(replace(other, rival=one.gain, way=-said, way_known=-said - lean))
        else:
            kept.append(replace(one, rival=best, way=said, way_known=said + lean))
    return kept
