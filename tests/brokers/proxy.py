"""A proxy on loopback that does to connections what networks do: cut, delay, stall, halve a packet, refuse.

It runs in the event loop of the test (`async with Proxy(port)`), or in a thread of its own for a test that waits for
processes (`with in_thread(port)`); its commands may be given from any thread.
"""

from __future__ import annotations

import asyncio
import random
import socket
import struct
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import TracebackType
from typing import Self

from tests.brokers.process import HOST

_CHUNK = 65_536
_WAITING = 256
FAULTS = ("cut", "stall", "delay", "halve", "refuse")


class Proxy:
    """Takes connections on `port` and passes them on to `to`; without a command it changes nothing."""

    def __init__(self, to: int) -> None:
        self._to = to
        self._links: set[_Link] = set()
        self._server: asyncio.Server | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._refusing = False
        self.delay_s = 0.0
        self.flowing = asyncio.Event()
        self.flowing.set()
        self.halving = 0
        self.port = 0
        self.connections = 0
        """How many were taken so far."""

    @property
    def url(self) -> str:
        """Where it is, in the place of the broker."""
        return f"mqtt://{HOST}:{self.port}"

    def cut(self) -> None:
        """End all connections at once, without a goodbye (RST)."""
        self._do(self._cut)

    def delay(self, seconds: float) -> None:
        """Pass on what comes from now on so much later, in order; 0 for at once."""
        self._do(lambda: setattr(self, "delay_s", seconds))

    def stall(self) -> None:
        """Pass on nothing: connections stay open, as out of range."""
        self._do(self.flowing.clear)

    def flow(self) -> None:
        """Pass on again, what was held back first; take connections; no delay."""
        self._do(self._flow)

    def halve(self) -> None:
        """Of the next bytes to the broker pass on the first half, and cut."""
        self._do(lambda: setattr(self, "halving", 1))

    def refuse(self) -> None:
        """Cut, and end each new connection at once."""
        self._do(self._refuse)

    async def schedule(self, seed: int, lasts_s: float, every_s: float = 1.0) -> list[tuple[float, str]]:
        """Do faults by a seeded schedule; return when what was done (s); all is well again at the end."""
        chance = random.Random(seed)
        clock = asyncio.get_running_loop().time
        begin, done = clock(), []
        while (at_s := clock() - begin) < lasts_s:
            fault = chance.choice(FAULTS)
            done.append((at_s, fault))
            if fault == "delay":
                self.delay(chance.uniform(0.01, 0.3))
            else:
                getattr(self, fault)()
            await asyncio.sleep(chance.uniform(0.0, 0.5) * every_s)
            self.flow()
            await asyncio.sleep(chance.expovariate(1.0 / every_s))
        return done

    async def __aenter__(self) -> Self:
        self._loop = asyncio.get_running_loop()
        self._server = await asyncio.start_server(self._taken, HOST, 0)
        self.port = self._server.sockets[0].getsockname()[1]
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        assert self._server is not None
        self._server.close()
        self._refuse()
        self.flowing.set()
        await asyncio.gather(*(link.gone.wait() for link in self._links))
        await self._server.wait_closed()

    def _do(self, command: Callable[[], object]) -> None:
        assert self._loop is not None
        self._loop.call_soon_threadsafe(command)

    def _cut(self) -> None:
        for link in self._links:
            link.cut()

    def _flow(self) -> None:
        self.delay_s, self.halving, self._refusing = 0.0, 0, False
        self.flowing.set()

    def _refuse(self) -> None:
        self._refusing = True
        self._cut()

    async def _taken(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if self._refusing:
            writer.transport.abort()
            return
        self.connections += 1
        link = _Link(self, writer)
        self._links.add(link)
        try:
            await link.run(reader, self._to)
        finally:
            self._links.discard(link)
            link.gone.set()


class _Link:
    """One connection through the proxy."""

    def __init__(self, proxy: Proxy, client: asyncio.StreamWriter) -> None:
        self._proxy = proxy
        self._client = client
        self._broker: asyncio.StreamWriter | None = None
        self._ended = asyncio.Event()
        self.gone = asyncio.Event()

    def cut(self) -> None:
        """End both sides without a goodbye."""
        self._ended.set()

    async def run(self, reader: asyncio.StreamReader, to: int) -> None:
        """Pass on both ways until one side ends or the link is cut."""
        try:
            back, self._broker = await asyncio.open_connection(HOST, to)
        except OSError:
            self._client.transport.abort()
            return
        up, down = asyncio.Queue[tuple[float, bytes]](_WAITING), asyncio.Queue[tuple[float, bytes]](_WAITING)
        ways = [
            asyncio.create_task(self._take(reader, up)),
            asyncio.create_task(self._give(up, self._broker, to_broker=True)),
            asyncio.create_task(self._take(back, down)),
            asyncio.create_task(self._give(down, self._client, to_broker=False)),
            asyncio.create_task(self._ended.wait()),
        ]
        try:
            await asyncio.wait(ways, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for way in ways:
                way.cancel()
            await asyncio.gather(*ways, return_exceptions=True)
            await asyncio.gather(*(self._end(side) for side in (self._client, self._broker)))

    async def _end(self, side: asyncio.StreamWriter) -> None:
        if self._ended.is_set():
            # Lingering for no time makes the end a reset (SO_LINGER, socket(7)).
            side.get_extra_info("socket").setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            side.transport.abort()
        side.close()
        with suppress(OSError, TimeoutError):
            await asyncio.wait_for(side.wait_closed(), 1.0)
        side.transport.abort()

    async def _take(self, reader: asyncio.StreamReader, into: asyncio.Queue[tuple[float, bytes]]) -> None:
        clock = asyncio.get_running_loop().time
        with suppress(OSError):
            while chunk := await reader.read(_CHUNK):
                await into.put((clock() + self._proxy.delay_s, chunk))
        await into.put((0.0, b""))
        await asyncio.Event().wait()

    async def _give(
        self, out_of: asyncio.Queue[tuple[float, bytes]], writer: asyncio.StreamWriter, *, to_broker: bool
    ) -> None:
        clock = asyncio.get_running_loop().time
        with suppress(OSError):
            while True:
                due_s, chunk = await out_of.get()
                await asyncio.sleep(max(due_s - clock(), 0.0))
                await self._proxy.flowing.wait()
                if not chunk:
                    return
                if to_broker and self._proxy.halving:
                    self._proxy.halving = 0
                    writer.write(chunk[: len(chunk) // 2])
                    await writer.drain()
                    return
                writer.write(chunk)
                await writer.drain()


@contextmanager
def in_thread(to: int) -> Iterator[Proxy]:
    """Run a proxy in a thread with an event loop of its own."""
    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=loop.run_forever, name="proxy")
    thread.start()
    try:
        proxy = asyncio.run_coroutine_threadsafe(_entered(to), loop).result()
        try:
            yield proxy
        finally:
            asyncio.run_coroutine_threadsafe(proxy.__aexit__(None, None, None), loop).result()
    finally:
        loop.call_soon_threadsafe(loop.stop)
        thread.join()
        loop.close()


async def _entered(to: int) -> Proxy:
    return await Proxy(to).__aenter__()
