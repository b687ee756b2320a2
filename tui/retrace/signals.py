"""The motion behind a replay: its envelope over any stretch, and the trace of each set, read once and kept.

Read beside the screen: assembling two hours takes a second or two. Until then a replay shows what was counted alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from analysis.motion.filters import length
from analysis.motion.mounts import Mount
from analysis.motion.parameters import STANDARD_GRAVITY_M_S2
from analysis.motion.results import Rep
from analysis.motion.samples import FloatArray, Samples
from analysis.motion.trace import BESIDE_S, Trace, Way, traced
from tui.retrace.view import LEAST_S, Fault, RetraceView

HOLE_S = 0.5
"""Longer between two samples, and it is shown as a gap; shorter ones are hardly a column wide anywhere."""

_USUAL = 0.95
"""Share of the columns that set the edges of the acceleration, with as much again on either side."""
_LEAST_SPREAD_M_S2 = 1.0

Envelope = tuple[tuple[float, float] | None, ...]
"""Least and greatest value in each column; None where there is none."""


@dataclass(frozen=True, slots=True)
class Band:
    """One signal over the stretch in sight.

    Attributes
    ----------
    name, unit
        As shown.
    low, high
        Values at the lower and upper edge of its drawing.
    under, over
        Whether it goes beyond them: a knock would otherwise leave nothing to see of the rest.
    """

    name: str
    unit: str
    low: float
    high: float
    columns: Envelope
    under: bool = False
    over: bool = False


@dataclass(frozen=True, slots=True)
class Sight:
    """What of the motion is in sight: one band each, and the ways up and down that the reps were read from."""

    position: Band | None
    acceleration: Band
    ways: tuple[Way, ...]


@dataclass(slots=True)
class Signals:
    """The whole motion of a recording or a file.

    Parameters
    ----------
    samples
        All of it, holes as holes in time.
    spans
        Start, end and reps of each set, in order of time.
    """

    samples: Samples
    mount: Mount
    spans: Sequence[tuple[float, float, tuple[Rep, ...]]]
    _felt: FloatArray = field(init=False)
    _traces: dict[int, Trace | None] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self._felt = length(self.samples.force_m_s2) - STANDARD_GRAVITY_M_S2

    def read_sets(self) -> Signals:
        """Read the traces of all sets now, so that none has to be waited for when it comes in sight."""
        for index in range(len(self.spans)):
            self._trace(index)
        return self

    @property
    def span_s(self) -> tuple[float, float]:
        """Times of the first and the last sample."""
        return float(self.samples.t_s[0]), float(self.samples.t_s[-1])

    @property
    def gaps(self) -> tuple[Fault, ...]:
        """Where samples are missing."""
        t_s = self.samples.t_s
        holes = np.flatnonzero(np.diff(t_s) > HOLE_S).tolist()
        return tuple(Fault(float(t_s[i]), float(t_s[i + 1]), f"{t_s[i + 1] - t_s[i]:.1f} s missing") for i in holes)

    def sight(self, from_s: float, to_s: float, columns: int) -> Sight:
        """Return what is in sight, in so many columns."""
        traces = [trace for index in self._near(from_s, to_s) if (trace := self._trace(index)) is not None]
        felt = envelope(self.samples.t_s, self._felt, from_s, to_s, columns)
        return Sight(
            position=_position(traces, from_s, to_s, columns),
            acceleration=_without_knocks(_band("acceleration", "m/s²", felt, least=2.0)),
            ways=tuple(way for trace in traces for way in trace.ways if way.end_s > from_s and way.start_s < to_s),
        )

    def _near(self, from_s: float, to_s: float) -> list[int]:
        return [index for index, (start_s, end_s, _) in enumerate(self.spans) if start_s < to_s and end_s > from_s]

    def _trace(self, index: int) -> Trace | None:
        if index not in self._traces:
            start_s, end_s, reps = self.spans[index]
            self._traces[index] = traced(self._cut(start_s - BESIDE_S, end_s + BESIDE_S), self.mount, reps)
        return self._traces[index]

    def _cut(self, from_s: float, to_s: float) -> Samples:
        whole = self.samples
        a, b = np.searchsorted(whole.t_s, (from_s, to_s))
        rate = None if whole.rate_rad_s is None else whole.rate_rad_s[a:b]
        return Samples(whole.t_s[a:b], whole.force_m_s2[a:b], rate)


def _position(traces: Sequence[Trace], from_s: float, to_s: float, columns: int) -> Band | None:
    if not traces:
        return None
    known = [(trace, ~trace.hole) for trace in traces]
    found = [envelope(trace.t_s[there], trace.position[there], from_s, to_s, columns) for trace, there in known]
    both = tuple(next((one for one in column if one is not None), None) for column in zip(*found, strict=True))
    travels = traces[0].travels
    return _band("travel" if travels else "tilt", "m" if travels else "°", both, least=0.1 if travels else 1.0)


def _band(name: str, unit: str, columns: Envelope, *, least: float) -> Band:
    """Return a band whose edges hold all its values, at least `least` apart."""
    seen = [one for one in columns if one is not None]
    low, high = min((one[0] for one in seen), default=0.0), max((one[1] for one in seen), default=0.0)
    spare = max(0.0, least - (high - low)) / 2
    return Band(name, unit, low - spare, high + spare, columns)


def _without_knocks(band: Band) -> Band:
    """Return the band with edges that a few columns far beyond all others do not set."""
    seen = [one for one in band.columns if one is not None]
    if not seen:
        return band
    usual = [float(np.quantile([one[side] for one in seen], share)) for side, share in ((0, 1 - _USUAL), (1, _USUAL))]
    spare = max(usual[1] - usual[0], _LEAST_SPREAD_M_S2)
    low, high = max(band.low, usual[0] - spare), min(band.high, usual[1] + spare)
    return replace(band, low=low, high=high, under=low > band.low, over=high < band.high)


def envelope(t_s: FloatArray, values: FloatArray, from_s: float, to_s: float, columns: int) -> Envelope:
    """Return least and greatest value in each of `columns` equal parts of a stretch.

    A column between two samples holds the value between them, unless they are further apart than `HOLE_S`.

    Parameters
    ----------
    t_s, values : (n,) arrays
        Times rise.
    """
    if columns <= 0 or to_s <= from_s or not len(t_s):
        return (None,) * max(0, columns)
    edges_s = np.linspace(from_s, to_s, columns + 1)
    places = np.searchsorted(t_s, edges_s)
    starts, stops = places[:-1], places[1:]
    full = stops > starts
    low, high = np.full(columns, np.nan), np.full(columns, np.nan)
    if full.any():
        # Each column begins where the full one before it ended, so that the starts of the full ones are the cuts.
        first, last = starts[full], int(stops[full][-1])
        low[full] = np.minimum.reduceat(values[:last], first)
        high[full] = np.maximum.reduceat(values[:last], first)
    _bridge(t_s, values, edges_s, starts, ~full, low, high)
    return tuple(None if np.isnan(a) else (a, b) for a, b in zip(low.tolist(), high.tolist(), strict=True))


def _bridge(
    t_s: FloatArray,
    values: FloatArray,
    edges_s: FloatArray,
    after: np.ndarray,
    empty: np.ndarray,
    low: FloatArray,
    high: FloatArray,
) -> None:
    """Give columns without a sample of their own the value between those on either side."""
    inside = empty & (after > 0) & (after < len(t_s))
    at = after[inside]
    near = t_s[at] - t_s[at - 1] <= HOLE_S
    columns = np.flatnonzero(inside)[near]
    middle = (edges_s[columns] + edges_s[columns + 1]) / 2
    low[columns] = high[columns] = np.interp(middle, t_s, values)


Load = Callable[[], Signals]
"""Reads the motion; run beside the screen."""


def with_motion(view: RetraceView, signals: Signals) -> RetraceView:
    """Return the view with what only the motion tells: where samples are missing, and when it ends."""
    faults = sorted([*view.faults, *signals.gaps], key=lambda one: one.start_s)
    start_s, end_s = signals.span_s
    end_s = max([end_s, start_s + LEAST_S, *(one.end_s for one in view.sets)])
    return replace(view, start_s=min(start_s, view.start_s), end_s=end_s, faults=tuple(faults))
