"""A session that nobody looks on: its sets are found once they are over, and go into the log; no live count.

The refined answer is the one that a watched session ends with (`analysis.motion.pipeline`). Without a live one beside
it, and with the packets of a second read at a time, a session takes a fraction of the work.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby

import numpy as np

from analysis.motion.events import Event
from analysis.motion.samples import Samples
from sensor.assembly import Block, Item, Restart
from sensor.calibration import Calibration
from sensor.clock import ClockEstimate
from sensor.postures import Postures
from sensor.source import Arrival, Channel
from tui.mending.again import hear_all
from tui.session.session import Session
from tui.session.track import Motion, Track


class UnwatchedTrack(Track):
    """Reads one sensor for the refined answer alone; what it is and does besides is a `Track`'s."""

    def __init__(
        self,
        motion: Motion,
        calibration_of: Callable[[str], Calibration] | None = None,
        postures: Postures | None = None,
    ) -> None:
        super().__init__(motion, calibration_of, postures)
        self._timely = self._whole  # nothing is shown at once: one that waits for what was lost is enough
        self._estimate: ClockEstimate | None = None

    @property
    def clock(self) -> ClockEstimate:
        """The sensor's clock against the host's, as known when something happened last: between, nobody asks."""
        if self._estimate is None:
            self._estimate = super().clock
        return self._estimate

    def push(self, arrival: Arrival) -> list[Event]:
        """Take one arrival; return the events it causes."""
        return self.push_all((arrival,))

    def push_all(self, arrivals: Sequence[Arrival]) -> list[Event]:
        """Take several arrivals, packets alone if there are more than one; return the events they cause."""
        before = self._whole.sensor_id
        items = [item for arrival in arrivals for item in self._whole.push(arrival)]
        events = self._follow(arrivals[-1], before, items, self._read(items))
        self._estimate = None if events else self._estimate
        return events

    def finish(self) -> list[Event]:
        """End the stream: nothing more will come."""
        self._estimate = None
        return self._read(self._whole.finish()) + self._motion.finish()

    def _read(self, items: Sequence[Item]) -> list[Event]:
        events: list[Event] = []
        for kind, run in groupby(items, type):
            if kind is Restart:
                self._device_clock = None  # between two starts only the arrivals tell how long it took
            elif kind is Block:
                events += self._read_blocks([one for one in run if isinstance(one, Block)])
        return events

    def _read_blocks(self, blocks: Sequence[Block]) -> list[Event]:
        clock = self._device_clock = self._device_clock or self._new_clock()
        for block in blocks:
            clock.push(float(block.t_s[-1]), block.arrival_s)
        for is_at_rail, run in groupby(blocks, lambda block: block.saturated):
            if not is_at_rail:
                still = tuple(run)
                self.postures.push(*(np.concatenate(one) for one in zip(*map(_still, still), strict=True)))
        return self._motion.settle(_joined(blocks))


def _still(block: Block) -> tuple[np.ndarray, np.ndarray]:
    return block.t_s, block.force_m_s2


def _joined(blocks: Sequence[Block]) -> Samples:
    rates = [block.rate_rad_s for block in blocks if block.rate_rad_s is not None]
    return Samples(
        np.concatenate([block.t_s for block in blocks]),
        np.concatenate([block.force_m_s2 for block in blocks]),
        np.concatenate(rates) if len(rates) == len(blocks) else None,
    )


class UnwatchedSession(Session):
    """A session to which arrivals are given several at a time."""

    def take(self, arrivals: Sequence[Arrival]) -> None:
        """Take what came since the last time; raw packets are kept before anything reads them."""
        for run in _runs(arrivals):
            kept, track = self._kept(run), self._track
            if not self._fault and isinstance(track, UnwatchedTrack):
                self._take(hear_all(track, track.push_all, kept))

    def _show(self) -> None:
        """Show nothing."""


def _runs(arrivals: Sequence[Arrival]) -> Iterator[tuple[Arrival, ...]]:
    """Yield packets of one sensor together, and everything else by itself."""
    for (channel, _), run in groupby(arrivals, lambda one: (one.channel, one.sensor_id)):
        if channel is Channel.DATA:
            yield tuple(run)
        else:
            yield from ((one,) for one in run)
