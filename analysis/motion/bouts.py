"""Step 5: reps that belong together become sets; what is isolated, unlike the rest, or in another posture does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.motion.grammar import Word
from analysis.motion.parameters import SetParameters
from analysis.motion.samples import FloatArray


@dataclass(frozen=True, slots=True)
class Group:
    """Alike reps without a long pause: a set, if there are enough. `partial` words stay far below the set's travel."""

    words: tuple[Word, ...]
    partial: tuple[Word, ...]
    size: float

    @property
    def start(self) -> float:
        """Where the first rep begins, grid units."""
        return min(w.start for w in (*self.words, *self.partial))

    @property
    def stop(self) -> float:
        """Where the last rep ends, grid units."""
        return max(w.stop for w in (*self.words, *self.partial))


def groups(words: Sequence[Word], direction: FloatArray, rate_hz: float, parameters: SetParameters) -> list[Group]:
    """Split the reps at long pauses, changes of posture and changes of size; keep groups of enough alike reps."""
    chains: list[list[Word]] = []
    for word in words:
        if chains and _follows(chains[-1], word, rate_hz, parameters):
            chains[-1].append(word)
        else:
            chains.append([word])
    made = (_group(chain, direction, parameters) for chain in chains)
    return [group for group in made if group is not None]


def _follows(chain: Sequence[Word], word: Word, rate_hz: float, parameters: SetParameters) -> bool:
    pause_s = (word.start - chain[-1].stop) / rate_hz
    size = float(np.median([w.size for w in chain]))
    return pause_s <= parameters.longest_pause_s and 0.3 < word.size / size < 2.5


def _group(chain: Sequence[Word], direction: FloatArray, parameters: SetParameters) -> Group | None:
    if len(chain) < parameters.least_reps:
        return None
    chain = _same_pace(_same_posture(chain, direction))
    size = float(np.median([w.size for w in chain]))
    whole = tuple(w for w in chain if w.size >= parameters.alike * size)
    if len(whole) < parameters.least_reps:
        return None
    inside = [w for w in chain if w not in whole]
    return Group(whole, tuple(inside), size)


def _same_posture(chain: Sequence[Word], direction: FloatArray) -> Sequence[Word]:
    """Drop reps at either end whose mean gravity direction is far from the set's."""
    means = np.array([direction[w.span].mean(axis=0) for w in chain])
    middle = np.median(means, axis=0)
    cosine = means @ middle / (np.linalg.norm(means, axis=1) * np.linalg.norm(middle))
    angle = np.degrees(np.arccos(np.clip(cosine, -1, 1)))
    near = angle <= max(8.0, 4.0 * float(np.median(angle)))
    kept = np.flatnonzero(near)
    return chain[int(kept[0]) : int(kept[-1]) + 1]


def _same_pace(chain: Sequence[Word]) -> Sequence[Word]:
    """Drop reps at either end that take far longer in motion than the set's."""
    pace = float(np.median([w.pace for w in chain]))
    kept = [i for i, w in enumerate(chain) if w.pace <= 2.2 * pace]
    return chain[kept[0] : kept[-1] + 1]
