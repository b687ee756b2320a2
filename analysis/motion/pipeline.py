"""The motion core as one streaming operator: samples in, events out.

    push ─┬─ push_live ─ grid ─ every live_every_s: live tracker    → PhaseChanged, Rep*, Bout*
          └─ settle ──── grid ─ after exercise:     refine a window → BoutRefined, SpanUnmeasurable

Both run at fixed grid points counted from the first sample, so events do not depend on how the stream is cut, and the
refined answer does not depend on whether the live one is asked for. Where samples may come late (asked for again after
a lost link), the live tracker gets what came in time, and the refinement waits for the whole.
"""

from __future__ import annotations

from collections.abc import Iterator

from analysis.motion.events import BoutClosed, BoutRefined, Event, EventId, SpanUnmeasurable
from analysis.motion.grid import Stretch
from analysis.motion.inlet import Inlet
from analysis.motion.live import LiveTracker
from analysis.motion.mounts import Mount
from analysis.motion.parameters import DEFAULTS, Parameters, parameters_sha
from analysis.motion.results import Bout, Unmeasurable
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
    halved
        Whether one-and-a-half reps were asked for: then the live answer counts a plain one once the next has begun,
        and takes back what turns out to be half of one, where the sensor travels. The refinement does not look at it.
    live
        False leaves the live tracker out: only `BoutRefined` and `SpanUnmeasurable` come, the same as with True.
    """

    def __init__(
        self, mount: Mount, *, parameters: Parameters = DEFAULTS, live: bool = True, halved: bool = False
    ) -> None:
        self._mount = mount
        self._parameters = parameters
        self._live = LiveTracker(mount, parameters, halved=halved) if live else None
        self._timely = Inlet(mount, parameters)
        self._whole = Inlet(mount, parameters)
        self._refiner = Refiner(mount, parameters)
        self._closed: list[Bout] = []
        self._held: list[Bout] = []
        self._spans = 0

    def push(self, samples: Samples) -> list[Event]:
        """Take the next samples, none of which came late; return what they caused, in order.

        Raises
        ------
        ValueError
            When the samples do not continue after the last one.
        """
        if self._live is None:
            return self.settle(samples)
        events: list[Event] = []
        for timely, whole in zip(self._timely.push(samples), self._whole.push(samples), strict=True):
            if isinstance(timely, Unmeasurable) or isinstance(whole, Unmeasurable):
                events += [*self._end_live(), *self._settled(whole)]
            else:
                events += self._in_step(self._live, whole)
        return events

    def push_live(self, samples: Samples) -> list[Event]:
        """Take the next samples that came in time, for the live tracker alone; raises as `push`."""
        if self._live is None:
            return []
        events: list[Event] = []
        for part in self._timely.push(samples):
            events += self._end_live() if isinstance(part, Unmeasurable) else self._advance_live(part)
        return events

    def settle(self, samples: Samples) -> list[Event]:
        """Take the next samples of the whole, for the refinement alone; raises as `push`."""
        events: list[Event] = []
        for part in self._whole.push(samples):
            events += self._settled(part)
        return events

    def part(self) -> list[Event]:
        """Close and refine what is open: what is missing until the next samples was never to be measured here."""
        events = self._close_all(self._timely.part(), self._whole.part())
        self._refiner = Refiner(self._mount, self._parameters, self._refiner.number)
        return events

    def finish(self) -> list[Event]:
        """End the stream: close and refine what is open."""
        return self._close_all(self._timely.finish(), self._whole.finish())

    def _close_all(self, timely: Stretch, whole: Stretch) -> list[Event]:
        if self._live is None or not timely.equals(whole):  # something came late, or to one of them only
            last = [*self._advance_live(timely), *self._settled(whole)]
        else:
            last = self._in_step(self._live, whole)
        events = [*last, *self._end_live()]
        self._held += self._refiner.finish()
        return events + self._release()

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

    def _settled(self, part: Stretch | Unmeasurable) -> list[Event]:
        """Refine what a part of the whole gives; a hole that stays ends what is open."""
        if isinstance(part, Stretch):
            self._held += self._refiner.push(part)
            return self._release() if self._held or self._closed else []
        self._held += self._refiner.finish()
        events = [*self._release(), self._span(part)]
        self._refiner = Refiner(self._mount, self._parameters, self._refiner.number)
        return events

    def _in_step(self, live: LiveTracker, grid: Stretch) -> list[Event]:
        """Feed both up to each tick in turn, so that their events come in one order however the stream is cut."""
        events: list[Event] = []
        for piece in _up_to_ticks(live, grid):
            events += [*self._note(live.push(piece)), *self._settled(piece)]
        return events

    def _advance_live(self, grid: Stretch) -> list[Event]:
        if self._live is None:
            return []
        return [event for piece in _up_to_ticks(self._live, grid) for event in self._note(self._live.push(piece))]

    def _end_live(self) -> list[Event]:
        return [] if self._live is None else self._note(self._live.finish())

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


def _up_to_ticks(live: LiveTracker, grid: Stretch) -> Iterator[Stretch]:
    """Cut where the live tracker has something to do, so that it falls on the same points however the stream is cut."""
    at = 0
    while at < len(grid):
        stop = min(len(grid), at + live.to_next())
        yield grid.cut(at, stop)
        at = stop
