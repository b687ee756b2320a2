"""Whole sessions of `rungwise train` by keys only, with the virtual sensor's packets and a clock set by hand."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot
from virtual_session import HandClock, arrivals

from analysis.logbook.book import Logbook
from analysis.training.blocks import rest_taper
from analysis.training.ladder import Ladder
from analysis.training.plan import default_plan
from analysis.training.prescription import Tempo
from analysis.training.records import SessionRecord
from analysis.training.setup import SetUp, Support
from analysis.training.statements import Pain
from sensor.source import Arrival, Channel, LinkState, Source
from sensor.virtual.motion import TraineeFeed
from sensor.virtual.script import DEMO_BEAT, regular_script
from tests.tui.golden import screen_text
from tui.app import RungwiseApp
from tui.book.plan_text import plan_text
from tui.home import Home
from tui.messages import Stage
from tui.session import LEFT_ALONE_S
from tui.train import Training, Wanted

NAME = "Jonas Reiter"
AHEAD_S = 3600.0


class Clock(HandClock):
    """Stands where it is put; who waits lets the others run."""

    async def sleep(self, duration_s: float) -> None:
        await asyncio.sleep(0.02)


class Sensor:
    """The virtual sensor; what it sends comes as the clock is put on."""

    def __init__(self, clock: Clock, sent: Iterator[Arrival]) -> None:
        self._clock, self._sent = clock, sent
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
            self._clock.at_s = max(self._clock.at_s, self._next.at_s)
            self._due.put_nowait(self._next)
            self._next = next(self._sent)
            while not self._due.empty():  # noqa: ASYNC110 - it is emptied by the session, which has no event for it
                await asyncio.sleep(0)
            await asyncio.sleep(0)


def without_end(sent: Iterator[Arrival]) -> Iterator[Arrival]:
    """Leave out that the demonstration is over: a real sensor lies there and goes on."""
    for arrival in sent:
        if not (arrival.channel is Channel.LINK and arrival.payload == LinkState.ENDED.value.encode()):
            yield arrival


SCRIPT = regular_script(trainee=NAME, sets=4, reps=5, beat=DEMO_BEAT, rest_s=20.0)
"""As the plan asks, and a set more, before which nobody waits."""


def write_plan(home: Home) -> None:
    """Write a plan that asks for three sets of five to begin with."""
    plan = default_plan()
    steps = rest_taper(3, 5, Tempo(down_s=2.0, bottom_s=0.0, up_s=1.0, top_s=1.0), from_s=20, to_s=10)
    rungs = tuple(replace(one, steps=steps) if one.key == plan.start else one for one in plan.ladder.rungs)
    home.plans.mkdir()
    home.plan(NAME).write_text(plan_text(replace(plan, ladder=Ladder(rungs)), NAME), encoding="utf-8")


class Person:
    """Who trains, at the keys of a dashboard."""

    def __init__(self, folder: Path, book: Logbook, clock: Clock) -> None:
        self.folder, self.book, self.clock = folder, book, clock
        self.sensor = Sensor(clock, without_end(arrivals(TraineeFeed(SCRIPT))))
        self.training = Training(Home(folder), book, clock, NAME, Wanted(), open_source=self.sensor.open, asks=True)
        self.app = RungwiseApp(self.training.drive, control=self.training.run, asked=self.training.asking)
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
        assert self.training.asking
        self.training.asking.leave()

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


@pytest.fixture
def jonas(tmp_path: Path) -> Iterator[Person]:
    write_plan(Home(tmp_path))
    with Logbook.open(Home(tmp_path).logbook) as book:
        yield Person(tmp_path, book, Clock())


async def test_a_good_session_from_the_first_question_to_the_next_date(jonas: Person) -> None:
    async with jonas.at_the_screen():
        assert "Pain now" in await jonas.press()
        assert "Bar over the floor" in await jonas.press("0")
        assert jonas.sessions == ()  # nothing is written before it is known what is asked
        assert "AskPanel" not in await jonas.press(*"105", "enter", *"40", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        assert "How hard was it" in await jonas.until(Stage.DONE)
        done = await jonas.press("6", "1", "1", "n")
        assert "Next:" in done
        assert "How hard" not in done
        await jonas.press("q")
    (session,) = jonas.sessions
    assert [one.verdict.count for one in session.sets] == [5, 5, 5]
    assert session.ended_utc_us is not None
    assert session.set_up == SetUp(bar_cm=105, heels_cm=40, support=Support.RACK)
    assert session.rpe == 6
    assert jonas.pains == [0, 1]


async def test_with_pain_of_six_nothing_begins_and_the_reason_stands_there(jonas: Person) -> None:
    async with jonas.at_the_screen():
        told = await jonas.press("6", "2", "n")
        assert "No session: pain 6 of 10" in told
        assert "see your coach" in " ".join(told.split())
        await jonas.press("q")
    assert jonas.sessions == ()
    assert jonas.pains == [6]


async def test_who_answers_nothing_is_counted_and_asked_in_the_rest_and_at_the_end(jonas: Person) -> None:
    async with jonas.at_the_screen():
        assert "Pain now" not in await jonas.until(Stage.SET)
        assert "Pain now" in await jonas.until(Stage.REST)
        assert "Bar over the floor" in await jonas.press("2", "enter", "n")
        await jonas.until(Stage.SET)
        assert "How hard was it" in await jonas.until(Stage.DONE)
        assert "Bar over the floor" in await jonas.press("x", "0")
        await jonas.press(*"110", "enter", "enter", "enter", "enter", "q")
    (session,) = jonas.sessions
    assert [one.verdict.count for one in session.sets] == [5, 5, 5]
    assert (session.rpe, session.set_up.bar_cm) == (10, 110)
    assert jonas.pains == [2, 0]


async def test_a_session_that_is_left_alone_closes_itself_and_still_takes_the_answers(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.DONE)
        jonas.clock.at_s += LEFT_ALONE_S - 1
        assert jonas.sessions[0].ended_utc_us is None
        await jonas.look()
        jonas.clock.at_s += 1
        for _ in range(100):
            await jonas.pilot.pause(0.01)
            if jonas.sessions[0].ended_utc_us:
                break
        assert jonas.sessions[0].ended_utc_us is not None
        assert "How hard was it" in await jonas.look()
        assert "Next:" in await jonas.press("5", "0")
        await jonas.press("q")
    assert jonas.sessions[0].rpe == 5
    assert jonas.pains == [0, 0]


async def test_pain_of_seven_said_in_the_rest_ends_the_session_there(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.until(Stage.REST)
        told = await jonas.press("7", "1", "n")
        assert "No session: pain 7 of 10" in told
        assert "How hard was it" in told
        await jonas.press("9", "q")
    (session,) = jonas.sessions
    assert len(session.sets) == 1
    assert session.ended_utc_us is not None
    assert session.rpe == 9


async def test_forgotten_answers_are_none(jonas: Person) -> None:
    async with jonas.at_the_screen():
        await jonas.press("0", "enter", "enter", "enter", "enter")
        await jonas.until(Stage.REST)
        assert "How hard was it" in await jonas.press("q")
        await jonas.press("q")
    (session,) = jonas.sessions
    assert session.ended_utc_us is not None
    assert session.rpe is None
    assert jonas.pains == [0]
