"""Keeps the coach's side going: reads what the broker has, keeps records in our logbook, tells marks and words.

Whatever takes a disk goes to a thread, so a screen beside this is never held up. What is told is told again until it is
answered, so nothing is lost where this ends at any moment.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import AsyncIterator, Callable, Coroutine, Sequence
from contextlib import suppress
from functools import partial
from typing import Any, Protocol
from uuid import UUID

from analysis.logbook.changes import Change
from analysis.logbook.errors import LogbookError
from analysis.logbook.forgetting import Forgotten
from sensor.broker import Letter
from sensor.broker_link import LinkNews
from sensor.source import HostClock
from tui.floor.gym import Gym
from tui.floor.kept import write_words
from tui.floor.plans import Shelf, keep_plans, noted_plans
from tui.floor.words import Word
from tui.home import Home, HomeError
from tui.trouble import Trouble

SETBACKS = (LogbookError, HomeError, Trouble)
"""What may be over by itself, or by somebody's hand: a logbook that is held, a full disk, a file that cannot go."""
TICK_S = 0.2
"""How soon what is due by time alone is seen."""
PLAN = "plan"
"""Kind of a change that is a plan."""
MOST_NEWS = 12
"""So much of what there was to say is kept."""
AGAIN_S = 1.0
"""How soon what could not be written is tried again."""


class Post(Protocol):
    """The broker, as far as this needs it (`sensor.broker.Broker`)."""

    @property
    def link(self) -> LinkNews:
        """Whether it is there."""
        ...

    async def send(self, letter: Letter) -> bool:
        """Return whether the broker has the letter."""
        ...

    def letters(self) -> AsyncIterator[tuple[Letter, float]]:
        """Yield what comes."""
        ...


class Marked(Protocol):
    """Up to where another logbook's changes are in ours."""

    @property
    def epoch(self) -> str:
        """Of its history; empty where nothing came yet."""
        ...

    @property
    def through(self) -> int:
        """Sequence of the last one."""
        ...

    @property
    def noted_utc_us(self) -> int:
        """When that one was written by the clock there, µs since 1970-01-01 UTC."""
        ...


class Taken(Protocol):
    """What became of a batch."""

    @property
    def through(self) -> int:
        """Sequence of the last one that is in."""
        ...

    @property
    def noted_utc_us(self) -> int:
        """As `Marked`."""
        ...

    @property
    def refused(self) -> int:
        """How many could not be used, and were passed."""
        ...

    @property
    def told(self) -> tuple[str, ...]:
        """What a person should know, in sentences."""
        ...

    @property
    def forgotten(self) -> tuple[Forgotten, ...]:
        """Who was forgotten by them."""
        ...


class Inbox(Shelf, Protocol):
    """Our logbook, as far as this needs it (`analysis.logbook`)."""

    def mark(self, source: UUID) -> Marked:
        """Return how far another logbook is in ours."""
        ...

    def apply(self, source: UUID, epoch: str, changes: Sequence[Change], *, called: str = "") -> Taken:
        """Take changes of another logbook, each once and in its order; `called`: its station, for people."""
        ...


class Floor:
    """The coach's side of a gym, running.

    Parameters
    ----------
    gym
        All stations.
    post
        The broker.
    book
        Our logbook.
    clock
        Whose time everything has.
    home
        Where the words and the plans are kept.
    remove
        Removes what is kept of somebody beside the logbook, once they are forgotten.

    Attributes
    ----------
    gym, clock, link
        As given; the broker's link.
    news
        What there was to say about what came, the newest last, each with its µs since 1970-01-01 UTC.
    """

    def __init__(
        self, gym: Gym, post: Post, book: Inbox, *, clock: HostClock, home: Home, remove: Callable[[Forgotten], object]
    ) -> None:
        self.gym, self.clock, self.link = gym, clock, post.link
        self._troubles: dict[str, str] = {}
        self._post, self._book, self._home, self._remove = post, book, home, remove
        self.news: deque[tuple[int, str]] = deque(maxlen=MOST_NEWS)
        self._wake = asyncio.Event()
        self._unsaved = False

    async def run(self) -> None:
        """Keep it going until cancelled."""
        async with asyncio.TaskGroup() as tasks:
            tasks.create_task(self._read())
            tasks.create_task(self._work())

    @property
    def trouble(self) -> str:
        """What cannot be written now, in one sentence; empty where all can."""
        return next(iter(self._troubles.values()), "")

    def say(self, word: Word) -> None:
        """Take a word of the coach: it is written down, then sent until it is answered."""
        self.gym.words.say(word)
        self._unsaved = True
        self._wake.set()

    async def _read(self) -> None:
        async for letter, at_s in self._post.letters():
            if self.gym.take(letter.topic, letter.payload, at_s, self.clock.utc_us(), kept=letter.retain):
                self._wake.set()

    async def _work(self) -> None:
        while True:
            self._wake.clear()
            await self._guarded("words", self._keep_words)
            await self._keep_records()
            if self.link.is_up:
                await self._tell()
            with suppress(TimeoutError):
                await asyncio.wait_for(self._wake.wait(), AGAIN_S if self._troubles else TICK_S)

    async def _guarded(self, what: str, do: Callable[[], Coroutine[Any, Any, None]]) -> None:
        """Do what may fail for a while: it is told, and done again later."""
        try:
            await do()
        except SETBACKS as setback:
            self._troubles[what] = str(setback)
        else:
            self._troubles.pop(what, None)

    async def _keep_words(self) -> None:
        self._unsaved |= self.gym.has_answers() | self.gym.words.give_up(self.clock.utc_us())
        if self._unsaved:
            await asyncio.to_thread(write_words, self._home.words, tuple(self.gym.words.said.values()))
            self._unsaved = False

    async def _begin(self, source: UUID) -> None:
        mark = await asyncio.to_thread(self._book.mark, source)
        self.gym.begin(source, mark.epoch, mark.through, mark.noted_utc_us)

    async def _apply(self, source: UUID, epoch: str, batch: Sequence[Change]) -> None:
        taken, said = await asyncio.to_thread(self._applied, source, epoch, batch)
        self.news.extend((self.clock.utc_us(), one) for one in said)
        for one in taken.forgotten:
            self._unsaved |= self.gym.words.forget(one.trainee.name, self.gym.name_of(source))
        self.gym.applied(source, epoch, taken.through, taken.noted_utc_us, taken.refused, self.clock.now_s())

    def _applied(self, source: UUID, epoch: str, batch: Sequence[Change]) -> tuple[Taken, list[str]]:
        has_plans = any(one.kind == PLAN for one in batch)
        before = noted_plans(self._book) if has_plans else {}
        taken = self._book.apply(source, epoch, batch, called=self.gym.name_of(source))
        plans = keep_plans(self._home, self._book, before) if has_plans else []
        for one in taken.forgotten:
            self._remove(one)
        return taken, [*taken.told, *plans]

    async def _keep_records(self) -> None:
        for source in self.gym.unknown():
            await self._guarded("records", partial(self._begin, source))
        for source, epoch, batch in list(self.gym.ready(self.clock.now_s())):
            await self._guarded("records", partial(self._apply, source, epoch, batch))

    async def _tell(self) -> None:
        for mark in list(self.gym.marks(self.clock.now_s())):
            if await self._post.send(Letter(*self.gym.heard(mark, self.clock.utc_us()))):
                self.gym.told(mark, self.clock.now_s())
        for word in () if self._unsaved else self.gym.due_words(self.clock.now_s()):
            if await self._post.send(Letter(*self.gym.word(word, self.clock.utc_us()))):
                self.gym.words.sent(word.id, self.clock.now_s())
