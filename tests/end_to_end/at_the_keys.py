"""Somebody at the keys of `rungwise train`, with the virtual sensor's packets and a clock set by hand."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

from textual.pilot import Pilot
from virtual_session import HandClock, arrivals

from analysis.logbook.book import Logbook
from analysis.logbook.people import name_key
from analysis.training.blocks import rest_taper
from analysis.training.ladder import Ladder
from analysis.training.plan import default_plan
from analysis.training.records import SessionRecord
from analysis.training.statements import Pain
from sensor.source import Arrival, Channel, LinkState, Source
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import Beat, regular_script
from tests.tui.golden import screen_text
from tui.app import RungwiseApp
from tui.book.plan_text import plan_text
from tui.home import Home
from tui.occasion import Occasion
from tui.session.messages import Stage
from tui.training.train import Training, Wanted

NAME = "Jonas Reiter"
AHEAD_S = 3600.0


class Clock(HandClock):
    """Stands where it is put; who waits lets the others run."""

    def __init__(self, began_s: float = 0.0) -> None:
        super().__init__()
        self.began_s = began_s

    def utc_us(self) -> int:
        return super().utc_us() + round(self.began_s * 1e6)

    async def sleep(self, duration_s: float) -> None:
        await asyncio.sleep(0.02 if duration_s else 0)


class Sensor:
    """The virtual sensor; what it sends comes as the clock is put on. Its times are those since the very beginning."""

    def __init__(self, clock: Clock, sent: Iterator[Arrival], is_behind: Callable[[], bool] = lambda: False) -> None:
        self._clock, self._sent, self._is_behind = clock, sent, is_behind
        self._next = next(sent)
        self._due: asyncio.Queue[Arrival] = asyncio.Queue()

    async def __aiter__(self) -> AsyncIterator[Arrival]:
        while True:
            yield await self._due.get()

    @asynccontextmanager
    async def open(self) -> AsyncIterator[Source]:
        yield self

    async def until(self, true: Callable[[], bool], *, at_most_s: float = AHEAD_S) -> None:
        """Let time pass until something is true."""
        end_s = self._clock.at_s + at_most_s
        while not true():
            assert self._clock.at_s < end_s
            self._clock.at_s = max(self._clock.at_s, self._next.at_s - self._clock.began_s)
            self._due.put_nowait(self._next)
            self._next = next(self._sent)
            while not self._due.empty() or self._is_behind():  # noqa: ASYNC110 - the sessions have no event for it
                await asyncio.sleep(0)
            await asyncio.sleep(0)


def without_end(sent: Iterator[Arrival]) -> Iterator[Arrival]:
    """Leave out that the demonstration is over: a real sensor lies there and goes on."""
    for arrival in sent:
        if not (arrival.channel is Channel.LINK and arrival.payload == LinkState.ENDED.value.encode()):
            yield arrival


BEAT = Beat(up_s=1.0, top_s=0.3, down_s=1.0, bottom_s=0.2)
SCRIPT = regular_script(trainee=NAME, sets=4, reps=5, beat=BEAT, rest_s=20.0)
"""As the plan asks, and a set more, before which nobody waits."""


def write_plan(home: Home, name: str = NAME) -> None:
    """Write a plan that asks for three sets of five to begin with."""
    plan = default_plan()
    steps = rest_taper(3, 5, from_s=20, to_s=10)
    rungs = list(plan.ladder.rungs)
    at = next(number for number, one in enumerate(rungs) if one.key == plan.start)
    rungs[at] = replace(rungs[at], steps=steps, gate="3 × 5 with 10 s rest")
    home.plans.mkdir(exist_ok=True)
    home.plan(name_key(name)).write_text(plan_text(replace(plan, ladder=Ladder(tuple(rungs))), name), encoding="utf-8")


class Person:
    """Who trains, at the keys of a dashboard."""

    def __init__(self, folder: Path, book: Logbook, clock: Clock, sent: Iterator[Arrival] | None = None) -> None:
        self.folder, self.book, self.clock = folder, book, clock
        self.sent = sent or without_end(arrivals(TraineeFeed(SCRIPT)))
        self.sensor = Sensor(clock, self.sent, lambda: self.training.run.bar.is_busy)
        self.training = Training(
            Home(folder), book, clock, NAME, Wanted(), open_source=lambda _: self.sensor.open(), asks=True
        )
        self.app = RungwiseApp(Occasion(self.training.drive, control=self.training.run, asked=self.training.asked))
        self.pilot: Pilot[None]

    @asynccontextmanager
    async def at_the_screen(self) -> AsyncIterator[None]:
        async with self.app.run_test(size=(80, 24)) as self.pilot:
            await self.pilot.pause()
            await self.sensor.until(lambda: self.is_in(Stage.READY))
            await self.look()
            yield
            await self.pilot.pause(0.2)
            assert self.app._exit
        assert self.training.asked
        self.training.asked.leave()

    async def look(self) -> str:
        self.app.frame()
        await self.pilot.pause()
        return screen_text(self.app)

    async def press(self, *keys: str) -> str:
        """Press keys, and look what is on the screen then."""
        for key in keys:
            await self.pilot.press(key)
        await self.pilot.pause(0.05)
        return await self.look()

    async def until(self, stage: Stage) -> str:
        await self.sensor.until(lambda: self.is_in(stage))
        return await self.look()

    @property
    def sessions(self) -> tuple[SessionRecord, ...]:
        who = self.book.trainee(NAME)
        return () if who is None else self.book.sessions(who.id)

    @property
    def pains(self) -> list[int]:
        who = self.book.trainee(NAME)
        return [] if who is None else [one.now for one in self.book.statements(who.id) if isinstance(one, Pain)]

    def is_in(self, stage: Stage) -> bool:
        return self.training.run.stage is stage
