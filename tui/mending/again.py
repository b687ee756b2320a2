"""Takes arrivals again, or late: their motion is read in a thread, so that clocks, keys and screen go on meanwhile.

Only the track is touched there. What it made of an arrival comes back as a value, and is folded where everything else
is: nothing has to be locked.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace

from analysis.motion.events import Event
from sensor.clock import ClockEstimate
from sensor.source import Arrival
from tui.session.messages import Link
from tui.session.track import Track

AT_ONCE = 20
"""So many are read at a time, at most: a tenth of a second of work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What a track made of one arrival.

    Attributes
    ----------
    counted
        The sensor that counted until then.
    link, clock
        As they were known after it.
    fault
        What the track died of, at this arrival or before it; None as long as it lives.
    is_past
        It was taken before, and kept.
    """

    arrival: Arrival
    counted: str
    link: Link
    clock: ClockEstimate
    events: tuple[Event, ...] = ()
    fault: Exception | None = None
    is_past: bool = False


def hear(track: Track, arrival: Arrival) -> Heard:
    """Let a track take one arrival."""
    return hear_all(track, lambda arrivals: track.push(*arrivals), (arrival,))


def hear_all(track: Track, push: Callable[[Sequence[Arrival]], list[Event]], arrivals: Sequence[Arrival]) -> Heard:
    """Let a track take arrivals by `push`; what is returned stands by the last of them."""
    counted, fault, events = track.link.sensor, None, list[Event]()
    try:
        events = push(arrivals)
    except Exception as error:
        fault = error
    return _heard(track, arrivals[-1], counted, events, fault)


def _heard(
    track: Track, arrival: Arrival, counted: str, events: Sequence[Event] = (), fault: Exception | None = None
) -> Heard:
    return Heard(
        arrival=arrival,
        counted=counted,
        link=track.link,
        clock=track.clock,
        events=tuple(events),
        fault=fault,
    )


class Again:
    """The arrivals that wait for a track, in their order: those that were taken before, then those that came since.

    Parameters
    ----------
    track
        Nobody else may touch it as long as anything waits.
    """

    def __init__(self, track: Track) -> None:
        self._track = track
        self._past: deque[Arrival] = deque()
        self._since: deque[Arrival] = deque()
        self._all = self._taken = 0
        self._fault: Exception | None = None
        self._reader: ThreadPoolExecutor | None = None
        self._reading: Future[list[Heard]] | None = None

    def add(self, past: Iterable[Arrival]) -> None:
        """Let arrivals wait that were taken before."""
        self._past.extend(past)
        self._all = self._taken + len(self._past)

    def add_since(self, arrivals: Iterable[Arrival]) -> None:
        """Let arrivals wait that come now."""
        self._since.extend(arrivals)

    @property
    def waits(self) -> bool:
        """Whether any waits, or is being read."""
        return bool(self._past or self._since or self._reading)

    @property
    def share(self) -> float:
        """How much of what was taken before is taken again, 0 to 1."""
        return self._taken / self._all if self._all else 1.0

    def heard(self, most: int, *, wait: bool = False) -> list[Heard]:
        """Return what was read since the last call, and let the next be read, never some of before and of now at once.

        Parameters
        ----------
        most
            How many arrivals at most.
        wait
            Wait for what is being read; else nothing is returned as long as it is.
        """
        if self._reading is None:
            self._read_on(most)
        if self._reading is None or not (wait or self._reading.done()):
            return []
        heard, self._reading = self._reading.result(), None
        self._taken += sum(one.is_past for one in heard)
        if not self.waits and self._reader:
            self._reader.shutdown(wait=False)
            self._reader = None
        return heard

    def _read_on(self, most: int) -> None:
        queue, is_past = (self._past, True) if self._past else (self._since, False)
        next_ones = [queue.popleft() for _ in range(min(most, len(queue)))]
        if next_ones:
            self._reader = self._reader or ThreadPoolExecutor(1, "read again")
            self._reading = self._reader.submit(self._read, next_ones, is_past)

    def _read(self, arrivals: list[Arrival], is_past: bool) -> list[Heard]:
        """Read in the thread; a track that died takes nothing more."""
        heard: list[Heard] = []
        for arrival in arrivals:
            if self._fault is None:
                one = hear(self._track, arrival)
                self._fault = one.fault
            else:
                one = _heard(self._track, arrival, self._track.link.sensor, fault=self._fault)
            heard.append(replace(one, is_past=is_past))
        return heard
