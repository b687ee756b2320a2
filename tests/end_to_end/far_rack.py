"""A station as its coach sees it, small: tells its logbook from the coach's mark on, and answers words."""

from __future__ import annotations

import asyncio
from contextlib import AsyncExitStack
from pathlib import Path
from typing import Any
from uuid import uuid4

from analysis.logbook.book import Logbook
from sensor.broker import Access, Address, Broker, Letter
from sensor.source import SystemClock
from tui.share.envelope import Event, from_bytes, to_bytes
from tui.share.post import Post
from tui.share.topics import Kind, Topic

WINDOW = 8
PAUSE_S = 0.2
"""Between two windows, so that there is a middle in which something can be killed."""
AGAIN_S = 1.0


class Rack:
    """A station with a logbook.

    Parameters
    ----------
    name
        Its name, and that of its account.
    book
        What it tells.
    url, password, ca
        Of the broker.
    """

    def __init__(self, name: str, book: Logbook, url: str, password: str | None = None, ca: Path | None = None) -> None:
        self.name, self.book, self.answers = name, book, False
        self.words: list[dict[str, Any]] = []
        self.told = 0
        self._stream = book.stream()
        self._post = Post(name, self._stream.station, "")
        self._marked = asyncio.Event()
        self._after = 0
        topics = [str(Topic(name, kind)) for kind in (Kind.HEARD, Kind.WORD)]
        self._broker = Broker(
            Address.parse(url), Access(password, ca), name=name, clock=SystemClock(), topics=topics, greeting=self._here
        )

    async def run(self) -> None:
        """Be there until cancelled."""
        async with AsyncExitStack() as held:
            await held.enter_async_context(self._broker)
            tasks = await held.enter_async_context(asyncio.TaskGroup())
            tasks.create_task(self._listen())
            tasks.create_task(self._tell())

    def _here(self) -> Letter:
        stream = self.book.stream()
        return self._letter(Kind.PRESENCE, {"state": "here", "epoch": stream.epoch, "last": stream.last}, retain=True)

    def _letter(self, kind: Kind, data: dict[str, Any], *, retain: bool = False) -> Letter:
        source = f"/station/{self.name}/{self._stream.station}"
        event = Event(source=source, id=str(uuid4()), kind=kind, data=data, at_utc_us=1_780_056_000_000_000)
        return Letter(str(Topic(self.name, kind)), to_bytes(event), retain=retain)

    async def _listen(self) -> None:
        async for letter, _ in self._broker.letters():
            if letter.topic.endswith(Kind.HEARD.value):
                mark = from_bytes(letter.payload, Kind.HEARD).data
                self._after = mark["through"] if mark["epoch"] == self._stream.epoch else 0
                self._marked.set()
            else:
                word = from_bytes(letter.payload, Kind.WORD).data
                self.words.append(word)
                if self.answers:
                    await self._broker.send(
                        self._letter(Kind.SHOWN, {"word": word["word"], "state": "shown", "text": ""})
                    )

    async def _tell(self) -> None:
        await self._marked.wait()
        while True:
            self._marked.clear()
            await asyncio.sleep(PAUSE_S)
            for change in await asyncio.to_thread(self.book.changes, self._after, WINDOW):
                await self._broker.send(self._post.record(change, self._stream.epoch))
                self.told += 1
            try:
                await asyncio.wait_for(self._marked.wait(), AGAIN_S)
            except TimeoutError:
                continue
