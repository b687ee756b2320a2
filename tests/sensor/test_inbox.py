"""The bounded queue between callbacks and session."""

from __future__ import annotations

import asyncio

import pytest

from sensor.inbox import Inbox
from sensor.source import Arrival, Channel


def arrival(channel: Channel, number: int) -> Arrival:
    return Arrival("s", float(number), channel, bytes([number]))


async def read(inbox: Inbox) -> list[int]:
    return [a.payload[0] for a in [a async for a in inbox]]


async def test_what_was_put_comes_out_in_order_and_then_it_ends() -> None:
    inbox = Inbox(10)
    for number in range(5):
        inbox.put(arrival(Channel.DATA, number))
    inbox.close()
    assert await read(inbox) == [0, 1, 2, 3, 4]


async def test_a_waiting_reader_is_woken() -> None:
    inbox = Inbox(10)
    reading = asyncio.create_task(read(inbox))
    await asyncio.sleep(0)
    inbox.put(arrival(Channel.DATA, 1))
    await asyncio.sleep(0)
    inbox.put(arrival(Channel.DATA, 2))
    inbox.close()
    assert await reading == [1, 2]


async def test_full_it_drops_data_and_counts_it_but_keeps_the_rest() -> None:
    inbox = Inbox(2)
    for number in range(5):
        inbox.put(arrival(Channel.DATA, number))
    inbox.put(arrival(Channel.LINK, 9))
    inbox.close()
    assert inbox.dropped == 3
    assert await read(inbox) == [0, 1, 9]


async def test_an_error_comes_after_what_was_waiting() -> None:
    inbox = Inbox(2)
    inbox.put(arrival(Channel.LINK, 1))
    inbox.close(RuntimeError("gone"))
    inbox.close()
    assert (await anext(inbox)).payload == b"\x01"
    with pytest.raises(RuntimeError, match="gone"):
        await anext(inbox)


async def test_once_closed_it_takes_no_more() -> None:
    inbox = Inbox(2)
    inbox.close()
    inbox.put(arrival(Channel.LINK, 1))
    assert await read(inbox) == []


async def test_who_waits_for_room_loses_nothing_and_is_woken_when_it_closes() -> None:
    inbox = Inbox(2)

    async def fill() -> None:
        for number in range(6):
            await inbox.room()
            inbox.put(arrival(Channel.DATA, number))

    filling = asyncio.create_task(fill())
    assert [(await anext(inbox)).payload[0] for _ in range(3)] == [0, 1, 2]
    inbox.close()
    await filling
    assert inbox.dropped == 0
