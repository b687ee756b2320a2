"""The way to an MQTT broker, which comes back by itself: topics and bytes, in and out (OASIS MQTT 3.1.1).

What is sent is in the broker's hands once `send` says so (QoS 1), and the broker keeps nothing for who is away (clean
session): whoever needs more sends again, from what they keep themselves.
"""

from __future__ import annotations

import asyncio
import random
from collections import deque
from collections.abc import AsyncIterator, Callable, Sequence
from types import TracebackType
from typing import Self

from sensor.broker_address import Access, Address, BrokerError
from sensor.broker_client import Connection, Letter, Login, NoConnectionError, connected
from sensor.broker_link import LinkNews, pauses
from sensor.source import HostClock

__all__ = ["Access", "Address", "Broker", "BrokerError", "Letter", "LinkNews"]

MOST_BYTES = 262_144
"""Longest payload that is passed on."""
MOST_WAITING = 4096
"""Most letters that may wait for their reader."""
STEADY_S = 5.0
"""A connection that held for so long was a good one: the next attempt comes soon."""
_BRIEF = (
    "The connection to {where} is lost again and again: another client may have the name {name}. "
    "Give each its own name."
)
_LEFT = "The connection was closed here."


class Broker:
    """A connection that comes back; use it as `async with Broker(…) as broker`, or keep `run` running.

    Parameters
    ----------
    address, access
        Where the broker is, and what it is spoken to with.
    name
        What this client is called; two of one name throw each other out.
    clock
        Stamps what comes, and waits.
    will
        What the broker tells in this client's place when the connection is lost.
    topics
        Filters of what to listen to; subscribed anew at each connection.
    greeting
        Gives what to send first at each connection, before `link` is up.
    qos
        How it is listened: 1, what comes is answered, or 0, it is not (OASIS MQTT 3.1.1, 4.3).

    Attributes
    ----------
    link
        Whether the broker is there, and why not.

    Raises
    ------
    BrokerError
        When the file of an authority cannot be used.
    """

    def __init__(
        self,
        address: Address,
        access: Access,
        *,
        name: str,
        clock: HostClock,
        will: Letter | None = None,
        topics: Sequence[str] = (),
        greeting: Callable[[], Letter] | None = None,
        qos: int = 1,
    ) -> None:
        self.link = LinkNews()
        self._login = Login(address, access, access.tls() if address.tls else None, name, will)
        self._clock, self._topics, self._greeting, self._qos = clock, tuple(topics), greeting, qos
        self._connection: Connection | None = None
        self._waiting: deque[tuple[Letter, float]] = deque()
        self._changed = asyncio.Event()
        self._closed = False
        self._task: asyncio.Task[None] | None = None

    def __repr__(self) -> str:
        return f"Broker({str(self._login.address)!r}, name={self._login.name!r})"

    async def __aenter__(self) -> Self:
        self._task = asyncio.create_task(self.run())
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._task is not None:
            self._task.cancel()
            await asyncio.gather(self._task, return_exceptions=True)

    async def run(self) -> None:
        """Keep the connection until cancelled; then take leave, so that the will is not told, and end `letters`."""
        waits, brief = pauses(random.uniform), 0
        try:
            while True:
                before, began_s = self.link.connections, self._clock.now_s()
                lost = await self._once()
                has_come = self.link.connections > before
                is_steady = has_come and self._clock.now_s() - began_s >= STEADY_S
                brief = brief + 1 if has_come and not is_steady else 0
                if is_steady:
                    waits = pauses(random.uniform)
                why = _BRIEF.format(where=self._login.address.where, name=self._login.name) if brief > 2 else str(lost)
                self.link.went(why, lasts=lost.lasts)
                await self._clock.sleep(next(waits))
        finally:
            self._closed = True
            self._changed.set()
            self.link.went(_LEFT)

    async def send(self, letter: Letter) -> bool:
        """Return whether the broker has the letter; not connected, or not answered in time, it may not."""
        return self._connection is not None and await self._connection.publish(letter)

    async def letters(self) -> AsyncIterator[tuple[Letter, float]]:
        """Yield what comes, with the clock's time at its receipt, until the connection is given up; for one reader."""
        while True:
            while self._waiting:
                yield self._waiting.popleft()
            if self._closed:
                return
            self._changed.clear()
            await self._changed.wait()

    def _take(self, letter: Letter) -> None:
        oversize = len(letter.payload) > MOST_BYTES
        if oversize or len(self._waiting) >= MOST_WAITING:
            self.link.missed(oversize=oversize)
            return
        self._waiting.append((letter, self._clock.now_s()))
        self._changed.set()

    async def _once(self) -> NoConnectionError:
        """Connect, and listen until that is lost; return why it is."""
        try:
            async with connected(self._login, self._take) as connection:
                if self._topics:
                    await connection.listen(self._topics, self._qos)
                if self._greeting is not None:
                    await connection.publish(self._greeting())
                self._connection = connection
                self.link.came()
                await connection.until_lost()
        except NoConnectionError as error:
            return error
        finally:
            self._connection = None
        raise AssertionError("a connection ends by an error")
