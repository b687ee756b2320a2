"""The motion core as one streaming operator: samples in, events out.

    push ─ grid (even, cut-invariant) ─┬─ every live_every_s:   live tracker    → PhaseChanged, Rep*, Bout*
                                       └─ after exercise:       refine a window → BoutRefined

Both run at fixed grid points counted from the first sample, so events do not depend on how the stream is cut, and the
refined answer does not depend on whether the live one is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analysis.motion.events import BoutClosed, BoutRefined, Event, EventId, SpanUnmeasurable
from analysis.motion.grid import Gridder, Stretch
from analysis.motion.live import LiveTracker
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS, Parameters, parameters_sha
from analysis.motion.results import Bout, Unmeasurable, Why
from analysis.motion.samples import Samples
from analysis.motion.state import fill, opened, packed
from analysis.motion.windows import Refiner

REFINED_ORDINAL = -1
"""Ordinal of a `BoutRefined`; its `bout` counts the refined bouts."""
VOIDED_ORDINAL = -2
"""Ordinal of a `BoutRefined` without reps that only takes back the live bout of the same number."""
SPAN_BOUT = -1
"""Bout of a `SpanUnmeasurable`; its ordinal counts the spans."""


_OVERLAP_S = 2.0
"""A live bout that begins so shortly before a refined one ends is the next one, not its counterpart."""


class Pipeline:
    """Motion of one sensor, from its first sample to `finish`.

    Parameters
    ----------
    mount
        Where the sensor sits.
    parameters
        Of every step.
    live
        False leaves the live tracker out: only `BoutRefined` and `SpanUnmeasurable` come, the same as with True.
    """

    def __init__(self, mount: Mount, *, parameters: Parameters = DEFAULTS, live: bool = True) -> None:
        self._mount = mount
        self._parameters = parameters
        self._live = LiveTracker(mount, parameters) if live else None
        self._closed: list[Bout] = []
        self._held: list[Bout] = []
        self._spans = 0
        self._last_s: float | None = None
        self._refined = 0
        self._start()

    def push(self, samples: Samples) -> list[Event]:
        """Take the next samples; return what they caused, in order.

        Raises
        ------
        ValueError
            When the samples do not continue after the last one.
        """
        events: list[Event] = []
        for part in self._parts(samples):
            if isinstance(part, Unmeasurable):
                events += self._end()
                events.append(self._span(part))
                self._start()
            else:
                events += self._advance(self._gridder.push(part))
        return events

    def finish(self) -> list[Event]:
        """End the stream: close and refine what is open."""
        return self._end()

    def save(self) -> bytes:
        """Return the state; from it `restore` goes on with the same events to the last digit (format: `state.py`)."""
        sha = parameters_sha(self._parameters)
        return packed(self, mount=self._mount, live=self._live is not None, parameters_sha=sha)

    @classmethod
    def restore(cls, saved: bytes, *, parameters: Parameters = DEFAULTS) -> Pipeline:
        """Return a pipeline in the state that was saved.

        Raises
        ------
        analysis.motion.state.StateError
            When it is no state, or was saved by another version or with other parameters.
        """
        mount, live, state = opened(saved, parameters_sha(parameters))
        pipeline = cls(mount, parameters=parameters, live=live)
        fill(pipeline, state)
        return pipeline

    def _start(self) -> None:
        self._gridder = Gridder(self._parameters.grid)
        self._refiner = Refiner(self._mount, self._parameters, self._refined)

    def _end(self) -> list[Event]:
        events = self._advance(self._gridder.finish())
        if self._live is not None:
            events += self._note(self._live.finish())
        self._held += self._refiner.finish()
        self._refined = self._refiner.number
        return events + self._release()

    def _parts(self, samples: Samples) -> Iterator[Samples | Unmeasurable]:
        """Split at holes too long to carry through."""
        if not len(samples):
            return
        first = float(samples.t_s[0])
        if self._last_s is not None and first <= self._last_s:
            raise ValueError(
                f"samples must continue after {self._last_s} s, not at {first} s: sort them, or drop these"
            )
        before = np.concatenate([[first if self._last_s is None else self._last_s], samples.t_s[:-1]])
        start = 0
        for cut in np.flatnonzero(samples.t_s - before > self._parameters.life.restart_s).tolist():
            if cut > start:
                yield _cut(samples, start, cut)
            self._last_s = float(before[cut])
            yield Unmeasurable(self._last_s, float(samples.t_s[cut]), Why.GAP)
            start = cut
        self._last_s = float(samples.t_s[-1])
        yield _cut(samples, start, len(samples))

    def _advance(self, grid: Stretch) -> list[Event]:
        """Feed grid points up to each tick in turn, so that ticks fall on the same points however the stream is cut."""
        events: list[Event] = []
        at = 0
        while at < len(grid):
            stop = len(grid) if self._live is None else min(len(grid), at + self._live.to_next())
            piece = grid.cut(at, stop)
            at = stop
            if self._live is not None:
                events += self._note(self._live.push(piece))
            self._held += self._refiner.push(piece)
            if self._held or self._closed:
                events += self._release()
        return events

    def _note(self, events: list[Event]) -> list[Event]:
        self._closed += [e.bout for e in events if isinstance(e, BoutClosed)]
        return events

    def _release(self) -> list[Event]:
        """Give out refined bouts whose live counterpart, if any, is closed."""
        open_since_s = None if self._live is None else self._live.open_since_s
        ready = [b for b in self._held if open_since_s is None or b.end_s <= open_since_s + _OVERLAP_S]
        self._held = [b for b in self._held if b not in ready]
        return [*(self._refinement(bout) for bout in ready), *self._voided()]

    def _voided(self) -> Iterator[BoutRefined]:
        """Replace live bouts in which the refinement found nothing by empty ones of the same number."""
        settled = [c for c in self._closed if c.end_s < self._refiner.decided_s and (c.reps or c.holds)]
        self._closed = [c for c in self._closed if c.end_s >= self._refiner.decided_s]
        for closed in settled:
            empty = Bout(number=closed.number, start_s=closed.start_s, end_s=closed.end_s, reps=())
            identity = EventId(closed.number, VOIDED_ORDINAL)
            yield BoutRefined(
                id=identity,
                at_s=closed.start_s,
                emitted_s=self._refiner.looked_s,
                bout=empty,
                supersedes=(closed.number,),
            )

    def _refinement(self, bout: Bout) -> BoutRefined:
        replaced = tuple(c.number for c in self._closed if c.start_s < bout.end_s and c.end_s > bout.start_s)
        self._closed = [c for c in self._closed if c.number not in replaced]
        return BoutRefined(
            id=EventId(bout.number, REFINED_ORDINAL),
            at_s=bout.start_s,
            emitted_s=self._refiner.looked_s,
            bout=bout,
            supersedes=replaced,
        )

    def _span(self, span: Unmeasurable) -> SpanUnmeasurable:
        self._spans += 1
        return SpanUnmeasurable(
            id=EventId(SPAN_BOUT, self._spans - 1), at_s=span.start_s, emitted_s=span.end_s, span=span
        )


def _cut(samples: Samples, start: int, stop: int) -> Samples:
    rate = None if samples.rate_rad_s is None else samples.rate_rad_s[start:stop]
    return Samples(samples.t_s[start:stop], samples.force_m_s2[start:stop], rate)
