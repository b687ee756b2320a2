"""Step 4: which lobes make reps. Dynamic programming over the whole sequence.

Words: up–down (a full rep), up–half down–up–down (one-and-a-half), part-way up–down (an attempt), and *skip* for
anything else; each way may be several lobes. A word costs how badly it closes (the way down against the way up) and how
unlike the set's own reps it is (`template.py`); a skip costs what it leaves unexplained. The first reading has no
template; the later ones take theirs from the reading before. Where the direction of travel is not known, the caller
offers both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot, log, sqrt

import numpy as np

from analysis.motion.lobes import Lobes, over_holes
from analysis.motion.odds import Arc, count_shares
from analysis.motion.parameters import Parameters
from analysis.motion.samples import BoolArray, FloatArray
from analysis.motion.template import Example, Prices, example, price, slow_half, surroundings
from analysis.motion.words import Candidate, Kind, Stroke, Word, bounded, walked

_MOST_LOBES = 5
"""Lobes in one way, counter-movements included."""
_MOST_BETWEEN = 8
"""Lobes between a way up and its way down: wobble at the top."""


_VAGUE = 1.0
"""Most that the travel of a stroke may cost that lies over a hole or an end of the samples, nats."""
_MOST_DRIFT = 0.3
"""Share of a way that drift may hide at most."""


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Lobes in order, with the gravity direction at every grid point, and those without samples or of walking."""

    lobes: Lobes
    direction: FloatArray
    hole: BoolArray
    wary: FloatArray | None = None
    walks: BoolArray | None = None


