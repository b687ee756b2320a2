"""Step 5: reps without a long pause between them belong together; enough of them are a set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from analysis.motion.parameters import SetParameters
from analysis.motion.words import Kind, Word


@dataclass(frozen=True, slots=True)
class Group:
    """The reps and attempts of a set, in order; `size` is the travel of a typical rep."""

    words: tuple[Word, ...]
    size: float

    @property
    def start(self) -> float:
        """Where the first rep begins, grid units."""
        return self.words[0].start

    @property
    def stop(self) -> float:
        """Where the last rep ends, grid units."""
        return self.words[-1].stop

    @property
    def count(self) -> int:
        """Number of reps that count."""
        return sum(w.kind is not Kind.PARTIAL for w in self.words)


def groups(words: Sequence[Word], rate_hz: float, parameters: SetParameters) -> list[Group]:
    """Split the reps at long pauses and changes of size; keep groups of enough reps."""
    chains: list[list[Word]] = []
    for word in _without_rests(words, rate_hz, parameters):
        if chains and _follows(chains[-1], word, rate_hz, parameters):
            chains[-1].append(word)
        else:
            chains.append([word])
    made = (_group(chain, parameters) for chain in chains)
    return [group for group in made if group is not None]


def _without_rests(words: Sequence[Word], rate_hz: float, parameters: SetParameters) -> list[Word]:
    """Leave out what pauses within as long as strokes of a set may be apart, and much longer than its neighbours do.

    That is a rest between two sets, begun by letting go and ended by taking hold.
    """
    holds = [max(b.begin - a.stop for a, b in pairwise(w.strokes)) / rate_hz for w in words]

    def is_rest(i: int) -> bool:
        near = holds[max(0, i - _NEAR) : i] + holds[i + 1 : i + 1 + _NEAR]
        return bool(near) and holds[i] >= max(parameters.longest_pause_s, _LONGER * median(near))

    return [word for i, word in enumerate(words) if not is_rest(i)]


_NEAR = 3
"""Reps on either side whose pauses are compared."""
_LONGER = 3.0
"""So many times the usual pause is a rest, where it is long enough."""


def _follows(chain: Sequence[Word], word: Word, rate_hz: float, parameters: SetParameters) -> bool:
    pause_s = (word.start - chain[-1].stop) / rate_hz
    size = median(w.size for w in chain)
    return pause_s <= parameters.longest_pause_s and (word.kind is Kind.PARTIAL or 0.4 < word.size / size < 2.2)


def _group(chain: Sequence[Word], parameters: SetParameters) -> Group | None:
    """Make a set of a chain: attempts before its first rep are none of it."""
    places = [i for i, w in enumerate(chain) if w.kind is not Kind.PARTIAL]
    if len(places) < parameters.least_reps:
        return None
    return Group(tuple(chain[places[0] :]), median(chain[i].size for i in places))
