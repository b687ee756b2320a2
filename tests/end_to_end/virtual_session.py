"""A whole session with the virtual sensor's packets, as fast as it can be computed: no radio, no waiting."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from analysis.logbook.book import Logbook
from analysis.training.records import SessionRecord
from sensor.protocol import Start
from sensor.source import Arrival, Channel, LinkState
from sensor.virtual.core import SensorCore
from sensor.virtual.motion import FeedSpec, TraineeFeed
from tui.home import Home, day_of
from tui.sensors.sensors import SensorFile
from tui.session.messages import Moment, Snapshot
from tui.session.opening import Opening
from tui.session.plans import Plan, demo_plan
from tui.session.session import Session

SENSOR = "virtual"
BEGAN_UTC_US = 1_772_440_000_000_000  # 2 March 2026
MTU = 247


class HandClock:
    """A host clock that stands where it is put."""

    def __init__(self) -> None:
        self.at_s = 0.0

    def now_s(self) -> float:
        return self.at_s

    def utc_us(self) -> int:
        return BEGAN_UTC_US + round(self.at_s * 1e6)

    async def sleep(self, duration_s: float) -> None:
        self.at_s += duration_s


@dataclass
class Notebook:
    """A feed that remembers."""

    moments: list[Moment] = field(default_factory=list)
    snapshots: list[Snapshot] = field(default_factory=list)
    _shown: asyncio.Event = field(default_factory=asyncio.Event)

    def post_moment(self, moment: Moment) -> None:
        self.moments.append(moment)

    def post_snapshot(self, snapshot: Snapshot) -> None:
        self.snapshots.append(snapshot)
        self._shown.set()

    async def first_snapshot(self) -> None:
        await self._shown.wait()

    @property
    def text(self) -> str:
        return "\n".join(moment.text for moment in self.moments)


def arrivals(feed: FeedSpec, *, clock_ratio: float = 1.0) -> Iterator[Arrival]:
    """Yield what a host would receive, each packet as soon as its last sample is taken.

    `clock_ratio` is host seconds per device second: a sensor whose clock runs wrong.
    """
    core = SensorCore(feed, boot_id=1)
    core.take(Start(), 0.0, MTU)
    yield _link(0.0, LinkState.SEARCHING)
    yield _link(0.0, LinkState.CONNECTED)
    yield Arrival(SENSOR, 0.0, Channel.INFO, bytes(core.info))
    device_s = 0.0
    while not core.finished:
        device_s = core.next_due_s()
        for payload in core.due(device_s):
            yield Arrival(SENSOR, device_s * clock_ratio, Channel.DATA, payload)
    yield _link(device_s * clock_ratio, LinkState.ENDED)


def _link(at_s: float, state: LinkState) -> Arrival:
    return Arrival(SENSOR, at_s, Channel.LINK, state.value.encode())


@dataclass
class Gym:
    """A home with an open logbook, and a clock that stands where it is put."""

    home: Home
    logbook: Logbook
    clock: HandClock
    book: Notebook

    def opening(self, plan_for: Callable[[str], Plan] | None = None) -> Opening:
        today = day_of(self.clock.utc_us())
        return Opening(
            home=self.home,
            logbook=self.logbook,
            clock=self.clock,
            plan_for=plan_for or (lambda _: demo_plan(self.logbook, today)),
            sensors=SensorFile(self.home.sensors),
        )

    def run(self, session: Session, feed: FeedSpec | None = None, *, clock_ratio: float = 1.0) -> None:
        """Put a whole virtual session through, a tick of the screen after each packet."""
        for arrival in arrivals(feed or TraineeFeed(), clock_ratio=clock_ratio):
            self.give(session, arrival)

    def give(self, session: Session, arrival: Arrival) -> None:
        self.clock.at_s = max(self.clock.at_s, arrival.at_s)
        session.handle(arrival)
        session.tick()

    def records(self) -> list[SessionRecord]:
        return [one for who in self.logbook.trainees() for one in self.logbook.sessions(who.id, with_reps=True)]

    def recordings(self) -> list[Path]:
        return self.home.recordings_of("")