class Reader:
    """Reads one sequence of lobes.

    Parameters
    ----------
    scene
        What is read.
    least
        Smallest travel of a rep, in the unit of the lobes' travel.
    """

    def __init__(self, scene: Scene, least: float, parameters: Parameters) -> None:
        self._lobes = scene.lobes
        self._before, self._after = surroundings(scene.lobes, scene.direction, parameters.grid.rate_hz)
        self._rate_hz = parameters.grid.rate_hz
        self._least = least
        self._sets = parameters.sets
        self._template = parameters.template
        self._travel: list[float] = scene.lobes.travel.tolist()
        self._vague = over_holes(scene.lobes, scene.hole)
        none = np.zeros(len(scene.lobes))
        self._wary: list[float] = (none if scene.wary is None else scene.wary[scene.lobes.start]).tolist()
        walks = scene.walks
        self._steps = None if walks is None or not walks.any() else [0, *np.cumsum(walks).tolist()]
        self._strokes = self._ways()
        self._prices: Prices | None = None
        self._skips: list[float] = []

    def read(self, *, rounds: int = 2) -> list[Word]:
        """Return the reps in order: a first reading without a template, then `rounds` with the one it gives."""
        words = self._decode(None)
        for _ in range(rounds):
            if len(words) < self._sets.least_reps:
                break
            words = self.read_like([self.example(w) for w in words])
        return words

    def read_like(self, examples: Sequence[Example]) -> list[Word]:
        """Return the reps in order, with `examples` (at least one) of what they look like."""
        self._prices = price(self._lobes, self._before, self._after, examples, self._template)
        return self._decode(self._prices)

    def count_shares(self) -> FloatArray:
        """Return the probability of every count of reps, from 0 on, under the template of the last reading."""
        arcs: list[Arc] = []
        for i, ways in enumerate(self._strokes):
            arcs.append(Arc(i, i + 1, self._skips[i], 0))
            if ways[0].side > 0:
                words = self._words(self._prices, i)
                arcs += [Arc(i, strokes[-1].last + 1, cost, kind is not Kind.PARTIAL) for strokes, kind, cost in words]
        return count_shares(arcs, len(self._lobes))

    def example(self, word: Word) -> Example:
        """Return what `word`, read here, looks like."""
        return example(word, self._before, self._after)

    def ends(self, word: Word) -> tuple[FloatArray, FloatArray]:
        """Gravity direction before and after `word`."""
        return self._before[word.up.first], self._after[word.down.last]

    def longest_ways(self) -> list[Stroke]:
        """Return the lobes joined into ways, each as long as it goes."""
        out: list[Stroke] = []
        for ways in self._strokes:
            if not out or ways[0].first > out[-1].last:
                out.append(ways[-1])
        return out

    def _ways(self) -> list[list[Stroke]]:
        """Return, for each lobe, the strokes that may begin with it."""
        start, stop = self._lobes.start.tolist(), self._lobes.stop.tolist()
        side, peak = self._lobes.side.tolist(), self._lobes.peak.tolist()
        travel = self._travel
        gap = self._template.merge_gap_s * self._rate_hz
        out: list[list[Stroke]] = []
        for i in range(len(start)):
            net, top = travel[i], peak[i]
            ways = [Stroke(i, i, side[i], start[i], stop[i], None, net, top)]
            previous, counter = i, 0.0
            for k in range(i + 1, min(i + _MOST_LOBES, len(start))):
                if side[k] != side[i]:
                    counter += travel[k]
                    if counter > self._template.counter_share * max(net, self._least):
                        break
                    continue
                if start[k] - stop[previous] > gap:
                    break
                early = side[i] > 0 and previous == i and travel[i] < self._template.early_share * (net + travel[k])
                net = max(net + travel[k] - counter, travel[k])
                top, counter = max(top, peak[k]), 0.0
                main = start[k] if early else ways[-1].start
                early_at = start[i] if early else ways[-1].early
                ways.append(Stroke(i, k, side[i], main, stop[k], early_at, net, top))
                previous = k
            out.append(ways)
        return out

    def _decode(self, prices: Prices | None) -> list[Word]:
        """Cheapest sequence of words and skips."""
        n = len(self._lobes)
        self._skips = self._skip_costs(prices)
        best = [0.0] + [float("inf")] * n
        step: list[tuple[int, tuple[tuple[Stroke, ...], Kind] | None]] = [(0, None)] * (n + 1)
        for i in range(n):
            cost = best[i] + self._skips[i]
            if cost < best[i + 1]:
                best[i + 1], step[i + 1] = cost, (i, None)
            if self._strokes[i][0].side < 0:
                continue
            so_far = best[i] + self._wary[i]
            for strokes, kind, price_ in self._words(prices, i):
                at = strokes[-1].last + 1
                if so_far + price_ < best[at]:
                    best[at], step[at] = so_far + price_, (i, (strokes, kind))
        words: list[Word] = []
        k = n
        while k > 0:
            at, chosen = step[k]
            if chosen is not None:
                skipped = sum(self._skips[at:k])
                words.append(Word(*chosen, skipped - (best[k] - best[at])))
            k = at
        return words[::-1]

    def _skip_costs(self, prices: Prices | None) -> list[float]:
        """Price the leaving out of each lobe."""
        p = self._template
        sizes = [2 * self._least] * len(self._travel) if prices is None else prices.size
        ratios = (min(1.0, travel / size) for travel, size in zip(self._travel, sizes, strict=True))
        return [p.skip_least + (p.skip - p.skip_least) * ratio * sqrt(ratio) for ratio in ratios]

    def _words(self, prices: Prices | None, i: int) -> Iterator[Candidate]:
        for strokes, kind, cost in self._shaped(prices, i):
            steps = 0.0 if self._steps is None else walked(strokes, self._steps, self._rate_hz)
            yield strokes, kind, cost + steps

    def _shaped(self, prices: Prices | None, i: int) -> Iterator[Candidate]:
        for up in self._strokes[i]:
            if up.stop - up.start > self._sets.longest_up_s * self._rate_hz or up.travel < 0.5 * self._least:
                continue
            for down, between in self._downs(up, prices):
                yield from self._two(prices, up, down, between)
                if between == 0.0:
                    yield from self._four(prices, up, down)

    def _downs(self, up: Stroke, prices: Prices | None) -> Iterator[tuple[Stroke, float]]:
        """Ways down after a way up, with the cost of small lobes left out between them."""
        cost = 0.0
        hold = self._sets.longest_hold_s * self._rate_hz
        for k in range(up.last + 1, min(up.last + _MOST_BETWEEN, len(self._strokes))):
            ways = self._strokes[k]
            if ways[0].start - up.stop > hold:
                return
            if ways[0].side < 0:
                for down in ways:
                    if down.stop - down.start <= self._sets.longest_down_s * self._rate_hz:
                        yield down, cost
            if self._travel[k] > self._template.wobble_share * up.travel:
                return
            cost += self._skips[k]

    def _two(self, prices: Prices | None, up: Stroke, down: Stroke, between: float) -> Iterator[Candidate]:
        long, short = max(up.travel, down.travel), min(up.travel, down.travel)
        vague = self._is_vague(up) or self._is_vague(down)
        drift = self._drift(up, prices) + self._drift(down, prices)
        least = (0.25 if vague else 0.45) * long - min(drift, _MOST_DRIFT * long)
        if short < least or down.stop - up.begin < self._sets.shortest_rep_s * self._rate_hz:
            return
        size = long if prices is None else prices.size[up.first]
        cost = between + self._merging(up) + self._merging(down)
        closing = bounded((up.travel - down.travel) / hypot(self._template.closure_spread * size, drift))
        closing = min(closing, _VAGUE) if vague else closing
        if long >= self._least and (2 * long if vague else up.travel) >= self._sets.alike * size:
            if prices is None:
                yield (up, down), Kind.FULL, cost + 2 * closing + 1.0
            else:
                fit = self._fit(prices, up) + self._fit(prices, down) + prices.kinds[Kind.FULL]
                yield (up, down), Kind.FULL, cost + closing + fit + self._hold(prices, up, down)
        elif prices is not None and 0.2 * size <= up.travel < self._sets.alike * size:
            ends = prices.before_bottom[up.first] + prices.after_bottom[down.last]
            yield (up, down), Kind.PARTIAL, cost + closing + ends + prices.kinds[Kind.PARTIAL]

    def _four(self, prices: Prices | None, up: Stroke, half: Stroke) -> Iterator[Candidate]:
        ratio = half.travel / up.travel
        if half.last + 2 >= len(self._strokes) or not 0.2 < ratio < 0.8 or up.travel < self._least:
            return
        longest = self._sets.longest_half_s * self._rate_hz
        for again in self._strokes[half.last + 1]:
            if again.side < 0 or again.stop - half.start > longest or again.last + 1 >= len(self._strokes):
                continue
            for down in self._strokes[again.last + 1]:
                if down.side > 0 or not 0.2 < again.travel / up.travel < 0.9 or down.travel < 0.6 * up.travel:
                    continue
                size = up.travel if prices is None else prices.size[up.first]
                spread = self._template.closure_spread * size
                net = up.travel - half.travel + again.travel - down.travel
                cost = sum(self._merging(s) for s in (up, half, again, down)) + bounded(net / spread)
                middle = sum(self._unlike_half(s, size) for s in (half, again))
                strokes = (up, half, again, down)
                if prices is None:
                    yield strokes, Kind.HALVED, cost + middle + 3.0 + bounded(net / spread)
                elif up.travel >= self._sets.alike * size:
                    fit = self._fit(prices, up) + self._fit(prices, down) + prices.kinds[Kind.HALVED]
                    slow = sum(slow_half(prices, s, self._template.pace_spread) for s in (half, again))
                    yield strokes, Kind.HALVED, cost + middle + fit + slow

    def _unlike_half(self, stroke: Stroke, size: float) -> float:
        """How unlike half a rep a stroke is; where its travel tells little, it must be shown otherwise."""
        return bounded(2.0 if self._is_vague(stroke) else (stroke.travel / size - 0.5) / 0.2)

    def _drift(self, stroke: Stroke, prices: Prices | None) -> float:
        """How far the travel of a stroke may be off after its time, or that of the set's strokes of its direction."""
        points = float(stroke.stop - stroke.start)
        if prices is not None:
            points = (prices.up_pace if stroke.side > 0 else prices.down_pace)[stroke.first]
        return self._template.drift * points / self._rate_hz

    def _is_vague(self, stroke: Stroke) -> bool:
        """Whether a stroke lies over a hole or an end of the samples, so that its travel tells little."""
        return self._vague[stroke.first] or self._vague[stroke.last]

    def _merging(self, stroke: Stroke) -> float:
        """Price a way in several lobes: it must be better than one in one."""
        extra = stroke.last - stroke.first
        return 0.0 if not extra else 0.5 + 0.3 * extra

    def _hold(self, prices: Prices, up: Stroke, down: Stroke) -> float:
        """How unlike the set's top holds this one is; the shortest are all alike."""
        p = self._template
        if not p.hold_spread:
            return 0.0
        least = p.hold_least_s * self._rate_hz
        ratio = (max(0, down.start - up.stop) + least) / (max(0.0, prices.hold[up.first]) + least)
        return bounded(log(ratio) / p.hold_spread)

    def _fit(self, prices: Prices, stroke: Stroke) -> float:
        """How unlike the set's ways up (down) a stroke is."""
        p = self._template
        k = stroke.first
        spread = hypot(p.travel_spread, self._drift(stroke, prices) / prices.size[k])
        travel = bounded((stroke.travel / prices.size[k] - 1) / spread)
        vague = self._is_vague(stroke)
        if vague:
            travel = min(travel, _VAGUE)
        moving = max(1.0, float(stroke.stop - stroke.start))
        if stroke.side > 0:
            tempo = bounded(log(moving / max(1.0, prices.up_pace[k])) / p.pace_spread)
            before = min(prices.before_bottom[k], _VAGUE) if vague else prices.before_bottom[k]
            return travel + tempo + before + prices.after_top[stroke.last]
        tempo = bounded(log(moving / max(1.0, prices.down_pace[k])) / p.pace_spread)
        after = min(prices.after_bottom[stroke.last], _VAGUE) if vague else prices.after_bottom[stroke.last]
        return travel + tempo + after
