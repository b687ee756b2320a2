"""A run of live sessions on a source made by hand: no radio, no motion."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field

import numpy as np

from analysis.motion.events import Event
from analysis.motion.mounts import Mount
from analysis.motion.samples import Samples
from analysis.training.prescription import Exercise, Prescription, Tempo
from sensor.protocol import Info, InfoFlags, Layout, Packet, encode
from sensor.source import Arrival, Channel, LinkState, Source
from tui.session.board import Board
from tui.session.control import Feed
from tui.session.messages import Moment, Snapshot, Stage
from tui.session.session import Session
from tui.session.track import Track
from tui.training.live import LiveRun

ASKED = Prescription(exercise=Exercise("bar", "bar", Mount.BODY), sets=3, reps=5, tempo=Tempo(2, 0, 1, 1), rest_s=60)


class Clock:
    """Stands at `at_s`; a wait lets the others run."""

    at_s = 0.0

    def now_s(self) -> float:
        return self.at_s

    def utc_us(self) -> int:
        return 0

    async def sleep(self, duration_s: float) -> None:
        await asyncio.sleep(0)


class Silence:
    """A motion core that says nothing."""

    def push_live(self, samples: Samples) -> list[Event]:
        return []

    def settle(self, samples: Samples) -> list[Event]:
        return []

    def part(self) -> list[Event]:
        return []

    def finish(self) -> list[Event]:
        return []


@dataclass
class Lookout:
    """A feed that remembers."""

    moments: list[Moment] = field(default_factory=list)
    shown: list[Snapshot] = field(default_factory=list)

    def post_moment(self, moment: Moment) -> None:
        self.moments.append(moment)

    def post_snapshot(self, snapshot: Snapshot) -> None:
        self.shown.append(snapshot)


@dataclass
class Kept:
    """A keeper that remembers; `fails` is raised where the named thing is asked of it."""

    trainee: str
    arrivals: list[Arrival] = field(default_factory=list)
    ends: int = 0
    fails: dict[str, Exception] = field(default_factory=dict)

    def arrived(self, arrival: Arrival) -> None:
        self._do("arrived")
        self.arrivals.append(arrival)

    def emitted(self, event: Event) -> None: ...

    def tick(self) -> None:
        self._do("tick")

    def setbacks(self) -> tuple[str, ...]:
        return ()

    def set_found(self, *_: object) -> None: ...

    def said(self, *_: object) -> None: ...

    def taken_back(self, *_: object) -> None: ...

    def ended(self, board: Board) -> tuple[str, ...]:
        self.ends += 1
        self._do("ended")
        return (f"next for {self.trainee}",)

    def relived(self) -> None: ...

    def next_lines(self) -> tuple[str, ...]:
        return (f"again for {self.trainee}",)

    def learnt(self, *_: object) -> tuple[str, ...]:
        return ()

    def _do(self, what: str) -> None:
        if what in self.fails:
            raise self.fails[what]


class Hand:
    """A source that yields what is put into it; None ends it, an error breaks it."""

    def __init__(self) -> None:
        self.waiting: asyncio.Queue[Arrival | Exception | None] = asyncio.Queue()
        self.closed = False

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        while (one := await self.waiting.get()) is not None:
            if isinstance(one, Exception):
                raise one
            yield one

    @asynccontextmanager
    async def open(self) -> AsyncIterator[Source]:
        try:
            yield self
        finally:
            self.closed = True

    def link(self, state: LinkState, at_s: float = 0.0) -> None:
        self.waiting.put_nowait(Arrival("clip", at_s, Channel.LINK, state.value.encode()))


class Gym:
    """Everything around one run."""

    def __init__(self) -> None:
        self.clock, self.source, self.feed = Clock(), Hand(), Lookout()
        self.keepers: list[Kept] = []
        self.refused: dict[str, str] = {}
        self.run = LiveRun(
            open_source=self.source.open,
            clock=self.clock,
            open_session=self.open_session,
            trainees=("Mara Lindt",),
            refusal=lambda name: self.refused.get(name, ""),
        )

    def open_session(self, name: str, feed: Feed) -> Session:
        self.keepers.append(Kept(name))
        board = Board(trainee=name, prescription=ASKED, began_s=self.clock.now_s())
        return Session(track=Track(Silence()), board=board, clock=self.clock, feed=feed, keeper=self.keepers[-1])

    async def until(self, true: Callable[[], bool]) -> None:
        while not true():  # noqa: ASYNC110 - what is awaited is a picture, and pictures have no event
            await asyncio.sleep(0)

    async def connected(self) -> asyncio.Task[None]:
        """Start the run and wait until the sensor is there."""
        running = asyncio.create_task(self.run.run(self.feed))
        self.source.link(LinkState.CONNECTED)
        await self.until(lambda: any(one.stage is Stage.READY for one in self.feed.shown))
        return running


def told_of_itself() -> Arrival:
    info = Info(
        boot_id=7,
        rate_hz=100.0,
        axes=3,
        force_g_per_count=2**-12,
        turn_deg_s_per_count=0.0,
        ring_samples=6000,
        flags=InfoFlags.CAN_RESEND,
    )
    return Arrival("clip", 0.0, Channel.INFO, bytes(info))


def packet(first: int) -> Arrival:
    one = Packet(boot_tag=7, first_index=first, device_us=first * 10_000, counts=np.full((10, 3), first, np.int16))
    return Arrival("clip", 0.0, Channel.DATA, encode(one, Layout.LARGE))
