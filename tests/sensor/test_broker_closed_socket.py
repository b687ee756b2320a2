"""A socket that is closed before the event loop or the library is done with it.

From memory: each was seen once in half an hour of faults.
"""

import asyncio
import gc
import logging
import os
import socket
from contextlib import suppress
from pathlib import Path

import pytest
from aiomqtt import MqttError

from sensor.broker import Access, Address, Broker
from sensor.broker_client import Login, _client, _close
from sensor.source import SystemClock
from tests.brokers.process import BrokerProcess


async def test_what_the_library_wishes_of_a_closed_socket_is_told_nobody(
    broker: BrokerProcess, caplog: pytest.LogCaptureFixture
) -> None:
    loop = asyncio.get_running_loop()
    async with Broker(Address.parse(broker.url), Access(None, None), name="rack-3", clock=SystemClock()) as ours:
        await asyncio.wait_for(ours.link.up(), 10.0)
        gone, other = os.pipe()
        os.close(gone)
        os.close(other)
        with caplog.at_level(logging.ERROR, "asyncio"):
            loop.call_soon(loop.add_writer, gone, lambda: None)
            await asyncio.sleep(0.05)
            loop.create_future().set_exception(MqttError("lost"))
            gc.collect()
            await asyncio.sleep(0.05)
            assert not caplog.records
            loop.call_soon(lambda: Path("nowhere/at/all").read_text())
            await asyncio.sleep(0.05)
            assert "nowhere" in caplog.text


async def test_what_a_connection_left_unwritten_is_not_looked_for_when_it_is_freed() -> None:
    login = Login(Address.parse("mqtt://127.0.0.1"), Access(None, None), None, "rack-3", None)
    client = _client(login, lambda letter: None)
    asked: list[object] = []
    ours, theirs = socket.socketpair()
    with theirs, ours:
        ours.setblocking(False)
        with suppress(BlockingIOError):
            while ours.send(bytes(65_536)):
                pass
        client._client._sock = ours
        asyncio.get_running_loop().set_exception_handler(lambda _, context: asked.append(context))
        _close(client)
        assert ours.fileno() == -1
        assert client._client.socket() is not None  # the library still believes in it
    await asyncio.sleep(0.05)
    del client
    gc.collect()  # a warning that nobody caught would fail the test
    assert not [str(one) for one in asked]
