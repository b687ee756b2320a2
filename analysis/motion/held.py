"""Reading what hands hold: one set from taking hold to letting go, decoded with both ends as part of the reading.

    strokes of taking hold ─ reps ─ strokes of letting go

A stroke left over among the reps is dear, and so is one in the steady hang; one while taking hold or letting go costs
what it does elsewhere. So the right reading begins with the first stroke out of the hang and ends with the last one
back into it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.motion.grammar import Reader, Scene
from analysis.motion.parameters import Parameters
from analysis.motion.samples import BoolArray
from analysis.motion.template import Prices
from analysis.motion.words import Kind, Stroke, Word

_BEFORE, _WITHIN, _AFTER = range(3)
_Step = tuple[int, int, tuple[tuple[Stroke, ...], Kind] | None]


class HeldReader(Reader):
    """Reads the lobes of one grip.

    Parameters
    ----------
    ends : (n,) bool array
        Grid points of taking hold and of letting go.
    """

    def __init__(self, scene: Scene, ends: BoolArray, least: float, parameters: Parameters) -> None:
        super().__init__(scene, least, parameters)
        middle = (scene.lobes.start + scene.lobes.stop) // 2
        self._dear = parameters.grip.left_over
        self._outside: list[float] = np.where(ends[middle], 1.0, self._dear).tolist()

    def _decode(self, prices: Prices | None) -> list[Word]:
        n = len(self._lobes)
        self._skips = self._skip_costs(prices)
        inf = float("inf")
        best = [[inf] * (n + 1) for _ in range(3)]
        step: list[list[_Step]] = [[(0, 0, None)] * (n + 1) for _ in range(3)]
        best[_BEFORE][0] = 0.0

        def offer(state: int, at: int, cost: float, source: _Step) -> None:
            if cost < best[state][at]:
                best[state][at], step[state][at] = cost, source

        for i in range(n):
            before, within, after = (best[state][i] for state in range(3))
            outside = self._skips[i] * self._outside[i]
            offer(_BEFORE, i + 1, before + outside, (_BEFORE, i, None))
            offer(_WITHIN, i + 1, within + self._dear * self._skips[i], (_WITHIN, i, None))
            offer(_AFTER, i + 1, min(within, after) + outside, (_WITHIN if within <= after else _AFTER, i, None))
            if self._strokes[i][0].side > 0:
                source = _BEFORE if before <= within else _WITHIN
                for strokes, kind, price in self._words(prices, i):
                    cost = min(before, within) + price + self._wary[i]
                    offer(_WITHIN, strokes[-1].last + 1, cost, (source, i, (strokes, kind)))
        return self._path(best, step)

    def _path(self, best: list[list[float]], step: list[list[_Step]]) -> list[Word]:
        """Follow the steps back; what strokes left over cost more than usual is counted against the rep after them."""
        k = len(self._lobes)
        state = min(range(3), key=lambda s: best[s][k])
        words: list[Word] = []
        over = 0.0
        while k > 0:
            source, at, chosen = step[state][k]
            saved = sum(self._skips[at:k]) - (best[state][k] - best[source][at])
            if chosen is not None:
                words.append(Word(*chosen, saved + over))
                over = 0.0
            elif words:
                words[-1] = replace(words[-1], gain=words[-1].gain + saved)
            else:
                over += saved
            state, k = source, at
        return words[::-1]
