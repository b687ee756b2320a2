"""A run of live sessions on a source made by hand: no radio, no motion."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field

import numpy as np
import pytest

from analysis.motion.events import Event
from analysis.motion.mounts import Mount
from analysis.motion.samples import Samples
from analysis.training.prescription import Exercise, Prescription, Tempo
from sensor.protocol import Info, InfoFlags, Layout, Packet, encode
from sensor.source import Arrival, Channel, LinkState, Source
from tui.board import Board
from tui.control import Feed
from tui.live import CATCH_UP_S, LiveRun
from tui.messages import Moment, Snapshot, Stage
from tui.session import Session
from tui.track import Track

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

    def set_found(self, *_: object) -> None: ...

    def set_dropped(self, *_: object) -> None: ...

    def ended(self, board: Board) -> tuple[str, ...]:
        self.ends += 1
        self._do("ended")
        return (f"next for {self.trainee}",)

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
        self.run = LiveRun(
            open_source=self.source.open, clock=self.clock, open_session=self.open_session, trainee="Mara Lindt"
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


async def test_a_source_that_ends_closes_the_session_once() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.source.waiting.put_nowait(None)
    await running
    assert [keeper.ends for keeper in gym.keepers] == [1]
    assert gym.source.closed
    assert gym.feed.shown[-1].stage is Stage.DONE
    assert gym.feed.shown[-1].next_text == ("next for Mara Lindt",)


@pytest.mark.parametrize("leave", [LiveRun.stop, LiveRun.end_session])
async def test_a_wish_to_leave_closes_source_and_session(leave: Callable[[LiveRun], None]) -> None:
    gym = Gym()
    running = await gym.connected()
    leave(gym.run)
    leave(gym.run)  # a second time changes nothing
    await running
    assert gym.source.closed
    assert gym.keepers[0].ends == 1


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


@pytest.mark.parametrize("comes", [True, False])
async def test_leaving_waits_for_what_is_on_its_way_but_not_for_ever(comes: bool) -> None:
    gym = Gym()
    running = await gym.connected()
    for arrival in (told_of_itself(), packet(0), packet(20)):
        gym.source.waiting.put_nowait(arrival)
    await gym.until(lambda: gym.feed.shown[-1].link.missing_s > 0)
    gym.run.end_session()
    for _ in range(10):
        await asyncio.sleep(0)
    assert not running.done()
    if comes:
        gym.source.waiting.put_nowait(packet(10))
    else:
        gym.clock.at_s += CATCH_UP_S
    await running
    assert (packet(10) in gym.keepers[0].arrivals) is comes
    assert gym.keepers[0].ends == 1


async def test_a_source_that_breaks_closes_the_session_and_tells_why() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.source.waiting.put_nowait(OSError("the adapter was pulled out"))
    with pytest.raises(OSError, match="pulled out"):
        await running
    assert gym.keepers[0].ends == 1
    assert gym.source.closed


async def test_a_cancelled_run_cleans_up() -> None:
    gym = Gym()
    running = await gym.connected()
    running.cancel()
    with pytest.raises(asyncio.CancelledError):
        await running
    assert gym.source.closed
    assert gym.keepers[0].ends == 1


@pytest.mark.parametrize("what", ["arrived", "tick"])
async def test_a_recording_that_cannot_be_written_ends_the_run_and_tells_why(what: str) -> None:
    gym = Gym()
    running = await gym.connected()
    gym.keepers[0].fails[what] = OSError("the disk is full")
    gym.source.link(LinkState.LOST)
    with pytest.raises(OSError, match="disk is full"):
        await running
    assert gym.source.closed
    assert gym.keepers[0].ends == 1


async def test_another_trainee_gets_a_session_on_the_same_sensor_that_begins_now() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.clock.at_s = 300.0
    gym.run.switch_trainee("Jonas Reiter")
    first, second = gym.keepers
    assert (first.ends, second.ends) == (1, 0)
    assert [(one.channel, one.at_s) for one in second.arrivals] == [(Channel.LINK, 300.0)]
    await gym.until(lambda: gym.feed.shown[-1].stage is Stage.READY)
    assert gym.feed.shown[-1].trainee == gym.run.trainee == "Jonas Reiter"
    gym.run.stop()
    await running
    assert (first.ends, second.ends) == (1, 1)


async def test_the_same_trainee_again_changes_nothing() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.run.switch_trainee("Mara Lindt")
    assert len(gym.keepers) == 1
    gym.run.stop()
    await running


async def test_once_the_run_is_over_the_bar_cannot_be_given_on() -> None:
    gym = Gym()
    gym.run.switch_trainee("Jonas Reiter")  # nor before it began
    running = await gym.connected()
    gym.run.stop()
    await running
    gym.run.switch_trainee("Jonas Reiter")
    assert [keeper.trainee for keeper in gym.keepers] == ["Mara Lindt"]


async def test_a_log_that_cannot_be_closed_for_the_next_trainee_ends_the_run_and_tells_why() -> None:
    gym = Gym()
    running = await gym.connected()
    gym.keepers[0].fails["ended"] = OSError("the log is locked")
    gym.run.switch_trainee("Jonas Reiter")
    with pytest.raises(OSError, match="log is locked"):
        await running
    assert gym.source.closed
    assert len(gym.keepers) == 1
