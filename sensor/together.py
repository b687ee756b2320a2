"""Several sensors on one clock: the first is the one that counts, the others are recorded with it; or all are alike."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from contextlib import AbstractAsyncContextManager, AsyncExitStack
from types import TracebackType
from typing import Self

from sensor.inbox import Inbox
from sensor.source import Arrival, Channel, HostClock, Source

QUEUE_SIZE = 4096


class Together:
    """Arrivals of several sources as one source; it ends with the first of them.

    It drops nothing: where the reader is slow, the sources' own queues fill, and they know what they drop.

    Nothing of the others is given before the first has said what it is: whoever reads takes the sensor that says so
    first for the one that counts. Their arrivals wait in their own queues until then, with the times at which they
    came. That another cannot be found, or breaks down, does not end the session: it is told in a notice.

    Parameters
    ----------
    sources
        The one that counts first.
    called
        What to call each in a notice, until it has said anything itself.
    clock
        The session's clock.
    alike
        None of them counts before the others: none is waited for, and it ends with the last, in error where all broke
        down.
    """

    def __init__(
        self,
        sources: Sequence[AbstractAsyncContextManager[Source]],
        called: Sequence[str],
        clock: HostClock,
        *,
        alike: bool = False,
    ) -> None:
        self._sources = sources
        self._called = called
        self._clock = clock
        self._alike = alike
        self._failed: list[Exception] = []
        self._inbox = Inbox(QUEUE_SIZE)
        self._is_met = asyncio.Event()
        self._tasks: list[asyncio.Task[None]] = []
        self._opened = AsyncExitStack()

    async def __aenter__(self) -> Self:
        await self._opened.__aenter__()
        opened = [await self._opened.enter_async_context(source) for source in self._sources]
        named = list(zip(opened, self._called, strict=True))
        if self._alike:
            self._is_met.set()
            self._tasks = [asyncio.create_task(self._pump_all(named))]
        else:
            self._tasks = [asyncio.create_task(self._pump_first(opened[0]))]
            self._tasks += [asyncio.create_task(self._pump(source, name)) for source, name in named[1:]]
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        self._inbox.close()
        await self._opened.__aexit__(kind, error, trace)

    def __aiter__(self) -> AsyncIterator[Arrival]:
        return self._inbox

    async def _pump_first(self, source: Source) -> None:
        try:
            async for arrival in source:
                await self._pass_on(arrival)
                if arrival.channel is Channel.INFO:
                    self._is_met.set()
        except Exception as error:
            self._inbox.close(error)
        else:
            self._inbox.close()

    async def _pump_all(self, named: Sequence[tuple[Source, str]]) -> None:
        async with asyncio.TaskGroup() as group:
            for source, name in named:
                group.create_task(self._pump(source, name))
        self._inbox.close(self._failed[0] if len(self._failed) == len(named) else None)

    async def _pump(self, source: Source, name: str) -> None:
        await self._is_met.wait()
        try:
            async for arrival in source:
                name = arrival.sensor_id or name
                await self._pass_on(arrival)
        except Exception as error:
            self._failed.append(error)
            told = f"is not recorded any more: {error}"
            await self._pass_on(Arrival(name, self._clock.now_s(), Channel.NOTICE, told.encode()))

    async def _pass_on(self, arrival: Arrival) -> None:
        await self._inbox.room()
        self._inbox.put(arrival)
