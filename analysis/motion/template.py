"""What a set's own reps look like, and how far each lobe's surroundings are from it.

A set is its own measure: travel, pace and posture at both ends, as medians over the nearest reps. Distances are counted
in units of natural spread and bounded, so that one odd quantity cannot decide alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from analysis.motion.filters import length
from analysis.motion.lobes import Lobes
from analysis.motion.parameters import TemplateParameters
from analysis.motion.samples import FloatArray
from analysis.motion.words import Kind, Stroke, Word, bounded


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """The template near each lobe, and the distances of the postures beside it, as plain lists for the decoder's loop.

    `before_bottom[k]` is the cost of the posture before lobe k being that of a bottom, and so on.
    """

    size: list[float]
    up_pace: list[float]
    down_pace: list[float]
    hold: list[float]
    before_bottom: list[float]
    before_top: list[float]
    after_bottom: list[float]
    after_top: list[float]
    kinds: dict[Kind, float]


def slow_half(prices: Prices, stroke: Stroke, spread: float) -> float:
    """Price, nats, by how much longer a half way takes than the set's whole ones.

    Within a hold of many seconds the speed drifts by hundredths of a metre a second, which adds up to a third of the
    way: down after the top is reached, and up before the lowering. Only that it takes seconds tells it from a half rep.
    """
    whole = (prices.up_pace if stroke.side > 0 else prices.down_pace)[stroke.first]
    return bounded(max(0.0, log((stroke.stop - stroke.start) / max(1.0, whole))) / spread)


@dataclass(frozen=True, slots=True, eq=False)
class Example:
    """A rep as the template sees it.

    Attributes
    ----------
    place
        Lobe at which its way up ends (of the reading it comes from).
    size
        Travel.
    up_pace, down_pace, hold
        Grid points in motion, and between the first two ways.
    bottom, top : (3,) array
        Gravity direction at either end.
    """

    place: int
    kind: Kind
    size: float
    up_pace: float
    down_pace: float
    hold: float
    bottom: FloatArray
    top: FloatArray


def example(word: Word, before: FloatArray, after: FloatArray) -> Example:
    """Return what `word` shows; `before` and `after` as of `surroundings`."""
    up, down = word.up, word.down
    return Example(
        place=up.last,
        kind=word.kind,
        size=word.size,
        up_pace=float(up.stop - up.start),
        down_pace=float(down.stop - down.start),
        hold=float(word.strokes[1].begin - up.stop),
        bottom=0.5 * (before[up.first] + after[down.last]),
        top=after[up.last],
    )


def price(
    lobes: Lobes, before: FloatArray, after: FloatArray, examples: Sequence[Example], p: TemplateParameters
) -> Prices:
    """Price every lobe's surroundings against the template that `examples` (at least one) make near it.

    Parameters
    ----------
    before, after : (n, 3) array
        Gravity direction in the pause before and after each lobe.
    """
    whole = [e for e in examples if e.kind is not Kind.PARTIAL] or list(examples)
    first, windows = _nearest(np.array([e.place for e in whole]), len(lobes))
    numbers = np.array([(e.size, e.up_pace, e.down_pace, e.hold, *e.bottom, *e.top) for e in whole])[windows]
    usual = _median(numbers)
    bottom, top = usual[:, 4:7], usual[:, 7:]
    off = _median(length(numbers[:, :, 4:7] - bottom[:, None]))
    spread = np.clip(1.5 * off, np.radians(p.posture_least_deg), np.radians(p.posture_most_deg))
    spread = np.maximum(spread, p.travel_spread * length(top - bottom))[first]
    typical, bottom, top = usual[first, :4], bottom[first], top[first]

    def distance(seen: FloatArray, meant: FloatArray) -> list[float]:
        z = length(seen - meant) / spread
        costs: list[float] = (0.5 * np.minimum(z * z, p.posture_bound**2)).tolist()
        return costs

    return Prices(
        size=typical[:, 0].tolist(),
        up_pace=typical[:, 1].tolist(),
        down_pace=typical[:, 2].tolist(),
        hold=typical[:, 3].tolist(),
        before_bottom=distance(before, bottom),
        before_top=distance(before, top),
        after_bottom=distance(after, bottom),
        after_top=distance(after, top),
        kinds=_kind_costs(examples, p.partial),
    )


def surroundings(lobes: Lobes, direction: FloatArray, rate_hz: float) -> tuple[FloatArray, FloatArray]:
    """Mean gravity direction over at most a second of the pause before and after each lobe, each (n, 3)."""
    n = len(direction)
    total = np.concatenate([np.zeros((1, 3)), np.cumsum(direction, axis=0)])
    width = round(rate_hz)
    previous = np.concatenate([[0], lobes.stop[:-1]])
    following = np.concatenate([lobes.start[1:], [n]])

    def mean(a: NDArray[np.int64], b: NDArray[np.int64]) -> FloatArray:
        i = np.minimum(np.maximum(a, 0), n - 1)
        j = np.minimum(np.maximum(b, i + 1), n)
        return np.asarray((total[j] - total[i]) / (j - i)[:, None])

    before = mean(np.minimum(np.maximum(lobes.start - width, previous), lobes.start - 2), lobes.start + 1)
    after = mean(lobes.stop - 1, np.maximum(np.minimum(lobes.stop + width, following), lobes.stop + 2))
    return before, after


def _median(x: FloatArray) -> FloatArray:
    """Median along the second axis, which is short (NumPy's own costs several times as much there)."""
    x = np.sort(x, axis=1)
    half = x.shape[1] // 2
    return x[:, half] if x.shape[1] % 2 else 0.5 * (x[:, half - 1] + x[:, half])


def _nearest(places: NDArray[np.int64], n: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return, of every lobe, which window holds the (up to) seven nearest words; and the windows, (k, 7 or fewer)."""
    width = min(7, len(places))
    last = len(places) - width
    first = np.clip(np.searchsorted(places, np.arange(n)) - width // 2, 0, last)
    return first, np.arange(last + 1)[:, None] + np.arange(width)


def _kind_costs(examples: Sequence[Example], partial: float) -> dict[Kind, float]:
    """Price the kinds: sets are of one style, so a kind is cheap where it is common."""
    halved = sum(e.kind is Kind.HALVED for e in examples)
    whole = sum(e.kind is Kind.FULL for e in examples)
    total = halved + whole + 2.0
    return {
        Kind.FULL: float(-np.log((whole + 1.5) / total)),
        Kind.HALVED: float(-np.log((halved + 0.5) / total)),
        Kind.PARTIAL: partial,
    }
