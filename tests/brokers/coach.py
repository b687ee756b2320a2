"""A coach for the tests of stations: takes records into a logbook of its own, tells its marks, says words."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import aiomqtt

from analysis.logbook.book import Logbook
from analysis.logbook.changes import Change
from analysis.logbook.inbox import Mark
from tui.share.envelope import Event, from_bytes, to_bytes
from tui.share.topics import Kind, Topic, of_all, parse

_PAUSE_S = 0.1


class Coach:
    """Everything that it heard; its logbook stays while it is away.

    Attributes
    ----------
    nows, records, shown
        Events in the order in which they came.
    came_s
        When each of `nows` came, seconds of the loop.
    """

    def __init__(self, folder: Path, port: int) -> None:
        self.book = Logbook.open(folder / "coach.sqlite")
        self.id, self.port = uuid4(), port
        self.nows: list[dict[str, Any]] = []
        self.came_s: list[float] = []
        self.presence: list[dict[str, Any]] = []
        self.records: list[Event] = []
        self.shown: list[dict[str, Any]] = []
        self._client: aiomqtt.Client | None = None
        self._news = asyncio.Event()

    async def until(self, is_so: Callable[[], bool], within_s: float = 120.0) -> None:
        """Wait until something is true of what came."""
        async with asyncio.timeout(within_s):
            while not is_so():
                self._news.clear()
                await self._news.wait()

    @asynccontextmanager
    async def there(self) -> AsyncIterator[Coach]:
        """Listen, coming back whenever the broker does."""
        task = asyncio.create_task(self._listen())
        try:
            yield self
        finally:
            task.cancel()
            (end,) = await asyncio.gather(task, return_exceptions=True)
            self.book.close()
            if not isinstance(end, asyncio.CancelledError):
                raise AssertionError("the coach stopped listening") from end

    async def _listen(self) -> None:
        while True:
            try:
                async with aiomqtt.Client("127.0.0.1", self.port, timeout=3) as client:
                    for kind in (Kind.PRESENCE, Kind.NOW, Kind.RECORD, Kind.SHOWN):
                        await client.subscribe(of_all(kind), qos=1)
                    self._client = client
                    async for message in client.messages:
                        await self._take(client, str(message.topic), message.payload)
                        self._news.set()
            except aiomqtt.MqttError:
                self._client = None
                await asyncio.sleep(_PAUSE_S)

    async def _take(self, client: aiomqtt.Client, topic: str, payload: Any) -> None:
        found = parse(topic)
        assert found is not None
        event = from_bytes(payload, found.kind)  # what is really sent is as its schema has it
        source = UUID(event.source.rsplit("/", 1)[1])
        match found.kind:
            case Kind.PRESENCE:
                self.presence.append(event.data)
                if event.data["state"] == "here":
                    await self._mark(client, found.station, source)
            case Kind.NOW:
                self.nows.append(event.data)
                self.came_s.append(asyncio.get_running_loop().time())
            case Kind.RECORD:
                self.records.append(event)
                change = Change(
                    sequence=event.sequence or 0,
                    kind=event.data["change"],
                    session=UUID(event.subject) if event.subject else None,
                    at_utc_us=event.at_utc_us,
                    before_utc_us=event.data["before_utc_us"],
                    data=event.data,
                )
                self.book.apply(source, event.data["epoch"], [change])
                await self._mark(client, found.station, source)
            case Kind.SHOWN:
                self.shown.append(event.data)

    async def _mark(self, client: aiomqtt.Client, station: str, source: UUID) -> None:
        mark = self.book.mark(source)
        await self._tell_mark(client, station, mark)

    async def _tell_mark(self, client: aiomqtt.Client, station: str, mark: Mark) -> None:
        data = {
            "coach": str(self.id),
            "epoch": mark.epoch,
            "through": mark.through,
            "noted_utc_us": mark.noted_utc_us,
        }
        await client.publish(str(Topic(station, Kind.HEARD)), self._event(Kind.HEARD, data), qos=1)

    async def mark(self, station: str, epoch: str, through: int) -> None:
        """Say to have what the station told up to there, whatever is so; the broker must be there."""
        assert self._client is not None
        await self._tell_mark(self._client, station, Mark(epoch, through))

    def _event(self, kind: Kind, data: dict[str, Any]) -> bytes:
        return to_bytes(Event(source=f"/coach/{self.id}", id=str(uuid4()), kind=kind, data=data, at_utc_us=0))

    async def say(self, station: str, word: dict[str, Any]) -> None:
        """Say a word; the broker must be there."""
        assert self._client is not None
        await self._client.publish(str(Topic(station, Kind.WORD)), self._event(Kind.WORD, word), qos=1)

    def heard(self, *people: UUID) -> str:
        """Return all that its logbook holds of some people, as text."""
        return json.dumps(self.book.dump(people), sort_keys=True, default=str)


def note(text: str, trainee: str = "") -> dict[str, Any]:
    """Return a note."""
    return {"word": str(uuid4()), "what": "note", "trainee": trainee, "text": text}


def target(trainee: str = "", text: str = "", **values: Any) -> dict[str, Any]:
    """Return a changed target."""
    usual = {"reps": None, "rest_s": None, "tempo": None}
    return {"word": str(uuid4()), "what": "target", "trainee": trainee, "text": text, **usual, **values}


def plan(trainee: str, text: str, base: str) -> dict[str, Any]:
    """Return a plan."""
    return {"word": str(uuid4()), "what": "plan", "trainee": trainee, "text": text, "base": base}
